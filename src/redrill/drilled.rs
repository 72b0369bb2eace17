//! The plate as it will be: to print in true size, and as a part of a job.
//!
//! In: an answer. Out: a [`Plate`] with its old and new openings, and the text of a part file that names its
//! drawing.

use super::Answer;
use crate::export::paper::{Shows, template};
use crate::export::{Exporter as _, PdfFile};
use crate::fault::Outcome;
use crate::geometry::{Contour, Face};
use crate::plate::{AllowedRotation, Finish, Handed, Opening, Plate, Purpose, StrengthResults};
use crate::quantity::format::decimal;
use crate::trade::paper::Paper;

/// What the plate is called, and its files.
pub(super) const NAME: &str = "drilled";

impl Answer {
    /// The plate with its new holes.
    #[must_use]
    pub fn plate(&self) -> Plate {
        let face = self.drilled();
        let old = self.site.existing.iter().map(|it| Opening {
            name: it.name.clone(),
            purpose: it.purpose,
            thread: it.thread.map(|thread| thread.name()),
            finish: Finish::ByRule,
            circle: None,
            making: None,
        });
        let new = (1..=self.pattern.count).map(|number| Opening {
            name: format!("new hole {number}"),
            purpose: Purpose::Bolt,
            thread: self.pattern.thread.map(|thread| thread.name()),
            finish: Finish::ByRule,
            circle: None,
            making: None,
        });
        let openings = old.chain(new).zip(&face.openings);
        let openings = openings.map(|(opening, edge)| Opening {
            circle: edge.as_circle(),
            ..opening
        });
        Plate {
            name: NAME.to_owned(),
            recipe: "redrill".to_owned(),
            hand: Handed::Either,
            quantity: 1,
            material: self.site.material.clone(),
            thickness: self.site.thickness,
            openings: openings.collect(),
            face,
            mating: Vec::new(),
            marks: Vec::new(),
            bends: Vec::new(),
            rotation: AllowedRotation::default(),
            cautions: self.heed.iter().map(|it| it.topic.to_owned()).collect(),
            figures: Vec::new(),
            dimensions: Vec::new(),
            strength: StrengthResults::default(),
            beside: crate::plate::Beside::default(),
            place: None,
        }
    }

    /// The template to drill by on paper: crosses for the new holes, all that is there dashed to lay it by.
    pub(super) fn on_paper(&self, paper: &Paper) -> Outcome<Vec<u8>> {
        let mut plate = self.plate();
        for opening in plate.openings.iter_mut().take(self.site.existing.len()) {
            // An edge to lay the paper by, not a hole to punch.
            opening.purpose = Purpose::Window;
            opening.thread = None;
        }
        PdfFile.export(&template(&plate, paper, Shows::HoleCentres)?.document)
    }

    /// A part file of the plate as it will be, which names its drawing beside it.
    pub(super) fn part(&self) -> String {
        let quoted = |words: &str| toml_edit::Value::from(words).to_string();
        let mut text = format!(
            "# The plate with its new holes, as a part of a job or by itself.\ndrawing = {}\nthickness = {}\nmaterial = {}\n",
            quoted(&format!("{NAME}.dxf")),
            quoted(&format!("{} mm", decimal(self.site.thickness, 4))),
            quoted(&self.site.material),
        );
        let plate = self.plate();
        let mut sizes: Vec<(f64, &Opening)> = Vec::new();
        for opening in &plate.openings {
            let Some(circle) = opening.circle else {
                continue;
            };
            let diameter = 2.0 * circle.radius;
            let known = |(size, _): &(f64, &Opening)| (size - diameter).abs() < SAME_SIZE;
            if !sizes.iter().any(known) {
                sizes.push((diameter, opening));
            }
        }
        if sizes.is_empty() {
            return text;
        }
        text += "openings = [\n";
        for (diameter, opening) in sizes {
            let alike = plate.openings.iter().filter(|it| {
                let circle = it.circle;
                circle.is_some_and(|it| (2.0 * it.radius - diameter).abs() < SAME_SIZE)
            });
            let is_known = alike.clone().all(|it| it.thread == opening.thread);
            let thread = opening.thread.as_ref().filter(|_| is_known);
            let thread = thread.map_or_else(String::new, |it| format!(", thread = {}", quoted(it)));
            text += &format!(
                "    {{ diameter = {}, purpose = {}{thread} }},\n",
                quoted(&format!("{} mm", decimal(diameter, 4))),
                quoted(opening.purpose.word()),
            );
        }
        text + "]\n"
    }

    /// The plate with its new holes, on true edges.
    #[must_use]
    pub fn drilled(&self) -> Face {
        let mut face = self.site.face.clone();
        let centres = self.pattern.centres(&self.site, self.found[0].angle);
        face.openings.extend(
            centres
                .into_iter()
                .map(|at| Contour::circle(at, self.pattern.hole / 2.0).reversed()),
        );
        face
    }
}

/// Holes whose diameters differ by less than this, mm, are of one size in a part file.
const SAME_SIZE: f64 = 0.1;
