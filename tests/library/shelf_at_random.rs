//! The whole shelf at random settings: a plate that the last look accepts, or a refusal whose remedy, followed
//! by machine, leads to one.

use std::sync::Arc;

use crate::support::family_sets::{at_random, every_family, whole};
use platewright::finding::Level;
use platewright::nest::{Budget, Control};
use platewright::pipeline;
use platewright::recipe::sampling::{Seed, sampled};
use platewright::recipe::{BrokenRule, Family, Job, Part, Shelf, broken_rules};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64Mcg;

/// Remedies that are followed one after another before that counts as endless.
const MOST_STEPS: usize = 40;

/// What became of a setting.
#[derive(Debug, Default)]
struct Tally {
    /// Accepted, at once or once its remedies were followed.
    accepted: usize,
    /// Of these, once its remedies were followed.
    mended: usize,
    /// Refused with a remedy in words: what it asks for is the builder's choice.
    in_words: usize,
    /// Accepted by the rules, and refused by a check of its plates, with a remedy.
    by_a_check: usize,
}

/// Rules that refuse the part.
fn refusing(part: &Part) -> Result<Vec<BrokenRule<'_>>, String> {
    let broken = broken_rules(part).map_err(|faults| faults.to_string())?;
    let refuses = |it: &BrokenRule<'_>| it.level() == Level::Refuse;
    Ok(broken.into_iter().filter(refuses).collect())
}

/// Follows remedies until no rule refuses the part; `None` where one has no number to follow.
fn mended(mut part: Part, what: &str) -> Option<(Part, usize)> {
    for step in 0..MOST_STEPS {
        let next = {
            let broken = refusing(&part).ok()?;
            if broken.is_empty() {
                return Some((part, step));
            }
            let mut fixes = broken.iter().filter_map(|it| it.fixes.first());
            fixes
                .next()
                .map(|it| format!("{}={}", it.dimension, it.typed()))
        };
        part.set(&next?).expect("a remedy can be typed");
    }
    panic!("{what}: the remedies have no end");
}

/// A setting of a family, the whole way to its sheets.
fn try_one(part: Part, what: &str, tally: &mut Tally) {
    let shelf = Shelf::built_in();
    if let Ok(broken) = refusing(&part) {
        assert!(broken.iter().all(|it| !it.remedy.is_empty()), "{what}");
    }
    let Some((part, steps)) = mended(part, what) else {
        tally.in_words += 1;
        return;
    };
    let job = Job::of_part(part);
    let planned = pipeline::draw(&job, &shelf).and_then(|drawn| {
        pipeline::plan(&job, drawn, &Budget::FIRST_LAYOUT, &mut |_| {
            Control::Continue
        })
    });
    match planned {
        Ok(planned) => {
            assert!(!planned.report().plates.is_empty(), "{what}");
            tally.accepted += 1;
            tally.mended += usize::from(steps > 0);
        }
        // Thickness beyond the table's, a plate beyond its bed, an opening too small for it.
        Err(faults) => {
            let without = faults.as_slice().iter().filter(|it| it.remedy.is_none());
            let without: Vec<String> = without.map(ToString::to_string).collect();
            assert!(without.is_empty(), "{what}: {without:?}");
            let gone = ["last look", "inside the program", "is a fault"];
            let said = faults.to_string();
            assert!(!gone.iter().any(|it| said.contains(it)), "{what}: {said}");
            tally.by_a_check += 1;
        }
    }
}

/// A part with a few dimensions some way off.
fn near(family: &Arc<Family>, random: &mut Pcg64Mcg) -> Part {
    let text = whole(family);
    let mut part = Part::plain(Arc::clone(family));
    for (name, block) in text["dimension"].as_table().expect("a table") {
        if random.random_bool(0.1) {
            let setting = at_random(name, block.as_table().expect("a block"), random);
            part.set(&setting)
                .unwrap_or_else(|faults| panic!("{setting}: {faults}"));
        }
    }
    part
}

fn settings(family: &Arc<Family>, count: usize) -> Tally {
    let mut tally = Tally::default();
    let mut seed = Seed::new(17);
    let mut random = Pcg64Mcg::seed_from_u64(17);
    for set in 0..count {
        // Every second set differs little from the family as it stands, the others lie anywhere in their ranges.
        let part = if set % 2 == 0 {
            sampled(family, &mut seed)
        } else {
            Some(near(family, &mut random))
        };
        if let Some(part) = part {
            try_one(part, &format!("{}, set {set}", family.name), &mut tally);
        }
    }
    tally
}

fn whole_shelf(count: usize) {
    for name in every_family() {
        let family = Shelf::built_in().family(&name).expect("built in");
        let tally = settings(&family, count);
        println!("{name}: {tally:?}");
        assert!(tally.accepted > count / 20, "{name}: {tally:?}");
    }
}

#[test]
fn every_family_at_some_settings_is_cut_or_mended() {
    whole_shelf(8);
}

#[test]
#[ignore = "6000 settings, each the whole way to its sheets"]
fn every_family_at_two_hundred_settings_is_cut_or_mended() {
    whole_shelf(200);
}

/// All families on one job: each of their plates comes off its sheet.
#[test]
fn a_job_of_the_whole_shelf_is_cut() {
    let shelf = Shelf::built_in();
    let families = shelf.families().expect("the shelf");
    assert!(families.len() >= 30, "{} families", families.len());
    let parts = families.iter();
    let parts = parts.map(|it| format!("[[part]]\nrecipe = \"{}\"\n", it.name));
    let parts = parts.collect::<Vec<_>>().concat();
    let text = format!("[job]\nname = \"the shelf\"\n{parts}");
    let source = platewright::fault::Source::inline("shelf.toml", text);
    let job = Job::from_source(&source, &shelf).unwrap_or_else(|faults| panic!("{faults}"));
    let drawn = pipeline::draw(&job, &shelf).unwrap_or_else(|faults| panic!("{faults}"));
    let plates = drawn.plates.len();
    let planned = pipeline::plan(&job, drawn, &Budget::FIRST_LAYOUT, &mut |_| {
        Control::Continue
    });
    let planned = planned.unwrap_or_else(|faults| panic!("{faults}"));
    let report = planned.report();
    assert_eq!(report.plates.len(), plates);
    assert!(report.unplaced.is_empty(), "{} left", report.unplaced.len());
}
