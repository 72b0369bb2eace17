//! Reading the values of a recipe while knowing which names they may use.
//!
//! In: items of a TOML table. Out: expressions, templates and positions whose every name is known,
//! or faults that suggest the nearest name. All faults are gathered.

use std::sync::Arc;

use crate::fault::{Fault, nearest};
use crate::quantity::rows::{ROW, missing};
use crate::quantity::{Rows, Use};

use super::named_shape::NamedShape;
use super::step::Position;
use super::template::Template;
use crate::toml_text::Formula;
use crate::toml_text::Text;
use crate::toml_text::{Item, Table};
use crate::trade;

/// Reads values and checks their names.
pub(crate) struct Reader<'a> {
    names: Vec<String>,
    points: Vec<String>,
    /// Points of the family, which every plate has.
    own_points: Vec<String>,
    /// Points of the plate that is read that stand further down, and the one that is read.
    pub(crate) later: Vec<String>,
    /// How many names there were before each list that is gone through.
    entered: Vec<usize>,
    lists: Vec<(String, Vec<String>)>,
    tables: Arc<Vec<(String, Rows)>>,
    /// The named shapes so far.
    pub(crate) shapes: Vec<Arc<NamedShape>>,
    /// Every expression that was checked, and what was named otherwise: lists, points and shapes.
    pub(crate) formulas: Vec<Formula>,
    pub(crate) used: Vec<String>,
    pub(crate) faults: &'a mut Vec<Fault>,
}

impl<'a> Reader<'a> {
    /// A reader for values that may use these names.
    pub(crate) fn new(names: Vec<String>, faults: &'a mut Vec<Fault>) -> Self {
        Self {
            names,
            points: Vec::new(),
            own_points: Vec::new(),
            later: Vec::new(),
            entered: Vec::new(),
            lists: Vec::new(),
            tables: Arc::default(),
            shapes: Vec::new(),
            formulas: Vec::new(),
            used: Vec::new(),
            faults,
        }
    }

    /// Makes lookup tables, lists with their columns and points of the family known.
    pub(crate) fn knowing(
        mut self,
        tables: &Arc<Vec<(String, Rows)>>,
        lists: Vec<(String, Vec<String>)>,
        points: Vec<String>,
    ) -> Self {
        self.tables = Arc::clone(tables);
        self.lists = lists;
        self.own_points = points;
        self
    }

    /// Reads `each`, and makes the columns of that list known until [`Self::leave`].
    pub(crate) fn enter(&mut self, table: &mut Table) -> Option<Text> {
        self.entered.push(self.names.len());
        let each = self.words(table, "each")?;
        let Some(columns) = self.columns(each.as_str()) else {
            self.no_list(
                each.as_str(),
                each.fault(format!("there is no list `{}`", each.as_str())),
            );
            return None;
        };
        self.names.extend(columns);
        self.used.push(each.as_str().to_owned());
        Some(each)
    }

    /// Forgets the columns of the list that was entered last.
    pub(crate) fn leave(&mut self) {
        if let Some(before) = self.entered.pop() {
            self.names.truncate(before);
        }
    }

    /// Whether it is a point of the family.
    pub(crate) fn is_own_point(&self, name: &str) -> bool {
        self.own_points.iter().any(|known| known == name)
    }

    /// How many names are known.
    pub(crate) const fn known(&self) -> usize {
        self.names.len()
    }

    /// Whether a name is known.
    pub(crate) fn knows(&self, name: &str) -> bool {
        self.names.iter().any(|known| known == name)
    }

    /// Makes a name known, until those since some number are forgotten.
    pub(crate) fn know(&mut self, name: &str) {
        self.names.push(name.to_owned());
    }

    /// Forgets the names since there were so many.
    pub(crate) fn forget_since(&mut self, known: usize) {
        self.names.truncate(known);
    }

    /// The columns of a list, and the number of a row.
    fn columns(&self, list: &str) -> Option<Vec<String>> {
        let (_, columns) = self.lists.iter().find(|(known, _)| known == list)?;
        Some(columns.iter().cloned().chain([ROW.to_owned()]).collect())
    }

    fn no_list(&mut self, name: &str, fault: Fault) {
        let known = self.lists.iter().map(|(known, _)| known.as_str());
        let remedy = match nearest(name, known) {
            Some(near) => format!("did you mean `{near}`?"),
            None => "name a dimension that is a list, or write a list of words for `@`".to_owned(),
        };
        self.faults.push(fault.remedy(remedy));
    }

    /// Words in quotes, of a key that may be left out.
    pub(crate) fn words(&mut self, table: &mut Table, key: &str) -> Option<Text> {
        table.take(key).and_then(|item| item.text(self.faults))
    }

    /// The plate that a block stands with, or several of which a part has one.
    pub(crate) fn plates(&mut self, table: &mut Table) -> Vec<Text> {
        match table.take("plate") {
            Some(item) if item.is_list() => item.texts(self.faults),
            Some(item) => item.text(self.faults).into_iter().collect(),
            None => Vec::new(),
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
        let mut points = self.points.iter().chain(&self.own_points);
        if points.any(|point| point == name.as_str()) {
            self.used.push(format!("{}.x", name.as_str()));
            return Some(Position::Named(name));
        }
        let fault = name.fault(format!("there is no point `{}`", name.as_str()));
        let points = self.points.iter().chain(&self.own_points);
        let near = nearest(name.as_str(), points.map(String::as_str));
        self.faults.push(match near {
            Some(near) => fault.remedy(format!("did you mean `{near}`?")),
            None => fault.remedy("name it in [point] or [plate.point], or write [\"x\", \"y\"]"),
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
        self.formulas.push(formula.clone());
        let mut told: Vec<&str> = Vec::new();
        for used in formula.uses() {
            match used {
                Use::Name(name, list) => {
                    let of_row = list.and_then(|list| self.columns(list)).unwrap_or_default();
                    let known = self.names.iter().chain(&of_row).any(|known| known == name);
                    if !known && !told.contains(&name) {
                        told.push(name);
                        self.unknown(formula, name, &of_row);
                    }
                }
                Use::List(name) => {
                    if self.columns(name).is_none() {
                        let fault = Fault::refused(format!("there is no list `{name}`"))
                            .at(formula.text().source(), formula.span_of_name(name));
                        self.no_list(name, fault);
                    }
                }
                Use::Look(written) => self.check_look(formula, written),
            }
        }
    }

    fn unknown(&mut self, formula: &Formula, name: &str, of_row: &[String]) {
        let fault = Fault::refused(format!("unknown name `{name}`"))
            .at(formula.text().source(), formula.span_of_name(name));
        let known = self.names.iter().chain(of_row).map(String::as_str);
        let point = name.rsplit_once('.').map(|(point, _)| point);
        let later = point.filter(|point| self.later.iter().any(|it| it == point));
        self.faults.push(match (later, nearest(name, known)) {
            (Some(point), _) => fault.remedy(format!(
                "points use those above them: write `{point}` further up"
            )),
            (_, Some(near)) => fault.remedy(format!("did you mean `{near}`?")),
            _ => fault.remedy("use a dimension, a name from [let] or a point of the plate"),
        });
    }

    /// Whether a lookup table has what is looked up, as far as it is written out.
    fn check_look(&mut self, formula: &Formula, [table, row, column]: [Option<&str>; 3]) {
        let Some(table) = table else {
            return;
        };
        let found = self.tables.iter().find(|(known, _)| known == table);
        let refusal = match found {
            None => {
                let known = self.tables.iter().map(|(known, _)| known.as_str());
                Some((table, missing("table", table, known)))
            }
            Some((_, rows)) => {
                let column = column.filter(|it| !rows.columns().any(|known| known == *it));
                let row = row.filter(|it| !rows.names().any(|known| known == *it));
                let column = column.map(|it| (it, missing("column", it, rows.columns())));
                column.or_else(|| row.map(|it| (it, missing("row", it, rows.names()))))
            }
        };
        if let Some((name, refusal)) = refusal {
            let at = formula.span_of_name(name);
            let fault = Fault::refused(refusal).at(formula.text().source(), at);
            self.faults.push(fault);
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

/// A thread as it is written.
pub(crate) fn thread(item: Item, faults: &mut Vec<Fault>) -> Option<Text> {
    let text = item.text(faults)?;
    match trade::thread::read(text.as_str()) {
        Ok(_) => Some(text),
        Err(why) => {
            faults.push(text.fault(why));
            None
        }
    }
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
