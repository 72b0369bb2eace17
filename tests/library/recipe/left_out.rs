//! What a family need not write again: what it leaves out is what the language page says.

use std::fs;
use std::path::Path;

use super::workbench::{HEAD, make, make_family, said, said_of_family};
use platewright::fault::Source;
use platewright::plate::Plate;
use platewright::recipe::Family;

/// The only plate of a recipe.
fn plate_of(body: &str, part: &str) -> Plate {
    let made = make(body, part).unwrap_or_else(|faults| panic!("{faults}"));
    made.plates.into_iter().next().expect("a plate")
}

/// The words of a dimension of a recipe.
fn says_of(family: &str, name: &str) -> String {
    let source = Source::inline("own.toml", family);
    let family = Family::read("own", &source).unwrap_or_else(|faults| panic!("{faults}"));
    family.measure(name).expect(name).says.clone()
}

/// Two rows of holes for a thread, in a plate wide enough, and `more`.
fn holes(more: &str) -> String {
    format!(
        "[dimension.bolt]\nsays = \"bolts\"\ndefault = \"M10\"\n\
         [dimension.across]\nsays = \"from bolt to bolt\"\ndefault = 3\n\
         [[plate]]\n[[plate.step]]\nadd = \"rectangle\"\nwidth = \"200 mm\"\nheight = \"120 mm\"\n\
         [[plate.step]]\nwhen = \"across > 1\"\ncut = \"disc\"\nthread = \"bolt\"\nname = \"floor bolt\"\n\
         along = {{ count = \"across\", step = [\"40 mm\", \"0 mm\"], rows = 2, row_step = [\"0 mm\", \"50 mm\"], centred = true }}\n\
         {more}"
    )
}

const BOLT: &str = "[[bolt]]\nsays = \"the floor\"\nnear = \"floor bolt\"\nclass = \"'8.8'\"\ngrip = \"thickness\"\n";

#[test]
fn the_example_of_the_page_comes_to_what_the_page_says() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("part-recipes/README.md");
    let page = fs::read_to_string(path).expect("the language page");
    let examples = page.split("```toml\n").skip(1);
    let example = examples.filter_map(|it| it.split("```").next());
    let family = { example }
        .find(|it| it.starts_with("title = \"Foot of a rail\""))
        .expect("the example");
    let made = make_family(family, "").unwrap_or_else(|faults| panic!("{faults}"));
    let plate = &made.plates[0];
    let bolts = &plate.strength.hardware[0];
    // Three of M8, as the row of holes has them; 9 mm is ISO 273, medium series.
    assert_eq!((bolts.count, bolts.thread.as_str()), (3, "M8"));
    assert_eq!(bolts.class, "8.8");
    assert_eq!(bolts.nut.as_deref(), Some("locking nut"));
    let radii: Vec<f64> = plate
        .openings
        .iter()
        .map(|it| it.circle.expect("round").radius)
        .collect();
    assert_eq!(radii, [4.5, 4.5, 4.5]);
    let margin = &plate.strength.margins[0];
    assert!((margin.wanted - 2.0).abs() < 1e-9);
    assert!(margin.source.starts_with("AISC 360 J3.10"));
    let said = said_of_family(family, "thickness = \"10 mm\"\n").join("\n");
    assert!(
        said.contains("use larger bolts (common practice)"),
        "{said}"
    );
    let said = said_of_family(family, "margin = \"9 mm\"\n").join("\n");
    assert!(said.contains("set margin to at least 12 mm"), "{said}");
    assert!(
        said.contains("(AISC 360-16 Table J3.4 and J3.4M)"),
        "{said}"
    );
    // In the usual words.
    let words = says_of(family, "bolt_class");
    assert!(
        words.starts_with("class of the bolts, such as 8.8"),
        "{words}"
    );
}

#[test]
fn bolts_are_as_many_as_the_openings_that_they_are_near() {
    let hardware = |body: &str, part: &str| plate_of(body, part).strength.hardware;
    let made = hardware(&holes(BOLT), "");
    assert_eq!((made[0].count, made[0].thread.as_str()), (6, "M10"));
    // Whether there are any is for the block alone to say: bolts go through slots as well.
    let none = format!("{BOLT}when = \"across > 1\"\n");
    assert!(hardware(&holes(&none), "across = 1\n").is_empty());
    assert_eq!(hardware(&holes(&none), "")[0].count, 6);
    // What the block says counts.
    let own = format!("{BOLT}count = \"2\"\nthread = \"'M12'\"\nnut = \"nut\"\n");
    let made = hardware(&holes(&own), "across = 1\n");
    assert_eq!((made[0].count, made[0].thread.as_str()), (2, "M12"));
    assert_eq!(made[0].nut, None);
    let tapped = format!("{BOLT}fastener = '\"bolt into a thread\"'\n");
    assert_eq!(hardware(&holes(&tapped), "")[0].nut, None);
}

#[test]
fn openings_that_do_not_tell_how_many_they_are_leave_that_to_be_written() {
    let skipped = holes(BOLT).replace(
        "along = {",
        "around = { count = 4, circle = \"60 mm\", skip = [2] }\n# along = {",
    );
    let said = said(&skipped, "");
    assert!(
        said[0].contains("`count` is missing from [[bolt]]"),
        "{said:?}"
    );
    // The thread is known all the same.
    assert!(!said.join("\n").contains("thread"), "{said:?}");
}

#[test]
fn a_round_hole_with_a_thread_is_a_bolt_s_unless_it_says_otherwise() {
    let with = |keys: &str| {
        let body = holes("").replace("thread = \"bolt\"\n", &format!("thread = \"bolt\"\n{keys}"));
        plate_of(&body, "").openings.swap_remove(0)
    };
    let plain = with("");
    assert_eq!(plain.purpose.word(), "bolt");
    // ISO 273 has 11 mm for M10 in the medium series, 10.5 in the fine.
    assert!((plain.circle.expect("round").radius - 5.5).abs() < 1e-9);
    let fine = with("diameter = 'clearance(bolt, \"fine\")'\n");
    assert!((fine.circle.expect("round").radius - 5.25).abs() < 1e-9);
    let tapped = with("purpose = \"tapped\"\ndiameter = \"tap_drill(bolt)\"\n");
    assert_eq!(tapped.purpose.word(), "tapped");
}

#[test]
fn of_several_remedies_the_first_that_holds_is_told() {
    let body = holes(
        "[[rule]]\nwhen = \"across < 5\"\nneed = \"thickness >= 8 mm\"\notherwise = \"it is thin\"\nlevel = \"warn\"\n\
         remedy = [\n { when = \"across == 2\", says = \"set thickness to at least {thickness = 8 mm}\" },\n \
         { when = \"across == 3\", says = \"use two bolts a row\" },\n { says = \"set across to {across = 2}\" },\n]\n",
    );
    let told = |part: &str| {
        let made = make(&body, part).unwrap_or_else(|faults| panic!("{faults}"));
        let rules = made
            .findings
            .into_iter()
            .filter(|it| it.message == "it is thin");
        rules.map(|it| it.remedy).collect::<Vec<_>>()
    };
    assert_eq!(
        told("across = 2\n"),
        ["set thickness to at least 8 mm (0.315 in)"]
    );
    assert_eq!(told(""), ["use two bolts a row"]);
    assert_eq!(told("across = 4\n"), ["set across to 2"]);
    assert!(told("across = 5\n").is_empty());
    assert!(told("thickness = \"9 mm\"\n").is_empty());
    let wrong = body.replace("says = \"use two", "say = \"use two");
    let said = said(&wrong, "");
    assert!(said.join("\n").contains("did you mean `says`?"), "{said:?}");
}

#[test]
fn a_choice_has_the_columns_of_its_row_under_its_name() {
    let body = "[table.unit]\ncolumns = { bolts = \"length\", bolt = \"thread\" }\nsource = \"none\"\n\
        [table.unit.rows]\nsmall = [\"60 mm\", \"M8\"]\nlarge = [\"90 mm\", \"M12\"]\n\
        [dimension.unit]\nsays = \"size\"\nchoices = \"unit\"\ndefault = \"small\"\n\
        [dimension.wide]\nsays = \"width\"\ndefault = \"2 * unit.bolts\"\n\
        [[plate]]\n[[plate.step]]\nadd = \"rectangle\"\nwidth = \"wide\"\nheight = \"60 mm\"\n\
        [[plate.step]]\ncut = \"disc\"\nthread = \"unit.bolt\"\nname = \"bolt\"\n";
    for (part, wide, hole) in [("", 120.0, 9.0), ("unit = \"large\"\n", 180.0, 13.5)] {
        let plate = plate_of(body, part);
        assert!((plate.face.outside.bounds().width() - wide).abs() < 1e-9);
        let found = 2.0 * plate.openings[0].circle.expect("round").radius;
        assert!((found - hole).abs() < 1e-9, "{found}");
    }
    let said = said(&body.replace("\"unit.bolt\"", "\"unit.bold\""), "");
    assert!(
        said.join("\n").contains("did you mean `unit.bolt`?"),
        "{said:?}"
    );
}

#[test]
fn a_dimension_that_no_shared_file_knows_still_needs_its_default() {
    let said = said(
        "[dimension.foo]\nsays = \"foo\"\n[[plate]]\n[[plate.step]]\nadd = \"disc\"\ndiameter = \"9 mm\"\n",
        "",
    );
    assert!(
        said[0].contains("`default` is missing from [dimension.foo]"),
        "{said:?}"
    );
    // A family of the builder's own may have a usual dimension, with words of its own.
    let own = format!(
        "{HEAD}[dimension.lug_class]\n[dimension.friction]\nsays = \"how slippery\"\n\
         [[figure]]\nsays = \"rub\"\nvalue = \"friction\"\n[[note]]\nsays = \"{{lug_class}}\"\n\
         [[plate]]\n[[plate.step]]\nadd = \"disc\"\ndiameter = \"90 mm\"\n"
    );
    let said = said_of_family(&own, "friction = 3\n").join("\n");
    assert!(
        said.contains("`friction` (how slippery) is 3, more than the most possible, 0.6"),
        "{said}"
    );
    assert!(says_of(&own, "lug_class").starts_with("class of the lug bolts"));
}

#[test]
fn figures_and_what_is_not_checked_are_written_as_words_and_a_value() {
    let body = "each = [\"near\", \"far\"]\n[figure]\n\"its half\" = \"thickness / 2\"\n\
        \"its double\" = { when = \"thickness > 6 mm\", value = \"2 * thickness\" }\n\
        [not_checked]\n\"the @ weld\" = \"look at it\"\n\"rust\" = { when = \"thickness < 6 mm\", look = \"paint it\" }\n\
        [[plate]]\n[[plate.step]]\nadd = \"disc\"\ndiameter = \"90 mm\"\n";
    let family = format!("{}{HEAD}", &body[..body.find("[figure]").expect("it")]);
    let family = format!("{family}{}", &body[body.find("[figure]").expect("it")..]);
    let told = |part: &str| {
        let made = make_family(&family, part).unwrap_or_else(|faults| panic!("{faults}"));
        let plate = &made.plates[0];
        let figures: Vec<String> = plate.figures.iter().map(|(says, _)| says.clone()).collect();
        let left: Vec<String> = plate
            .strength
            .not_checked
            .iter()
            .map(|it| it.says.clone())
            .collect();
        (figures.join(", "), left.join(", "))
    };
    assert_eq!(
        told(""),
        (
            "its half".to_owned(),
            "the near weld, the far weld".to_owned()
        )
    );
    assert_eq!(told("thickness = \"7 mm\"\n").0, "its half, its double");
    assert_eq!(
        told("thickness = \"5 mm\"\n").1,
        "the near weld, the far weld, rust"
    );
    // What is wrong is told at its place.
    let said =
        said_of_family(&family.replace("\"thickness / 2\"", "\"thicknes / 2\""), "").join("\n");
    assert!(said.contains("did you mean `thickness`?"), "{said}");
    let said = said_of_family(&family.replace("look = ", "loook = "), "").join("\n");
    assert!(said.contains("unknown key `loook`"), "{said}");
}

#[test]
fn a_range_is_both_ends_of_a_dimension() {
    let with = |keys: &str| {
        format!(
            "title = \"T\"\nabout = \"t\"\n[dimension.thickness]\nsays = \"thickness\"\ndefault = \"6 mm\"\n{keys}\
             [[plate]]\n[[plate.step]]\nadd = \"disc\"\ndiameter = \"20 * thickness\"\n"
        )
    };
    let range = "range = [\"3 mm\", \"1/2 in\"]\n";
    assert!(make_family(&with(range), "thickness = \"0.5 in\"\n").is_ok());
    for (keys, part, expected) in [
        (
            range,
            "thickness = \"2 mm\"\n",
            "less than the least possible, 3 mm (0.118 in); write 3 mm (0.118 in) to 12.7 mm",
        ),
        (
            range,
            "thickness = \"13 mm\"\n",
            "more than the most possible, 12.7 mm",
        ),
        (
            "range = [\"3 mm\"]\n",
            "",
            "`range` takes a list of two values; write two values in [ ], not 1",
        ),
        (
            "range = [\"3 mm\", \"12 deg\"]\n",
            "",
            "the most of `thickness` (thickness)",
        ),
        ("range = \"3 mm\"\n", "", "`range` takes a list in [ ]"),
        (
            "range = [\"3 mm\", \"9 mm\"]\nmax = \"9 mm\"\n",
            "",
            "write range = [\"least\", \"most\"] alone",
        ),
        (
            "rnage = [\"3 mm\", \"9 mm\"]\n",
            "",
            "did you mean `range`?",
        ),
    ] {
        let said = said_of_family(&with(keys), part).join("\n");
        assert!(said.contains(expected), "{keys}: {said}");
    }
    // One end that a family says of a usual dimension leaves the other, here 0.02 to 0.6.
    let usual = |part: &str| {
        let keys = "[dimension.friction]\nmin = \"0.1\"\n[[figure]]\nsays = \"rub\"\nvalue = \"friction\"\n";
        said_of_family(&with(keys), part).join("\n")
    };
    assert!(usual("friction = 0.05\n").contains("write 0.1 to 0.6"));
    assert!(usual("friction = 0.7\n").contains("write 0.1 to 0.6"));
}

#[test]
fn a_limit_of_one_dimension_is_its_own_remedy() {
    let rule = |need: &str| {
        let body = holes(&format!(
            "[[rule]]\n{need}\notherwise = \"it is {{thickness}}\"\n"
        ));
        let family = format!("{HEAD}{body}");
        said_of_family(&family, "").join("\n")
    };
    let most = rule("practice = \"thickness <= diameter(bolt) / 2\"");
    assert!(
        most.contains(
            "it is 6 mm (0.236 in); set thickness to at most 5 mm (0.196 in) (common practice)"
        ),
        "{most}"
    );
    let least = rule("need = \"thickness >= max(8 mm, diameter(bolt))\"");
    assert!(least.contains("set thickness to at least 10 mm"), "{least}");
    for needs_more in [
        "need = \"2 * thickness >= 20 mm\"",
        "need = \"thickness >= 8 mm or across > 9\"",
        "need = \"thickness > 8 mm\"",
        "need = \"thickness >= 2 * thickness\"",
    ] {
        let said = rule(needs_more);
        assert!(
            said.contains("but not what to do; add remedy"),
            "{needs_more}: {said}"
        );
    }
    let both = rule("need = \"thickness >= 8 mm\"\npractice = \"thickness >= 8 mm\"");
    assert!(
        both.contains("`need` or `practice`, and this has both"),
        "{both}"
    );
    let source = rule("practice = \"thickness >= 8 mm\"\nsource = \"my aunt\"");
    assert!(
        source.contains("`practice` says where the limit comes from; leave `source` out"),
        "{source}"
    );
}

/// AISC 360 asks for a safety factor of 2 in bearing and shear and of 1.67 in bending (J3.10, J3.6, F11), EN 1990
/// for a load factor of 1.5, and EN 1993-1-9 for up to 1.35 on fatigue strength.
#[test]
fn a_hold_goes_by_the_law_of_what_it_carries() {
    let told = |carries: &str, load: &str, keys: &str| {
        let hold = format!(
            "[[hold]]\nsays = \"it\"\nload = \"{load}\"\ncarries = '{carries}'\nremedy = \"use more\"\n{keys}"
        );
        let plate = plate_of(&holes(&hold), "");
        let margin = plate.strength.margins.into_iter().next().expect("a margin");
        (margin.wanted, margin.formula, margin.source)
    };
    let bearing = "bearing(10 mm, 11 mm, 20 mm, thickness, tensile(material, thickness))";
    let of =
        |wanted: f64, formula: &str, source: &str| (wanted, formula.to_owned(), source.to_owned());
    let by_hand = "formula = \"f\"\n";
    for (found, expected) in [
        (
            told(bearing, "1 kN", ""),
            of(
                2.0,
                "min(1.2 lc, 2.4 d) t Fu",
                "AISC 360 J3.10; 2 is its safety factor",
            ),
        ),
        (
            told(bearing, "1 kN", "margin = \"3\"\n"),
            of(
                3.0,
                "min(1.2 lc, 2.4 d) t Fu",
                "AISC 360 J3.10; the margin of 3 is common practice for a part that must not break",
            ),
        ),
        (
            told(
                "2 * shear_load(bolt, \"8.8\")",
                "1 kN",
                "margin = \"1.5\"\n",
            ),
            of(
                1.5,
                "(pi / 4) d^2 * 0.45 Fu",
                "AISC 360 Table J3.2, threads in the shear plane; the margin of 1.5 is common practice",
            ),
        ),
        (
            told("1.5 * yield(material, thickness)", "1 MPa", by_hand),
            of(1.67, "f", "AISC 360 F11; 1.67 is its safety factor"),
        ),
        (
            told("fillet_weld(material, thickness)", "1 MPa", by_hand),
            of(
                1.5,
                "f",
                "EN 1993-1-8 4.5.3.3; 1.5 is the load factor of EN 1990",
            ),
        ),
        (
            told(
                "fatigue_range(material, 36, 1000)",
                "1 MPa",
                "formula = \"f\"\nsource = \"s\"\n",
            ),
            of(1.35, "f", "s"),
        ),
        (
            told(
                bearing,
                "1 kN",
                "formula = \"f\"\nmargin = \"4\"\nsource = \"s\"\n",
            ),
            of(4.0, "f", "s"),
        ),
    ] {
        assert_eq!(found, expected);
    }
    let missing = |carries: &str, keys: &str| {
        let hold = format!(
            "[[hold]]\nsays = \"it\"\nload = \"1 MPa\"\ncarries = '{carries}'\nremedy = \"use more\"\n{keys}"
        );
        said(&holes(&hold), "").join("\n")
    };
    let none = missing("yield(material, thickness)", "");
    for key in ["margin", "formula", "source"] {
        assert!(
            none.contains(&format!("`{key}` is missing from [[hold]]")),
            "{none}"
        );
    }
    // Two stresses together are another law, and a margin that is worked out has a reason of its own.
    assert!(
        missing("fillet_weld(material, thickness) * sqrt(3)", by_hand)
            .contains("`source` is missing")
    );
    let worked_out = missing(
        "fillet_weld(material, thickness)",
        "formula = \"f\"\nmargin = \"across\"\n",
    );
    assert!(worked_out.contains("`source` is missing"), "{worked_out}");
}

#[test]
fn bolts_are_of_the_class_that_is_asked() {
    let of = |dimensions: &str, part: &str| {
        let body = holes(&BOLT.replace("class = \"'8.8'\"\n", ""));
        let made =
            make(&format!("{dimensions}{body}"), part).unwrap_or_else(|faults| panic!("{faults}"));
        made.plates[0].strength.hardware[0].class.clone()
    };
    let all = "[dimension.bolt_class]\n";
    assert_eq!(of(all, ""), "8.8");
    assert_eq!(of(all, "bolt = \"1/2-13\"\n"), "grade 5");
    assert_eq!(of(all, "bolt_class = \"10.9\"\n"), "10.9");
    // Those of the floor have a class of their own.
    let own = "[dimension.bolt_class]\n[dimension.floor_class]\n[[figure]]\nsays = \"a\"\nvalue = \"if(bolt_class == 'usual', 1, 2)\"\n";
    assert_eq!(
        of(own, "bolt_class = \"10.9\"\nfloor_class = \"12.9\"\n"),
        "12.9"
    );
    let none = said(&holes(&BOLT.replace("class = \"'8.8'\"\n", "")), "").join("\n");
    assert!(none.contains("`class` is missing from [[bolt]]"), "{none}");
}
