//! Every way to fail that a family works out governs somewhere: a part is sought that would fail in that way first and is
//! too weak, and what it is told to do is done by machine.

use std::collections::BTreeSet;
use std::sync::Arc;

use crate::support::family_sets::{at_random, every_family, kind, whole};
use platewright::plate::plates;
use platewright::quantity::{Dimension as Of, Scope as _, Value};
use platewright::recipe::sampling::{Seed, sampled};
use platewright::recipe::{
    DimensionKind, Evaluated, Family, Margin, Part, Shelf, broken_rules, evaluate,
};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64Mcg;
use rayon::prelude::*;

/// Parts that are looked at for a way to fail before it counts as one that never comes first.
const MOST: usize = 4000;
/// Every so many of them another beginning is tried.
const ANEW: usize = 8;
/// A part that was not brought nearer by so many goes, and the search begins anew.
const PATIENCE: usize = 500;

/// How far from its limit a part is that is sought: too weak.
const WEAK: f64 = 0.98;
/// Parts that are looked at for one that is not past all help.
const MILDER: usize = 300;
/// Parts of which none may fail first in a way that is said to come after another.
const LOOKED_AT: usize = 300;

/// Ways to fail that few parts have first: their family, they, and settings near one that has.
const BEGUN_WITH: [(&str, &str, &[&str]); 4] = [
    // A large wheel on one bolt, of thin plate.
    (
        "chain-wheel",
        "the plate at hub bolts, bearing and tear-out",
        &[
            "chain=60",
            "teeth=120",
            "windows=0",
            "thickness=1.5 mm",
            "shaft=8 mm",
            "bolt_count=1",
            "bolt=M10",
            "bolt_class=12.9",
            "bolt_circle=38.5 mm",
            "friction=0.3",
        ],
    ),
    // Low and wide, with hardly a push along the column.
    (
        "column-support",
        "the upright at the bush, bearing and tear-out",
        &[
            "thickness=2 mm",
            "fold_radius=3 mm",
            "column=10 mm",
            "head=18.5 mm",
            "height=20 mm",
            "width=300 mm",
            "bolt=M16",
            "travel=0 mm",
            "push=1 N",
            "side_force=1500 N",
        ],
    ),
    (
        "flange",
        "the plate between bolts and hub, bent to and fro by the pull at every turn",
        &["pull=100 N"],
    ),
    // A short and wide arm, its wheel close to it on a hard bolt.
    (
        "idler-arm",
        "the plate at the idler's bolt, bearing and tear-out",
        &[
            "tension=spring",
            "spring_arm=300 mm",
            "spring_hole=20 mm",
            "idler_bolt=M6",
            "pivot_bolt=M24",
            "bolt_class=12.9",
            "boss=100 mm",
            "width=100 mm",
            "arm=65 mm",
            "fillet=20 mm",
            "overhang=2 mm",
            "pull=10000 N",
        ],
    ),
];

fn margins(part: &Part) -> Vec<Margin> {
    let made = plates(part).ok();
    let plates = made.into_iter().flat_map(|it| it.plates);
    plates.flat_map(|it| it.strength.margins).collect()
}

/// How far from its limit a part is in one way to fail; `None` where the way is not one of the part's.
fn share(part: &Part, says: &str) -> Option<f64> {
    let all = margins(part).into_iter();
    let own = all.filter(|it| it.says == says).map(|it| it.share());
    own.reduce(f64::min)
}

/// How far a part is from failing in this way first, and from being too weak: 1 where it does both.
fn short_of(part: &Part, says: &str) -> Option<f64> {
    let all = margins(part);
    let own = all.iter().find(|it| it.says == says)?.share();
    let others = all.iter().filter(|it| it.says != says).map(Margin::share);
    let first = others.fold(f64::INFINITY, f64::min);
    Some(f64::max(own / first, 1.0) * f64::max(own / WEAK, 1.0))
}

/// The ways that a family works out, by what they say.
fn ways(blocks: &toml::Table) -> BTreeSet<String> {
    let holds = blocks.get("hold").and_then(toml::Value::as_array);
    let holds = holds.into_iter().flatten();
    holds
        .filter(|it| it.get("not_checked").is_none())
        .map(|it| it["says"].as_str().expect("words").to_owned())
        .collect()
}

type Dimension<'a> = (&'a String, &'a toml::Table);

fn dimensions(blocks: &toml::Table) -> Vec<Dimension<'_>> {
    let all = blocks["dimension"].as_table().expect("a table").iter();
    all.map(|(name, block)| (name, block.as_table().expect("a block")))
        .collect()
}

/// Whether a dimension is a length, a force or another amount by itself.
fn is_amount(block: &toml::Table) -> bool {
    kind(block).is_none() && !block.contains_key("columns") && block["default"].is_str()
}

/// A dimension some way off, farther than `at_random` goes.
fn moved((name, block): Dimension<'_>, random: &mut Pcg64Mcg) -> String {
    const CLASSES: [&str; 4] = ["usual", "8.8", "10.9", "12.9"];
    const THREADS: [&str; 8] = [
        "M5", "M8", "M12x1.5", "3/8-16", "1/2 in", "M16", "M20x1.5", "M24",
    ];
    if kind(block) == Some("text") && name.contains("class") {
        return format!("{name}={}", CLASSES[random.random_range(0..CLASSES.len())]);
    }
    if kind(block) == Some("thread") {
        return format!("{name}={}", THREADS[random.random_range(0..THREADS.len())]);
    }
    if !is_amount(block) {
        return at_random(name, block, random);
    }
    let default = block["default"].as_str().expect("an expression");
    let far = if random.random_bool(0.2) { 3.5 } else { 1.8 };
    let factor = f64::exp(random.random_range(-far..far));
    format!("{name}=({default}) * {factor}")
}

/// A part with up to three of its dimensions some way off.
fn varied(part: &Part, all: &[Dimension<'_>], random: &mut Pcg64Mcg) -> Part {
    let mut part = part.clone();
    for _ in 0..random.random_range(0..4) {
        let setting = moved(all[random.random_range(0..all.len())], random);
        part.set(&setting)
            .unwrap_or_else(|faults| panic!("{setting}: {faults}"));
    }
    part
}

/// Where the search for a way to fail begins.
fn beginning(family: &Arc<Family>, name: &str, says: &str) -> Part {
    let mut part = Part::plain(Arc::clone(family));
    let begun_with = BEGUN_WITH.iter().find(|it| (it.0, it.1) == (name, says));
    for setting in begun_with.map_or(&[][..], |it| it.2) {
        part.set(setting)
            .unwrap_or_else(|faults| panic!("{setting}: {faults}"));
    }
    part
}

/// A part that fails in this way first, by small changes that bring the first nearer; else what comes before it in the
/// nearest.
fn sought(plain: &Part, all: &[Dimension<'_>], says: &str) -> Result<Part, Option<String>> {
    let mut random = Pcg64Mcg::seed_from_u64(17);
    let mut seed = Seed::new(17);
    let family = &plain.family;
    let mut nearest: Option<(f64, Part)> = None;
    let mut better_at = 0;
    for step in 0..MOST {
        if step - better_at > PATIENCE && step + PATIENCE < MOST {
            (nearest, better_at) = (None, step);
        }
        let from = match &nearest {
            Some((_, part)) if step % ANEW != 0 => part.clone(),
            None if step % 2 == 0 => plain.clone(),
            _ if step % (2 * ANEW) == 0 => plain.clone(),
            _ => match sampled(family, &mut seed) {
                Some(part) => part,
                None => continue,
            },
        };
        let part = varied(&from, all, &mut random);
        let Some(short) = short_of(&part, says) else {
            continue;
        };
        if short <= 1.0 {
            return Ok(milder(part, all, says, &mut random));
        }
        let before = nearest.as_ref().map_or(f64::INFINITY, |it| it.0);
        if short <= before {
            if short < before {
                better_at = step;
            }
            nearest = Some((short, part));
        }
    }
    let first = nearest.and_then(|(_, part)| {
        let all = margins(&part).into_iter();
        all.min_by(|a, b| a.share().total_cmp(&b.share()))
    });
    Err(first.map(|it| it.says))
}

/// A part that fails in the same way first, and is nearer to what is wanted.
fn milder(mut part: Part, all: &[Dimension<'_>], says: &str, random: &mut Pcg64Mcg) -> Part {
    let mut now = share(&part, says);
    for _ in 0..MILDER {
        let other = varied(&part, all, random);
        if short_of(&other, says).is_some_and(|it| it <= 1.0) && share(&other, says) > now {
            now = share(&other, says);
            part = other;
        }
    }
    part
}

/// A part with what its rules say to set done, one after another.
fn by_its_rules(mut part: Part) -> Option<Part> {
    for _ in 0..12 {
        let broken = broken_rules(&part).ok()?;
        let fix = broken.iter().find_map(|it| it.fixes.first().cloned());
        let Some(fix) = fix else { break };
        part.set(&format!("{}={}", fix.dimension, fix.typed()))
            .ok()?;
    }
    plates(&part).is_ok().then_some(part)
}

/// Which way a dimension is changed.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Way {
    Up,
    Down,
    Other,
}

/// Changes of one dimension of a part that a remedy may mean: what it must carry stays as it is.
fn changes(part: &Part, (name, block): Dimension<'_>) -> Vec<(Way, String)> {
    let of = |way: Way, all: &[&str]| -> Vec<(Way, String)> {
        all.iter().map(|it| (way, format!("{name}={it}"))).collect()
    };
    match kind(block) {
        Some("thread") => of(Way::Up, &["M8", "M10", "M12", "M16", "M20", "M24"]),
        Some("text") if name.contains("class") => {
            let mut all = of(Way::Up, &["10.9", "12.9"]);
            all.extend(of(Way::Down, &["8.8"]));
            all
        }
        Some("yes-no") => of(Way::Other, &["true", "false"]),
        Some("choice") => match part.family.measure(name).map(|it| &it.kind) {
            Some(DimensionKind::Choice(choices)) => {
                let choices: Vec<&str> = choices.iter().map(String::as_str).collect();
                of(Way::Other, &choices)
            }
            _ => Vec::new(),
        },
        _ => {
            let Ok(Evaluated { names, .. }) = evaluate(part) else {
                return Vec::new();
            };
            let Some(Value::Quantity(now)) = names.value(name) else {
                return Vec::new();
            };
            let (unit, amount) = match now.dimension {
                Of::LENGTH => (" mm", now.amount),
                Of::ANGLE => (" deg", now.amount.to_degrees()),
                Of::NONE => ("", now.amount),
                _ => return Vec::new(),
            };
            let whole = kind(block) == Some("count");
            let factors = [0.3, 0.5, 0.7, 0.85, 1.15, 1.4, 2.0, 3.0, 4.0];
            let set = |factor: f64| {
                let amount = if whole {
                    (amount * factor).round()
                } else {
                    amount * factor
                };
                let way = if factor > 1.0 { Way::Up } else { Way::Down };
                (way, format!("{name}={amount}{unit}"))
            };
            factors.map(set).to_vec()
        }
    }
}

/// Words of a remedy that ask for more, and for less.
const MORE: [&str; 11] = [
    "thick", "large", "wide", "long", "deep", "more", "high", "furth", "stron", "sprea", "clean",
];
const LESS: [&str; 9] = [
    "short", "less", "lower", "fewer", "neare", "small", "close", "bring", "thinn",
];

/// The beginnings of the words of a text.
fn stems(text: &str) -> BTreeSet<String> {
    let words = text.split(|c: char| !c.is_alphanumeric());
    let words = words.filter(|it| it.len() >= 3);
    words
        .map(|it| it.to_lowercase().chars().take(4).collect())
        .collect()
}

/// Whether a remedy tells of a dimension, and which way.
fn tells(remedy: &str, (name, block): Dimension<'_>, way: Way) -> bool {
    let told = stems(remedy);
    let mut own = stems(&name.replace('_', " "));
    own.extend(stems(block["says"].as_str().unwrap_or_default()));
    if kind(block) == Some("thread") {
        own.extend(stems("bolts pin rod kingpin"));
    }
    if name.contains("class") {
        own.extend(stems("stronger"));
    }
    let asks = |all: &[&str]| {
        let mut words = remedy.split(|c: char| !c.is_alphanumeric());
        words.any(|word| all.iter().any(|it| word.starts_with(it)))
    };
    let that_way = match way {
        Way::Up => asks(&MORE),
        Way::Down => asks(&LESS),
        Way::Other => true,
    };
    that_way && own.intersection(&told).next().is_some()
}

/// A part whose lengths are numbers, as a builder types them: none follows from another any more.
fn typed(part: &Part, all: &[Dimension<'_>]) -> Option<Part> {
    let Evaluated { names, .. } = evaluate(part).ok()?;
    let mut typed = part.clone();
    for (name, _) in all.iter().filter(|it| is_amount(it.1)) {
        if let Some(Value::Quantity(now)) = names.value(name)
            && now.dimension == Of::LENGTH
        {
            typed.set(&format!("{name}={} mm", now.amount)).ok()?;
        }
    }
    Some(typed)
}

/// What cures a way to fail, and whether its remedy tells of it.
fn cures(part: &Part, says: &str, remedy: &str, all: &[Dimension<'_>]) -> Vec<(bool, String)> {
    let parts: Vec<Part> = [Some(part.clone()), typed(part, all)]
        .into_iter()
        .flatten()
        .collect();
    let mut cures = Vec::new();
    for dimension in all {
        let cure = changes(part, *dimension).into_iter().find(|(_, setting)| {
            parts.iter().any(|part| {
                let mut mended = part.clone();
                let mended = mended.set(setting).ok().and_then(|()| by_its_rules(mended));
                mended.is_some_and(|it| share(&it, says).is_some_and(|it| it >= 0.995))
            })
        });
        if let Some((way, setting)) = cure {
            cures.push((tells(remedy, *dimension, way), setting));
        }
    }
    cures
}

/// Ways to fail that come after another of the same loads in every part of mild steel: its family, it, and what comes
/// before it, one or the other.
const COMES_AFTER: [(&str, &str, &[&str]); 15] = [
    (
        "caliper-bracket",
        "flange bolts by shear, should the joint slip",
        &["flange bolts by friction"],
    ),
    // 1.2 lc t Fu, and Fy 2 lc t / (1.1 Kt) with Kt over 2: less than half of it.
    (
        "caliper-bracket",
        "the plate at the caliper's bolts, bearing and tear-out",
        &["the bracket beside a caliper's bolt, with its notch"],
    ),
    (
        "chain-guard",
        "the plate at an ear's bolt, bearing and tear-out",
        &["an ear, bent by who leans on the guard"],
    ),
    (
        "chain-wheel",
        "hub bolts by shear, should the joint slip",
        &["hub bolts by friction"],
    ),
    (
        "disc-adapter",
        "disc bolts by shear, should the joint slip",
        &["disc bolts by friction"],
    ),
    (
        "disc-adapter",
        "hub bolts by shear, should the joint slip",
        &["hub bolts by friction"],
    ),
    (
        "flange",
        "bolts of the bolt circle by shear, should the joint slip",
        &["bolts of the bolt circle by friction"],
    ),
    (
        "flange",
        "bolts of the second circle by shear, should the joint slip",
        &["bolts of the second circle by friction"],
    ),
    (
        "hub-adapter",
        "hub bolts by shear, should the joint slip",
        &["hub bolts by friction"],
    ),
    (
        "hub-adapter",
        "wheel bolts by shear, should the joint slip",
        &["wheel bolts by friction"],
    ),
    (
        "kingpin-bracket",
        "a lug's foot at its welds, bumped again and again",
        &["a lug at its foot, bent by the wheel's load along the kingpin and by braking"],
    ),
    (
        "shackle-plate",
        "a bolt by shear at the face of a plate",
        &[
            "an eye beside its hole, with its notch",
            "a bolt, bent over the width of the spring",
        ],
    ),
    (
        "steering-arm",
        "boss bolts by shear, should the joint slip",
        &["boss bolts by friction"],
    ),
    (
        "steering-arm",
        "the eye, bearing and tear-out",
        &["the eye beside its hole, with its notch"],
    ),
    (
        "steering-wheel",
        "boss bolts by shear, should the joint slip",
        &["boss bolts by friction"],
    ),
];

/// Settings of a part in which a way to fail comes before the one that it is said to come after, if there are.
fn comes_first(
    family: &Arc<Family>,
    all: &[Dimension<'_>],
    says: &str,
    before: &[&str],
) -> Option<(f64, f64)> {
    let mut random = Pcg64Mcg::seed_from_u64(19);
    let mut seed = Seed::new(19);
    (0..LOOKED_AT).find_map(|_| {
        let part = sampled(family, &mut seed)?;
        let part = varied(&part, all, &mut random);
        let others = before.iter().filter_map(|it| share(&part, it));
        let (own, other) = (share(&part, says)?, others.reduce(f64::min)?);
        (own < other).then_some((own, other))
    })
}

/// What came of the ways to fail of a family.
#[derive(Debug, Default)]
struct Tally {
    /// First and too weak in some part, and mended by what is told.
    mended: usize,
    /// First in some part, but never too weak.
    holds: usize,
    /// After another in every part.
    after: usize,
    wrong: Vec<String>,
}

impl Tally {
    fn and(mut self, other: Self) -> Self {
        self.mended += other.mended;
        self.holds += other.holds;
        self.after += other.after;
        self.wrong.extend(other.wrong);
        self
    }
}

fn judged(name: &str) -> Tally {
    let family = Shelf::built_in().family(name).expect("built in");
    let blocks = whole(&family);
    let all = dimensions(&blocks);
    let mut tally = Tally::default();
    for says in ways(&blocks) {
        let after = COMES_AFTER.iter().find(|it| (it.0, it.1) == (name, &says));
        if let Some((_, _, before)) = after {
            tally.after += 1;
            if let Some(shares) = comes_first(&family, &all, &says, before) {
                let wrong = format!("{name}: {says} comes before {before:?}: {shares:?}");
                tally.wrong.push(wrong);
            }
            continue;
        }
        let part = match sought(&beginning(&family, name, &says), &all, &says) {
            Ok(part) => part,
            Err(Some(first)) if first == says => {
                tally.holds += 1;
                continue;
            }
            Err(first) => {
                let wrong = format!("{name}: never first: {says}, but {first:?}");
                tally.wrong.push(wrong);
                continue;
            }
        };
        let found = margins(&part).into_iter().find(|it| it.says == says);
        let margin = found.expect("found before");
        let cures = cures(&part, &says, &margin.remedy, &all);
        if cures.iter().any(|(told, _)| *told) {
            tally.mended += 1;
        } else {
            let (share, remedy) = (margin.share(), margin.remedy);
            let wrong =
                format!("{name}: {says}, at {share:.2}: \"{remedy}\" tells none of {cures:?}");
            tally.wrong.push(wrong);
        }
    }
    tally
}

#[test]
#[ignore = "minutes"]
fn every_way_to_fail_governs_somewhere_and_what_is_told_mends_it() {
    let mut families = every_family();
    if let Ok(only) = std::env::var("FAMILY") {
        families.retain(|it| *it == only);
    }
    let all = families.par_iter().map(|name| judged(name));
    let all = all.reduce(Tally::default, Tally::and);
    println!(
        "{} ways to fail come first and are mended, {} come first and hold, {} come after others",
        all.mended, all.holds, all.after
    );
    assert!(all.wrong.is_empty(), "{}", all.wrong.join("\n"));
}
