//! The calculation sheet of a plate: every way to fail with load, formula, numbers, limit and source, what
//! is not checked, cautions and room for a signature, so that an engineer can check it with a pencil.

use super::pdf::{Document, PdfPage};
use super::picture::{Anchor, Chain, Dash, Ink, Item, Picture, Stroke, Words};
use crate::geometry::{Bounds, Point};
use crate::lettering;
use crate::plate::{FIRST_LOOK, Margin, NotChecked, Plate};
use crate::quantity::format::{both_units, decimal};
use crate::trade::cautions::{Caution, Made, applying};
use crate::trade::paper::Paper;

/// Free edge of the paper, mm.
const EDGE: f64 = 15.0;
/// Height of a capital of the title, mm.
const TITLE: f64 = 5.0;
/// Height of a capital of what is looked at, mm.
const HEAD: f64 = 2.8;
/// Height of a capital of the rest, mm.
const TEXT: f64 = 2.2;
/// From line to line, as a share of the height of its letters.
const LEADING: f64 = 1.8;
/// How far the rest stands in, mm.
const INDENT: f64 = 5.0;

/// What a calculation sheet says, for whatever shows it: paper and the report page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Calculation {
    /// What it is.
    pub title: String,
    /// Of what it is, and what it is worth.
    pub of: String,
    /// Every way to fail.
    pub ways: Vec<Way>,
    /// What applies to the plate.
    pub cautions: Vec<Caution>,
    /// What whoever checks it fills in.
    pub signed: [&'static str; 3],
}

/// A way to fail.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Way {
    /// Its number and what it is.
    pub says: String,
    /// Formula, numbers, margin and source, or why it is not checked: a line each.
    pub told: Vec<String>,
    /// Whether it is worked out and too little.
    pub is_short: bool,
}

/// A line of the sheet: height of its letters, how far it stands in, its words.
type Line = (f64, f64, String);

impl Calculation {
    /// That of a plate; `None` where its family says nothing of how it holds.
    #[must_use]
    pub fn of(plate: &Plate, job: &str) -> Option<Self> {
        let strength = &plate.strength;
        let mut told = Vec::new();
        let margins = strength.margins.iter().map(|it| margin(it, &mut told));
        let left = strength.not_checked.iter().map(not_checked);
        let ways: Vec<Way> = (1..)
            .zip(margins.chain(left))
            .map(|(number, way)| Way {
                says: format!("{number}. {}", way.says),
                ..way
            })
            .collect();
        (!ways.is_empty()).then(|| Self {
            title: format!("Calculation sheet: {}", plate.name),
            of: format!(
                "{job}; {} {}; {FIRST_LOOK}",
                plate.material,
                both_units(plate.thickness)
            ),
            ways,
            cautions: applying(plate.topics(), &[Made::Words]),
            signed: [
                "name and licence",
                "date and signature",
                "with these changes",
            ],
        })
    }

    /// The same on pages of a paper, as many as it takes.
    #[must_use]
    pub fn document(&self, paper: &Paper) -> Document {
        let mut lines = vec![
            (TITLE, 0.0, self.title.clone()),
            (TEXT, 0.0, self.of.clone()),
        ];
        for way in &self.ways {
            lines.push((HEAD, 0.0, way.says.clone()));
            lines.extend(way.told.iter().map(|it| (TEXT, INDENT, it.clone())));
        }
        lines.push((HEAD, 0.0, "Cautions".to_owned()));
        let cautions = self.cautions.iter();
        lines.extend(cautions.map(|it| (TEXT, INDENT, it.text.to_owned())));
        lines.push((HEAD, 0.0, "Checked".to_owned()));
        let dots = ".".repeat(60);
        let signed = self.signed.iter();
        lines.extend(signed.map(|what| (HEAD, INDENT, format!("{what} {dots}"))));
        Document {
            pages: pages(&self.title, &lines, paper),
            title: self.title.clone(),
        }
    }
}

/// A margin; steps that were `told` before are named.
fn margin<'a>(it: &'a Margin, told_before: &mut Vec<&'a str>) -> Way {
    let reckoned = |numbers: &str, comes_to: &str| match numbers {
        "" => comes_to.to_owned(),
        numbers => format!("{numbers} = {comes_to}"),
    };
    let verdict = if it.is_enough() {
        "enough"
    } else {
        "TOO LITTLE"
    };
    let mut told = vec![it.formula.clone()];
    let is_told = |step: &&String| told_before.contains(&step.as_str());
    let (again, new): (Vec<&String>, Vec<&String>) = it.steps.iter().partition(is_told);
    told.extend(new.iter().map(|step| format!("where {step}")));
    let names = again.iter().filter_map(|step| step.split(" = ").next());
    let names: Vec<&str> = names.collect();
    if !names.is_empty() {
        told.push(format!("{} as above", names.join(", ")));
    }
    told_before.extend(new.iter().map(|it| it.as_str()));
    told.extend([
        format!("asked: {}", reckoned(&it.load_reckoned, &it.load)),
        format!("carries: {}", reckoned(&it.carries_reckoned, &it.carries)),
        format!(
            "margin: {} / {} = {}, wanted {}: {verdict}",
            it.carries,
            it.load,
            decimal(it.ratio, 2),
            decimal(it.wanted, 2)
        ),
        format!("source: {}", it.source),
    ]);
    if it.typical {
        told.push(
            "the strength of the material is usual, and no standard guarantees it".to_owned(),
        );
    }
    if !it.remedy.is_empty() {
        told.push(format!("to change: {}", it.remedy));
    }
    Way {
        says: it.says.clone(),
        told,
        is_short: !it.is_enough(),
    }
}

fn not_checked(it: &NotChecked) -> Way {
    let why = it.why.as_ref().map(|why| format!("why: {why}"));
    Way {
        says: format!("{}: NOT CHECKED", it.says),
        told: why.into_iter().chain([it.look.clone()]).collect(),
        is_short: false,
    }
}

/// The lines, wrapped, on as many pages as they take; what is looked at does not stand last on a page.
fn pages(title: &str, lines: &[Line], paper: &Paper) -> Vec<PdfPage> {
    let most = paper.width - 2.0 * EDGE;
    let wrapped: Vec<Line> = lines
        .iter()
        .flat_map(|(height, indent, words)| {
            let lines = lettering::wrapped(words, " ", *height, most - indent);
            lines.into_iter().map(|line| (*height, *indent, line))
        })
        .collect();
    let mut pages = vec![blank(title, paper)];
    let mut top = paper.height - EDGE;
    for (height, indent, text) in &wrapped {
        let is_head = *height == HEAD && *indent == 0.0;
        let before = if is_head { HEAD } else { 0.0 };
        let follows = if is_head { 3.0 * LEADING * TEXT } else { 0.0 };
        if top - before - LEADING * height - follows < EDGE {
            pages.push(blank(title, paper));
            top = paper.height - EDGE;
        } else {
            top -= before;
        }
        top -= LEADING * height;
        let words = Words {
            at: Point::new(EDGE + indent, top),
            anchor: Anchor::Start,
            height: *height,
            turn: 0.0,
            ink: Ink::Edge,
            text: text.clone(),
        };
        if let Some(page) = pages.last_mut() {
            page.items.push(Item::Words(words.fitted(most - indent)));
        }
    }
    let count = pages.len();
    let numbered = pages.into_iter().enumerate();
    let numbered = numbered.map(|(at, mut page)| {
        page.items.push(Item::Words(Words {
            at: Point::new(paper.width - EDGE, EDGE / 2.0),
            anchor: Anchor::End,
            height: TEXT,
            turn: 0.0,
            ink: Ink::Edge,
            text: format!("{title}, page {} of {count}", at + 1),
        }));
        PdfPage::of(page)
    });
    numbered.collect()
}

/// An empty page with a line along its foot.
fn blank(title: &str, paper: &Paper) -> Picture {
    let mut page = Picture::new(title);
    page.frame = Bounds {
        min: Point::ORIGIN,
        max: Point::new(paper.width, paper.height),
    };
    let foot = EDGE * 0.8;
    let line = Chain::line(Point::new(EDGE, foot), Point::new(paper.width - EDGE, foot));
    page.stroke(line, Stroke::new(0.25, Ink::Aid, Dash::Solid));
    page
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plate::plates;
    use crate::recipe::{Part, Shelf};
    use crate::trade::paper;

    fn words(family: &str) -> (usize, Vec<String>) {
        let part = Part::plain(Shelf::built_in().family(family).expect("built in"));
        let plate = &plates(&part).expect("a plate").plates[0];
        let paper = paper::find("A4").expect("A4");
        let sheet = Calculation::of(plate, "cart")
            .expect("a sheet")
            .document(paper);
        let items = sheet.pages.iter().flat_map(|page| &page.views);
        let items = items.flat_map(|view| {
            let frame = view.picture.frame;
            view.picture.items.iter().map(move |item| (frame, item))
        });
        let words = items.filter_map(|(frame, item)| match item {
            Item::Words(words) => {
                let own = words.bounds();
                assert!(own.min.x >= frame.min.x && own.max.x <= frame.max.x);
                assert!(own.min.y >= frame.min.y && own.max.y <= frame.max.y);
                Some(words.text.clone())
            }
            Item::Shape(_) => None,
        });
        (sheet.pages.len(), words.collect())
    }

    #[test]
    fn a_sheet_has_every_way_to_fail_with_its_numbers_and_room_for_a_signature() {
        let (pages, told) = words("steering-arm");
        let all = told.join(" ");
        for wanted in [
            "Calculation sheet: steering-arm",
            "asked: ",
            "carries: ",
            "source: ",
            "NOT CHECKED",
            "date and signature",
            "people can die",
            "licensed person",
        ] {
            assert!(all.contains(wanted), "{wanted}: {all}");
        }
        assert!((1..=3).contains(&pages), "{pages} pages");
        assert!(!all.contains(" safe "), "{all}");
        let has_glyphs = |c: char| crate::lettering::unknown(&c.to_string()).is_none();
        let missing: String = all.chars().filter(|c| !has_glyphs(*c)).collect();
        assert_eq!(missing, "", "letters that the alphabet lacks");
    }
}
