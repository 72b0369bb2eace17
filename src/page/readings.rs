//! Readings and re-drilling: what was measured, typed into a form, and what comes of it.

use super::answer::{Bench, Live};
use super::folder::entries;
use super::request::Request;
use super::views::{self, Clocked, ReadingsPage, RedrillPage};
use crate::export::picture::{Dash, Ink, Picture, Stroke};
use crate::export::svg;
use crate::fault::{Fault, Outcome, Refusal};
use crate::geometry::Point;
use crate::measure::studs::Readings;
use crate::measure::{arc, words};
use crate::plate;
use crate::quantity::Dimension;
use crate::quantity::format::both_units;
use crate::recipe::Job;
use crate::redrill::{self, Answer, Pattern, Site, judge, picture};
use crate::trade::{self, Fit};

/// Thickness of a plate that tells none, mm, as the command has it.
const USUAL_THICKNESS: &str = "10 mm";

/// The page of readings.
pub(super) fn page() -> Outcome<String> {
    views::rendered(&ReadingsPage)
}

/// The page to clock a second pattern.
pub(super) fn redrill_page(bench: &Bench<'_>) -> Outcome<String> {
    let parts = entries(bench).into_iter().filter(|it| !it.is_job);
    views::rendered(&RedrillPage {
        files: parts.map(|it| it.file).collect(),
    })
}

/// A length above nothing that was typed, mm.
fn size(what: &str, typed: &str) -> Outcome<f64> {
    let refused = |why: Refusal| Fault::from(why.reworded(|why| format!("{what}: {why}")));
    if typed.trim().is_empty() {
        let missing =
            Refusal::new("nothing is typed").remedy("write it with its unit, such as 67.2 mm");
        return Err(refused(missing).into());
    }
    let mm = trade::amount(typed, Dimension::LENGTH).map_err(refused)?;
    if mm > 0.0 && mm.is_finite() {
        Ok(mm)
    } else {
        Err(refused("a length above 0 is needed".into()).into())
    }
}

fn count(what: &str, typed: &str) -> Outcome<u32> {
    let read = typed.trim().parse();
    Ok(read.map_err(|_| {
        Fault::refused(format!("{what}: \"{typed}\" is no whole number"))
            .remedy("write it in digits")
    })?)
}

/// A point that was typed, mm.
pub(super) fn point(typed: &str) -> Outcome<Point> {
    let halves = typed.split_once(',').ok_or_else(|| {
        Fault::refused(format!("\"{typed}\" is no point"))
            .remedy("write two lengths with a comma between, such as 10 mm, 0 mm")
    })?;
    let length = |text| trade::amount(text, Dimension::LENGTH);
    Ok(Point::new(length(halves.0)?, length(halves.1)?))
}

/// What comes of a form.
pub(super) fn told(bench: &Bench<'_>, request: &Request) -> Outcome<Live> {
    let (id, html) = match request {
        Request::Chord {
            studs,
            skipped,
            readings,
            how,
            stud,
            within,
        } => {
            let each = readings.split([';', '\n']).map(str::trim);
            let each = each.filter(|it| !it.is_empty());
            let lengths = each
                .map(|it| size("a reading", it))
                .collect::<Outcome<Vec<f64>>>()?;
            let stud = |wanted: &str| {
                (how == wanted)
                    .then(|| size("diameter of a stud", stud))
                    .transpose()
            };
            let readings = Readings {
                readings: lengths,
                studs: count("how many studs", studs)?,
                skipped: count("how many studs lie between", skipped)?,
                over: stud("over")?,
                between: stud("between")?,
                and_between: None,
                within: size("how far a reading may be off", within)?,
            };
            let circled = readings.circled()?;
            (
                "chord",
                lines(&words::circled(&readings, &circled).join("\n")),
            )
        }
        Request::Points { points, within } => {
            let [a, b, c] = points;
            let points = [point(a)?, point(b)?, point(c)?];
            let within = size("how far a reading may be off", within)?;
            let (round, centre) = arc::circle_through(points, within)?;
            ("points", lines(&words::centred(&round, centre)))
        }
        Request::Rise {
            chord,
            rise,
            within,
        } => {
            let within = size("how far a reading may be off", within)?;
            let round = arc::circle_of_rise(size("chord", chord)?, size("rise", rise)?, within)?;
            ("rise", lines(&words::both(&round)))
        }
        _ => ("clocked", clocked(&clocking(bench, request)?)?),
    };
    let mut live = Live::default();
    live.parts.insert(id.to_owned(), html);
    Ok(live)
}

/// Lines of words, a paragraph each.
fn lines(text: &str) -> String {
    let each = text.lines().map(|it| {
        let safe = it.replace('&', "&amp;").replace('<', "&lt;");
        format!("<p>{safe}</p>")
    });
    each.collect()
}

/// The best clocking that a form asks for.
pub(crate) fn clocking(bench: &Bench<'_>, request: &Request) -> Outcome<Answer> {
    let Request::Clock {
        plate,
        outside,
        bore,
        has,
        thickness,
        new,
    } = request
    else {
        return Err(Fault::usage("this is nothing to drill").into());
    };
    let fit = Fit::default();
    let (pattern, _) = Pattern::read(new, fit)?;
    let site = if plate.is_empty() {
        let thickness = if thickness.trim().is_empty() {
            USUAL_THICKNESS
        } else {
            thickness
        };
        let bore = if bore.trim().is_empty() {
            0.0
        } else {
            size("bore", bore)?
        };
        let patterns = has.split(';').map(str::trim).filter(|it| !it.is_empty());
        let patterns = patterns.map(|it| Pattern::read(it, fit));
        let patterns = patterns.collect::<Result<Vec<_>, _>>()?;
        let thickness = size("thickness", thickness)?;
        Site::typed(
            size("outside diameter", outside)?,
            bore,
            thickness,
            &patterns,
        )
    } else {
        let job = Job::from_source(&bench.source(plate)?, bench.shelf)?;
        let plates = plate::job_plates(&job)?
            .into_iter()
            .flat_map(|it| it.plates);
        let plates: Vec<_> = plates.collect();
        match plates.as_slice() {
            [one] => Site::of_plate(one),
            several => {
                let fault = Fault::refused(format!("{plate} makes {} plates", several.len()));
                return Err(fault
                    .remedy("take a part of one plate, or type the plate")
                    .into());
            }
        }
    };
    redrill::answer(site, pattern, fit)
}

fn clocked(answer: &Answer) -> Outcome<String> {
    let mut said = Vec::new();
    if answer.any_will_do {
        said.push("Every clocking leaves the same.".to_owned());
    } else {
        said.push(format!("Best: {}.", answer.told(&answer.found[0])));
        said.extend(
            answer
                .found
                .get(1)
                .map(|it| format!("Second: {}.", answer.told(it))),
        );
    }
    let rules = answer.rulings.iter().map(|it| {
        let word = match (it.is_met(), it.weight) {
            (true, _) => "kept",
            (false, judge::Weight::Must) => "BROKEN",
            (false, judge::Weight::Should) => "short",
        };
        [
            word.to_owned(),
            it.says.clone(),
            both_units(it.has),
            both_units(it.needs),
            it.source.to_string(),
        ]
    });
    let mut drilled = Picture::new("the plate with the new holes");
    let face = answer.drilled();
    let bounds = face.outside.bounds();
    let pen = bounds.width().max(bounds.height()) / 250.0;
    drilled.face(&face, Ink::Plate, Stroke::new(pen, Ink::Edge, Dash::Solid));
    let web = picture::web_picture(&answer.site, &answer.pattern, &answer.found);
    views::rendered(&Clocked {
        said,
        rules: rules.collect(),
        remedies: &answer.remedies,
        drilled: svg(&drilled.framed(4.0 * pen)),
        web: svg(&web),
        cautions: &answer.heed,
    })
}
