//! The values of a part that can be typed: those of every part, and its family's dimensions.

use super::document::{Block, Document, Form};
use crate::fault::Outcome;
use crate::recipe::dimension_kind::DimensionKind;
use crate::recipe::listing::{Explained, explained};
use crate::recipe::{Family, Part};
use crate::sketch::{Role, sketch};
use crate::trade;

/// A value that can be typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Field {
    /// Its key in the file.
    pub(super) key: String,
    /// What it is, in plain words.
    pub(super) says: String,
    /// What it takes: `length`, `choice`, …
    pub(super) kind: String,
    /// The words to choose from, if there are only those.
    pub(super) choices: Vec<String>,
    /// What stands in the file; empty where nothing does.
    pub(super) typed: String,
    /// What counts where nothing is typed.
    pub(super) usual: String,
}

/// Fields under a heading.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Group {
    pub(super) heading: &'static str,
    pub(super) fields: Vec<Field>,
}

/// How a key of a part, a job or a line of stock is written.
pub(super) fn form_of(family: Option<&Family>, key: &str) -> Form {
    let measure = family.and_then(|it| it.measure(key));
    match (measure.map(|it| &it.kind), key) {
        (Some(DimensionKind::Count), _) => Form::Number,
        (Some(DimensionKind::YesNo), _) => Form::Truth,
        (Some(DimensionKind::List(_)), _) => Form::List,
        (Some(_), _) => Form::Words,
        (None, "quantity" | "price" | "price_per_kg") => Form::Number,
        (None, "first") => Form::Truth,
        (None, "size") => Form::Pair,
        (None, _) => Form::Words,
    }
}

impl Field {
    /// A value that is no dimension.
    pub(super) fn plain(
        document: &Document,
        block: Block,
        (key, says): (&str, &str),
        usual: &str,
    ) -> Self {
        Self {
            key: key.to_owned(),
            says: says.to_owned(),
            kind: "words".to_owned(),
            choices: Vec::new(),
            typed: document.typed(block, key).unwrap_or_default(),
            usual: usual.to_owned(),
        }
    }

    /// The same with words to choose from.
    pub(super) fn among(mut self, choices: impl IntoIterator<Item = String>) -> Self {
        "choice".clone_into(&mut self.kind);
        self.choices = choices.into_iter().collect();
        self
    }

    fn of_dimension(document: &Document, block: Block, line: &Explained, family: &Family) -> Self {
        let kind = family.measure(&line.name).map(|it| &it.kind);
        let choices = match kind {
            Some(DimensionKind::Choice(words)) => words.clone(),
            Some(DimensionKind::YesNo) => ["true", "false"].map(str::to_owned).to_vec(),
            _ => Vec::new(),
        };
        Self {
            key: line.name.clone(),
            says: line.says.clone(),
            kind: line.kind.clone(),
            choices,
            typed: document.typed(block, &line.name).unwrap_or_default(),
            usual: line.default.trim_matches(['"', '\'']).to_owned(),
        }
    }

    /// Whether the file says something else than what counts anyway.
    pub(super) fn is_changed(&self) -> bool {
        !self.typed.is_empty() && self.typed != self.usual
    }

    /// What is chosen, of words to choose from.
    pub(super) fn is_chosen(&self, word: &str) -> bool {
        self.typed == word
    }

    /// How a word to choose is shown.
    pub(super) fn shown<'a>(&self, word: &'a str) -> &'a str {
        match (self.kind.as_str(), word) {
            ("yes-no", "true") => "yes",
            ("yes-no", "false") => "no",
            _ => word,
        }
    }
}

/// Keys of a part that are no values to turn.
const OF_A_FAMILY: [&str; 6] = ["recipe", "shape", "drawing", "plates", "table", "order"];

/// The fields of a part, in the family's order under the headings of its labelled sketch.
pub(super) fn groups(
    document: &Document,
    block: Block,
    family: Option<&Family>,
    part: Option<&Part>,
) -> Outcome<Vec<Group>> {
    let plain = |names, usual| Field::plain(document, block, names, usual);
    let name = family.map_or("part", |it| it.name.as_str());
    let metals = trade::material_table::MATERIALS
        .iter()
        .map(|it| it.name.to_owned());
    let mut own = vec![
        plain(("name", "what it is called, scribed on the plate"), name),
        plain(("quantity", "how many"), "1"),
        plain(("material", "what it is cut from"), "mild steel").among(metals),
    ];
    let Some(family) = family else {
        own.push(plain(("thickness", "how thick its plates are"), ""));
        own.push(plain(
            ("unit", "what the numbers of the drawing are in"),
            "what it says",
        ));
        return Ok(vec![Group {
            heading: "The part",
            fields: own,
        }]);
    };
    let typed = document.all_typed(block);
    let others = typed.keys().filter(|key| {
        let is_own = own.iter().any(|it| it.key == **key);
        !is_own && !OF_A_FAMILY.contains(&key.as_str()) && family.measure(key).is_none()
    });
    let as_written = |key: &String| {
        let says = format!("{key}, as in the file");
        Field::plain(document, block, (key, &says), "")
    };
    let others: Vec<Field> = others.map(as_written).collect();
    own.extend(others);
    // Where its dimensions are is found from the part as it is, else from the family as it comes.
    let sketched = part.and_then(|it| sketch(it).ok());
    let sketched = match sketched {
        Some(found) => found,
        None => sketch(&Part::plain(family.clone()))?,
    };
    let lines = explained(family)?;
    let fields = |role: Role| {
        let of_role = sketched.dimensions.iter().zip(&lines);
        let of_role = of_role.filter(move |(it, _)| it.role == role);
        of_role.map(|(_, line)| Field::of_dimension(document, block, line, family))
    };
    let mut groups = vec![Group {
        heading: "The part",
        fields: own,
    }];
    groups.extend(Role::ALL.iter().map(|role| Group {
        heading: role.heading(),
        fields: fields(*role).collect(),
    }));
    groups.retain(|it| !it.fields.is_empty());
    Ok(groups)
}
