//! Reading the values of a recipe while knowing which names they may use.
//!
//! In: items of a TOML table. Out: expressions, templates and positions whose every name is known,
//! or faults that suggest the nearest name. All faults are gathered.

use crate::fault::{Fault, nearest};

use super::step::Position;
use super::template::Template;
use crate::toml_text::Formula;
use crate::toml_text::Text;
use crate::toml_text::{Item, Table};

/// Reads values and checks their names.
pub(crate) struct Reader<'a> {
    names: Vec<String>,
    points: Vec<String>,
    pub(crate) faults: &'a mut Vec<Fault>,
}

impl<'a> Reader<'a> {
    /// A reader for values that may use these names.
    pub(crate) fn new(names: Vec<String>, faults: &'a mut Vec<Fault>) -> Self {
        Self {
            names,
            points: Vec::new(),
            faults,
        }
    }

    /// Makes a named point known: by its name as a place, and as `.x` and `.y` in expressions.
    pub(crate) fn add_point(&mut self, name: &str) {
        self.points.push(name.to_owned());
        self.names.push(format!("{name}.x"));
        self.names.push(format!("{name}.y"));
    }

    /// Forgets the named points, at the end of a plate.
    pub(crate) fn forget_points(&mut self) {
        for point in std::mem::take(&mut self.points) {
            let own = [format!("{point}.x"), format!("{point}.y")];
            self.names.retain(|name| !own.contains(name));
        }
    }

    /// An expression.
    pub(crate) fn formula(&mut self, item: Item) -> Option<Formula> {
        let formula = item.formula(self.faults)?;
        self.check(&formula);
        Some(formula)
    }

    /// The expression of a key that may be left out.
    pub(crate) fn option(&mut self, table: &mut Table, key: &str) -> Option<Formula> {
        let item = table.take(key)?;
        self.formula(item)
    }

    /// The expression of a key that must be there.
    pub(crate) fn need(&mut self, table: &mut Table, key: &str, example: &str) -> Option<Formula> {
        let item = self.item(table, key, example)?;
        self.formula(item)
    }

    /// The value of a key that must be there.
    pub(crate) fn item(&mut self, table: &mut Table, key: &str, example: &str) -> Option<Item> {
        table.need(key, &format!("{key} = {example}"), self.faults)
    }

    /// Words as they stand, of a key that must be there.
    pub(crate) fn text(&mut self, table: &mut Table, key: &str, example: &str) -> Option<Text> {
        self.item(table, key, example)?.text(self.faults)
    }

    /// Words with expressions in braces, of a key that must be there.
    pub(crate) fn template(
        &mut self,
        table: &mut Table,
        key: &str,
        example: &str,
    ) -> Option<Template> {
        let text = self.text(table, key, example)?;
        self.filled_in(text)
    }

    /// Words with expressions in braces.
    pub(crate) fn filled_in(&mut self, text: Text) -> Option<Template> {
        match Template::parse(text) {
            Ok(template) => {
                template.formulas().for_each(|formula| self.check(formula));
                Some(template)
            }
            Err(fault) => {
                self.faults.push(fault);
                None
            }
        }
    }

    /// A place: the name of a point, or two lengths.
    pub(crate) fn position(&mut self, item: Item) -> Option<Position> {
        if item.is_list() {
            let [x, y] = item.pair(self.faults)?;
            let (x, y) = (self.formula(x), self.formula(y));
            return Some(Position::At(Box::new([x?, y?])));
        }
        let name = item.text(self.faults)?;
        if self.points.iter().any(|point| point == name.as_str()) {
            return Some(Position::Named(name));
        }
        let fault = name.fault(format!("there is no point `{}`", name.as_str()));
        let near = nearest(name.as_str(), self.points.iter().map(String::as_str));
        self.faults.push(match near {
            Some(near) => fault.remedy(format!("did you mean `{near}`?")),
            None => fault.remedy("name it in [plate.point] or write [\"x\", \"y\"]"),
        });
        None
    }

    /// The place of a key that must be there.
    pub(crate) fn need_position(&mut self, table: &mut Table, key: &str) -> Option<Position> {
        let item = self.item(table, key, "[\"0 mm\", \"0 mm\"]")?;
        self.position(item)
    }

    /// Reports the names of an expression that nothing here has.
    pub(crate) fn check(&mut self, formula: &Formula) {
        for name in formula.names() {
            if self.names.iter().any(|known| known == name) {
                continue;
            }
            let fault = Fault::refused(format!("unknown name `{name}`"))
                .at(formula.text().source(), formula.span_of_name(name));
            let near = nearest(name, self.names.iter().map(String::as_str));
            self.faults.push(match near {
                Some(near) => fault.remedy(format!("did you mean `{near}`?")),
                None => fault.remedy("use a dimension, a name from [let] or a point of the plate"),
            });
        }
    }
}

/// The two ends of a line or bar.
pub(crate) fn ends(
    table: &mut Table,
    reader: &mut Reader<'_>,
) -> (Option<Position>, Option<Position>) {
    let from = reader.need_position(table, "from");
    (from, reader.need_position(table, "to"))
}

/// Two lengths.
pub(crate) fn pair(item: Item, reader: &mut Reader<'_>) -> Option<[Formula; 2]> {
    let [x, y] = item.pair(reader.faults)?;
    let (x, y) = (reader.formula(x), reader.formula(y));
    Some([x?, y?])
}

/// The value of a key that may be left out; the outer `None` if it is there and wrong.
#[expect(
    clippy::option_option,
    reason = "left out, wrong and given are three things"
)]
pub(crate) fn optional<T>(
    table: &mut Table,
    key: &str,
    read: impl FnOnce(Item) -> Option<T>,
) -> Option<Option<T>> {
    match table.take(key) {
        Some(item) => read(item).map(Some),
        None => Some(None),
    }
}
