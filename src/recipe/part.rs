//! A part as a builder asks for it: a family, and the dimensions that differ.

use std::ops::Range;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::cutting::Cutting;
use super::dimension_kind::{DimensionKind, Setting};
use super::dimension_spec::DimensionSpec;
use super::evaluate::unruled;
use super::family::{Family, OF_PART, USUAL_MATERIAL};
use super::plate_spec::Pieces;
use super::reader::{optional, thread};
use super::shelf::Families;
use super::step::{Action, Shape};
use super::words::{Finish, Purpose};
use super::{limits, name, order};
use crate::fault::{Fault, Faults, Outcome, Place, Refusal, Source, nearest};
use crate::quantity::{Dimension, Scope as _, unit};
use crate::toml_text::Text;
use crate::toml_text::{self, Formula, Names};
use crate::toml_text::{Item, Key, Table};
use crate::trade;

/// A part that is asked for.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// Its family.
    pub family: Arc<Family>,
    /// Its name, safe as a file name.
    pub name: String,
    /// How many.
    pub quantity: u32,
    /// Material as the trade tables name it.
    pub material: String,
    /// Dimensions that differ from the family's.
    pub(crate) settings: Vec<(String, Setting)>,
    /// Openings to be made otherwise than by rule: name of an opening or a step, and how.
    pub(crate) openings: Vec<(Text, OpeningWish)>,
    /// What openings of a drawing are for, by what they are drawn on or how large they are.
    pub(crate) kinds: Vec<OpeningKind>,
    /// The plates that are wanted, by what their names have beside the part's; all if none are named.
    pub(crate) plates: Vec<Text>,
    /// How round openings of a purpose are made in the job, where none of `openings` says.
    pub(crate) finishes: Vec<(Purpose, Finish)>,
    /// What it is cut with.
    pub cutting: Cutting,
    /// The jobs that it was taken from, if it stands in another.
    pub(super) lent_by: Vec<Arc<Source>>,
    source: Arc<Source>,
    span: Range<usize>,
}

/// What a part says of an opening.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct OpeningWish {
    /// How it is to be made.
    pub(crate) finish: Option<Finish>,
    /// What an opening of a drawing is for: a recipe says so itself.
    pub(crate) purpose: Option<Purpose>,
    /// The thread that passes through an opening of a drawing, or is tapped into it.
    pub(crate) thread: Option<Text>,
}

impl OpeningWish {
    /// This, and what another says where this says nothing.
    pub(crate) fn or(self, other: Self) -> Self {
        Self {
            finish: self.finish.or(other.finish),
            purpose: self.purpose.or(other.purpose),
            thread: self.thread.or(other.thread),
        }
    }

    fn of_drawing(block: &mut Table, faults: &mut Vec<Fault>) -> Option<Self> {
        let finish = optional(block, "finish", |item| item.word(faults));
        let purpose = optional(block, "purpose", |item| item.word(faults));
        let thread = optional(block, "thread", |item| thread(item, faults));
        Some(Self {
            finish: finish?,
            purpose: purpose?,
            thread: thread?,
        })
    }
}

/// Openings of a drawing that are alike, and what is said of them.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct OpeningKind {
    /// They are drawn on this layer, or in this group of an SVG.
    pub(crate) layer: Option<Text>,
    /// They are round, with a diameter from the first to the second, mm.
    pub(crate) diameters: Option<[f64; 2]>,
    pub(crate) wish: OpeningWish,
    /// Where it stands.
    pub(crate) place: Place,
}

impl OpeningKind {
    /// Diameters nearer than this, mm, are one: what a drawing in inches leaves of one.
    const SAME: f64 = 0.05;

    fn read(mut block: Table, faults: &mut Vec<Fault>) -> Option<Self> {
        block.call("`openings`");
        let place = Place {
            source: Arc::clone(block.source()),
            span: block.span(),
        };
        let layer = optional(&mut block, "layer", |item| item.text(faults));
        let diameters = optional(&mut block, "diameter", |item| Self::diameters(item, faults));
        let wish = OpeningWish::of_drawing(&mut block, faults);
        let unnamed = block.fault("it does not say which openings it is about");
        block.finish(faults);
        let (layer, diameters) = (layer?, diameters?);
        if layer.is_none() && diameters.is_none() {
            faults.push(unnamed.remedy("add a `layer` or a `diameter`"));
            return None;
        }
        Some(Self {
            layer,
            diameters,
            wish: wish?,
            place,
        })
    }

    /// One diameter, or the least and the greatest.
    fn diameters(item: Item, faults: &mut Vec<Fault>) -> Option<[f64; 2]> {
        let size = |item: Item, faults: &mut Vec<Fault>| {
            let formula = item.formula(faults)?;
            let size = formula.size(&Names::none(), "`diameter`");
            size.map_err(|fault| faults.push(fault)).ok()
        };
        if item.is_list() {
            let wrong = item.fault("the first diameter is the larger one");
            let [least, most] = item.pair(faults)?;
            let (least, most) = (size(least, faults), size(most, faults));
            let (least, most) = (least?, most?);
            if least > most {
                faults.push(wrong.remedy("write the smaller one first"));
                return None;
            }
            return Some([least, most]);
        }
        let diameter = size(item, faults)?;
        Some([diameter - Self::SAME, diameter + Self::SAME])
    }
}

/// What a part is made from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Of {
    Recipe,
    Drawing,
}

/// The keys that parts of a recipe and of a drawing have alike.
pub(super) struct PartKeys {
    name: Option<Text>,
    quantity: u32,
    material: String,
    openings: Vec<(Text, OpeningWish)>,
    kinds: Vec<OpeningKind>,
    plates: Vec<Text>,
}

impl Default for PartKeys {
    fn default() -> Self {
        Self {
            name: None,
            quantity: 1,
            material: USUAL_MATERIAL.to_owned(),
            openings: Vec::new(),
            kinds: Vec::new(),
            plates: Vec::new(),
        }
    }
}

impl PartKeys {
    pub(super) fn read(table: &mut Table, of: Of, faults: &mut Vec<Fault>) -> Option<Self> {
        let name = table.take("name").and_then(|item| item.text(faults));
        let quantity = match table.take("quantity") {
            Some(item) => quantity(item, faults),
            None => Some(1),
        };
        let material = material(table, faults);
        let openings = openings(table, of, faults);
        let kinds = match of {
            Of::Recipe => Some(Vec::new()),
            Of::Drawing => kinds(table, faults),
        };
        let plates = table.take("plates");
        let plates = plates.map_or_else(Vec::new, |item| item.texts(faults));
        Some(Self {
            name,
            quantity: quantity?,
            material: material?,
            openings: openings?,
            kinds: kinds?,
            plates,
        })
    }
}

impl Part {
    /// A part with every dimension as the family has it.
    #[must_use]
    pub fn plain(family: impl Into<Arc<Family>>) -> Self {
        let family = family.into();
        let source = Arc::clone(&family.source);
        let name = family.name.clone();
        Self::new(family, &name, PartKeys::default(), (source, 0..0))
    }

    /// The part without one row of a list, by its number from 0; `None` if there is none.
    pub(crate) fn without_row(&self, measure: &DimensionSpec, row: usize) -> Option<Self> {
        let own = self.settings.iter().find(|it| it.0 == measure.name);
        let given = own.map_or(&measure.default, |it| &it.1);
        let Setting::List(rows, text) = given else {
            return None;
        };
        let mut rows = rows.clone();
        (row < rows.len()).then(|| rows.remove(row))?;
        let mut part = self.clone();
        part.settings.retain(|it| it.0 != measure.name);
        let without = Setting::List(rows, text.clone());
        part.settings.push((measure.name.clone(), without));
        Some(part)
    }

    /// Sets a dimension, as typed on the command line; `typed` is `NAME=VALUE`.
    pub fn set(&mut self, typed: &str) -> Outcome<()> {
        let source = Source::inline("--set", typed);
        let Some((name, _)) = typed.split_once('=') else {
            let fault = Fault::usage(format!("`{typed}` sets nothing"));
            return Err(fault
                .remedy("write NAME=VALUE, such as outside=180mm")
                .into());
        };
        let key = Key {
            name: name.trim().to_owned(),
            span: 0..name.len(),
        };
        if key.name == "material" {
            let typed = typed[name.len() + 1..].trim();
            let found = trade::material::find(typed);
            let found =
                found.map_err(|why| Fault::refused(why).at(&source, 0..source.text.len()))?;
            found.name.clone_into(&mut self.material);
            return Ok(());
        }
        let Some(measure) = self.family.measure(&key.name) else {
            return Err(self.no_such_dimension(&key, &source).into());
        };
        if let DimensionKind::List(_) = measure.kind {
            let setting = listed(&measure.kind, &key.name, &source)?;
            return self.set_to(key.name, setting);
        }
        let start = name.len() + 1;
        let words = typed[start..].trim();
        let start = start + (typed[start..].len() - typed[start..].trim_start().len());
        let text = Text::new(&source, start..start + words.len(), words.to_owned());
        let setting = measure.kind.typed(text)?;
        self.set_to(key.name, setting)
    }

    fn set_to(&mut self, name: String, setting: Setting) -> Outcome<()> {
        let later = setting.formulas().into_iter();
        let later = later.flat_map(|formula| self.later_names(&name, formula));
        Faults::check(later.collect())?;
        self.settings.retain(|(known, _)| *known != name);
        self.settings.push((name, setting));
        Ok(())
    }

    /// Reads a part: a bare file or a `[[part]]` block.
    pub(super) fn read(
        mut table: Table,
        families: &mut Families,
        faults: &mut Vec<Fault>,
    ) -> Option<Self> {
        let source = Arc::clone(table.source());
        let recipe = table.need("recipe", "recipe = \"hub-adapter\"", faults)?;
        let span = recipe.span();
        let recipe = recipe.text(faults)?;
        let family = match families.family(recipe.as_str()) {
            Ok(family) => family,
            Err(found) => {
                // A name that is not on the shelf is a fault of this file; a recipe that cannot be
                // read has faults of its own.
                faults.extend(found.into_vec().into_iter().map(|fault| match fault.place {
                    Some(_) => fault,
                    None => fault.at(&source, span.clone()),
                }));
                return None;
            }
        };
        let keys = PartKeys::read(&mut table, Of::Recipe, faults);
        let mut part = Self::new(
            family,
            recipe.as_str(),
            keys.unwrap_or_default(),
            (source, span),
        );
        part.read_settings(table, faults);
        Some(part)
    }

    /// A part of a family that sets nothing, asked for at a place; `name` is for one that has no other.
    pub(super) fn new(
        family: Arc<Family>,
        name: &str,
        keys: PartKeys,
        (source, span): (Arc<Source>, Range<usize>),
    ) -> Self {
        let name = keys.name.as_ref().map_or(name, Text::as_str);
        Self {
            name: name::safe(name, "part"),
            family,
            quantity: keys.quantity,
            material: keys.material,
            settings: Vec::new(),
            openings: keys.openings,
            kinds: keys.kinds,
            plates: keys.plates,
            finishes: Vec::new(),
            cutting: Cutting::default(),
            lent_by: Vec::new(),
            source,
            span,
        }
    }

    fn read_settings(&mut self, table: Table, faults: &mut Vec<Fault>) {
        for (key, item) in table.rest() {
            match self.family.measure(&key.name) {
                Some(measure) => {
                    let setting = measure.kind.setting(item, faults);
                    let formulas = setting.as_ref().map_or_else(Vec::new, Setting::formulas);
                    for formula in formulas {
                        faults.extend(self.later_names(&key.name, formula));
                    }
                    self.settings
                        .extend(setting.map(|setting| (key.name, setting)));
                }
                None => faults.push(self.no_such_dimension(&key, &self.source)),
            }
        }
    }

    /// The faults of names in a setting that are no dimensions above its own, nor rest on these alone.
    fn later_names(&self, dimension: &str, formula: &Formula) -> Vec<Fault> {
        let measures = self
            .family
            .measures
            .iter()
            .map(|measure| measure.name.as_str());
        let above: Vec<&str> = measures.take_while(|name| *name != dimension).collect();
        let lets = &self.family.lets;
        let own = |name: &str| lets.iter().any(|(known, _)| known == name);
        let given = |name: &str| OF_PART.contains(&name) || above.contains(&name);
        // A named value, if all that it rests on stands above.
        let known = |name: &str| {
            let rest = order::rests_on(lets, vec![name.to_owned()]);
            rest.iter().all(|it| given(it) || own(it))
        };
        let unknown = formula.names().into_iter().filter(|name| !known(name));
        let fault = |name: &str| {
            let at = formula.span_of_name(name);
            let refused =
                |message: String| Fault::refused(message).at(formula.text().source(), at.clone());
            if name == dimension {
                return refused(format!("`{name}` cannot be reckoned from itself"))
                    .remedy("write the value itself");
            }
            if unit::is_one(name) {
                return refused(format!("the unit `{name}` has no number before it"))
                    .remedy(format!("write a number and its unit, such as `12 {name}`"));
            }
            let fault = refused(format!("`{name}` is no dimension above `{dimension}`"));
            if let Some(near) = nearest(name, above.iter().copied()) {
                return fault.remedy(format!("did you mean `{near}`?"));
            }
            if self.family.measure(name).is_some() || own(name) {
                return fault.remedy("write the value itself");
            }
            refused(format!("`{name}` is no value"))
                .remedy("write a number and its unit, such as `12 mm`, or `7/16 in`")
        };
        unknown.map(fault).collect()
    }

    fn no_such_dimension(&self, key: &Key, source: &Arc<Source>) -> Fault {
        let message = format!("{} has no dimension `{}`", self.family.name, key.name);
        let fault = Fault::refused(message).at(source, key.span.clone());
        let own = ["name", "quantity", "material", "opening", "plates"];
        let known = self
            .family
            .measures
            .iter()
            .map(|measure| measure.name.as_str());
        match nearest(&key.name, known.chain(own)) {
            Some(near) => fault.remedy(format!("did you mean `{near}`?")),
            None => fault.remedy(format!(
                "`platewright recipes {}` lists its dimensions",
                self.family.name
            )),
        }
    }

    /// Whether its plates depend on the table that they are cut on.
    #[must_use]
    pub fn asks_of_table(&self) -> bool {
        self.family.asks_of_table()
    }

    /// The value of its dimension `thickness`, mm, if it can be worked out.
    #[must_use]
    pub fn thickness(&self) -> Option<f64> {
        let evaluated = unruled(self).ok()?;
        let thickness = evaluated.names.value("thickness")?;
        thickness.expect(Dimension::LENGTH).ok()
    }

    /// What a dimension is set to: the part's own setting, or the family's default.
    pub(crate) fn setting<'a>(&'a self, name: &str) -> Option<&'a Setting> {
        let own = self.settings.iter().find(|(known, _)| known == name);
        own.map(|(_, setting)| setting)
    }

    /// Gives it another name.
    pub(super) fn rename(&mut self, name: &str) {
        self.name = name::safe(name, "part");
    }

    /// The files that it is made from: drawings, and jobs that it was taken from.
    pub(super) fn files(&self) -> Vec<PathBuf> {
        let base = self.source.path.as_deref().and_then(Path::parent);
        let beside = |file: &str| base.unwrap_or(Path::new("")).join(file);
        let drawing = self.drawing().into_iter().map(beside);
        let lent = self.lent_by.iter().filter_map(|it| it.path.clone());
        drawing.chain(lent).collect()
    }

    /// The file that it is drawn in, if it is no part of a recipe.
    fn drawing(&self) -> Option<&str> {
        let steps = self
            .family
            .plans
            .iter()
            .filter(|it| it.pieces == Pieces::Each);
        let mut steps = steps.flat_map(|it| &it.steps);
        steps.find_map(|step| match &step.action {
            Action::Shape { shape, .. } => match shape.as_ref() {
                Shape::Drawing(drawing) => Some(drawing.file.text().as_str()),
                _ => None,
            },
            _ => None,
        })
    }

    /// Where the part is asked for.
    #[must_use]
    pub fn place(&self) -> Place {
        Place {
            source: Arc::clone(&self.source),
            span: self.span.clone(),
        }
    }

    /// A fault inside the recipe, which also names the part that brought it up.
    pub(crate) fn blamed(&self, fault: Fault) -> Fault {
        let elsewhere = fault
            .place
            .as_ref()
            .is_some_and(|place| place.source != self.source);
        if elsewhere && fault.label.is_none() {
            fault.label(format!("for the part at {}", self.place()))
        } else {
            fault
        }
    }

    /// A fault of the part as a whole.
    pub(crate) fn fault(&self, cause: impl Into<Refusal>) -> Fault {
        Fault::refused(cause).at(&self.source, self.span.clone())
    }
}

/// A list as typed on the command line, where it reads as in a file: `NAME=[{ x = "1 mm" }]`.
fn listed(kind: &DimensionKind, name: &str, source: &Arc<Source>) -> Outcome<Setting> {
    let mut faults = Vec::new();
    let item = toml_text::read(source)?.take(name);
    let setting = item.and_then(|item| kind.setting(item, &mut faults));
    toml_text::settle(setting, faults)
}

/// How many of something: 1 up to [`limits::QUANTITY`].
pub(crate) fn quantity(item: Item, faults: &mut Vec<Fault>) -> Option<u32> {
    let most = format!("no more than {} are possible", limits::QUANTITY);
    let many = item.fault(most).remedy("make several jobs of it");
    let quantity = item.whole(1, faults)?;
    if quantity > limits::QUANTITY {
        faults.push(many);
        return None;
    }
    Some(quantity)
}

/// The material of a part or stock line, under its name in the trade tables.
pub(crate) fn material(table: &mut Table, faults: &mut Vec<Fault>) -> Option<String> {
    let Some(item) = table.take("material") else {
        return Some(USUAL_MATERIAL.to_owned());
    };
    let text = item.text(faults)?;
    match trade::material::find(text.as_str()) {
        Ok(material) => Some(material.name.to_owned()),
        Err(sentence) => {
            faults.push(text.fault(sentence));
            None
        }
    }
}

/// `[opening."hub bolt"]` blocks: `finish`, and for a drawing `purpose` and `thread`.
fn openings(
    table: &mut Table,
    of: Of,
    faults: &mut Vec<Fault>,
) -> Option<Vec<(Text, OpeningWish)>> {
    let Some(item) = table.take("opening") else {
        return Some(Vec::new());
    };
    let table = item.table(faults)?;
    let source = Arc::clone(table.source());
    let mut openings = Vec::new();
    for (key, item) in table.rest() {
        let mut block = item.table(faults)?;
        block.call(format!("[opening.\"{}\"]", key.name));
        let wish = match of {
            Of::Recipe => {
                let finish = block.need("finish", "finish = \"drill\"", faults);
                finish
                    .and_then(|item| item.word(faults))
                    .map(|finish| OpeningWish {
                        finish: Some(finish),
                        ..OpeningWish::default()
                    })
            }
            Of::Drawing => OpeningWish::of_drawing(&mut block, faults),
        };
        block.finish(faults);
        let name = Text::new(&source, key.span, key.name);
        openings.push((name, wish?));
    }
    Some(openings)
}

/// `openings = [{ layer = "BOLTS", purpose = "bolt" }, …]`; `None` if one of them is wrong.
fn kinds(table: &mut Table, faults: &mut Vec<Fault>) -> Option<Vec<OpeningKind>> {
    let blocks = table.take("openings");
    let blocks = blocks.map_or_else(Vec::new, |item| item.tables(faults));
    let kinds: Vec<_> = blocks
        .into_iter()
        .map(|block| OpeningKind::read(block, faults))
        .collect();
    kinds.into_iter().collect()
}
