//! What builders write wrong, and what they are told: the place, the cause and the remedy.

use std::path::Path;

use super::workbench::{HEAD, make, said, said_of_family, said_of_part};
use platewright::fault::{FaultKind, Source};
use platewright::recipe::{Job, Shelf, limits};
use platewright::toml_text::file::FILE_BYTES;

/// A plate that is in order; what a test writes before it starts on line 9.
const PLATE: &str = "[[plate]]\n[[plate.step]]\nadd = \"disc\"\ndiameter = \"100 mm\"\n";

fn plate_with(step: &str) -> Vec<String> {
    said(&format!("{PLATE}[[plate.step]]\n{step}"), "")
}

#[test]
fn an_unknown_recipe_gets_the_near_name() {
    assert_eq!(
        said_of_part("recipe = \"hub-adaptor\"\n"),
        [r#"part.toml:1:10: there is no recipe "hub-adaptor"; did you mean "hub-adapter"?"#]
    );
    let far = said_of_part("recipe = \"gearbox\"\n");
    assert!(
        far[0].contains("there are bearing-carrier, bell-crank"),
        "{far:?}"
    );
}

#[test]
fn an_unknown_dimension_gets_the_near_name() {
    assert_eq!(
        said_of_part("recipe = \"hub-adapter\"\nhub_cirle = \"100 mm\"\nzebra = 3\n"),
        [
            "part.toml:2:1: hub-adapter has no dimension `hub_cirle`; did you mean `hub_circle`?",
            "part.toml:3:1: hub-adapter has no dimension `zebra`; `platewright recipes hub-adapter` \
             lists its dimensions",
        ]
    );
}

#[test]
fn a_missing_unit_is_shown_with_the_unit() {
    assert_eq!(
        said_of_part("recipe = \"hub-adapter\"\noutside = \"170\"\nhub_circle = 100\n"),
        [
            "part.toml:2:11: `outside` (outside diameter) must be a length, but is a plain number; \
             write `170 mm` or `170 in`",
            "part.toml:3:14: `hub_circle` (pitch circle of the hub's bolts, through their centres) \
             must be a length, but is a plain number; write `100 mm` or `100 in`",
        ]
    );
    assert_eq!(
        said_of_part("recipe = \"hub-adapter\"\noutside = \"6-1/2\"\n"),
        [
            "part.toml:2:11: `outside` (outside diameter) must be a length, but is a plain number; \
             write `6-1/2 in`",
        ]
    );
    assert_eq!(
        said_of_part("recipe = \"hub-adapter\"\nthickness = \"7 ga\"\n"),
        [
            "part.toml:2:16: `ga` is not a unit; how thick a gauge is depends on the metal: write \
             `gauge(7, \"steel\")`, or \"galvanised\", \"stainless\" or \"aluminium\" in place of \
             \"steel\"",
        ]
    );
}

#[test]
fn an_angle_is_no_length_and_a_length_no_angle() {
    assert_eq!(
        said_of_part("recipe = \"hub-adapter\"\noutside = \"15 deg\"\nclocking = \"15 mm\"\n"),
        [
            "part.toml:2:11: `outside` (outside diameter) must be a length, but is an angle; \
             write a length, such as `12 mm`",
            "part.toml:3:12: `clocking` (angle from a hub hole on to the first wheel hole) \
             must be an angle, but is a length; write an angle, such as `12 deg`",
        ]
    );
    assert_eq!(
        said_of_part("recipe = \"hub-adapter\"\noutside = \"100 mm + 5 deg\"\n"),
        ["part.toml:2:12: `100 mm` is a length and `5 deg` is an angle: they cannot be added"]
    );
}

#[test]
fn a_value_out_of_range_is_told_the_range_in_both_units() {
    assert_eq!(
        said(
            "[[plate]]\n[[plate.step]]\nadd = \"disc\"\ndiameter = \"1 m\"\n",
            "thickness = \"2-1/2 in\"\n"
        ),
        [
            "part.toml:2:13: `thickness` (plate thickness) is 63.5 mm (2.500 in), more than the most \
             possible, 50 mm (1.969 in); write 1 mm (0.039 in) to 50 mm (1.969 in)"
        ]
    );
}

#[test]
fn a_value_without_quotes_is_shown_with_them() {
    assert_eq!(
        said_of_part("recipe = \"hub-adapter\"\noutside = 170 mm   # rim\n"),
        ["part.toml:2:11: the value of `outside` has no quotes; write `outside = \"170 mm\"`"]
    );
    let said = said_of_part("recipe = \"hub-adapter\"\noutside = \"170 mm\n");
    assert!(said[0].starts_with("part.toml:2:"), "{said:?}");
}

#[test]
fn wrong_kinds_are_told_at_once() {
    assert_eq!(
        said_of_part(
            "recipe = \"hub-adapter\"\noutside = [1, 2]\nhub_bolt = 10\noutline = true\nquantity = \"2\"\n"
        ),
        [
            "part.toml:2:11: `outside` takes a value in quotes, such as \"12 mm\", not a list",
            "part.toml:3:12: `hub_bolt` takes words in quotes, not a whole number; write \
             `hub_bolt = \"10\"`",
            "part.toml:4:11: `outline` takes words in quotes, not true or false",
            "part.toml:5:12: `quantity` takes a whole number from 1 up, without quotes, not words in \
             quotes; write `quantity = 2`, for example",
        ]
    );
}

#[test]
fn words_and_threads_get_the_near_ones() {
    let part =
        "recipe = \"hub-adapter\"\nhub_bolt = \"M13\"\noutline = \"rond\"\nhub_count = \"4.5\"\n";
    let said = said_of_part(part);
    assert_eq!(said.len(), 3, "{said:?}");
    let line = |start: &str| {
        said.iter()
            .find(|line| line.starts_with(start))
            .expect(start)
    };
    assert!(line("part.toml:2:12: ").contains("M13"));
    assert!(line("part.toml:3:11: ").ends_with("did you mean \"round\"?"));
    assert!(line("part.toml:4:13: ").contains("4.5"));
    assert_eq!(
        said_of_part("recipe = \"flange\"\nmaterial = \"mild stele\"\n"),
        [r#"part.toml:2:12: no material "mild stele"; did you mean "mild steel"?"#]
    );
}

#[test]
fn a_missing_recipe_key_is_asked_for() {
    assert_eq!(
        said_of_part("outside = \"170 mm\"\n"),
        ["part.toml:1:1: `recipe` is missing from this part; add `recipe = \"hub-adapter\"`"]
    );
}

#[test]
fn a_value_may_use_only_dimensions_above_it() {
    assert_eq!(
        said_of_part("recipe = \"hub-adapter\"\nhub_circle = \"outsid / 2\"\n"),
        ["part.toml:2:15: `outsid` is no dimension above `hub_circle`; did you mean `outside`?"]
    );
    assert_eq!(
        said_of_part("recipe = \"hub-adapter\"\nhub_circle = \"hub_circle + 1 mm\"\n"),
        ["part.toml:2:15: `hub_circle` cannot be reckoned from itself; write the value itself"]
    );
    assert_eq!(
        said_of_part("recipe = \"hub-adapter\"\noutside = \"180 + mm\"\n"),
        [
            "part.toml:2:18: the unit `mm` has no number before it; write a number and its unit, \
             such as `12 mm`"
        ]
    );
    assert_eq!(
        said_of_part("recipe = \"hub-adapter\"\noutside = \"180 milimeter\"\n"),
        ["part.toml:2:16: `milimeter` is not a unit; write `180 mm`"]
    );
    assert_eq!(
        said_of_part("recipe = \"hub-adapter\"\noutside = \"2 * wheel_circle\"\n"),
        ["part.toml:2:16: `wheel_circle` is no dimension above `outside`; write the value itself"]
    );
}

#[test]
fn a_rule_is_told_at_the_dimension_it_speaks_of() {
    let rule = "[dimension.rim]\nsays = \"width of the rim\"\ndefault = \"20 mm\"\n\
                [let]\nleast = \"2 * thickness\"\n\
                [[rule]]\nneed = \"rim >= least\"\notherwise = \"the rim is narrow: make it {least}\"\nsource = \"common practice\"\n";
    assert_eq!(
        said(&format!("{rule}{PLATE}"), "rim = \"5 mm\"\n"),
        ["part.toml:2:7: the rim is narrow; make it 12 mm (0.472 in) (common practice)"]
    );
    assert_eq!(
        said(&format!("{rule}{PLATE}"), "thickness = \"11 mm\"\n"),
        ["part.toml:2:13: the rim is narrow; make it 22 mm (0.866 in) (common practice)"]
    );
}

#[test]
fn named_values_that_go_round_in_a_circle_are_named() {
    let lets =
        "[let]\na = \"b + 1 mm\"\nb = \"c\"\nc = \"a\"\nown = \"own * 2\"\nfree = \"3 mm\"\n";
    assert_eq!(
        said(&format!("{lets}{PLATE}"), ""),
        [
            "test.toml:10:1: these values go round in a circle: `a` needs `b` needs `c` needs `a`; \
             work one of them out from dimensions alone",
            "test.toml:13:1: `own` needs itself; work one of them out from dimensions alone",
        ]
    );
}

#[test]
fn unknown_names_in_a_recipe_are_underlined() {
    let body = "[let]\na = \"tickness + 1 mm\"\n[[rule]]\nneed = \"2 * zork > 3 mm\"\notherwise = \"bad\"\n";
    assert_eq!(
        said(&format!("{body}{PLATE}"), ""),
        [
            "test.toml:10:6: unknown name `tickness`; did you mean `thickness`?",
            "test.toml:12:13: unknown name `zork`; use a dimension, a name from [let] or a point of \
             the plate",
            "test.toml:13:13: this says what is wrong, but not what to do; add remedy = \"what to \
             do\", or write \"what is wrong: what to do\"",
        ]
    );
}

#[test]
fn a_recipe_lacks_nothing_it_needs() {
    assert_eq!(
        said_of_family(
            &format!("{}{PLATE}", HEAD.replace("title = \"Test plate\"\n", "")),
            ""
        ),
        [
            "test.toml:1:1: `title` is missing from this recipe; add `title = \"what a part of it is\"`"
        ]
    );
    assert_eq!(
        said_of_family(HEAD, ""),
        [
            "test.toml:1:1: `plate` is missing from this recipe; add `a [[plate]] block with its steps`"
        ]
    );
    assert_eq!(
        said_of_family(
            &format!("title = \"x\"\n[dimension.a]\nsays = \"a\"\ndefault = \"3 mm\"\n{PLATE}"),
            ""
        ),
        [
            "test.toml:1:1: every recipe has a dimension `thickness`; add [dimension.thickness] with \
             says = \"plate thickness\" and a default"
        ]
    );
}

#[test]
fn dimensions_are_described_in_full() {
    let dimensions = "[dimension.bolt]\nsays = \"bolt\"\ndefault = \"'round'\"\n\
                      [dimension.shape]\nsays = \"shape\"\nkind = \"choise\"\ndefault = \"round\"\n\
                      [dimension.style]\nsays = \"style\"\nkind = \"choice\"\ndefault = \"a\"\n\
                      [dimension.if]\nsays = \"x\"\ndefault = \"3 mm\"\n\
                      [dimension.hub-circle]\ndefault = \"3 mm\"\n";
    assert_eq!(
        said(&format!("{dimensions}{PLATE}"), ""),
        [
            "test.toml:11:11: this default is not a quantity; add kind = \"text\"",
            "test.toml:14:8: \"choise\" is not one of the words possible here; did you mean \"choice\"?",
            "test.toml:18:8: a choice needs its `choices`; add choices = [\"round\", \"square\"]",
            "test.toml:20:12: `if` means something already and cannot name a dimension; choose another \
             name",
            "test.toml:23:1: `says` is missing from [dimension.hub-circle]; add `says = \"what is \
             measured\"`",
            "test.toml:23:12: `hub-circle` cannot be the name of a dimension; use letters, digits and \
             underscores, a letter first, such as `hub_circle`",
        ]
    );
}

#[test]
fn every_mistake_in_the_steps_is_told_once() {
    let steps = "[[plate]]\nname = 3\n\
                 [[plate.step]]\nadd = \"disk\"\n\
                 [[plate.step]]\nadd = \"disc\"\ndiametre = \"3 mm\"\n\
                 [[plate.step]]\ncutt = \"disc\"\n\
                 [[plate.step]]\nadd = \"disc\"\ncut = \"disc\"\n\
                 [[plate.step]]\nname = \"x\"\n\
                 [[plate.step]]\nadd = \"disc\"\ndiameter = \"3 mm\"\npurpose = \"bolt\"\naround = { cuont = 3 }\nat = \"bos\"\n";
    assert_eq!(
        said(steps, ""),
        [
            "test.toml:10:8: `name` takes words in quotes, not a whole number; write `name = \"3\"`",
            "test.toml:12:7: \"disk\" is not one of the words possible here; did you mean \"disc\"?",
            "test.toml:15:1: unknown key `diametre` in a step; did you mean `diameter`?",
            "test.toml:17:1: unknown key `cutt` in a step; did you mean `cut`?",
            "test.toml:18:1: a step does one thing, but this has `add` and `cut`; make two steps of it",
            "test.toml:21:1: this step does nothing; give it one of add, cut, keep, use, round, \
             hollow, show, scribe, bend",
            "test.toml:27:12: unknown key `cuont` in `around`; did you mean `count`?",
            "test.toml:28:6: there is no point `bos`; name it in [point] or [plate.point], or write [\"x\", \"y\"]",
        ]
    );
}

#[test]
fn at_most_ten_mistakes_are_told() {
    let many: Vec<String> = (0..40).map(|n| format!("wrong_{n} = 1")).collect();
    let many = many.join("\n") + "\n";
    assert_eq!(
        said_of_part(&format!("recipe = \"flange\"\n{many}")).len(),
        10
    );
}

#[test]
fn bolts_that_overlap_are_named_with_the_circle_that_would_do() {
    // Chord of six on a circle D is D sin 30° = D / 2: holes of 12 mm need D > 24 mm.
    assert_eq!(
        plate_with(
            "cut = \"disc\"\nname = \"hub bolt\"\npurpose = \"bolt\"\ndiameter = \"12 mm\"\n\
             around = { count = 6, circle = \"21.6 mm\" }\n"
        ),
        [
            "test.toml:13:1: hub bolts 1 and 2 overlap by 1.2 mm (0.047 in), and so do 5 more pairs; \
             6 holes of 12 mm (0.472 in) need a pitch circle of more than 24 mm (0.945 in)"
        ]
    );
    assert_eq!(
        plate_with(
            "cut = \"disc\"\npurpose = \"bore\"\ndiameter = \"30 mm\"\n\
             [[plate.step]]\ncut = \"disc\"\npurpose = \"tapped\"\ndiameter = \"8 mm\"\nat = [\"17 mm\", \"0 mm\"]\n"
        ),
        [
            "test.toml:17:1: bore and tapped hole overlap by 2 mm (0.079 in); move them apart, or \
             make them smaller"
        ]
    );
}

#[test]
fn a_hole_outside_the_plate_is_refused() {
    assert_eq!(
        plate_with(
            "cut = \"disc\"\npurpose = \"bolt\"\ndiameter = \"12 mm\"\naround = { count = 3, circle = \"200 mm\" }\n"
        ),
        [
            "test.toml:13:1: bolt holes 1, 2 and 3 lie outside the plate; bring it into the metal, or \
             make the plate larger"
        ]
    );
    assert_eq!(
        plate_with(
            "cut = \"slot\"\npurpose = \"slot\"\ntravel = \"20 mm\"\nwidth = \"5 mm\"\nat = [\"200 mm\", \"0 mm\"]\n"
        ),
        [
            "test.toml:13:1: slot cuts nothing: it lies outside the metal; bring it into the metal, or \
             make the plate larger"
        ]
    );
}

#[test]
fn a_hole_that_breaks_through_the_edge_is_told_by_how_much() {
    assert_eq!(
        plate_with(
            "cut = \"disc\"\npurpose = \"bolt\"\ndiameter = \"12 mm\"\naround = { count = 2, circle = \"96 mm\" }\n\
             [[plate.step]]\nname = \"far pin\"\ncut = \"disc\"\npurpose = \"pin\"\ndiameter = \"12 mm\"\nat = [\"0 mm\", \"51 mm\"]\n"
        ),
        [
            "test.toml:13:1: bolt holes 1 and 2 break through the outside edge by up to 4 mm (0.157 \
             in); bring it in, or the edge out, by more than that",
            "test.toml:18:1: far pin breaks through the outside edge by 7 mm (0.276 in); bring it in, \
             or the edge out, by more than that",
        ]
    );
}

#[test]
fn a_hole_that_is_covered_again_is_refused() {
    assert_eq!(
        plate_with(
            "cut = \"disc\"\npurpose = \"bore\"\ndiameter = \"12 mm\"\n[[plate.step]]\nadd = \"disc\"\ndiameter = \"30 mm\"\n"
        ),
        ["test.toml:13:1: bore is closed again by a later step; drill after adding and rounding"]
    );
}

#[test]
fn a_plate_that_falls_apart_names_the_step() {
    assert_eq!(
        plate_with("name = \"saw\"\ncut = \"rectangle\"\nwidth = \"20 mm\"\nheight = \"120 mm\"\n"),
        [
            "test.toml:13:1: test falls into 2 pieces (2934 mm², 2934 mm²): the cut \"saw\" parts it; \
             leave more metal beside it, or move it"
        ]
    );
    assert_eq!(
        plate_with(
            "name = \"eye\"\nadd = \"disc\"\ndiameter = \"20 mm\"\nat = [\"70 mm\", \"0 mm\"]\n"
        ),
        [
            "test.toml:13:1: test falls into 2 pieces (7854 mm², 314 mm²): the added \"eye\" touches \
             nothing that was there before; let it overlap the rest"
        ]
    );
    assert_eq!(
        plate_with("cut = \"disc\"\ndiameter = \"101 mm\"\n"),
        [
            "test.toml:13:1: nothing is left of test after the cut \"window\"; make it smaller, or the \
             plate larger"
        ]
    );
}

#[test]
fn shapes_that_cannot_be_say_why() {
    let said = plate_with(
        "add = \"rectangle\"\nwidth = \"0 mm\"\nheight = \"20 mm\"\n\
         [[plate.step]]\nadd = \"ring\"\noutside = \"30 mm\"\ninside = \"50 mm\"\n\
         [[plate.step]]\nadd = \"sector\"\noutside = \"30 mm\"\ninside = \"-5 mm\"\nsweep = \"20 deg\"\n\
         [[plate.step]]\nadd = \"disc\"\ndiameter = \"9 mm\"\naround = { count = 4, circle = \"20 mm\", skip = [5] }\n\
         [[plate.step]]\nround = \"inside\"\nradius = \"-1 mm\"\n\
         [[plate.step]]\nadd = \"disc\"\ndiameter = \"9 mm\"\naround = { count = 4, circle = \"0.001 mm\" }\n",
    );
    assert_eq!(said.len(), 6, "{said:?}");
    assert_eq!(
        said[0],
        "test.toml:15:9: `width` comes to 0 mm (0.000 in); it must be more than 0 mm"
    );
    assert!(
        said[1].starts_with("test.toml:17:1: this ring cannot be made"),
        "{said:?}"
    );
    assert_eq!(
        said[2],
        "test.toml:24:10: `inside` comes to -5 mm (-0.197 in); write 0 mm or more"
    );
    assert_eq!(
        said[3],
        "test.toml:29:49: there is no place 5 to skip; the places are 1 to 4"
    );
    assert_eq!(
        said[4],
        "test.toml:32:10: `radius` comes to -1 mm (-0.039 in); write 0 mm or more"
    );
    assert_eq!(
        said[5],
        "test.toml:36:32: `circle` comes to less than 0.01 mm: its places are one; leave it out to turn copies about one point"
    );
}

#[test]
fn slips_of_the_keyboard_are_a_message_and_not_a_wait() {
    assert_eq!(
        plate_with(
            "add = \"disc\"\ndiameter = \"3 mm\"\naround = { count = 30000, circle = \"3 m\" }\n\
             [[plate.step]]\nadd = \"disc\"\ndiameter = \"900 m\"\n\
             [[plate.step]]\nadd = \"polygon\"\nsides = 1000000000\nacross = \"5 mm\"\n"
        ),
        [
            "test.toml:16:20: `count` comes to 30000; no more than 2000 are possible",
            "test.toml:19:12: `diameter` comes to 900000 mm (35433.071 in); no more than 100000 mm \
             (3937.008 in) is possible",
            "test.toml:22:9: `sides` comes to 1000000000; no more than 500 are possible",
        ]
    );
    let steps = "[[plate.step]]\nadd = \"disc\"\ndiameter = \"9 mm\"\n".repeat(limits::STEPS + 1);
    let said = said(&format!("[[plate]]\n{steps}"), "");
    assert!(said[0].contains("no more than 500 steps"), "{said:?}");
    let deep = format!("{}1 mm{}", "(".repeat(50_000), ")".repeat(50_000));
    assert!(
        said_of_part(&format!("recipe = \"flange\"\noutside = \"{deep}\"\n"))[0]
            .starts_with("part.toml:2:")
    );
}

#[test]
fn an_override_of_no_opening_gets_the_near_name() {
    assert_eq!(
        said_of_part(
            "recipe = \"hub-adapter\"\n[opening.\"hub bolts\"]\nfinish = \"drill\"\n[opening.bore]\nfinish = \"dril\"\n"
        ),
        ["part.toml:5:10: \"dril\" is not one of the words possible here; did you mean \"drill\"?"]
    );
    assert_eq!(
        said_of_part("recipe = \"hub-adapter\"\n[opening.\"hub bolts\"]\nfinish = \"drill\"\n"),
        [r#"part.toml:2:10: there is no opening "hub bolts"; did you mean "hub bolt"?"#]
    );
}

#[test]
fn files_that_cannot_be_read_are_file_failures() {
    let shelf = Shelf::built_in();
    let folder = tempfile::tempdir().expect("a folder");
    let fault = |path: &Path| {
        let faults = Job::read(path, &shelf).expect_err("no such file");
        let fault = faults.as_slice()[0].clone();
        assert_eq!(fault.kind, FaultKind::File);
        fault.to_string()
    };
    let missing = folder.path().join("missing.toml");
    assert!(fault(&missing).ends_with("; check the name and the folder"));
    assert!(fault(folder.path()).starts_with("cannot read "));
    let binary = folder.path().join("drawing.toml");
    std::fs::write(&binary, b"recipe = \"\xff\xfe\"").expect("written");
    assert!(fault(&binary).contains("is not a text file; save it as plain text (UTF-8)"));
    let huge = folder.path().join("huge.toml");
    std::fs::write(&huge, vec![b'#'; FILE_BYTES as usize + 1]).expect("written");
    assert!(fault(&huge).contains("is larger than 1024 KiB"));
    let nowhere = Shelf::open(Some(&missing), folder.path()).expect_err("no such folder");
    assert_eq!(nowhere.as_slice()[0].kind, FaultKind::File);
}

#[test]
fn a_recipe_is_no_part_and_a_part_no_recipe() {
    let shelf = Shelf::built_in();
    let recipe = Source::inline("plate.toml", format!("{HEAD}{PLATE}"));
    let said = Job::from_source(&recipe, &shelf)
        .expect_err("a recipe")
        .to_string();
    assert!(
        said.contains("this is a recipe, not a part or a job"),
        "{said}"
    );
    assert_eq!(
        said_of_family("recipe = \"flange\"\n", "")[0],
        "test.toml:1:1: this is a part or a job, not a recipe; name a file with `title` and [[plate]]"
    );
}

#[test]
fn jobs_tell_what_is_wrong_with_stock_and_head() {
    let text = "[job]\nname = \"cart\"\nweb = \"6\"\nrelax = \"thin web\"\ncolour = \"red\"\n\
                [[stock]]\nmaterial = \"steal\"\nsize = [\"1220 mm\"]\n\
                [[stock]]\nthickness = \"6 deg\"\nsize = [\"1 m\", \"0 m\"]\nquantity = 0\n\
                [[part]]\nrecipe = \"flange\"\nquantity = 200000\n";
    let source = Source::inline("job.toml", text);
    let faults = Job::from_source(&source, &Shelf::built_in()).expect_err("refused");
    let said: Vec<String> = faults.as_slice().iter().map(ToString::to_string).collect();
    let starts = [
        "job.toml:3:7: `web` must be a length, but is a plain number; write `6 mm` or `6 in`",
        "job.toml:4:9: `relax` takes a list in [ ], not words in quotes",
        "job.toml:5:1: unknown key `colour` in [job]",
        "job.toml:6:1: `thickness` is missing from [[stock]]; add `thickness = \"6 mm\"`",
        "job.toml:7:12: no material \"steal\"",
        "job.toml:8:8: `size` takes a list of two values; write two values in [ ], not 1",
        "job.toml:10:13: `thickness` must be a length, but is an angle",
        "job.toml:11:16: `size` along y comes to 0 mm (0.000 in); it must be more than 0 mm",
        "job.toml:12:12: `quantity` takes a whole number from 1 up, without quotes",
        "job.toml:15:12: no more than 1000 are possible",
    ];
    assert_eq!(said.len(), starts.len(), "{said:#?}");
    for (line, start) in said.iter().zip(starts) {
        assert!(
            line.starts_with(start),
            "{line}\nshould start with\n{start}"
        );
    }
}

#[test]
fn a_default_out_of_range_is_told_where_its_cause_is_set() {
    let body = "[dimension.outside]\nsays = \"outside\"\ndefault = \"100 mm\"\n[let]\nhalf = \"outside / 2\"\n\
                [dimension.bore]\nsays = \"bore\"\ndefault = \"half\"\nmax = \"60 mm\"\n\
                [[plate]]\n[[plate.step]]\nadd = \"ring\"\noutside = \"outside\"\ninside = \"bore\"\n";
    let told = said(body, "outside = \"200 mm\"\n");
    assert_eq!(
        told,
        [
            "part.toml:2:11: `bore` (bore) is 100 mm (3.937 in), more than the most possible, 60 mm (2.362 in); \
             change it, or set `bore` (bore), which follows from it: write up to 60 mm (2.362 in)"
        ]
    );
    // Followed, it is drawn.
    assert!(make(body, "outside = \"200 mm\"\nbore = \"60 mm\"\n").is_ok());
}

#[test]
fn a_point_that_stands_further_down_is_told_so() {
    let plate = "[[plate]]\n[plate.point]\na = [\"b.x\", \"0 mm\"]\nb = [\"1 mm\", \"0 mm\"]\n\
                 [[plate.step]]\nadd = \"disc\"\ndiameter = \"90 mm\"\nat = \"a\"\n";
    let told = said(plate, "");
    assert!(
        told[0].ends_with("unknown name `b.x`; points use those above them: write `b` further up"),
        "{told:?}"
    );
}
