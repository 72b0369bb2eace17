//! Can it be cut: what a fabricator would see at a glance, as findings with remedies.
//!
//! In: a [`Plate`] whose openings know how they are made, and what the table can do ([`Limits`]). Out: [`Finding`]s, the gravest first.
//! Every check is one entry of [`CHECKS`]; adding one means adding an entry. A builder may relax a
//! check by its name: what is a matter of judgement then becomes a note, what is physically
//! impossible stays.
//!
//! ```
//! use platewright::check::{self, Limits};
//! use platewright::geometry::{Contour, Face, Point};
//! use platewright::plate::{AllowedRotation, Plate};
//! use platewright::trade::thermal::Process;
//!
//! let plate = Plate {
//!     name: "disc".into(),
//!     recipe: "disc".into(),
//!     hand: Default::default(),
//!     quantity: 1,
//!     material: "mild steel".into(),
//!     thickness: 6.0,
//!     face: Face { outside: Contour::circle(Point::ORIGIN, 900.0), openings: vec![] },
//!     openings: vec![],
//!     mating: vec![],
//!     marks: vec![],
//!     bends: vec![],
//!     rotation: AllowedRotation::Free,
//!     cautions: vec![],
//!     figures: vec![],
//!     dimensions: vec![],
//!     strength: Default::default(),
//!     place: None,
//!     beside: Default::default(),
//! };
//! let limits = Limits { process: Process::Plasma, kerf: 1.5, bed: (1500.0, 3000.0) };
//! let findings = check::run(&plate, Some(&limits), &[]);
//! assert_eq!(findings[0].check, "bed size");
//! ```

mod about;
mod bed;
mod bends;
mod bolts;
mod breach;
mod corners;
mod elsewhere;
mod openings;
mod strength;
mod subject;
mod webs;
mod words;

pub use crate::finding::{Finding, Level};
pub use about::About;
pub use elsewhere::{ELSEWHERE, Elsewhere, NAME_NOT_SCRIBED};

use crate::fault::{Refusal, nearest};
use crate::plate::Plate;
use crate::trade::thermal::Process;
use crate::trade::{edge, thermal};
use breach::Breach;
use subject::Subject;

/// What the checks need to know of a table and its settings for the plate's material and thickness.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    /// How it cuts.
    pub process: Process,
    /// Width of the slot that the torch burns, mm.
    pub kerf: f64,
    /// Bed size along x and y, mm.
    pub bed: (f64, f64),
}

/// One thing that is looked at.
pub struct Check {
    /// What it is called, and what is said of it.
    pub about: About,
    /// Finds the places where a plate breaks the limit.
    look: fn(&Subject<'_>) -> Vec<Breach>,
    /// Makes findings of them: of the worst, or of each.
    tell: fn(&Check, &[Breach]) -> Vec<Finding>,
}

/// The check of slots that the torch cannot enter, or barely: it tells the cause where no cut path is found.
pub const NARROW_SLOT: &str = "narrow slot";

/// The name of the check of margins.
pub const WILL_IT_HOLD: &str = "will it hold";

/// Every check there is.
pub const CHECKS: &[Check] = &[
    Check {
        about: About {
            name: "bed size",
            looks_at: "the whole part",
            limit: "fits the table's bed with a kerf around it, in a position its turning allows",
            source: "the table's settings",
            why: "The torch reaches no farther than the bed, and burns its kerf outside of the part.",
            if_ignored: "The machine runs into its end stops in the middle of a cut, and the sheet is lost.",
        },
        look: bed::bed_size,
        tell: breach::worst,
    },
    Check {
        about: About {
            name: NARROW_SLOT,
            looks_at: "openings and notches",
            limit: "refused where narrower than the kerf, warned where narrower than 1.5 kerfs",
            source: "geometry: the torch burns a slot of its kerf",
            why: "The torch burns a slot as wide as its kerf: in a narrower opening there is no room for the path, and in one that is hardly wider it cuts both sides at once.",
            if_ignored: "The opening comes out as wide as the kerf, with ragged ends; on most tables the controller refuses it.",
        },
        look: openings::narrow_slot,
        tell: breach::worst,
    },
    Check {
        about: About {
            name: "small opening",
            looks_at: "openings against the thickness",
            limit: "as wide as 1.5 thicknesses (plasma, oxy-fuel), half a thickness (laser to 12 mm) or one (laser above)",
            source: thermal::SMALLEST_OPENING.source,
            why: "A hole that is small against the thickness is pierced where it should be smooth, the arc lags behind and the heat cannot get away.",
            if_ignored: "The hole comes out tapered, with a notch where the torch came in, and too small for its bolt.",
        },
        look: openings::small_opening,
        tell: breach::worst,
    },
    Check {
        about: About {
            name: "thin web",
            looks_at: "metal left between cut openings, between them and the outside, and where an edge comes near itself",
            limit: "one thickness; 1.5 thicknesses between openings; refused under one kerf, and under 0.1 mm by any table",
            source: "plasma design guides (1.5 thicknesses); otherwise common practice",
            why: "Two cuts heat the metal between them from both sides.",
            if_ignored: "The web warps or melts through, and what is left tears at the first load.",
        },
        look: webs::thin_web,
        tell: breach::worst,
    },
    Check {
        about: About {
            name: "edge distance",
            looks_at: "bolt and tapped holes, from the centre to the nearest edge",
            limit: "AISC 360 Table J3.4, 1.5 diameters below it; refused under one diameter",
            source: edge::J3_4.source,
            why: "A bolt pushes the metal in front of it out towards the edge; so much of it is needed that the bolt is as strong as the plate.",
            if_ignored: "The hole pulls out through the edge, or the edge bulges and the joint works loose.",
        },
        look: bolts::edge_distance,
        tell: breach::worst,
    },
    Check {
        about: About {
            name: "bolt spacing",
            looks_at: "bolt holes, from centre to centre",
            limit: "2-2/3 diameters",
            source: "AISC 360 Section J3.3",
            why: "Between two bolts there must be metal to carry both, and room for a wrench and a washer.",
            if_ignored: "The plate tears from hole to hole, or a nut cannot be turned.",
        },
        look: bolts::spacing,
        tell: breach::worst,
    },
    Check {
        about: About {
            name: "bolt fit",
            looks_at: "bolt and tapped holes against their thread",
            limit: "a bolt passes its hole; a tap finds metal in its",
            source: "geometry",
            why: "A bolt must pass its hole, and a tap must find metal to cut.",
            if_ignored: "The parts cannot be put together, or the thread strips.",
        },
        look: bolts::fit,
        tell: breach::worst,
    },
    Check {
        about: About {
            name: "thread engagement",
            looks_at: "tapped holes",
            limit: "plate as thick as the thread's diameter, 1.5 times in soft metals",
            source: "common practice",
            why: "A thread carries only over the turns that it has; about one diameter of them makes it as strong as the bolt.",
            if_ignored: "The thread strips before the bolt is tight, often only on the road.",
        },
        look: bolts::engagement,
        tell: breach::worst,
    },
    Check {
        about: About {
            name: "bolt holes as cut",
            looks_at: "bolt holes of safety-critical parts",
            limit: "drilled or reamed, not used as the torch leaves them by the builder's own wish",
            source: "common practice for cyclic load; AISC 360 M2.5 allows cut holes under static load only",
            why: "The edge of a thermal cut is hard and notched, and under a load that comes and goes cracks begin at such notches.",
            if_ignored: "The part holds for a while and then breaks without a warning.",
        },
        look: bolts::as_cut,
        tell: breach::worst,
    },
    Check {
        about: About {
            name: "sharp corner",
            looks_at: "inside corners",
            limit: "radius of at least half the kerf, and of 1 mm on thermal cuts",
            source: "geometry; plasma design guides (1 mm)",
            why: "The torch is round and leaves its own radius in an inside corner, and a sharp corner gathers the stress of a load.",
            if_ignored: "The mating part does not seat, or a crack starts in the corner.",
        },
        look: corners::sharp,
        tell: breach::worst,
    },
    Check {
        about: About {
            name: "bend radius",
            looks_at: "bends",
            limit: "inside radius of at least one thickness of mild steel, 1.5 over 6 mm; other metals by their table",
            source: "common practice",
            why: "The outside of a bend is stretched, the more the sharper it is.",
            if_ignored: "The metal cracks along the outside of the bend, at once or later.",
        },
        look: bends::radius,
        tell: breach::worst,
    },
    Check {
        about: About {
            name: "bend clearance",
            looks_at: "openings beside a fold line",
            limit: "2 thicknesses and the inside radius away from it",
            source: "common practice",
            why: "Metal beside a fold moves with it.",
            if_ignored: "The opening is drawn out of shape, and a bolt no longer fits.",
        },
        look: bends::clearance,
        tell: breach::worst,
    },
    Check {
        about: About {
            name: "short leg",
            looks_at: "the narrower side of a fold line",
            limit: "2.5 thicknesses and the inside radius wide, so that the brake can hold it",
            source: "common practice",
            why: "The brake holds the plate across the opening of its die; a leg that is too narrow slips into it.",
            if_ignored: "The leg cannot be bent in a brake, or comes out at an angle of its own.",
        },
        look: bends::leg,
        tell: breach::worst,
    },
    Check {
        about: About {
            name: "scribed words",
            looks_at: "words that a recipe scribes",
            limit: "every stroke lies in the metal, 1 mm from its edges",
            source: "geometry",
            why: "A stroke that would leave the metal is not scribed.",
            if_ignored: "The words cannot be read.",
        },
        look: words::cut_short,
        tell: breach::each,
    },
    Check {
        about: About {
            name: WILL_IT_HOLD,
            looks_at: "what the part carries under the loads of its dimensions",
            limit: "the margin its family wants",
            source: "the family's formulas, each with its own source",
            why: "The formulas compare what the part carries with the loads that its dimensions give. They know nothing of the state of old parts, and what they leave out stands beside them as not checked.",
            if_ignored: "The part may bend, slip or break under the load you gave. For steering, hub and brake parts ask a qualified person before anybody rides on it.",
        },
        look: strength::margin,
        tell: breach::each,
    },
];

/// What the checks find on a plate, the gravest first; `relax` names checks to make notes.
///
/// Without `limits` only those checks speak that need no table. Of most checks the worst place of a
/// level is told, with the number of others.
#[must_use]
pub fn run(plate: &Plate, limits: Option<&Limits>, relax: &[String]) -> Vec<Finding> {
    let subject = Subject { plate, limits };
    let mut findings: Vec<Finding> = CHECKS
        .iter()
        .flat_map(|check| {
            let relaxed = relax.iter().any(|name| name == check.about.name);
            let breaches: Vec<Breach> = (check.look)(&subject)
                .into_iter()
                .map(|breach| if relaxed { breach.relaxed() } else { breach })
                .collect();
            (check.tell)(check, &breaches)
        })
        .collect();
    findings.sort_by_key(|finding| std::cmp::Reverse(finding.level));
    findings
}

/// A finding of another stage as the job wants it: a note if its check is relaxed, unless it refuses.
#[must_use]
pub fn as_relaxed(mut finding: Finding, relax: &[String]) -> Finding {
    if finding.level == Level::Warn && relax.contains(&finding.check) {
        finding.level = Level::Note;
        finding.message += breach::RELAXED;
    }
    finding
}

/// Whether there is a check of this name to relax, or what there is instead.
pub fn relaxable(name: &str) -> Result<(), Refusal> {
    let elsewhere = ELSEWHERE.iter().filter(|it| it.may_be_relaxed);
    let names = CHECKS.iter().map(|check| check.about.name);
    let names = names.chain(elsewhere.map(|it| it.about.name));
    if names.clone().any(|known| known == name) {
        return Ok(());
    }
    let cause = format!("there is no check \"{name}\"");
    Err(
        Refusal::new(cause).remedy(match nearest(name, names.clone()) {
            Some(near) => format!("did you mean \"{near}\"?"),
            None => format!("there are {}", names.collect::<Vec<_>>().join(", ")),
        }),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn checks_have_names_of_their_own_and_say_what_they_do() {
        for (i, check) in CHECKS.iter().enumerate() {
            assert!(
                CHECKS[i + 1..]
                    .iter()
                    .all(|other| other.about.name != check.about.name)
            );
            let about = &check.about;
            for words in [
                about.looks_at,
                about.limit,
                about.source,
                about.why,
                about.if_ignored,
            ] {
                assert!(!words.is_empty(), "{}", about.name);
            }
        }
    }

    #[test]
    fn a_mistyped_check_gets_the_near_one() {
        assert_eq!(relaxable("thin web"), Ok(()));
        assert!(
            relaxable("thin weg")
                .expect_err("mistyped")
                .to_string()
                .contains("\"thin web\"")
        );
    }
}
