//! A part expanded into plates: its steps carried out, its openings told apart, its marks laid.
//!
//! In: a part with its family. Out: its plates, and what its rules say; or every reason why there is
//! no such part. Steps that add, cut and keep are one arrangement up to the next rounding, so that
//! errors do not pile up.

use crate::fault::{Fault, Faults, Outcome};
use crate::finding::Finding;
use crate::geometry::{Contour, Face, Point, Pose};
use crate::recipe::evaluate::holds;
use crate::recipe::plan::Plan;
use crate::recipe::words::Hand;
use crate::recipe::{Evaluated, Names, Part, evaluate, limits};

use super::metal::{self, Metal};
use super::openings;
use super::{Bend, Mark, Plate};

/// The plates of a part, and what its rules of level warn and note say.
#[derive(Debug, Clone, PartialEq)]
pub struct Expanded {
    /// The plates, in the order of the recipe; names are unique within the part.
    pub plates: Vec<Plate>,
    /// What the rules say about the part as a whole.
    pub findings: Vec<Finding>,
}

/// Expands a part.
pub fn plates(part: &Part) -> Outcome<Expanded> {
    let evaluated = evaluate(part)?;
    let mut plates = Vec::new();
    let mut faults = Vec::new();
    for plan in &part.family.plans {
        match planned(part, plan, &evaluated) {
            Ok(made) => plates.extend(made),
            Err(found) => faults.extend(found.into_vec()),
        }
    }
    Faults::check(faults)?;
    if plates.is_empty() {
        return Err(part.fault("this part comes to no plate at all").into());
    }
    openings::check_overrides(part, &plates)?;
    Ok(Expanded {
        plates,
        findings: evaluated.findings,
    })
}

/// The plates of one `[[plate]]` block: none, one, or a left and a right.
fn planned(part: &Part, plan: &Plan, evaluated: &Evaluated) -> Outcome<Vec<Plate>> {
    let mut names = evaluated.names.clone();
    if !holds(plan.when.as_ref(), &names)? {
        return Ok(Vec::new());
    }
    set_points(plan, &mut names)?;
    let each = match &plan.quantity {
        Some(formula) => formula.count(&names, limits::QUANTITY, "`quantity`")?,
        None => 1,
    };
    let quantity = each.saturating_mul(part.quantity);
    if quantity == 0 {
        return Ok(Vec::new());
    }
    let thickness = thickness(part, plan, &names)?;
    let metal = metal::made(part, plan, &names)?;
    let face = one_piece(part, plan, &metal)?;
    let openings = openings::told_apart(part, &face, &metal)?;
    let name = match &plan.name {
        Some(name) if part.family.plans.len() > 1 => {
            crate::recipe::name::safe(&format!("{} {}", part.name, name.as_str()), "plate")
        }
        _ => part.name.clone(),
    };
    let plate = Plate {
        name,
        recipe: part.family.name.clone(),
        quantity,
        material: part.material.clone(),
        thickness,
        face,
        openings,
        mating: metal.mating,
        marks: metal.marks,
        bends: metal.bends,
        turning: plan.turning,
        cautions: part
            .family
            .cautions
            .iter()
            .map(|topic| topic.as_str().to_owned())
            .collect(),
        figures: evaluated.figures.clone(),
        dimensions: evaluated.dimensions.clone(),
        place: Some(part.place()),
    };
    Ok(match plan.hand {
        Hand::Single => vec![plate],
        Hand::Pair => vec![left(&plate), right(&plate)],
    })
}

fn set_points(plan: &Plan, names: &mut Names) -> Outcome<()> {
    for point in &plan.points {
        let what = format!("point `{}`", point.name);
        for (formula, axis) in point.at.iter().zip(["x", "y"]) {
            let value = formula.length(names, &what)?;
            names.set(
                format!("{}.{axis}", point.name),
                crate::quantity::Value::length(value),
            );
        }
    }
    Ok(())
}

fn thickness(part: &Part, plan: &Plan, names: &Names) -> Outcome<f64> {
    use crate::quantity::{Dimension, Scope};
    match &plan.thickness {
        Some(formula) => Ok(formula.size(names, "`thickness`")?),
        None => match names
            .value("thickness")
            .map(|it| it.expect(Dimension::LENGTH))
        {
            Some(Ok(thickness)) if thickness > 0.0 => Ok(thickness),
            _ => Err(part
                .fault("the thickness of this part is not above 0")
                .into()),
        },
    }
}

/// The one face that the steps must leave.
fn one_piece(part: &Part, plan: &Plan, metal: &Metal) -> Outcome<Face> {
    let what = match &plan.name {
        Some(name) => format!("the plate \"{}\" of {}", name.as_str(), part.name),
        None => part.name.clone(),
    };
    match metal.region.faces.as_slice() {
        [face] => Ok(face.clone()),
        [] => Err(part
            .fault(format!("nothing is left of {what}"))
            .remedy("its cuts take away everything that was added: check the dimensions")
            .into()),
        pieces => {
            let areas: Vec<String> = pieces
                .iter()
                .map(|piece| format!("{:.0} mm²", piece.area()))
                .collect();
            let message = format!(
                "{what} falls into {} pieces ({})",
                pieces.len(),
                areas.join(", ")
            );
            Err(part
                .fault(message)
                .remedy("leave more metal between its openings, or move what hangs loose")
                .into())
        }
    }
}

fn left(plate: &Plate) -> Plate {
    Plate {
        name: format!("{}-left", plate.name),
        ..plate.clone()
    }
}

/// The plate flipped left for right; words stay readable.
fn right(plate: &Plate) -> Plate {
    let flip = Pose {
        mirrored: true,
        ..Pose::IDENTITY
    };
    Plate {
        name: format!("{}-right", plate.name),
        face: plate.face.posed(&flip),
        openings: plate
            .openings
            .iter()
            .map(|opening| opening.posed(&flip))
            .collect(),
        mating: plate
            .mating
            .iter()
            .map(|contour: &Contour| contour.posed(&flip))
            .collect(),
        marks: plate.marks.iter().map(|mark| mark.posed(&flip)).collect(),
        bends: plate.bends.iter().map(|bend| bend.posed(&flip)).collect(),
        ..plate.clone()
    }
}

/// Width of a letter of scribed text with its gap, as a share of its height.
const LETTER_WIDTH: f64 = 0.8;

impl Mark {
    /// The mark moved. Words of a flipped plate are not flipped: they end where they began.
    #[must_use]
    pub fn posed(&self, pose: &Pose) -> Self {
        match self {
            Self::Line { from, to } => Self::Line {
                from: pose.point(*from),
                to: pose.point(*to),
            },
            Self::Circle { centre, diameter } => Self::Circle {
                centre: pose.point(*centre),
                diameter: *diameter,
            },
            Self::Centre { at } => Self::Centre {
                at: pose.point(*at),
            },
            Self::Text {
                at,
                height,
                turn,
                text,
            } => {
                let length = text.chars().count() as f64 * height * LETTER_WIDTH;
                let (start, turn): (Point, f64) = if pose.mirrored {
                    (at.polar(length, *turn), pose.turn - turn)
                } else {
                    (*at, pose.turn + turn)
                };
                Self::Text {
                    at: pose.point(start),
                    height: *height,
                    turn,
                    text: text.clone(),
                }
            }
        }
    }
}

impl Bend {
    /// The bend moved.
    #[must_use]
    pub fn posed(&self, pose: &Pose) -> Self {
        Self {
            from: pose.point(self.from),
            to: pose.point(self.to),
            ..self.clone()
        }
    }
}

/// The kernel could not resolve the outline: said of the part, with what can be done.
pub(super) fn unresolved(part: &Part, why: &crate::geometry::Unresolved) -> Fault {
    part.fault(format!(
        "the outline of {} could not be worked out: {why}",
        part.name
    ))
    .remedy("change a dimension by a hundredth of a millimetre and try again")
}
