//! What is said of a mistake, read as by a builder who never programmed: what is wrong, where, and what to write
//! instead; and what is told to write is taken.

use crate::support::bench::Bench;

/// A family of one disc.
const DISC: &str = "title = \"Disc\"\n[dimension.thickness]\nsays = \"thickness\"\ndefault = \"6 mm\"\n\
                    [[plate]]\n[[plate.step]]\nadd = \"disc\"\ndiameter = \"90 mm\"\n";

fn says(said: &str, all: &[&str]) {
    for words in all {
        assert!(said.contains(words), "`{words}` is missing:\n{said}");
    }
}

#[test]
fn a_path_for_a_recipe_is_answered_with_its_name() {
    let bench = Bench::new();
    bench.write("mine.toml", DISC);
    for path in [
        "./mine.toml",
        "mine.toml",
        "families/mine",
        "..\\\\mine.toml",
    ] {
        bench.write("part.toml", &format!("recipe = \"{path}\"\n"));
        let said = bench.refused(&["check", "part.toml"], 1);
        says(
            &said,
            &[
                "part.toml:1",
                "there is no recipe",
                "write its name alone, without folder and ending: \"mine\"",
            ],
        );
    }
    bench.write("part.toml", "recipe = \"mine\"\n");
    bench.done(&["check", "part.toml"]);
    // A slip in the name itself is told all the same.
    bench.write("part.toml", "recipe = \"./mime.toml\"\n");
    let said = bench.refused(&["check", "part.toml"], 1);
    says(&said, &["did you mean \"mine\"?"]);
}

#[test]
fn a_word_for_a_length_is_no_value() {
    let bench = Bench::new();
    bench.write("part.toml", "recipe = \"gusset\"\n");
    let said = bench.refused(&["check", "part.toml", "--set", "thickness=thin"], 1);
    says(
        &said,
        &[
            "`thin` is no value",
            "write a number and its unit, such as `12 mm`",
        ],
    );
    bench.done(&[
        "check",
        "part.toml",
        "--set",
        "thickness=12 mm",
        "--set",
        "hole=0 mm",
    ]);
}

#[test]
fn a_file_that_is_no_recipe_is_told_what_it_is() {
    let bench = Bench::new();
    let shelf = concat!(env!("CARGO_MANIFEST_DIR"), "/part-recipes");
    let shared = format!("{shelf}/shared/bolts-that-slip.toml");
    let said = bench.refused(&["lint", &shared], 1);
    says(
        &said,
        &[
            "a file that recipes share, not a recipe",
            "name a recipe that brings it in by [[shared]]",
        ],
    );
    assert_eq!(said.matches("error: ").count(), 1, "{said}");
    let table = format!("{shelf}/tables/shop-plasma.toml");
    let said = bench.refused(&["lint", &table], 1);
    says(&said, &["the settings of a table, not a recipe"]);
    assert_eq!(said.matches("error: ").count(), 1, "{said}");
    bench.done(&["lint", &format!("{shelf}/families/gusset.toml")]);
}

#[test]
fn many_texts_of_a_drawing_are_not_called_lines_and_arcs() {
    let bench = Bench::new();
    let text = "  0\nTEXT\n  8\n0\n 10\n1\n 20\n1\n 40\n1\n  1\nA\n";
    let dxf = format!(
        "  0\nSECTION\n  2\nENTITIES\n{}  0\nENDSEC\n  0\nEOF\n",
        text.repeat(100_001)
    );
    bench.write("notes.dxf", &dxf);
    let said = bench.refused(&["check", "notes.dxf", "--thickness", "6 mm"], 1);
    says(
        &said,
        &[
            "more than 10000 lines, arcs, texts and the like",
            "only what is to be cut",
        ],
    );
}

/// A function always stands before a parenthesis, so a value may have its name.
#[test]
fn a_value_may_be_named_like_a_function() {
    let bench = Bench::new();
    let named = "[let]\npitch = \"30 mm + pitch(\\\"M8\\\")\"\n";
    let family = DISC.replace("[[plate]]", &format!("{named}[[plate]]"));
    let family = family.replace("\"90 mm\"", "\"2 * pitch\"");
    bench.write("mine.toml", &family);
    bench.write("part.toml", "recipe = \"mine\"\n");
    let told = bench.object(&["check", "part.toml"], 0);
    // ISO 261: the coarse pitch of M8 is 1.25 mm.
    assert_eq!(told["plates"][0]["width_mm"], 62.5);
}

#[test]
fn a_plate_without_room_for_its_name_says_so() {
    let bench = Bench::new();
    let plate =
        "shape = \"rectangle\"\nwidth = \"60 mm\"\nheight = \"14 mm\"\nthickness = \"6 mm\"\n";
    let named = |name: &str| format!("name = \"{name}\"\n{plate}");
    bench.write(
        "long.toml",
        &named("the-lower-strap-of-the-left-front-crate"),
    );
    bench.write("short.toml", &named("strap"));
    for command in ["check", "estimate"] {
        let said = bench.done(&[command, "long.toml", "--all"]);
        let remedy = "or give the part a shorter `name`";
        says(
            &said,
            &["[name not scribed]", "no room for its name", remedy],
        );
        let said = bench.done(&[command, "short.toml", "--all"]);
        assert!(!said.contains("name not scribed"), "{said}");
    }
    let said = bench.done(&["cut", "long.toml", "--no-scribe"]);
    assert!(!said.contains("name not scribed"), "{said}");
}

#[test]
fn sums_that_cannot_be_worked_out_say_what_to_write() {
    let bench = Bench::new();
    for (typed, remedy) in [
        ("1 mm / 0", "make it other than 0"),
        ("sqrt(4 mm2 - 9 mm2)", "one that is taken away is longer"),
        (
            "asin(3 mm / 2 mm)",
            "divide the shorter length by the longer one",
        ),
        ("(2 - 3) ^ 0.5", "to a whole power"),
        ("1e200 * 1e200", "too large"),
        ("12 == \"M12\"", "compare two of a kind"),
        ("max(3, 2 mm)", "each number has its unit"),
        ("clamp(1 mm, 3 mm, 2 mm)", "clamp(value, lowest, highest)"),
        ("tan(90 deg)", "below 90 deg"),
        ("mod(7, 0)", "other than 0"),
        ("wheel_studs(\"7x100\")", "3, 4, 5, 6, 8, 10"),
    ] {
        let output = bench.run(&["reckon", typed]);
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert!(!output.status.success(), "{typed}: {said}");
        says(&said, &["help: ", remedy]);
    }
}

#[test]
fn more_than_is_possible_says_how_to_go_on() {
    let bench = Bench::new();
    let lets: Vec<String> = (0..501).map(|k| format!("v{k} = \"{k} mm\"\n")).collect();
    let lets = lets.concat();
    bench.write("mine.toml", &format!("{DISC}[let]\n{lets}"));
    bench.write("part.toml", "recipe = \"mine\"\n");
    let said = bench.refused(&["check", "part.toml"], 1);
    says(
        &said,
        &[
            "no more than 500 named values are possible",
            "leave some of them out, or make several recipes of it",
        ],
    );
}

#[test]
fn a_command_line_that_cannot_be_read_is_told_what_to_write() {
    let bench = Bench::new();
    bench.done(&["start", "hub-adapter", "-o", "hub.toml"]);
    for (words, told) in [
        (
            &["hub.toml"][..],
            &[
                "`hub.toml` is no command",
                "write `platewright check hub.toml`, or draw, estimate or cut",
            ][..],
        ),
        (
            &["hub-adapter"],
            &["`platewright start hub-adapter` writes a part of it"],
        ),
        (&["cutt", "hub.toml"], &["did you mean `platewright cut`?"]),
        (
            &["measure", "chrod", "67.2mm"],
            &["did you mean `platewright measure chord`?"],
        ),
        (
            &["cut", "hub.toml", "--table", "shop-plasma"],
            &[
                "`platewright cut` has no option --table",
                "it stands in the file: write `table = …` there",
            ],
        ),
        (
            &["cut", "hub.toml", "--outside", "200 mm"],
            &["a dimension is set by --set outside=VALUE"],
        ),
        (
            &["check", "hub.toml", "--program"],
            &[
                "`platewright check` has no option --program",
                "`platewright cut` has it",
            ],
        ),
        (
            &["cut", "hub.toml", "--seconds", "-1"],
            &["`platewright cut` has no option -1", "as in --OPTION=-1"],
        ),
        (
            &["--colour", "never", "recipes"],
            &["did you mean --color?"],
        ),
        (
            &["check", "hub.dxf", "--thickness", "6", "mm"],
            &[
                "`mm` is a word too many",
                "a value with a blank in it stands in quotes",
            ],
        ),
        (
            &["start"],
            &[
                "`platewright start` lacks <RECIPE>",
                "for example hub-adapter",
            ],
        ),
        (
            &["steering", "--track", "1.2 m"],
            &[
                "lacks --wheelbase <LENGTH> and --arm <LENGTH>",
                "from front axle to rear axle",
            ],
        ),
        (
            &["cut", "hub.toml", "--dxf", "r13"],
            &["--dxf <RELEASE> cannot be `r13`", "r2000, r12"],
        ),
        (
            &["cut", "hub.toml", "--seconds"],
            &["--seconds <SECONDS> has no value"],
        ),
        (
            &["measure", "chord", "67.2"],
            &[
                "`67.2` for <LENGTH>: this must be a length",
                "write `67.2 mm` or `67.2 in`",
            ],
        ),
        (
            &["measure", "chord", "67.2mm", "--studs", "five"],
            &["`five` for --studs <COUNT>: a whole number is needed"],
        ),
        (
            &["page", "--port", "99999"],
            &["`99999` for --port <N>: it goes from 0 to 65535"],
        ),
        (
            &["cut", "hub.toml", "--program", "--net"],
            &["--program does not go with --net"],
        ),
        (
            &["cut", "hub.toml", "--net", "--net"],
            &["--net is there twice"],
        ),
        (
            &["measure", "points", "1mm,2mm"],
            &["3 values are needed", "1 are there"],
        ),
    ] {
        let said = bench.refused(words, 2);
        let said = said.to_lowercase();
        for words in told {
            let words = words.to_lowercase();
            assert!(said.contains(&words), "`{words}` is missing:\n{said}");
        }
        assert_eq!(said.matches("error: ").count(), 1, "{said}");
    }
    // What is told to write is taken.
    bench.done(&["check", "hub.toml", "--set", "outside=200 mm"]);
    bench.done(&["measure", "chord", "67.2 mm", "--studs", "5"]);
    // A script that reads results reads what is wrong there, too.
    let object = bench.object(&["cut", "hub.toml", "--table", "x"], 2);
    assert_eq!(object["exit_code"], 2);
    let told = object["errors"][0]["message"].as_str();
    assert_eq!(told, Some("`platewright cut` has no option --table"));
}
