//! What is told of a second pattern on a plate: the best clockings, the rules, what would help; and its files.

use super::drilled::NAME;
use super::judge::{self, Ruling};
use super::{Clocking, Pattern, Site, picture, remedy, template};
use crate::export::{Dxf, Exporter, Outputs, PictureFiles, Release, plate_drawing};
use crate::fault::Outcome;
use crate::finding::Finding;
use crate::geometry::Tolerance;
use crate::quantity::format::{both_units, degrees};
use crate::trade::Fit;
use crate::trade::cautions::{Caution, Made, applying};
use crate::trade::paper::Paper;

/// Topics of the cautions that go with every re-drilled plate.
const TOPICS: [&str; 4] = ["safety-critical", "wheel adapters", "holes", "fasteners"];

/// Webs that differ by less than this, mm, are as good as one another.
pub const AS_GOOD: f64 = 1e-6;

/// Everything found.
#[derive(Debug)]
pub struct Answer {
    /// The plate.
    pub site: Site,
    /// The new holes.
    pub pattern: Pattern,
    /// The best clockings, best first; one at 0 if all are alike.
    pub found: Vec<Clocking>,
    /// Whether all are alike.
    pub any_will_do: bool,
    /// What the rules say of the best.
    pub rulings: Vec<Ruling>,
    /// What would help where a rule is broken.
    pub remedies: Vec<String>,
    /// The cautions to print.
    pub heed: Vec<Caution>,
    /// What is to be said of how its drawing was read.
    pub findings: Vec<Finding>,
}

/// The best clockings of a pattern on a plate, judged.
pub fn answer(site: Site, pattern: Pattern, fit: Fit) -> Outcome<Answer> {
    let own = site.cautions.iter().map(String::as_str).chain(TOPICS);
    let heed = applying(own, &[Made::Template]);
    let mut found = super::clockings(&site, &pattern)?;
    let any_will_do = found.is_empty();
    if any_will_do {
        let web = super::narrowest(&site, &pattern, 0.0).width;
        found.push(Clocking {
            angle: 0.0,
            web,
            turning_web: web,
        });
    }
    let rulings = judge::rulings(&site, &pattern, found[0].angle);
    let remedies = remedy::remedies(&site, &pattern, fit, &rulings);
    Ok(Answer {
        site,
        pattern,
        found,
        any_will_do,
        rulings,
        remedies,
        heed,
        findings: Vec::new(),
    })
}

impl Answer {
    /// What a clocking is told as: from the plate's own axis, and from the first hole that is there.
    #[must_use]
    pub fn turn_from_hole(&self, clocking: &Clocking) -> Option<(&str, f64)> {
        let (index, angle) = self.site.first_hole()?;
        let pace = self.pattern.pace();
        let off = (clocking.angle - angle).rem_euclid(pace);
        let off = if pace - off < Tolerance::ROUNDING {
            0.0
        } else {
            off
        };
        Some((self.site.name_of(Some(index)), off))
    }

    /// A clocking in words: where the first new hole comes, and what metal is left.
    #[must_use]
    pub fn told(&self, clocking: &Clocking) -> String {
        let nearest = super::narrowest(&self.site, &self.pattern, clocking.angle);
        let nearest = self.site.name_of(nearest.opening);
        let from = self
            .turn_from_hole(clocking)
            .map_or_else(String::new, |(name, turn)| {
                format!(" ({} on from {name})", degrees(turn))
            });
        let turning = if clocking.turning_web > clocking.web + AS_GOOD {
            format!(
                ", {} towards what the clocking changes",
                both_units(clocking.turning_web)
            )
        } else {
            String::new()
        };
        format!(
            "first new hole at {}{from}: {} of metal left, towards {nearest}{turning}",
            degrees(clocking.angle),
            both_units(clocking.web)
        )
    }

    /// The graph of metal left against the angle, the template to drill by (as PDF too if there is paper for it), and
    /// the plate as it will be, as drawing and part file.
    pub fn outputs(&self, pictures: PictureFiles, paper: Option<&Paper>) -> Outcome<Outputs> {
        let mut outputs = Outputs::default();
        let picture = picture::web_picture(&self.site, &self.pattern, &self.found);
        pictures.add(&mut outputs, "redrill/web", &picture)?;
        let drawing = template::template(&self.site, &self.pattern, self.found[0].angle);
        let release = Release::R2000;
        outputs.add("redrill/template.dxf", Dxf { release }.export(&drawing)?);
        if let Some(paper) = paper {
            outputs.add("redrill/template.pdf", self.on_paper(paper)?);
        }
        let plate = plate_drawing(&self.plate());
        let (drawing, part) = (
            format!("redrill/{NAME}.dxf"),
            format!("redrill/{NAME}.toml"),
        );
        outputs.add(drawing, Dxf { release }.export(&plate)?);
        outputs.add(part, self.part().into_bytes());
        Ok(outputs)
    }
}
