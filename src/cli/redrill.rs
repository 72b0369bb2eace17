//! `redrill`: clock a second bolt pattern onto a plate that exists.

use std::path::{Path, PathBuf};

use serde_json::{Value, json};

use super::args::{RedrillArgs, ShelfArgs};
use super::plain::line;
use super::screen::Screen;
use super::{cautions, dots, job};
use crate::export::Command;
use crate::fault::{Fault, Outcome};
use crate::finding::Finding;
use crate::geometry::Point;
use crate::plate::{self, Plate};
use crate::quantity::format::both_units;
use crate::recipe::{Job, Part, Shelf};
use crate::redrill::judge;
use crate::redrill::{self, Answer, Clocking, Pattern, Site};
use crate::trade::Fit;

pub(super) fn run(options: &RedrillArgs, shelf: &ShelfArgs, screen: &Screen) -> Outcome<u8> {
    let fit = Fit::read(&options.fit)?;
    let (pattern, _) = Pattern::read(&options.new, fit)?;
    let (site, findings) = site(options, fit, shelf)?;
    let mut answer = redrill::answer(site, pattern, fit)?;
    answer.findings = findings;
    let outputs = answer.outputs(options.pictures.files(), options.paper.as_ref())?;
    let sources: Vec<_> = options.plate.iter().cloned().collect();
    options.into.write(&outputs, Command::Redrill, &sources)?;
    let files = outputs.listing().into_iter().map(|it| it.path);
    let files: Vec<PathBuf> = files.map(|it| options.into.out.join(it)).collect();
    screen.result(|| answer.object(&files), || answer.text(&files))?;
    Ok(u8::from(!judge::is_sound(&answer.rulings)))
}

/// The plate: a drawing, a part or job file, a recipe as it stands, or typed.
fn site(options: &RedrillArgs, fit: Fit, shelf: &ShelfArgs) -> Outcome<(Site, Vec<Finding>)> {
    let thickness = options.thickness.unwrap_or(USUAL_THICKNESS);
    let (mut site, findings) = match job(options, thickness, shelf)? {
        None => (typed(options, fit, thickness)?, Vec::new()),
        Some(job) => {
            let made = plate::job_plates(&job);
            let made = made.map_err(|faults| options.into.with_picture(&job, faults))?;
            let findings = made.iter().flat_map(|it| it.findings.clone()).collect();
            let plates = made.into_iter().flat_map(|it| it.plates).collect();
            let plate = wanted(plates, &job.name, options.name.as_deref())?;
            (Site::of_plate(&plate), findings)
        }
    };
    if let Some(thickness) = options.thickness {
        site.thickness = thickness;
    }
    if let Some((x, y)) = options.centre {
        site.centre = Point::new(x, y);
    }
    Ok((site, findings))
}

/// Thickness of a plate that tells none, mm.
const USUAL_THICKNESS: f64 = 10.0;

/// The job of the plate that a file, a drawing or a shape names, if one does.
fn job(options: &RedrillArgs, thickness: f64, shelf: &ShelfArgs) -> Outcome<Option<Job>> {
    let is_drawn = options.plate.as_deref().is_some_and(job::is_drawing);
    if let Some(option) = options.reading.given().filter(|_| !is_drawn) {
        let fault = Fault::usage(format!("{option} is for a drawing"));
        return Err(fault.remedy("leave it out for any other plate").into());
    }
    let shelf = job::shelf(shelf)?;
    let thick = vec![line("thickness", &format!("{thickness} mm"))];
    match &options.plate {
        Some(path) if is_drawn => job::drawn(path, thick, &options.reading, &shelf),
        Some(path) => job_of(path, &shelf),
        None if options.plain.is_any() => job::typed(&options.plain, thick, &shelf),
        None => return Ok(None),
    }
    .map(Some)
}

fn job_of(path: &Path, shelf: &Shelf) -> Outcome<Job> {
    let is_recipe = !path.exists() && path.extension().is_none();
    if is_recipe {
        let family = shelf.family(&path.display().to_string())?;
        return Ok(Job::of_part(Part::plain(family)));
    }
    Job::read(path, shelf)
}

/// The one plate that is meant.
fn wanted(mut plates: Vec<Plate>, job: &str, name: Option<&str>) -> Outcome<Plate> {
    if let Some(name) = name {
        plates.retain(|plate| plate.name == name);
    }
    match plates.len() {
        1 => Ok(plates.remove(0)),
        0 => Err(Fault::usage(format!("`{job}` makes no such plate"))
            .remedy("`platewright draw` lists its plates")
            .into()),
        _ => {
            let names: Vec<&str> = plates.iter().map(|plate| plate.name.as_str()).collect();
            Err(Fault::usage(format!("`{job}` makes several plates"))
                .remedy(format!("add --plate with one of {}", names.join(", ")))
                .into())
        }
    }
}

fn typed(options: &RedrillArgs, fit: Fit, thickness: f64) -> Outcome<Site> {
    let Some(outside) = options.outside else {
        return Err(Fault::usage("there is no plate to drill")
            .remedy("name a part file, a recipe or a drawing, or type it: --outside 170mm --bore 60mm --has \"4 x 100 mm, M12\", or --rectangle 120x80mm")
            .into());
    };
    let patterns = options.has.iter().map(|text| Pattern::read(text, fit));
    let patterns: Vec<(Pattern, f64)> =
        patterns.collect::<Result<_, _>>().map_err(Fault::refused)?;
    let bore = options.bore.unwrap_or(0.0);
    Ok(Site::typed(outside, bore, thickness, &patterns))
}

impl Answer {
    fn text(&self, files: &[PathBuf]) -> String {
        let mut lines = vec![dots::dots(&self.drilled())];
        lines.extend(redrill::found(&self.site));
        lines.push(String::new());
        if self.any_will_do {
            lines.push("every clocking leaves the same".to_owned());
        } else {
            lines.push(format!("best:   {}", self.told(&self.found[0])));
            lines.push(self.found.get(1).map_or_else(
                || "second: there is no other".to_owned(),
                |second| {
                    let as_good = if second.web >= self.found[0].web - redrill::AS_GOOD {
                        " (as good)"
                    } else {
                        ""
                    };
                    format!("second{as_good}: {}", self.told(second))
                },
            ));
        }
        lines.push(String::new());
        for finding in &self.findings {
            let (level, message) = (finding.level.word(), &finding.message);
            lines.push(format!("{level}: {message}; {}", finding.remedy));
        }
        for ruling in &self.rulings {
            let word = match (ruling.is_met(), ruling.weight) {
                (true, _) => "kept  ",
                (false, judge::Weight::Must) => "BROKEN",
                (false, judge::Weight::Should) => "short ",
            };
            lines.push(format!(
                "{word} {}: {}, {} needed\n       ({})",
                ruling.says,
                both_units(ruling.has),
                both_units(ruling.needs),
                ruling.source
            ));
        }
        if !self.remedies.is_empty() {
            lines.push("\nwhat would make it work:".to_owned());
            lines.extend(self.remedies.iter().map(|it| format!("  {it}")));
        }
        let folder = files.first().and_then(|it| it.parent());
        let names = files.iter().filter_map(|it| it.file_name());
        let names: Vec<String> = names.map(|it| it.to_string_lossy().into_owned()).collect();
        lines.push(format!(
            "\nwrote {} into {}\ntemplate: print at 100 %; drilled.toml: the plate with its new holes, as a part of a job\n",
            names.join(", "),
            folder.unwrap_or(Path::new("")).display()
        ));
        lines.extend(cautions::lines(&self.heed));
        lines.join("\n")
    }

    fn object(&self, files: &[PathBuf]) -> Value {
        let clocking = |it: &Clocking| {
            let from = self.turn_from_hole(it);
            json!({
                "clocking_deg": it.angle.to_degrees(),
                "from_hole": from.map(|(name, _)| name),
                "from_hole_deg": from.map(|(_, turn)| turn.to_degrees()),
                "web_mm": it.web,
                "turning_web_mm": it.turning_web,
            })
        };
        let centres = self.pattern.centres(&self.site, self.found[0].angle);
        json!({
            "schema": 1,
            "best": clocking(&self.found[0]),
            "second": self.found.get(1).map(clocking),
            "every_clocking_alike": self.any_will_do,
            "holes": centres.iter().map(|p| json!({ "x_mm": p.x, "y_mm": p.y, "diameter_mm": self.pattern.hole })).collect::<Vec<_>>(),
            "rules": self.rulings.iter().map(|it| json!({
                "says": it.says, "has_mm": it.has, "needs_mm": it.needs, "met": it.is_met(),
                "must": it.weight == judge::Weight::Must, "source": it.source,
            })).collect::<Vec<_>>(),
            "remedies": self.remedies,
            "findings": self.findings.iter().map(|it| json!({
                "level": it.level.word(), "message": it.message, "remedy": it.remedy,
            })).collect::<Vec<_>>(),
            "found": redrill::found(&self.site),
            "files": files.iter().map(|it| it.display().to_string()).collect::<Vec<_>>(),
            "cautions": cautions::objects(&self.heed),
        })
    }
}
