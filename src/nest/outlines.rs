//! Plain outlines on a strip: a file format of its own, for drawings without a job.
//!
//! In: JSON text with a strip width, items (polygon, windows, quantity, turns), and the distance to
//! keep. Out: an [`Instance`], and from [`strip`] a [`StripAnswer`]: the shortest strip found and
//! where every copy lies. Any length unit will do, as long as it is the same throughout.

use std::sync::Arc;

use serde::{Deserialize, Serialize};

use super::{
    Along, Budget, Control, Piece, Placement, Polygon, Progress, Rotation, SheetLayout, Stock,
    grow, polygon,
};
use crate::fault::{Fault, Faults, Outcome, Source};
use crate::geometry::{Point, Vector};
use crate::recipe::limits;

/// Corners of an item with its windows.
const MOST_CORNERS: usize = 5_000;

/// How far an outline may reach from its origin, in widths of the strip: beyond it is a slip of the
/// keyboard, or a matter of units.
const FARTHEST: f64 = 1e4;
/// How wide a strip may be, in any unit of length.
const WIDTHS: std::ops::RangeInclusive<f64> = 1e-6..=1e9;
/// How far a window may stick out of its outline, as a share of the width of the strip.
const ROUNDED: f64 = 1e-6;

/// Outlines to place on a strip of a given width and as short as can be.
#[derive(Debug, Clone, PartialEq)]
pub struct Instance {
    /// What the file calls it.
    pub name: String,
    /// The fixed side of the strip, with what the file allows it to be wider.
    pub width: f64,
    /// The fixed side as given, for the density.
    pub nominal_width: f64,
    /// Least distance between two items.
    pub separation: f64,
    /// Least distance from the edges of the strip.
    pub margin: f64,
    /// What is placed.
    pub items: Vec<OutlineItem>,
}

/// One outline, a number of times.
#[derive(Debug, Clone, PartialEq)]
pub struct OutlineItem {
    /// What the file calls it.
    pub id: Id,
    /// How many.
    pub quantity: u32,
    /// Which turns it may take.
    pub rotation: Rotation,
    /// Its outline about its own origin.
    pub polygon: Polygon,
    /// Windows in it that others may use.
    pub holes: Vec<Polygon>,
}

/// A name or a number, given back as it was written.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum Id {
    /// A number.
    Number(i64),
    /// A name.
    Name(String),
}

impl std::fmt::Display for Id {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Number(number) => number.fmt(f),
            Self::Name(name) => name.fmt(f),
        }
    }
}

/// The shortest strip found.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StripAnswer {
    /// How long the strip is, in the unit of the file.
    pub length: f64,
    /// Area of the outlines (windows filled) as a share of the strip, percent.
    pub density_percent: f64,
    /// Where every copy lies.
    pub placements: Vec<StripPlacement>,
}

/// One copy: turn the item's polygon about its own origin, then move it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StripPlacement {
    /// Which item.
    pub id: Id,
    /// Which copy of it, from 0.
    pub copy: u32,
    /// Move along the strip.
    pub x: f64,
    /// Move across the strip.
    pub y: f64,
    /// Turn, degrees counter-clockwise.
    pub turn_deg: f64,
    /// The copy whose window it sits in, written `ID/COPY`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub inside: Option<String>,
}

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
    /// The largest coordinate, whatever its sign.
    fn farthest(&self) -> f64 {
        let all = self.holes.iter().flatten().chain(&self.polygon);
        all.flatten().fold(0.0, |most, c| most.max(c.abs()))
    }

    /// A corner of a window that lies farther than this outside the outline.
    fn astray(&self, by: f64) -> Option<[f64; 2]> {
        let outline = points(&self.polygon);
        let mut corners = self.holes.iter().flatten().copied();
        corners.find(|[x, y]| {
            let p = Point::new(*x, *y);
            !polygon::encloses(&outline, p) && polygon::distance_to_edges(&outline, p) > by
        })
    }
}

const fn one() -> u32 {
    1
}

/// Reads an instance; every mistake in it is told at once.
pub fn read(source: &Arc<Source>) -> Outcome<Instance> {
    let form: FileForm =
        serde_json::from_str(&source.text).map_err(|e| not_readable(source, &e))?;
    let mut faults = Vec::new();
    let mut refuse = |message: String, remedy: &str| {
        faults.push(Fault::refused(format!("{}: {message}", source.name)).remedy(remedy));
    };
    let not_negative = |value: f64| value.is_finite() && value >= 0.0;
    if !WIDTHS.contains(&form.strip_width) {
        refuse(
            format!("the strip cannot be {} wide", form.strip_width),
            "give `strip_width` as a length above 0, in a unit that suits it",
        );
    }
    for (key, value) in [
        ("min_item_separation", form.min_item_separation),
        ("edge_margin", form.edge_margin),
        ("width_tolerance", form.width_tolerance),
    ] {
        if !not_negative(value) {
            refuse(format!("`{key}` cannot be {value}"), "give 0 or more");
        }
    }
    for item in &form.items {
        let corners = item.polygon.len() + item.holes.iter().map(Vec::len).sum::<usize>();
        if corners > MOST_CORNERS {
            refuse(
                format!("item {} has {corners} corners", item.id),
                &format!("no more than {MOST_CORNERS} are possible: draw it with fewer"),
            );
        } else if item.farthest() > FARTHEST * form.strip_width {
            refuse(
                format!(
                    "item {} reaches {:.0}, and the strip is {} wide",
                    item.id,
                    item.farthest(),
                    form.strip_width
                ),
                &format!(
                    "no more than {FARTHEST} times its width is possible: check the corners and their unit"
                ),
            );
        } else if polygon::cleaned(&points(&item.polygon)).is_none() {
            refuse(
                format!("the polygon of item {} bounds no area", item.id),
                "give at least three corners as [x, y], in order around the outline",
            );
        } else if let Some([x, y]) = item.astray(ROUNDED * form.strip_width) {
            refuse(
                format!(
                    "a window of item {} leaves its outline at [{x}, {y}]",
                    item.id
                ),
                "keep every corner of `holes` within `polygon`",
            );
        }
        if let Some(turns) = &item.allowed_rotations_deg
            && (turns.is_empty() || turns.iter().any(|turn| !turn.is_finite()))
        {
            refuse(
                format!("item {} has no turn it may take", item.id),
                "list the turns in degrees, or write null for any angle",
            );
        }
    }
    let copies = form.items.iter().map(|item| item.quantity);
    let copies = copies.fold(0, u32::saturating_add);
    if copies > limits::QUANTITY {
        refuse(
            format!("{copies} outlines are to be placed"),
            &format!(
                "no more than {} are possible: make several strips of it",
                limits::QUANTITY
            ),
        );
    }
    if copies == 0 {
        refuse("there is nothing to place".into(), "list at least one item");
    }
    Faults::check(faults)?;
    Ok(form.into())
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

impl Instance {
    /// Area of all outlines, windows filled.
    #[must_use]
    pub fn area(&self) -> f64 {
        self.items
            .iter()
            .map(|item| f64::from(item.quantity) * polygon::signed_area(&item.polygon).abs())
            .sum()
    }

    /// The pieces to place, grown by half the separation.
    fn pieces(&self) -> Vec<Piece> {
        let half = self.separation / 2.0;
        self.items
            .iter()
            .enumerate()
            .map(|(index, item)| {
                let outline = polygon::cleaned(&item.polygon).unwrap_or_default();
                let windows = item.holes.iter().filter_map(|hole| polygon::cleaned(hole));
                Piece {
                    index,
                    id: item.id.to_string(),
                    quantity: item.quantity,
                    outline: grow::grown(&outline, half),
                    windows: windows
                        .flat_map(|window| grow::shrunk(&window, half))
                        .collect(),
                    rotation: item.rotation.clone(),
                }
            })
            .collect()
    }

    /// What lies on the strip, in the words of the file.
    fn answers(&self, sheet: &SheetLayout) -> Vec<StripPlacement> {
        let id = |placement: &Placement| &self.items[placement.piece].id;
        let name = |placement: &Placement| format!("{}/{}", id(placement), placement.copy);
        sheet
            .placements
            .iter()
            .map(|placement| StripPlacement {
                id: id(placement).clone(),
                copy: placement.copy,
                x: placement.pose.shift.x,
                y: placement.pose.shift.y,
                turn_deg: placement.pose.turn.to_degrees(),
                inside: placement.inside.map(|host| name(&sheet.placements[host])),
            })
            .collect()
    }

    /// The strip as stock, long enough for everything in a row and longer than wide, so that it is
    /// used up along its length. `None` if the margins leave nothing.
    fn stock(&self, pieces: &[Piece]) -> Option<Stock> {
        let inset = self.margin - self.separation / 2.0;
        let top = self.width - inset;
        let end: f64 = pieces
            .iter()
            .map(|piece| f64::from(piece.quantity) * polygon::diameter(&piece.outline))
            .sum::<f64>()
            .max(2.0 * self.width)
            + inset;
        (top > inset).then(|| Stock {
            id: self.name.clone(),
            quantity: Some(1),
            usable: [(inset, inset), (end, inset), (end, top), (inset, top)]
                .map(|(x, y)| Point::new(x, y))
                .to_vec(),
            along: Along::X,
            avoid: Vec::new(),
            price: None,
            first: false,
        })
    }
}

/// The shortest strip found within the budget.
///
/// Fails if an item is too large for the width of the strip at every turn it may take.
pub fn strip(
    instance: &Instance,
    budget: &Budget,
    progress: &mut dyn FnMut(Progress) -> Control,
) -> Outcome<StripAnswer> {
    let pieces = instance.pieces();
    let stock = instance
        .stock(&pieces)
        .ok_or_else(|| too_narrow(&instance.name))?;
    let layout = super::place(&pieces, std::slice::from_ref(&stock), budget, progress);
    Faults::check(
        layout
            .unplaced
            .iter()
            .map(|(piece, _)| too_narrow(&format!("item {}", instance.items[*piece].id)))
            .collect(),
    )?;
    let placements: Vec<StripPlacement> = layout
        .sheets
        .iter()
        .flat_map(|sheet| instance.answers(sheet))
        .collect();
    let end = layout
        .sheets
        .iter()
        .flat_map(|sheet| &sheet.placements)
        .zip(&placements)
        .map(|(placement, answer)| {
            let item = &instance.items[placement.piece];
            let shift = Vector::new(answer.x, answer.y);
            let lying = polygon::posed(&item.polygon, answer.turn_deg.to_radians(), shift);
            polygon::bounds(&lying).max.x
        })
        .fold(0.0, f64::max);
    let length = end + instance.margin;
    Ok(StripAnswer {
        length,
        density_percent: 100.0 * instance.area() / (instance.nominal_width * length),
        placements,
    })
}

fn too_narrow(what: &str) -> Fault {
    Fault::refused(format!("{what} does not fit across the strip"))
        .remedy("give a wider strip, a smaller margin, or more turns that it may take")
}

#[cfg(test)]
mod tests {
    use super::*;

    const TWO_TRIANGLES: &str = r#"{ "name": "pair", "strip_width": 10, "items": [
        { "id": 7, "quantity": 2, "allowed_rotations_deg": [0, 180],
          "polygon": [[0, 0], [10, 0], [0, 10]] } ] }"#;

    #[test]
    fn two_triangles_fill_a_square_or_nearly() {
        let instance = read(&Source::inline("pair.json", TWO_TRIANGLES)).expect("it is sound");
        let budget = Budget {
            seed: 1,
            iterations: 0,
            seconds: None,
        };
        let answer =
            strip(&instance, &budget, &mut |_| Control::Continue).expect("both fit across");
        assert_eq!(answer.placements.len(), 2);
        assert_eq!(answer.placements[0].id, Id::Number(7));
        assert!(answer.length >= 10.0 && answer.length < 20.1);
        assert!((answer.density_percent * answer.length - 1000.0).abs() < 1e-6);
    }

    /// A frame, a smaller frame that fits only in its window, and a pad that fits only in that one's.
    const FRAMES: &str = r#"{ "name": "frames", "strip_width": 100, "items": [
        { "id": "outer", "quantity": 2, "allowed_rotations_deg": [0],
          "polygon": [[0, 0], [100, 0], [100, 100], [0, 100]],
          "holes": [[[10, 10], [90, 10], [90, 90], [10, 90]]] },
        { "id": "inner", "quantity": 2, "allowed_rotations_deg": [0],
          "polygon": [[0, 0], [70, 0], [70, 70], [0, 70]],
          "holes": [[[10, 10], [60, 10], [60, 60], [10, 60]]] },
        { "id": 3, "quantity": 2, "allowed_rotations_deg": [0],
          "polygon": [[0, 0], [40, 0], [40, 40], [0, 40]] } ] }"#;

    #[test]
    fn copies_in_windows_name_the_copy_around_them_to_any_depth() {
        let instance = read(&Source::inline("frames.json", FRAMES)).expect("it is sound");
        let budget = Budget {
            seed: 1,
            iterations: 0,
            seconds: None,
        };
        let answer = strip(&instance, &budget, &mut |_| Control::Continue).expect("all fit");
        let corner = |name: &str| {
            let host = answer
                .placements
                .iter()
                .find(|p| format!("{}/{}", p.id, p.copy) == name)
                .expect("it names a copy that is there");
            (host.x, host.y)
        };
        // Sides of the frames around each item; none around the outer one.
        for (id, around) in [
            ("outer", None),
            ("inner", Some(("outer/", 100.0, 70.0))),
            ("3", Some(("inner/", 70.0, 40.0))),
        ] {
            let copies = answer.placements.iter().filter(|p| p.id.to_string() == id);
            let mut hosts = Vec::new();
            for copy in copies {
                match (&copy.inside, around) {
                    (None, None) => {}
                    (Some(name), Some((host, side, own))) => {
                        assert!(name.starts_with(host), "{id} is in {name}");
                        let (x, y) = corner(name);
                        let room = 10.0..side - 10.0 - own;
                        assert!(room.contains(&(copy.x - x)) && room.contains(&(copy.y - y)));
                        hosts.push(name.clone());
                    }
                    other => panic!("{id}: {other:?}"),
                }
            }
            hosts.sort();
            hosts.dedup();
            assert_eq!(hosts.len(), if around.is_some() { 2 } else { 0 }, "{id}");
        }
        let json = serde_json::to_value(&answer).expect("it is plain data");
        let inside = |i: usize| json["placements"][i].get("inside").cloned();
        assert!((0..6).filter_map(inside).all(|name| name.is_string()));
    }

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
        assert!(said(&astray).contains("a window of item outer leaves its outline at [90, 101]"));
        let wide = TWO_TRIANGLES.replace("\"strip_width\": 10", "\"strip_width\": 1e10");
        assert!(said(&wide).contains("the strip cannot be 10000000000 wide"));
    }

    #[test]
    fn an_item_too_wide_for_the_strip_is_refused() {
        let text = TWO_TRIANGLES.replace("\"strip_width\": 10", "\"strip_width\": 9");
        let instance = read(&Source::inline("pair.json", text)).expect("it can be read");
        let budget = Budget {
            seed: 1,
            iterations: 0,
            seconds: None,
        };
        let refused = strip(&instance, &budget, &mut |_| Control::Continue);
        assert!(refused.is_err());
    }
}
