//! Where a dimension is drawn, for those that the edges do not show: `drawn = { … }` in its block.

use super::reader::Reader;
use crate::fault::Fault;
use crate::toml_text::{Formula, Item, Names, Table, Text};

/// Where a dimension is drawn, in the coordinates of its plate.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct DrawnAt {
    /// The plate; the first unless given.
    pub(crate) plate: Option<Text>,
    form: Form,
}

type Pair = [Formula; 2];

#[derive(Debug, Clone, PartialEq)]
enum Form {
    Length([Pair; 2]),
    Angle {
        about: Pair,
        turns: Pair,
        radius: Formula,
    },
    Spot(Pair),
}

/// The same worked out: mm and radians.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum DrawnForm {
    /// From one place to another.
    Length([[f64; 2]; 2]),
    /// About a place, from one angle to another, counted from +x, at a radius.
    Angle {
        about: [f64; 2],
        turns: [f64; 2],
        radius: f64,
    },
    /// At a place.
    Spot([f64; 2]),
}

impl DrawnAt {
    /// Reads `drawn`: with `about` an angle, with `from` and `to` a length, else a place, `at`.
    pub(crate) fn read(item: Item, faults: &mut Vec<Fault>) -> Option<Self> {
        let mut table = item.table(faults)?;
        table.call("`drawn`");
        let plate = table.take("plate").and_then(|it| it.text(faults));
        let form = Form::read(&mut table, faults);
        table.finish(faults);
        Some(Self { plate, form: form? })
    }

    /// Reports the names that nothing in the recipe has.
    pub(crate) fn check(&self, reader: &mut Reader<'_>) {
        let formulas: Vec<&Formula> = match &self.form {
            Form::Length(ends) => ends.iter().flatten().collect(),
            Form::Angle {
                about,
                turns,
                radius,
            } => about.iter().chain(turns).chain([radius]).collect(),
            Form::Spot(at) => at.iter().collect(),
        };
        for formula in formulas {
            reader.check(formula);
        }
    }

    /// Where it is for the values of a part.
    pub(crate) fn worked_out(&self, names: &Names) -> Result<DrawnForm, Fault> {
        let place = |[x, y]: &Pair| {
            let length = |it: &Formula| it.length(names, "`drawn`");
            Ok::<_, Fault>([length(x)?, length(y)?])
        };
        Ok(match &self.form {
            Form::Length([from, to]) => DrawnForm::Length([place(from)?, place(to)?]),
            Form::Angle {
                about,
                turns: [from, to],
                radius,
            } => DrawnForm::Angle {
                about: place(about)?,
                turns: [from.angle(names, "`from`")?, to.angle(names, "`to`")?],
                radius: radius.size(names, "`radius`")?,
            },
            Form::Spot(at) => DrawnForm::Spot(place(at)?),
        })
    }
}

/// Both axes of a point of the family.
fn point(name: &Text, faults: &mut Vec<Fault>) -> Option<Pair> {
    let axis = |axis: &str| {
        let words = format!("{}.{axis}", name.as_str());
        Formula::parse(Text::new(name.source(), name.span(), words))
    };
    let pair = axis("x").and_then(|x| Ok([x, axis("y")?]));
    pair.map_err(|fault| faults.push(fault)).ok()
}

impl Form {
    fn read(table: &mut Table, faults: &mut Vec<Fault>) -> Option<Self> {
        const PLACE: &str = "[\"0 mm\", \"0 mm\"]";
        let place = |table: &mut Table, key: &str, faults: &mut Vec<Fault>| {
            let item = table.need(key, &format!("{key} = {PLACE}"), faults)?;
            if item.as_words().is_some() {
                return point(&item.text(faults)?, faults);
            }
            let [x, y] = item.pair(faults)?;
            let (x, y) = (x.formula(faults), y.formula(faults));
            Some([x?, y?])
        };
        let value = |table: &mut Table, key: &str, example: &str, faults: &mut Vec<Fault>| {
            let item = table.need(key, &format!("{key} = {example}"), faults)?;
            item.formula(faults)
        };
        if table.has("about") {
            let about = place(table, "about", faults);
            let from = value(table, "from", "\"0 deg\"", faults);
            let to = value(table, "to", "\"30 deg\"", faults);
            let radius = value(table, "radius", "\"40 mm\"", faults);
            return Some(Self::Angle {
                about: about?,
                turns: [from?, to?],
                radius: radius?,
            });
        }
        if table.has("at") {
            return Some(Self::Spot(place(table, "at", faults)?));
        }
        let from = place(table, "from", faults);
        let to = place(table, "to", faults);
        Some(Self::Length([from?, to?]))
    }
}
