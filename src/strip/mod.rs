//! Plain outlines on a strip, for drawings without a job; [`read`] takes them from a file.
//!
//! In: JSON text with a strip width, items (polygon, windows, quantity, turns), and the distance to
//! keep. Out: an [`Instance`], and from [`shortest`] a [`StripAnswer`]: the shortest strip found and
//! where every copy lies. Any length unit will do, as long as it is the same throughout.

mod file;
mod simple;

use serde::{Deserialize, Serialize};

use crate::fault::{Fault, Faults, Outcome};
use crate::geometry::{Point, Vector};
use crate::nest::{
    self, Along, Budget, Control, Piece, Placement, Polygon, Progress, Rotation, SheetLayout,
    Stock, grow, polygon,
};

pub use file::read;

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
            metal: Vec::new(),
            price: None,
            first: false,
        })
    }
}

/// The shortest strip found within the budget.
///
/// Fails if an item is too large for the width of the strip at every turn it may take.
pub fn shortest(
    instance: &Instance,
    budget: &Budget,
    progress: &mut dyn FnMut(Progress) -> Control,
) -> Outcome<StripAnswer> {
    let pieces = instance.pieces();
    let stock = instance
        .stock(&pieces)
        .ok_or_else(|| too_narrow(&instance.name))?;
    let layout = nest::place(&pieces, std::slice::from_ref(&stock), budget, progress);
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
pub(super) mod tests {
    use super::*;
    use crate::fault::Source;

    pub(super) const TWO_TRIANGLES: &str = r#"{ "name": "pair", "strip_width": 10, "items": [
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
            shortest(&instance, &budget, &mut |_| Control::Continue).expect("both fit across");
        assert_eq!(answer.placements.len(), 2);
        assert_eq!(answer.placements[0].id, Id::Number(7));
        assert!(answer.length >= 10.0 && answer.length < 20.1);
        assert!((answer.density_percent * answer.length - 1000.0).abs() < 1e-6);
    }

    /// A frame, a smaller frame that fits only in its window, and a pad that fits only in that one's.
    pub(super) const FRAMES: &str = r#"{ "name": "frames", "strip_width": 100, "items": [
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
        let answer = shortest(&instance, &budget, &mut |_| Control::Continue).expect("all fit");
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
    fn an_item_too_wide_for_the_strip_is_refused() {
        let text = TWO_TRIANGLES.replace("\"strip_width\": 10", "\"strip_width\": 9");
        let instance = read(&Source::inline("pair.json", text)).expect("it can be read");
        let budget = Budget {
            seed: 1,
            iterations: 0,
            seconds: None,
        };
        let refused = shortest(&instance, &budget, &mut |_| Control::Continue);
        assert!(refused.is_err());
    }
}
