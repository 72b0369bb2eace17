//! The file of outlines: one JSON object with the strip and its items.
//!
//! In: JSON text. Out: an [`Instance`], every outline and window in it simple, windows within their outline
//! and apart; or every mistake at once.

use std::fmt;
use std::sync::Arc;

use serde::Deserialize;
use serde::de::{Deserializer, IgnoredAny, MapAccess, Visitor};

use super::{Id, Instance, OutlineItem, simple};
use crate::fault::{Fault, Faults, Outcome, Source, nearest};
use crate::geometry::Point;
use crate::nest::{Polygon, Rotation};
use crate::recipe::limits;

/// The keys of the file, and of an item in it.
const KEYS: &[&str] = &[
    "name",
    "strip_width",
    "width_tolerance",
    "min_item_separation",
    "edge_margin",
    "items",
];
const ITEM_KEYS: &[&str] = &[
    "id",
    "quantity",
    "allowed_rotations_deg",
    "polygon",
    "holes",
];

/// Turns that an item may list.
const MOST_TURNS: usize = 360;

/// Corners of an item with its windows.
const MOST_CORNERS: usize = 5_000;

/// How far an outline may reach from its origin, in widths of the strip: beyond it is a slip of the
/// keyboard, or a matter of units.
const FARTHEST: f64 = 1e4;
/// How wide a strip may be, in any unit of length.
const WIDTHS: std::ops::RangeInclusive<f64> = 1e-6..=1e9;
/// How far a window may stick out of its outline, as a share of the width of the strip.
const ROUNDED: f64 = 1e-6;

/// The whole file.
#[derive(Deserialize)]
struct FileForm {
    #[serde(default)]
    name: String,
    strip_width: f64,
    #[serde(default)]
    width_tolerance: f64,
    #[serde(default)]
    min_item_separation: f64,
    #[serde(default)]
    edge_margin: f64,
    items: Vec<ItemForm>,
}

/// One outline in it.
#[derive(Deserialize)]
struct ItemForm {
    id: Id,
    #[serde(default = "one")]
    quantity: u32,
    #[serde(default)]
    allowed_rotations_deg: Option<Vec<f64>>,
    polygon: Vec<[f64; 2]>,
    #[serde(default)]
    holes: Vec<Vec<[f64; 2]>>,
}

impl ItemForm {
    /// Corners of its outline and windows.
    fn corners(&self) -> usize {
        self.polygon.len() + self.holes.iter().map(Vec::len).sum::<usize>()
    }

    /// The largest coordinate, whatever its sign.
    fn farthest(&self) -> f64 {
        let all = self.holes.iter().flatten().chain(&self.polygon);
        all.flatten().fold(0.0, |most, c| most.max(c.abs()))
    }

    /// The outline and the windows as polygons.
    fn loops(&self) -> Vec<Polygon> {
        let holes = self.holes.iter().map(|hole| points(hole));
        std::iter::once(points(&self.polygon))
            .chain(holes)
            .collect()
    }

    /// What is wrong with the outline and its windows, if anything is, and what to do about it.
    fn wrong(&self, strip_width: f64) -> Option<(String, String)> {
        let id = &self.id;
        let corners = self.corners();
        if corners > MOST_CORNERS {
            return Some((
                format!("item {id} has {corners} corners"),
                format!("no more than {MOST_CORNERS} are possible: draw it with fewer"),
            ));
        }
        if self.farthest() > FARTHEST * strip_width {
            return Some((
                format!(
                    "item {id} reaches {:.0}, and the strip is {strip_width} wide",
                    self.farthest()
                ),
                format!(
                    "no more than {FARTHEST} times its width is possible: check the corners and their unit"
                ),
            ));
        }
        let loops = self.loops();
        let flaw = simple::flaw(&loops, ROUNDED * strip_width)?;
        Some((
            format!("item {id}: {}", flaw.says()),
            flaw.remedy().to_owned(),
        ))
    }

    /// What is wrong with the turns that it may take.
    fn wrong_turns(&self) -> Option<(String, String)> {
        let turns = self.allowed_rotations_deg.as_ref()?;
        if turns.is_empty() {
            return Some((
                format!("item {} has no turn it may take", self.id),
                "list the turns in degrees, or write null for any angle".to_owned(),
            ));
        }
        if turns.len() > MOST_TURNS {
            return Some((
                format!("item {} has {} turns it may take", self.id, turns.len()),
                format!("list no more than {MOST_TURNS}, or write null for any angle"),
            ));
        }
        let wild = turns
            .iter()
            .find(|turn| turn.is_nan() || turn.abs() > 360.0)?;
        Some((
            format!(
                "item {} cannot be turned by {} degrees",
                self.id,
                shown(*wild)
            ),
            "give turns between -360 and 360 degrees".to_owned(),
        ))
    }
}

const fn one() -> u32 {
    1
}

/// Reads an instance; every mistake in it is told at once.
pub fn read(source: &Arc<Source>) -> Outcome<Instance> {
    let form: FileForm =
        serde_json::from_str(&source.text).map_err(|e| not_readable(source, &e))?;
    let mut faults = unknown_keys(source);
    let mut refuse = |message: String, remedy: String| {
        faults.push(Fault::refused(format!("{}: {message}", source.name)).remedy(remedy));
    };
    let width = form.strip_width;
    if WIDTHS.contains(&width) {
        for (key, value, most, of) in [
            (
                "min_item_separation",
                form.min_item_separation,
                width,
                "the strip's width",
            ),
            (
                "edge_margin",
                form.edge_margin,
                width / 2.0,
                "half the strip's width",
            ),
            (
                "width_tolerance",
                form.width_tolerance,
                1.0,
                "the whole width",
            ),
        ] {
            if !(0.0..=most).contains(&value) {
                let remedy = format!("give 0 or more, and no more than {most}, {of}");
                refuse(format!("`{key}` cannot be {}", shown(value)), remedy);
            }
        }
    } else {
        let remedy = "give `strip_width` as a length above 0, in a unit that suits it";
        refuse(
            format!("the strip cannot be {width} wide"),
            remedy.to_owned(),
        );
    }
    // Beside a strip of no width, outlines are looked at for what they are by themselves.
    let width = if WIDTHS.contains(&width) {
        width
    } else {
        f64::INFINITY
    };
    let wrong = |item: &ItemForm| [item.wrong(width), item.wrong_turns()];
    for (message, remedy) in form.items.iter().flat_map(wrong).flatten() {
        refuse(message, remedy);
    }
    let copies = form.items.iter().map(|item| item.quantity);
    let copies = copies.fold(0, u32::saturating_add);
    let corners: usize = form.items.iter().map(ItemForm::corners).sum();
    if corners > limits::OUTLINE_CORNERS {
        let most = limits::OUTLINE_CORNERS;
        let remedy = format!(
            "no more than {most} are possible: draw them with fewer, or make several strips of it"
        );
        refuse(format!("all items together have {corners} corners"), remedy);
    }
    if copies > limits::OUTLINES {
        let most = limits::OUTLINES;
        let remedy = format!("no more than {most} are possible: make several strips of it");
        refuse(format!("{copies} outlines are to be placed"), remedy);
    }
    if copies == 0 {
        let remedy = "list at least one item".to_owned();
        refuse("there is nothing to place".to_owned(), remedy);
    }
    Faults::check(faults)?;
    Ok(form.into())
}

/// A number as it was likely written: huge ones with their power of ten.
fn shown(value: f64) -> String {
    if value.abs() < 1e9 {
        value.to_string()
    } else {
        format!("{value:e}")
    }
}

/// The names in a JSON object, whatever they stand for.
#[derive(Default)]
struct Keys(Vec<String>);

impl<'de> Deserialize<'de> for Keys {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        from.deserialize_map(Self::default())
    }
}

impl<'de> Visitor<'de> for Keys {
    type Value = Self;

    fn expecting(&self, f: &mut fmt::Formatter) -> fmt::Result {
        f.write_str("an object")
    }

    fn visit_map<A: MapAccess<'de>>(mut self, mut map: A) -> Result<Self, A::Error> {
        while let Some(key) = map.next_key()? {
            self.0.push(key);
            map.next_value::<IgnoredAny>()?;
        }
        Ok(self)
    }
}

/// The names in every item.
#[derive(Deserialize)]
struct ItemKeys {
    items: Vec<Keys>,
}

/// Keys that mean nothing, each with the near one that does.
fn unknown_keys(source: &Arc<Source>) -> Vec<Fault> {
    let whole = serde_json::from_str(&source.text).unwrap_or_default();
    let items =
        serde_json::from_str(&source.text).map_or_else(|_| Vec::new(), |it: ItemKeys| it.items);
    let mut unknown: Vec<(String, &[&str])> = Vec::new();
    for (Keys(found), known) in
        std::iter::once((whole, KEYS)).chain(items.into_iter().map(|it| (it, ITEM_KEYS)))
    {
        for key in found {
            if !known.contains(&key.as_str())
                && !unknown
                    .iter()
                    .any(|(told, of)| *told == key && of == &known)
            {
                unknown.push((key, known));
            }
        }
    }
    let fault = |(key, known): &(String, &[&str])| {
        let remedy = match nearest(key, known.iter().copied()) {
            Some(near) => format!("did you mean `{near}`?"),
            None => format!("the keys here are {}", known.join(", ")),
        };
        let quoted = format!("\"{key}\"");
        let at = source.text.find(&quoted).unwrap_or(0);
        let fault = Fault::refused(format!("there is no key `{key}`"));
        fault.remedy(remedy).at(source, at..at + quoted.len())
    };
    unknown.iter().map(fault).collect()
}

fn not_readable(source: &Arc<Source>, error: &serde_json::Error) -> Fault {
    let before: usize = source
        .text
        .split_inclusive('\n')
        .take(error.line().saturating_sub(1))
        .map(str::len)
        .sum();
    let at = (before + error.column().saturating_sub(1)).min(source.text.len());
    let text = error.to_string();
    let cause = text.split(" at line ").next().unwrap_or(&text);
    Fault::refused(format!("the outlines cannot be read: {cause}"))
        .remedy("an instance is one JSON object with `strip_width` and `items`, each with `id`, `quantity` and `polygon`")
        .at(source, at..at)
}

fn points(pairs: &[[f64; 2]]) -> Polygon {
    pairs.iter().map(|[x, y]| Point::new(*x, *y)).collect()
}

impl From<FileForm> for Instance {
    fn from(form: FileForm) -> Self {
        Self {
            name: form.name,
            width: form.strip_width * (1.0 + form.width_tolerance),
            nominal_width: form.strip_width,
            separation: form.min_item_separation,
            margin: form.edge_margin,
            items: form
                .items
                .into_iter()
                .map(|item| OutlineItem {
                    id: item.id,
                    quantity: item.quantity,
                    rotation: item.allowed_rotations_deg.map_or(Rotation::Free, |turns| {
                        Rotation::Steps(turns.into_iter().map(f64::to_radians).collect())
                    }),
                    polygon: points(&item.polygon),
                    holes: item.holes.iter().map(|hole| points(hole)).collect(),
                })
                .collect(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::tests::{FRAMES, TWO_TRIANGLES};
    use super::*;

    #[test]
    fn mistakes_are_told_with_their_place_and_remedy() {
        let torn = read(&Source::inline(
            "torn.json",
            "{ \"strip_width\": 10,\n \"items\": [7] }",
        ));
        let faults = torn.expect_err("an item is not a number");
        assert!(faults.to_string().starts_with("torn.json:2:"), "{faults}");
        let empty = read(&Source::inline(
            "empty.json",
            r#"{ "strip_width": 0, "items": [ { "id": "a", "polygon": [[0, 0], [1, 1]] } ] }"#,
        ));
        assert_eq!(empty.expect_err("two mistakes").as_slice().len(), 2);
    }

    #[test]
    fn outlines_out_of_all_proportion_are_refused() {
        let said = |text: &str| {
            let read = read(&Source::inline("far.json", text));
            read.expect_err("it is out of proportion").to_string()
        };
        let far = TWO_TRIANGLES.replace("[0, 10]]", "[0, 100001]]");
        assert!(
            said(&far).contains("item 7 reaches 100001"),
            "{}",
            said(&far)
        );
        let near = TWO_TRIANGLES.replace("[0, 10]]", "[0, 100000]]");
        assert!(read(&Source::inline("near.json", near)).is_ok());
        let astray = FRAMES.replace("[90, 10], [90, 90]", "[90, 10], [90, 101]");
        assert!(said(&astray).contains("item outer: a window leaves its outline at [90, 101]"));
        let wide = TWO_TRIANGLES.replace("\"strip_width\": 10", "\"strip_width\": 1e10");
        assert!(said(&wide).contains("the strip cannot be 10000000000 wide"));
    }

    fn refusals(text: &str) -> String {
        let read = read(&Source::inline("outlines.json", text));
        read.expect_err("it is to be refused").to_string()
    }

    #[test]
    fn distances_beyond_the_strip_are_refused() {
        for (key, value, says) in [
            ("min_item_separation", "1e300", "no more than 10,"),
            ("edge_margin", "6", "no more than 5,"),
            ("edge_margin", "-1", "`edge_margin` cannot be -1"),
            ("width_tolerance", "2", "no more than 1,"),
        ] {
            let text = TWO_TRIANGLES.replacen('{', &format!("{{ \"{key}\": {value},"), 1);
            assert!(refusals(&text).contains(says), "{}", refusals(&text));
        }
        let turned = TWO_TRIANGLES.replace("180]", "1e300]");
        assert!(refusals(&turned).contains("give turns between -360 and 360 degrees"));
    }

    #[test]
    fn a_mistyped_key_is_refused_with_the_near_one() {
        let text = TWO_TRIANGLES.replacen('{', "{ \"min_item_seperation\": 20,", 1);
        let said = refusals(&text);
        assert!(
            said.contains("there is no key `min_item_seperation`"),
            "{said}"
        );
        assert!(
            said.contains("did you mean `min_item_separation`?"),
            "{said}"
        );
        assert!(said.starts_with("outlines.json:1:3"), "{said}");
        let text =
            TWO_TRIANGLES.replace("\"quantity\": 2", "\"quantitty\": 2, \"colour\": \"red\"");
        let said = refusals(&text);
        assert!(said.contains("did you mean `quantity`?"), "{said}");
        assert!(said.contains("the keys here are id, quantity,"), "{said}");
    }

    #[test]
    fn outlines_that_cross_themselves_and_windows_that_overlap_are_refused() {
        let crossed = TWO_TRIANGLES.replace(
            "[[0, 0], [10, 0], [0, 10]]",
            "[[0, 0], [10, 8], [10, 0], [0, 4]]",
        );
        let said = refusals(&crossed);
        assert!(
            said.contains("item 7: its outline crosses itself at [3.3333, 2.6667]"),
            "{said}"
        );
        let lobes = TWO_TRIANGLES.replace(
            "[[0, 0], [10, 0], [0, 10]]",
            "[[0, 0], [4, 0], [4, 4], [2, 2], [0, 4]]",
        );
        assert!(read(&Source::inline("fine.json", lobes)).is_ok());
        let overlapping = FRAMES.replace(
            "\"holes\": [[[10, 10], [90, 10], [90, 90], [10, 90]]]",
            "\"holes\": [[[10, 10], [60, 10], [60, 60], [10, 60]], [[40, 40], [90, 40], [90, 90], [40, 90]]]",
        );
        let said = refusals(&overlapping);
        assert!(said.contains("item outer: two windows overlap"), "{said}");
        let within = FRAMES.replace(
            "\"holes\": [[[10, 10], [90, 10], [90, 90], [10, 90]]]",
            "\"holes\": [[[10, 10], [90, 10], [90, 90], [10, 90]], [[20, 20], [30, 20], [30, 30], [20, 30]]]",
        );
        assert!(refusals(&within).contains("item outer: two windows overlap"));
    }
}
