//! Which opening of a finished plate is which.
//!
//! In: the face and the cuts that made it. Out: one [`Opening`] each, named after the cut whose edge
//! it has. An opening that several cuts made together is named after the first of them that
//! something fits into, else after the first; one that no cut made is a window.

use std::collections::HashMap;

use crate::fault::{Fault, Faults, Outcome, nearest};
use crate::geometry::{Bounds, Circle, Contour, Face, Point, Pose, Region, Segment};
use crate::quantity::format::millimetres;
use crate::recipe::Part;
use crate::recipe::part::{OpeningKind, OpeningWish};
use crate::recipe::words::{Finish, Purpose};
use crate::toml_text::Text;

use super::construction::{Construction, Cut};
use super::{Opening, Plate};

/// Edges, centres and radii that differ by less than this, mm, are the same.
pub(super) const SAME_EDGE: f64 = 1e-4;

/// What each opening of the face is for, in their order.
pub(super) fn identified(part: &Part, face: &Face, made: &Construction) -> Vec<Opening> {
    let makers: Vec<Option<&Cut>> = face
        .openings
        .iter()
        .map(|contour| made_by(contour, &made.cuts))
        .collect();
    let unmade = makers.iter().filter(|maker| maker.is_none()).count() as u32;
    let mut windows = Windows::after(&made.cuts, unmade);
    let openings = face.openings.iter().zip(makers);
    openings
        .map(|(contour, maker)| match maker {
            Some(cut) => cut_opening(part, contour, cut, name(cut, &made.cuts, unmade)),
            None => Opening {
                name: windows.next_name(),
                purpose: Purpose::Window,
                thread: None,
                finish: Finish::ByRule,
                circle: contour.as_circle(),
                making: None,
            },
        })
        .collect()
}

/// Round openings of a drawing up to this diameter, mm, are for bolts unless the builder says otherwise: that of
/// an M36. Common practice, no source: larger ones save weight or make room.
const LARGEST_BOLT_HOLE: f64 = 40.0;
/// A round opening nearer to the middle of its plate than this, mm, centres it.
const CONCENTRIC: f64 = 0.05;

/// What each opening of a drawn face is for, in their order: as the part says, else by its form and place.
pub(super) fn drawn(part: &Part, face: &Face, made: &Construction) -> Vec<Opening> {
    let titles: Vec<String> = face.openings.iter().map(drawn_title).collect();
    let mut counts: HashMap<&str, u32> = HashMap::new();
    for title in &titles {
        *counts.entry(title).or_default() += 1;
    }
    let mut numbers: HashMap<&str, u32> = HashMap::new();
    let openings = face.openings.iter().zip(&titles);
    openings
        .map(|(contour, title)| {
            let number = numbers.entry(title).or_default();
            *number += 1;
            let name = if counts[title.as_str()] == 1 {
                title.clone()
            } else {
                format!("{title} {number}")
            };
            let circle = contour.as_circle();
            let of_kind = || {
                let mut kinds = part.kinds.iter();
                kinds.find(|it| is_of_kind(contour, made, it))
            };
            let kind = of_kind().map(|it| it.wish.clone()).unwrap_or_default();
            let own = wish_for(part, &name).map(|(_, wish)| wish.clone());
            let wish = own.unwrap_or_default().or(kind);
            let purpose = wish.purpose.unwrap_or_else(|| likely_purpose(circle, face));
            Opening {
                finish: finish(part, &wish, purpose, circle).unwrap_or_default(),
                thread: wish.thread.map(|it| it.as_str().to_owned()),
                purpose,
                circle,
                making: None,
                name,
            }
        })
        .collect()
}

/// The layers that a contour of a drawing is drawn on.
fn layers_of<'m>(contour: &Contour, made: &'m Construction) -> &'m [String] {
    let bounds = contour.bounds();
    let same = |other: &Bounds| {
        let apart = |a: Point, b: Point| a.distance(b) < SAME_EDGE;
        apart(bounds.min, other.min) && apart(bounds.max, other.max)
    };
    let found = made.drawn_on.iter().find(|(it, _)| same(it));
    found.map_or(&[], |(_, layers)| layers)
}

fn is_of_kind(contour: &Contour, made: &Construction, kind: &OpeningKind) -> bool {
    let on_layer = kind
        .layer
        .as_ref()
        .is_none_or(|it| layers_of(contour, made).contains(&it.as_str().to_uppercase()));
    let in_size = kind.diameters.is_none_or(|[least, most]| {
        let circle = contour.as_circle();
        circle.is_some_and(|it| (least..=most).contains(&(2.0 * it.radius)))
    });
    on_layer && in_size
}

/// Every kind of openings that the part speaks of is there.
pub(super) fn check_kinds(part: &Part, region: &Region, made: &Construction) -> Outcome<()> {
    let openings = || region.faces.iter().flat_map(|it| &it.openings);
    let there = |kind: &OpeningKind| openings().any(|it| is_of_kind(it, made, kind));
    let missing = part.kinds.iter().filter(|it| !there(it)).map(|kind| {
        let fault = Fault::refused("no opening of the drawing is of this kind");
        let fault = fault.at(&kind.place.source, kind.place.span.clone());
        let layers = openings().flat_map(|it| layers_of(it, made));
        let mut layers: Vec<&str> = layers.map(String::as_str).collect();
        layers.sort_unstable();
        layers.dedup();
        let asked = kind.layer.as_ref().map(|it| it.as_str().to_uppercase());
        match asked.filter(|it| !layers.contains(&it.as_str())) {
            Some(_) if layers.is_empty() => fault.remedy("none is on a layer: name a diameter"),
            Some(_) => fault.remedy(format!("openings are on {}", layers.join(", "))),
            None => {
                let mut titles: Vec<String> = openings().map(drawn_title).collect();
                titles.sort();
                titles.dedup();
                fault.remedy(format!("there are {}", titles.join(", ")))
            }
        }
    });
    Faults::check(missing.collect())
}

/// What openings of a drawing are called: round ones by their size.
fn drawn_title(contour: &Contour) -> String {
    match contour.as_circle() {
        Some(circle) => format!("{} hole", millimetres(2.0 * circle.radius)),
        None => "opening".to_owned(),
    }
}

/// What an opening of a drawing is for if nobody says.
fn likely_purpose(circle: Option<Circle>, face: &Face) -> Purpose {
    match circle {
        Some(it) if it.centre.distance(face.outside.middle()) < CONCENTRIC => Purpose::Bore,
        Some(it) if 2.0 * it.radius <= LARGEST_BOLT_HOLE => Purpose::Bolt,
        _ => Purpose::Window,
    }
}

/// How the part or the job wants an opening made.
fn finish(
    part: &Part,
    wish: &OpeningWish,
    purpose: Purpose,
    circle: Option<Circle>,
) -> Option<Finish> {
    let of_purpose = || {
        let mut finishes = part.finishes.iter().filter(|_| circle.is_some());
        finishes.find(|(known, _)| *known == purpose)
    };
    wish.finish
        .or_else(|| of_purpose().map(|(_, finish)| *finish))
}

/// The name of a cut: its title, numbered where there are several places of that title.
pub(super) fn cut_name(cut: &Cut, cuts: &[Cut]) -> String {
    name(cut, cuts, 0)
}

/// Every wish is one that can be met: it names an opening that there is, and only round ones are drilled.
pub(super) fn check_wishes(part: &Part, plates: &[Plate]) -> Outcome<()> {
    let mut names: Vec<&str> = plates
        .iter()
        .flat_map(|plate| &plate.openings)
        .flat_map(|opening| [opening.name.as_str(), without_number(&opening.name)])
        .collect();
    names.sort_unstable();
    names.dedup();
    let asked = part.openings.iter().map(|(name, _)| name);
    let unknown = asked.filter(|name| !names.contains(&name.as_str()));
    let unknown = unknown.map(|name| {
        let fault = name.fault(format!("there is no opening \"{}\"", name.as_str()));
        match nearest(name.as_str(), names.iter().copied()) {
            Some(near) => fault.remedy(format!("did you mean \"{near}\"?")),
            None if names.is_empty() => fault.remedy("this part has no openings at all"),
            None => fault.remedy(format!("there are {}", names.join(", "))),
        }
    });
    let plates = plates.iter();
    let not_round = plates.flat_map(|plate| {
        let openings = plate.openings.iter();
        let not_round = openings.filter(|it| {
            it.circle.is_none() && matches!(it.finish, Finish::Drill | Finish::Undersize)
        });
        not_round.map(|opening| not_round_fault(part, plate, opening))
    });
    Faults::check(unknown.chain(not_round).collect())
}

fn not_round_fault(part: &Part, plate: &Plate, opening: &Opening) -> Fault {
    let message = format!(
        "{} is not round, so it cannot be drilled or reamed",
        opening.name
    );
    let fault = match (wish_for(part, &opening.name), &plate.place) {
        (Some((name, _)), _) => name.fault(message),
        (None, Some(place)) => Fault::refused(format!("{}: {message}", plate.name))
            .at(&place.source, place.span.clone()),
        (None, None) => Fault::refused(format!("{}: {message}", plate.name)),
    };
    fault.remedy("take its `finish` away, or make it a disc")
}

/// What the part asks for an opening: by its own name, or by that of all of its kind.
fn wish_for<'a>(part: &'a Part, name: &str) -> Option<&'a (Text, OpeningWish)> {
    let asked = |wanted: &str| {
        let mut openings = part.openings.iter();
        openings.find(|(known, _)| known.as_str() == wanted)
    };
    asked(name).or_else(|| asked(without_number(name)))
}

/// Whether two circles are the same.
pub(super) fn is_same(a: Circle, b: Circle) -> bool {
    a.centre.distance(b.centre) < SAME_EDGE && (a.radius - b.radius).abs() < SAME_EDGE
}

/// Whether a contour has some of its edge from a cut.
pub(super) fn shares_edge(contour: &Contour, cut: &Cut) -> bool {
    if !contour.bounds().meets(cut.region.bounds().grown(SAME_EDGE)) {
        return false;
    }
    let on_edge = |segment: &Segment| {
        let gap = cut.region.edge_gap_to_point(segment.point_at(0.5));
        gap.is_some_and(|gap| gap.distance < SAME_EDGE)
    };
    contour.segments().iter().any(on_edge)
}

fn cut_opening(part: &Part, contour: &Contour, cut: &Cut, name: String) -> Opening {
    let wish = wish_for(part, &name).map(|(_, wish)| wish.clone());
    let circle = contour.as_circle();
    let asked = finish(part, &wish.unwrap_or_default(), cut.purpose, circle);
    Opening {
        purpose: cut.purpose,
        thread: cut.thread.clone(),
        finish: asked.unwrap_or(cut.finish),
        circle,
        making: None,
        name,
    }
}

fn made_by<'a>(contour: &Contour, cuts: &'a [Cut]) -> Option<&'a Cut> {
    if let Some(circle) = contour.as_circle() {
        let same = |cut: &&Cut| cut.circle.is_some_and(|other| is_same(other, circle));
        if let Some(cut) = cuts.iter().find(same) {
            return Some(cut);
        }
    }
    let makers: Vec<&Cut> = cuts
        .iter()
        .filter(|cut| shares_edge(contour, cut))
        .collect();
    let fitting = makers.iter().find(|cut| cut.purpose.fits_something());
    fitting.or(makers.first()).copied()
}

/// `more` openings besides the cuts are called windows.
fn name(cut: &Cut, cuts: &[Cut], more: u32) -> String {
    let mut others = cuts.iter().filter(|other| other.title == cut.title);
    let more = cut.title == Purpose::Window.word() && more > 0;
    if more || others.any(|other| other.number != cut.number) || cut.number > 1 {
        format!("{} {}", cut.title, cut.number)
    } else {
        cut.title.clone()
    }
}

/// Names for the windows that no cut made, after those that cuts made.
struct Windows {
    next: u32,
    all: u32,
}

impl Windows {
    fn after(cuts: &[Cut], unmade: u32) -> Self {
        let word = Purpose::Window.word();
        let windows = cuts.iter().filter(|cut| cut.title == word);
        let last = windows.map(|cut| cut.number).max().unwrap_or(0);
        Self {
            next: last + 1,
            all: last + unmade,
        }
    }

    fn next_name(&mut self) -> String {
        let number = self.next;
        self.next += 1;
        match self.all {
            1 => Purpose::Window.word().to_owned(),
            _ => format!("{} {number}", Purpose::Window.word()),
        }
    }
}

pub(super) fn without_number(name: &str) -> &str {
    match name.rsplit_once(' ') {
        Some((title, number)) if number.chars().all(|c| c.is_ascii_digit()) => title,
        _ => name,
    }
}

impl Opening {
    /// The opening moved.
    #[must_use]
    pub fn posed(&self, pose: &Pose) -> Self {
        let circle = self.circle.map(|circle| Circle {
            centre: pose.point(circle.centre),
            radius: circle.radius,
        });
        Self {
            circle,
            ..self.clone()
        }
    }
}
