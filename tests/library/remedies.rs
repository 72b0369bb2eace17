//! Remedies followed by machine: what a rule says to set is set, and the finding is gone.

use std::collections::BTreeSet;
use std::path::Path;
use std::sync::Arc;

use crate::support::family_sets::{at_random, whole};
use platewright::check::Finding;
use platewright::fault::Source;
use platewright::pipeline;
use platewright::recipe::{BrokenRule, Family, Job, Part, Shelf, broken_rules};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64Mcg;

/// Sets of dimensions that are tried of each family.
const SETS: usize = 3000;
/// Remedies that are followed one after another before that counts as endless.
const MOST_STEPS: usize = 40;

/// The families as they stand in the repository.
fn family(name: &str) -> Arc<Family> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("part-recipes");
    let shelf = Shelf::open(Some(&folder), &folder).expect("the folder is there");
    shelf
        .family(name)
        .unwrap_or_else(|faults| panic!("{faults}"))
}

/// A dimension at one end of its range, which of a list is a number of rows and no setting.
fn at_an_end(name: &str, block: &toml::Table, random: &mut Pcg64Mcg) -> Option<String> {
    if block.contains_key("columns") {
        return None;
    }
    let end = if random.random_bool(0.5) {
        "min"
    } else {
        "max"
    };
    let value = block.get(end)?;
    let value = value
        .as_str()
        .map_or_else(|| value.to_string(), str::to_owned);
    Some(format!("{name}={value}"))
}

/// A part with a few dimensions, or all, some way off or at an end of their range.
fn wild(family: &Arc<Family>, blocks: &toml::Table, random: &mut Pcg64Mcg) -> Part {
    let mut part = Part::plain(Arc::clone(family));
    let dimensions = blocks["dimension"].as_table().expect("a table");
    let share = [0.05, 0.2, 0.6, 1.0][random.random_range(0..4)];
    for (name, block) in dimensions {
        let block = block.as_table().expect("a table");
        if !random.random_bool(share) {
            continue;
        }
        let setting = if random.random_bool(0.15) {
            at_an_end(name, block, random)
        } else {
            Some(at_random(name, block, random))
        };
        if let Some(setting) = setting {
            part.set(&setting)
                .unwrap_or_else(|faults| panic!("{setting}: {faults}"));
        }
    }
    part
}

/// The length in inches that words give in brackets, as it is typed.
fn in_inches(words: &str) -> Option<String> {
    let (_, rest) = words.split_once('(')?;
    Some(rest.trim_end_matches(')').to_owned())
}

/// The part with a dimension set as a remedy says.
fn followed(part: &Part, dimension: &str, value: &str) -> Part {
    let mut part = part.clone();
    part.set(&format!("{dimension}={value}"))
        .expect("a remedy can be typed");
    part
}

/// Sets what the rule says, in millimetres and in inches, and looks whether the rule still speaks.
fn assert_true(what: &str, part: &Part, broken: &BrokenRule<'_>) {
    if broken.remedy.contains("would have to be") {
        return;
    }
    for fix in &broken.fixes {
        let words = fix.words();
        assert!(
            broken.remedy.contains(&words) && broken.remedy.contains(&fix.dimension),
            "{what}: {} does not tell {} of {words}",
            broken.remedy,
            fix.dimension
        );
        for typed in [Some(fix.typed()), in_inches(&words)].into_iter().flatten() {
            let mended = followed(part, &fix.dimension, &typed);
            match broken_rules(&mended) {
                Ok(left) => assert!(
                    left.iter().all(|it| it.number != broken.number),
                    "{what}: \"{}\": {} = {typed} does not mend \"{}\"",
                    broken.remedy,
                    fix.dimension,
                    broken.message
                ),
                // Another dimension may have its range from this one.
                Err(faults) => assert!(
                    !faults.to_string().contains(&format!("`{}`", fix.dimension)),
                    "{what}: \"{}\" cannot be followed: {faults}",
                    broken.remedy
                ),
            }
        }
    }
}

/// Follows one remedy after another; they may not lead in a circle.
fn assert_no_circle(what: &str, part: &Part) {
    let mut part = part.clone();
    let mut told = Vec::new();
    for _ in 0..MOST_STEPS {
        let Ok(broken) = broken_rules(&part) else {
            return;
        };
        let next = broken
            .iter()
            .filter(|it| !it.remedy.contains("would have to be"))
            .find_map(|it| Some((it, it.fixes.first()?)));
        let Some((rule, fix)) = next else {
            return;
        };
        told.push(format!(
            "{}: {} ({})",
            rule.number,
            fix.typed(),
            rule.remedy
        ));
        let (dimension, typed) = (fix.dimension.clone(), fix.typed());
        part = followed(&part, &dimension, &typed);
    }
    panic!("{what}: the remedies have no end:\n{}", told.join("\n"));
}

/// Whether words hold a number with more than three decimals.
fn has_raw_number(words: &str) -> bool {
    let decimals = words.split('.').skip(1);
    decimals
        .map(|it| it.chars().take_while(char::is_ascii_digit).count())
        .any(|count| count > 3)
}

/// The rules of a recipe whose remedy says what to set.
fn rules_with_a_fix(blocks: &toml::Table) -> BTreeSet<usize> {
    let rules = blocks["rule"].as_array().expect("rules").iter().enumerate();
    let says_to_set = |rule: &toml::Value| {
        let words = ["otherwise", "remedy"].into_iter();
        let words = words.filter_map(|key| rule.get(key)?.as_str());
        let mut braces = words.flat_map(|it| it.split('{').skip(1));
        braces.any(|it| {
            let name = it.split(['=', '}']).next().unwrap_or_default().trim();
            it[..it.find('}').unwrap_or(0)].contains(" = ")
                && name.chars().all(|c| c.is_alphanumeric() || c == '_')
        })
    };
    rules
        .filter(|(_, rule)| says_to_set(rule))
        .map(|(number, _)| number)
        .collect()
}

/// Breaks the rules of a family at random, follows every remedy, and wants each rule that says what to set
/// to have been among them.
fn assert_remedies_of(name: &str) {
    let family = family(name);
    let blocks = whole(&family);
    let mut random = Pcg64Mcg::seed_from_u64(11);
    let mut seen = BTreeSet::new();
    for set in 0..SETS {
        let part = wild(&family, &blocks, &mut random);
        // A dimension out of its range has a message of its own.
        let Ok(broken) = broken_rules(&part) else {
            continue;
        };
        let what = format!("{name}, set {set}");
        for rule in &broken {
            assert_true(&what, &part, rule);
            for words in [&rule.message, &rule.remedy] {
                assert!(!has_raw_number(words), "{what}: {words}");
            }
            let mut units = [" mm", "°", " deg"].iter();
            assert!(
                !rule.fixes.is_empty() || !units.any(|unit| rule.remedy.contains(unit)),
                "{what}: \"{}\" has a number and no dimension to set",
                rule.remedy
            );
            if !rule.fixes.is_empty() {
                seen.insert(rule.number);
            }
        }
        assert_no_circle(&what, &part);
    }
    let wanted = rules_with_a_fix(&blocks);
    assert_eq!(seen, wanted, "{name}: rules whose remedy was followed");
}

/// A test of its own for each family, so that they run side by side; none is left out.
macro_rules! remedies_are_true {
    ($($test:ident: $family:literal,)*) => {
        #[test]
        fn remedies_of_every_family_are_followed() {
            let mut here = [$($family),*];
            here.sort_unstable();
            assert_eq!(here.as_slice(), crate::support::family_sets::every_family());
        }
        $(#[test]
        fn $test() {
            assert_remedies_of($family);
        })*
    };
}

remedies_are_true! {
    remedies_of_the_hub_adapter_are_true: "hub-adapter",
    remedies_of_the_spring_perch_are_true: "spring-perch",
    remedies_of_the_steering_arm_are_true: "steering-arm",
    remedies_of_the_pedal_bracket_are_true: "pedal-bracket",
    remedies_of_the_flange_are_true: "flange",
    remedies_of_the_steering_wheel_are_true: "steering-wheel",
    remedies_of_the_kerf_test_are_true: "kerf-test",
    remedies_of_the_bearing_carrier_are_true: "bearing-carrier",
    remedies_of_the_bend_gauge_are_true: "bend-gauge",
    remedies_of_the_bolt_gauge_are_true: "bolt-gauge",
    remedies_of_the_bell_crank_are_true: "bell-crank",
    remedies_of_the_caliper_bracket_are_true: "caliper-bracket",
    remedies_of_the_chain_wheel_are_true: "chain-wheel",
    remedies_of_the_drill_jig_are_true: "drill-jig",
    remedies_of_the_engine_plate_are_true: "engine-plate",
    remedies_of_the_gusset_are_true: "gusset",
    remedies_of_the_instrument_panel_are_true: "instrument-panel",
    remedies_of_the_mounting_tab_are_true: "mounting-tab",
    remedies_of_the_shackle_plate_are_true: "shackle-plate",
    remedies_of_the_spacer_ring_are_true: "spacer-ring",
    remedies_of_the_splice_plate_are_true: "splice-plate",
    remedies_of_the_step_plate_are_true: "step-plate",
    remedies_of_the_tube_end_are_true: "tube-end",
    remedies_of_the_idler_arm_are_true: "idler-arm",
    remedies_of_the_chain_guard_are_true: "chain-guard",
    remedies_of_the_disc_adapter_are_true: "disc-adapter",
    remedies_of_the_hand_lever_are_true: "hand-lever",
    remedies_of_the_kingpin_bracket_are_true: "kingpin-bracket",
    remedies_of_the_column_support_are_true: "column-support",
    remedies_of_the_body_bracket_are_true: "body-bracket",
}

/// A spoke ran into a corner of the flat bottom, and the turn that was told was refused either way round:
/// the one that is told now clears both corners.
#[test]
fn spokes_are_turned_clear_of_both_corners_of_a_flat_bottom() {
    let mut part = Part::plain(family("steering-wheel"));
    for setting in ["flat_bottom=true", "spokes=4", "spoke_start=45 deg"] {
        part.set(setting)
            .unwrap_or_else(|faults| panic!("{faults}"));
    }
    let broken = broken_rules(&part).expect("every dimension is in its range");
    let corner = broken
        .iter()
        .find(|it| it.message.contains("runs into a corner"))
        .expect("a spoke in a corner");
    assert_true("steering-wheel", &part, corner);
    assert_eq!(corner.fixes.len(), 1, "{}", corner.remedy);
}

/// How a length in a remedy is followed.
#[derive(Clone, Copy)]
enum Follow {
    /// The dimension is set to it.
    Set,
    /// The dimension grows by it.
    Add,
}

/// The findings of a check about a recipe's plate on the usual table, with its dimension `d` set so.
fn findings_of(check: &str, recipe: &str, d: &str) -> Vec<Finding> {
    let source = Source::inline("recipe", recipe);
    let family = Family::read("test", &source).unwrap_or_else(|faults| panic!("{faults}"));
    let mut part = Part::plain(family);
    part.set(&format!("d={d}"))
        .unwrap_or_else(|faults| panic!("{faults}"));
    let drawn = pipeline::draw(&Job::of_part(part), &Shelf::built_in());
    let drawn = drawn.unwrap_or_else(|faults| panic!("{check}: {faults}"));
    let findings = drawn.findings.into_iter().flatten();
    findings.filter(|it| it.check == check).collect()
}

/// The first length of a remedy, in millimetres and in inches, as both are typed.
fn lengths_of(remedy: &str) -> [String; 2] {
    let (before, after) = remedy.split_once(" mm (").expect("a length");
    let number = before.rsplit(' ').next().expect("a number");
    let (inches, _) = after.split_once(')').expect("inches");
    [format!("{number} mm"), inches.to_owned()]
}

/// What a check says to move, widen or round is moved, widened or rounded, and the check is silent.
#[test]
fn what_the_checks_tell_by_a_number_is_true() {
    const HEAD: &str = "title = \"T\"\nabout = \"t\"\ncautions = [\"safety-critical\"]\n\
        [dimension.thickness]\nsays = \"t\"\ndefault = \"6 mm\"\n[dimension.d]\nsays = \"d\"\ndefault = \"1 mm\"\n\
        [[plate]]\n[[plate.step]]\nadd = \"rectangle\"\nwidth = \"200 mm\"\nheight = \"120 mm\"\nanchor = \"lower left\"\n";
    let hole = |at: &str| {
        format!(
            "[[plate.step]]\ncut = \"disc\"\npurpose = \"bolt\"\nthread = '\"M10\"'\ndiameter = \"11 mm\"\nat = [{at}]\n"
        )
    };
    let slot = "[[plate.step]]\ncut = \"rectangle\"\nwidth = \"60 mm\"\nheight = \"d\"\ncorner = \"d / 2\"\nat = [\"100 mm\", \"60 mm\"]\n";
    let windows = "[[plate.step]]\ncut = \"rectangle\"\nwidth = \"40 mm\"\nheight = \"40 mm\"\ncorner = \"5 mm\"\nanchor = \"right\"\nat = [\"100 mm\", \"60 mm\"]\n\
        [[plate.step]]\ncut = \"rectangle\"\nwidth = \"40 mm\"\nheight = \"40 mm\"\ncorner = \"5 mm\"\nanchor = \"left\"\nat = [\"100 mm + d\", \"60 mm\"]\n";
    let window = "[[plate.step]]\ncut = \"rectangle\"\nwidth = \"40 mm\"\nheight = \"40 mm\"\ncorner = \"d\"\nat = [\"100 mm\", \"60 mm\"]\n";
    let bend = |radius: &str, x: &str| {
        format!(
            "[[plate.step]]\nbend = \"up\"\nfrom = [\"{x}\", \"0 mm\"]\nto = [\"{x}\", \"120 mm\"]\nangle = \"90 deg\"\nradius = \"{radius}\"\n"
        )
    };
    let beside = format!(
        "{}{}",
        hole("\"100 mm + d\", \"60 mm\""),
        bend("6 mm", "90 mm")
    );
    for (check, steps, d, follow) in [
        (
            "edge distance",
            hole("\"d\", \"60 mm\""),
            "11.237 mm",
            Follow::Add,
        ),
        ("narrow slot", slot.to_owned(), "2.1 mm", Follow::Set),
        ("thin web", windows.to_owned(), "7.333 mm", Follow::Add),
        ("sharp corner", window.to_owned(), "0.3 mm", Follow::Set),
        ("bend radius", bend("d", "90 mm"), "3.1 mm", Follow::Set),
        ("bend clearance", beside, "1.13 mm", Follow::Add),
    ] {
        let recipe = format!("{HEAD}{steps}");
        let told = findings_of(check, &recipe, d);
        assert_eq!(told.len(), 1, "{check}: {told:?}");
        for length in lengths_of(&told[0].remedy) {
            let followed = match follow {
                Follow::Set => length,
                Follow::Add => format!("{d} + {length}"),
            };
            let mut left = findings_of(check, &recipe, &followed);
            left.retain(|it| it.level >= told[0].level);
            assert!(
                left.is_empty(),
                "{check}: \"{}\", d = {followed}: {left:?}",
                told[0].remedy
            );
        }
    }
}
