//! A family of parts, read and checked: dimensions, named values, rules, figures and plates.
//!
//! In: the text of a recipe. Out: a [`Family`] whose every expression is read, uses only names that
//! exist, and whose named values form no circle; or all that is wrong with the recipe.

use std::collections::BTreeSet;
use std::sync::Arc;

use crate::fault::{Fault, Outcome, Source};
use crate::quantity::rows::missing;
use crate::quantity::{Dimension, Rows, Value};

use super::caution::Caution;
use super::columns;
use super::cutting::Cutting;
use super::drawn_at::DrawnAt;
use super::joint::Joint;
use super::named_shape::NamedShape;
use super::note::Note;
use super::order;
use super::plate_spec::PlateSpec;
use super::reader::Reader;
use super::rule::{Figure, Rule};
use super::shared;
use super::shelf::Shelf;
use super::strength::{Bolt, StrengthCheck};
use super::words::{Group, Purpose};
use super::{DimensionKind, DimensionSpec};
use super::{limits, name};
use crate::toml_text::Formula;
use crate::toml_text::Text;
use crate::toml_text::{self, Key, Table};
use crate::toml_text::{Named, Names};

/// A family of parts.
#[derive(Debug, Clone, PartialEq)]
pub struct Family {
    /// Its name on the shelf: `hub-adapter`.
    pub name: String,
    /// What a part of it is.
    pub title: String,
    /// What it does, one line.
    pub about: String,
    /// Where on a vehicle, or what for, its parts are.
    pub group: Group,
    /// Whether it says what its parts are for, and so which cautions apply: drawings and plain shapes do not.
    pub knows_use: bool,
    /// The cautions that apply to all its parts, or to some of its forms.
    pub(crate) cautions: Vec<Caution>,
    /// Its dimensions, in order.
    pub measures: Vec<DimensionSpec>,
    /// Its lookup tables.
    pub(crate) tables: Arc<Vec<(String, Rows)>>,
    /// Named values, and the x and y of its points, each after those it uses.
    pub(crate) lets: Vec<(String, Formula)>,
    /// What it demands.
    pub(crate) rules: Vec<Rule>,
    /// What a builder should know.
    pub(crate) notes: Vec<Note>,
    /// Figures worth telling.
    pub(crate) figures: Vec<Figure>,
    /// How its parts may fail.
    pub(crate) strength_checks: Vec<StrengthCheck>,
    /// What its parts are bolted with.
    pub(crate) bolts: Vec<Bolt>,
    /// Its plates.
    pub(crate) plans: Vec<PlateSpec>,
    /// Tabs of one plate in slots of another.
    pub(crate) joints: Vec<Arc<Joint>>,
    /// Its named shapes.
    pub(crate) shapes: Vec<Arc<NamedShape>>,
    /// Every expression beside those of dimensions.
    pub(crate) formulas: Vec<Formula>,
    /// What is used other than in an expression: lists, points, shapes, tables to choose from.
    pub(crate) used_otherwise: Vec<String>,
    /// The text it was read from.
    pub source: Arc<Source>,
    /// The texts that it shares with other families, by the names that it asks for.
    pub(crate) shared: Vec<(String, Arc<Source>)>,
}

/// What expressions may read of a part that is no dimension of it.
pub(super) const OF_PART: [&str; 3] = ["material", "kerf", "process"];

/// The material of a part that names none.
pub const USUAL_MATERIAL: &str = "mild steel";

impl Family {
    /// The names that rules and figures rest on, of those whose `when` counts: they may be all that a
    /// dimension is for.
    pub fn ruled(&self, counts: impl Fn(&Formula) -> bool) -> BTreeSet<String> {
        let counts = |when: Option<&Formula>| when.is_none_or(&counts);
        let rules = self
            .rules
            .iter()
            .filter(|it| counts(it.when.as_ref()))
            .flat_map(|it| [Some(&it.need), it.when.as_ref()]);
        let figures = self.figures.iter();
        let figures = figures.filter(|it| counts(it.when.as_ref()));
        let figures = figures.map(|it| Some(&it.value));
        self.behind(rules.chain(figures).flatten())
    }

    /// What rules and figures whose `when` counts make of a dimension, a few words each.
    pub fn rests_on(&self, name: &str, counts: impl Fn(&Formula) -> bool) -> Vec<String> {
        let counts = |when: Option<&Formula>| when.is_none_or(&counts);
        let rests = |formula: &Formula| self.behind([formula]).contains(name);
        let rules = self.rules.iter().filter(|it| counts(it.when.as_ref()));
        let rules = rules.filter(|it| rests(&it.need) || it.when.as_ref().is_some_and(rests));
        let rules = rules.map(|it| format!("a rule wants {}", it.need.text().as_str()));
        let figures = self.figures.iter();
        let figures = figures.filter(|it| counts(it.when.as_ref()) && rests(&it.value));
        let figures = figures.map(|it| format!("it goes into: {}", it.says.text().as_str()));
        rules.chain(figures).collect()
    }

    /// The names in formulas, and in the named values that they rest on.
    fn behind<'f>(&self, formulas: impl IntoIterator<Item = &'f Formula>) -> BTreeSet<String> {
        let names = formulas.into_iter().flat_map(Formula::names);
        let mut open: Vec<String> = names.map(ToOwned::to_owned).collect();
        let mut all = BTreeSet::new();
        while let Some(name) = open.pop() {
            if let Some((_, formula)) = self.lets.iter().find(|(known, _)| *known == name)
                && !all.contains(&name)
            {
                open.extend(formula.names().into_iter().map(ToOwned::to_owned));
            }
            all.insert(name);
        }
        all
    }

    /// Reads a recipe that shares no files but those which are compiled in.
    pub fn read(name: &str, source: &Arc<Source>) -> Outcome<Self> {
        Self::read_on(&Shelf::built_in(), name, source)
    }

    /// Reads a recipe; files that it shares with others lie on the shelf.
    pub fn read_on(shelf: &Shelf, name: &str, source: &Arc<Source>) -> Outcome<Self> {
        let mut table = toml_text::read(source)?;
        table.call("this recipe");
        let mut faults = Vec::new();
        if let Some(other) = shared::is_other(&table) {
            return Err(table.fault(other).into());
        }
        let shared = shared::made_whole(&mut table, shelf, &mut faults);
        let family = Self::from_table(name, table, &mut faults);
        let family = family.map(|family| Self { shared, ..family });
        toml_text::settle(family, faults)
    }

    /// Whether its plates depend on the table that they are cut on.
    pub(crate) fn asks_of_table(&self) -> bool {
        let shared = self.shared.iter().map(|(_, source)| source);
        let mut texts = shared.chain([&self.source]);
        let asks = texts.any(|it| OF_PART[1..].iter().any(|name| it.text.contains(name)));
        asks || !self.joints.is_empty()
    }

    /// Whether one of these plates is made.
    pub(crate) fn makes_one_of(&self, plates: &[Text], names: &Names) -> Result<bool, Fault> {
        let mut plans = self.plans.iter().filter(|it| it.is_among(plates));
        plans.try_fold(false, |made, plan| Ok(made || plan.copies(names)? > 0))
    }

    /// The dimension of a name.
    #[must_use]
    pub fn measure(&self, name: &str) -> Option<&DimensionSpec> {
        self.measures.iter().find(|measure| measure.name == name)
    }

    fn from_table(name: &str, mut table: Table, faults: &mut Vec<Fault>) -> Option<Self> {
        let source = Arc::clone(table.source());
        if table.has("recipe") && !table.has("plate") {
            faults.push(
                table
                    .fault("this is a part or a job, not a recipe")
                    .remedy("name a file with `title` and [[plate]]"),
            );
            return None;
        }
        let title = table.need("title", "title = \"what a part of it is\"", faults);
        let title = title.and_then(|item| item.text(faults));
        let about = table.take("about").and_then(|item| item.text(faults));
        let group = table.take("group");
        let group = group.map_or(Some(Group::default()), |item| item.word(faults));
        let cautions = table.take("cautions");
        let cautions = cautions.map_or_else(Vec::new, |item| item.texts(faults));
        let cautions = cautions.into_iter();
        let mut cautions: Vec<Caution> = cautions
            .filter_map(|topic| Caution::always(topic, faults))
            .collect();
        let tables = columns::tables(&mut table, faults);
        // A dimension that chooses among the rows of a table uses it.
        let chosen = table.words_under("dimension", "choices");
        // Names are known even where their value is wrong, so that each mistake is told once.
        let mut names: Vec<String> = OF_PART.map(ToOwned::to_owned).to_vec();
        let dimensions = table.keys_of("dimension");
        names.extend(dimensions.iter().cloned());
        names.extend(table.keys_of("let"));
        let mut lets = lets(&mut table, &dimensions, faults);
        for (key, formula) in columns_of_choices(&chosen, &tables, &source) {
            names.push(key.name.clone());
            lets.push((key, formula));
        }
        let points = points(&mut table, faults);
        for (key, [x, y]) in &points {
            for (axis, formula) in [("x", x), ("y", y)] {
                let name = format!("{}.{axis}", key.name);
                names.push(name.clone());
                let span = key.span.clone();
                lets.push((Key { name, span }, formula.clone()));
            }
        }
        let written = lets.clone();
        let lets = order::by_need(lets, &source, faults);
        let measures = measures(&mut table, (&lets, &tables), faults);
        faults.extend(column_names(&measures, &names, &source));
        let points = points.into_iter().map(|(key, _)| key.name).collect();
        let lists = measures
            .iter()
            .filter_map(|it| Some((it.name.clone(), it.columns()?)));
        let mut reader = Reader::new(names, faults).knowing(&tables, lists.collect(), points);
        for (_, formula) in &written {
            reader.check(formula);
        }
        for formula in measures.iter().flat_map(DimensionSpec::unasked) {
            reader.check(formula);
        }
        let rules = blocks(&mut table, "rule", &mut reader, Rule::read);
        cautions.extend(blocks(&mut table, "caution", &mut reader, Caution::read));
        let notes = blocks(&mut table, "note", &mut reader, Note::read);
        let figures = blocks(&mut table, "figure", &mut reader, Figure::read);
        let strength_checks = blocks(&mut table, "hold", &mut reader, StrengthCheck::read);
        let set = rules.iter().flat_map(|rule| rule.remedy.dimensions());
        let set = set.chain(strength_checks.iter().flat_map(StrengthCheck::dimensions));
        for name in set {
            let is_amount = |it: &DimensionSpec| {
                it.name == name.as_str()
                    && matches!(it.kind, DimensionKind::Quantity(_) | DimensionKind::Count)
            };
            if !measures.iter().any(is_amount) {
                let fault = name.fault(format!("no dimension `{}` to set", name.as_str()));
                let remedy = "name a dimension that is a quantity or a count";
                reader.faults.push(fault.remedy(remedy));
            }
        }
        let bolts = blocks(&mut table, "bolt", &mut reader, Bolt::read);
        shapes(&mut table, &mut reader);
        let mut plans = plans(&mut table, &mut reader);
        let joints = joints(&mut table, &mut plans, &mut reader);
        let drawn: Vec<&DrawnAt> = measures.iter().filter_map(|it| it.drawn.as_ref()).collect();
        for it in &drawn {
            it.check(&mut reader);
        }
        let named = |name: &Text| {
            let known = plans.iter().filter_map(|plan| plan.name.as_ref());
            known.into_iter().any(|plan| plan.as_str() == name.as_str())
        };
        let owners = strength_checks.iter().flat_map(|it| &it.plates);
        let owners = owners.chain(bolts.iter().flat_map(|it| &it.plates));
        let owners = owners.chain(rules.iter().flat_map(|it| &it.plates));
        let owners = owners.chain(notes.iter().flat_map(|it| &it.plates));
        let owners = owners.chain(drawn.iter().filter_map(|it| it.plate.as_ref()));
        for name in owners.filter(|name| !named(name)) {
            let fault = name.fault(format!("there is no plate `{}`", name.as_str()));
            reader
                .faults
                .push(fault.remedy("name one of the recipe's plates"));
        }
        let formulas = std::mem::take(&mut reader.formulas);
        let shapes = std::mem::take(&mut reader.shapes);
        let mut used_otherwise = std::mem::take(&mut reader.used);
        used_otherwise.extend(chosen.into_iter().map(|(_, table)| table));
        // What could not be read may be what something is near.
        if reader.faults.is_empty() {
            check_nears(
                (&rules, &notes, &strength_checks, &bolts),
                &plans,
                reader.faults,
            );
        }
        table.finish(faults);
        Some(Self {
            name: name.to_owned(),
            title: title?.as_str().to_owned(),
            about: about.map_or_else(String::new, |text| text.as_str().to_owned()),
            group: group?,
            knows_use: true,
            cautions,
            measures,
            tables,
            lets,
            rules,
            notes,
            figures,
            strength_checks,
            bolts,
            plans,
            joints,
            shapes,
            formulas,
            used_otherwise,
            source,
            shared: Vec::new(),
        })
    }
}

/// `[point]`: places that every plate of the family, its named values and its rules may use.
fn points(table: &mut Table, faults: &mut Vec<Fault>) -> Vec<(Key, [Formula; 2])> {
    let Some(item) = table.take("point") else {
        return Vec::new();
    };
    let many = item.fault(limits::beyond(limits::POINTS, "points", "recipes"));
    let Some(block) = item.table(faults) else {
        return Vec::new();
    };
    let source = Arc::clone(block.source());
    let entries = block.rest();
    if entries.len() > limits::POINTS {
        faults.push(many);
        return Vec::new();
    }
    let mut points = Vec::new();
    for (key, item) in entries {
        faults.extend(name::check(&key, &source, name::Named::Point));
        let Some([x, y]) = item.pair(faults) else {
            continue;
        };
        let (x, y) = (x.formula(faults), y.formula(faults));
        points.extend(x.zip(y).map(|(x, y)| (key, [x, y])));
    }
    points
}

/// The columns of the row that a dimension chooses from a lookup table, each under the dimension's name.
fn columns_of_choices(
    chosen: &[(Key, String)],
    tables: &[Named<Rows>],
    source: &Arc<Source>,
) -> Vec<(Key, Formula)> {
    let of_table = |name: &String| tables.iter().find(|(known, _)| known == name);
    let chosen = chosen
        .iter()
        .filter_map(|(key, name)| Some((key, of_table(name)?)));
    let columns = chosen.flat_map(|(key, (table, rows))| {
        rows.columns().filter_map(move |column| {
            let look = format!("look(\"{table}\", {}, \"{column}\")", key.name);
            let look = Text::new(source, key.span.clone(), look);
            let name = format!("{}.{column}", key.name);
            let span = key.span.clone();
            Some((Key { name, span }, Formula::parse(look).ok()?))
        })
    });
    columns.collect()
}

/// The faults of columns that are called as something else is.
fn column_names(measures: &[DimensionSpec], names: &[String], source: &Arc<Source>) -> Vec<Fault> {
    let columns = measures.iter().filter_map(|it| Some((it, it.columns()?)));
    let columns = columns.flat_map(|(it, columns)| columns.into_iter().map(move |name| (it, name)));
    let taken = columns.filter(|(_, name)| names.contains(name));
    let fault = |(measure, name): (&DimensionSpec, String)| {
        let message =
            format!("`{name}` is a dimension or a value already, and no name for a column");
        let fault = Fault::refused(message).at(source, measure.span.clone());
        fault.remedy("choose another name for the column")
    };
    taken.map(fault).collect()
}

/// Whether there are openings of the names that findings and margins are said to be near.
fn check_nears(
    (rules, notes, strength_checks, bolts): (&[Rule], &[Note], &[StrengthCheck], &[Bolt]),
    plans: &[PlateSpec],
    faults: &mut Vec<Fault>,
) {
    let nears = rules.iter().filter_map(|it| it.near.as_ref());
    let nears = nears.chain(notes.iter().filter_map(|it| it.near.as_ref()));
    let nears = nears.chain(strength_checks.iter().filter_map(StrengthCheck::near));
    let nears = nears.chain(bolts.iter().filter_map(Bolt::near));
    let mut titles: Vec<&str> = plans.iter().flat_map(PlateSpec::opening_titles).collect();
    titles.push(Purpose::Window.opening_word());
    titles.sort_unstable();
    titles.dedup();
    for near in nears {
        let name = near.as_str();
        let numbered = name
            .rsplit_once(' ')
            .filter(|(_, last)| last.parse::<u32>().is_ok());
        let title = numbered.map_or(name, |(title, _)| title);
        if !titles.iter().any(|known| known.starts_with(title)) {
            faults.push(near.fault(missing("opening", name, titles.iter().copied())));
        }
    }
}

fn measures(
    table: &mut Table,
    (lets, tables): (&[Named<Formula>], &Arc<Vec<Named<Rows>>>),
    faults: &mut Vec<Fault>,
) -> Vec<DimensionSpec> {
    let whole = table.fault("every recipe has a dimension `thickness`");
    let example = "[dimension.thickness]";
    let Some(item) = table.need("dimension", example, faults) else {
        return Vec::new();
    };
    let many = item.fault(limits::beyond(limits::DIMENSIONS, "dimensions", "recipes"));
    let Some(blocks) = item.table(faults) else {
        return Vec::new();
    };
    let source = Arc::clone(blocks.source());
    let entries = blocks.rest();
    if entries.len() > limits::DIMENSIONS {
        faults.push(many);
        return Vec::new();
    }
    let mut names = Names::with_tables(tables);
    names.set("material", Value::text(USUAL_MATERIAL));
    Cutting::default().tell(&mut names);
    let mut measures: Vec<DimensionSpec> = Vec::new();
    let written: Vec<String> = entries.iter().map(|(key, _)| key.name.clone()).collect();
    let has_thickness = entries.iter().any(|(key, _)| key.name == "thickness");
    for (key, item) in entries {
        faults.extend(name::check(&key, &source, name::Named::Dimension));
        let Some(mut block) = item.table(faults) else {
            continue;
        };
        block.call(format!("[dimension.{}]", key.name));
        // What depends on a wrong one repeats its fault, which is then told once.
        let Some(measure) = DimensionSpec::read(&key, block, (&names, lets, tables), faults) else {
            names.fail_because(key.name, faults.last());
            continue;
        };
        let needs = order::rests_on(lets, measure.needs(&measure.default));
        let above = |name: &String| measures.iter().any(|it| it.name == *name);
        let below = needs.iter().find(|it| written.contains(it) && !above(it));
        if let Some(below) = below.filter(|it| names.failure(it).is_none()) {
            let message = format!(
                "`{}` rests on `{below}`, which does not stand above it",
                key.name
            );
            let fault = Fault::refused(message).at(&source, key.span.clone());
            faults.push(fault.remedy(format!("move [dimension.{below}] further up")));
            names.fail_because(key.name, faults.last());
            continue;
        }
        order::lend(lets, needs, &mut names);
        match measure.settle(&measure.default, &mut names) {
            Ok(_) => measures.push(measure),
            Err(fault) => {
                faults.push(fault);
                names.fail_because(key.name, faults.last());
            }
        }
    }
    check_thickness(&measures, has_thickness, whole, &source, faults);
    measures
}

fn check_thickness(
    measures: &[DimensionSpec],
    written: bool,
    missing: Fault,
    source: &Arc<Source>,
    faults: &mut Vec<Fault>,
) {
    if !written {
        let remedy = "add [dimension.thickness] with says = \"plate thickness\" and a default";
        faults.push(missing.remedy(remedy));
    }
    let thickness = measures.iter().find(|measure| measure.name == "thickness");
    if let Some(measure) = thickness
        && measure.kind != DimensionKind::Quantity(Dimension::LENGTH)
    {
        let message = format!(
            "`thickness` must be a length, not a {}",
            measure.kind.word()
        );
        let fault = Fault::refused(message).at(source, measure.span.clone());
        faults.push(fault.remedy("give it a default such as \"6 mm\""));
    }
}

fn lets(table: &mut Table, dimensions: &[String], faults: &mut Vec<Fault>) -> Vec<(Key, Formula)> {
    let Some(item) = table.take("let") else {
        return Vec::new();
    };
    let many = item.fault(limits::beyond(limits::LETS, "named values", "recipes"));
    let Some(block) = item.table(faults) else {
        return Vec::new();
    };
    let source = Arc::clone(block.source());
    let entries = block.rest();
    if entries.len() > limits::LETS {
        faults.push(many);
        return Vec::new();
    }
    let mut lets = Vec::new();
    for (key, item) in entries {
        faults.extend(name::check(&key, &source, name::Named::Value));
        if dimensions.contains(&key.name) {
            let fault = Fault::refused(format!("`{}` is a dimension already", key.name));
            faults.push(
                fault
                    .at(&source, key.span.clone())
                    .remedy("choose another name"),
            );
        }
        lets.extend(item.formula(faults).map(|formula| (key, formula)));
    }
    lets
}

/// Reads every block of a kind that may be there.
fn blocks<T>(
    table: &mut Table,
    key: &str,
    reader: &mut Reader<'_>,
    read: impl Fn(Table, &mut Reader<'_>) -> Option<T>,
) -> Vec<T> {
    let Some(item) = table.take(key) else {
        return Vec::new();
    };
    let tables = item.tables(reader.faults);
    tables
        .into_iter()
        .filter_map(|table| read(table, reader))
        .collect()
}

/// `[[shape]]` blocks: those later may not use those before, but every plate may.
fn shapes(table: &mut Table, reader: &mut Reader<'_>) {
    let shapes = blocks(table, "shape", reader, NamedShape::read);
    if shapes.len() > limits::SHAPES {
        let message = limits::beyond(limits::SHAPES, "shapes", "recipes");
        reader.faults.push(table.fault(message));
    }
}

fn joints(table: &mut Table, plans: &mut [PlateSpec], reader: &mut Reader<'_>) -> Vec<Arc<Joint>> {
    let Some(item) = table.take("joint") else {
        return Vec::new();
    };
    let many = item.fault(limits::beyond(limits::JOINTS, "joints", "recipes"));
    let tables = item.tables(reader.faults);
    if tables.len() > limits::JOINTS {
        reader.faults.push(many);
        return Vec::new();
    }
    let joints = tables.into_iter();
    joints
        .filter_map(|it| Joint::read(it, plans, reader))
        .collect()
}

fn plans(table: &mut Table, reader: &mut Reader<'_>) -> Vec<PlateSpec> {
    if !table.has("plate") {
        table.need("plate", "a [[plate]] block with its steps", reader.faults);
        return Vec::new();
    }
    let plans = blocks(table, "plate", reader, PlateSpec::read);
    if plans.len() > limits::PLATES {
        let message = limits::beyond(limits::PLATES, "plates", "recipes");
        reader.faults.push(table.fault(message));
    }
    for (index, plan) in plans.iter().enumerate() {
        let fault = |message: &str| {
            Fault::refused(message.to_owned()).at(table.source(), plan.span.clone())
        };
        match &plan.name {
            None if plans.len() > 1 => {
                let fault = fault("a recipe with several plates names each of them");
                reader.faults.push(fault.remedy("add name = \"cheek\""));
            }
            Some(name) => {
                let same = |other: &PlateSpec| {
                    other.name.as_ref().map(Text::as_str) == Some(name.as_str())
                };
                if plans[..index].iter().any(same) {
                    let fault = name.fault(format!("there is a plate `{}` already", name.as_str()));
                    reader.faults.push(fault.remedy("choose another name"));
                }
            }
            None => {}
        }
    }
    plans
}
