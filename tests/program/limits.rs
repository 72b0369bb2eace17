//! Every limit that `part-recipes/README.md` tells, one step beyond it: a message that names the limit,
//! the right exit code, and nothing written.

use std::fs;
use std::path::Path;

use crate::support::bench::{Bench, tree};

/// A family without a plate.
const HEAD: &str = "title = \"Test\"\nabout = \"For tests.\"\n[dimension.thickness]\nsays = \"thickness\"\n\
                    default = \"6 mm\"\n";

/// A step that is in order.
const DISC: &str = "[[plate.step]]\nadd = \"disc\"\ndiameter = \"900 mm\"\n";

/// A plate of one step.
const PLATE: &str = "[[plate]]\n[[plate.step]]\nadd = \"disc\"\ndiameter = \"900 mm\"\n";

/// What goes one step beyond a limit: files, and the command that reads them.
struct Beyond {
    files: Vec<(&'static str, String)>,
    command: Vec<String>,
    /// What the message has in it.
    says: &'static str,
    code: i32,
}

/// A family that is not possible, and a part of it.
fn family(body: &str, says: &'static str) -> Beyond {
    Beyond {
        files: vec![
            ("wild.toml", format!("{HEAD}{body}")),
            ("part.toml", "recipe = \"wild\"\n".to_owned()),
        ],
        command: words("draw part.toml"),
        says,
        code: 1,
    }
}

/// A plate with one more step.
fn step(step: &str, says: &'static str) -> Beyond {
    family(&format!("{PLATE}[[plate.step]]\n{step}\n"), says)
}

fn job(text: String, says: &'static str) -> Beyond {
    Beyond {
        files: vec![("job.toml", text)],
        command: words("estimate job.toml"),
        says,
        code: 1,
    }
}

/// Some plies that are bolted together.
fn joint(plies: usize) -> String {
    let ply = "{ says = \"a bar\", thickness = \"6 mm\", circle = \"80 mm\", count = 4, hole = \"9 mm\" }, ";
    let through = ply.repeat(plies);
    format!("[[bolted]]\nname = \"bars\"\nthread = \"M8\"\nthrough = [{through}]\n")
}

fn file(
    name: &'static str,
    text: String,
    command: &str,
    (says, code): (&'static str, i32),
) -> Beyond {
    Beyond {
        files: vec![(name, text)],
        command: words(command),
        says,
        code,
    }
}

/// A job on a remnant that is drawn so.
fn remnant(drawing: String, says: &'static str) -> Beyond {
    let job = "[[stock]]\nthickness = \"6 mm\"\noutline = \"left.dxf\"\n[[part]]\nrecipe = \"kerf-test\"\n";
    Beyond {
        files: vec![("job.toml", job.to_owned()), ("left.dxf", drawing)],
        command: words("estimate job.toml"),
        says,
        code: 1,
    }
}

fn reckon(expression: String, says: &'static str) -> Beyond {
    Beyond {
        files: Vec::new(),
        command: vec!["reckon".to_owned(), expression],
        says,
        code: 1,
    }
}

fn words(command: &str) -> Vec<String> {
    command.split(' ').map(str::to_owned).collect()
}

fn blocks(count: usize, block: impl Fn(usize) -> String) -> String {
    (0..count).map(block).collect()
}

/// Copies of a disc in a row.
fn row(copies: u32) -> String {
    format!(
        "[[plate.step]]\nadd = \"disc\"\ndiameter = \"2 mm\"\n\
         along = {{ count = {copies}, step = [\"1 mm\", \"0 mm\"] }}\n"
    )
}

/// Two thousand slots side by side.
fn bars(width: &str, height: &str, step: &str) -> String {
    format!(
        "[[plate.step]]\ncut = \"rectangle\"\nwidth = \"{width}\"\nheight = \"{height}\"\n\
         along = {{ count = 2000, step = {step}, centred = true }}\n"
    )
}

/// The limits: the row of the README, what it says there, and what goes beyond it.
fn limits() -> Vec<(&'static str, &'static str, Beyond)> {
    let dimension = |k| format!("[dimension.d{k}]\nsays = \"one\"\ndefault = \"1 mm\"\n");
    let point = |k| format!("p{k} = [\"0 mm\", \"0 mm\"]\n");
    let corner = |k: usize| format!("[\"{k} mm\", \"{} mm\"],", k % 2);
    let lines = "  0\nLINE\n  8\n0\n 10\n0.0\n 20\n0.0\n 11\n9.0\n 21\n9.0\n";
    let drawing =
        |body: &str| format!("  0\nSECTION\n  2\nENTITIES\n{body}  0\nENDSEC\n  0\nEOF\n");
    let strip = |items: &str| format!("{{ \"strip_width\": 100, \"items\": [{items}] }}");
    let of_a_part = "[[part]]\nrecipe = \"kerf-test\"\n";
    vec![
        (
            "a recipe, shared file, job or table file",
            "1 MiB",
            file(
                "part.toml",
                "#\n".repeat((1 << 19) + 1),
                "draw part.toml",
                ("1024 KiB", 3),
            ),
        ),
        (
            "an expression",
            "4000 characters",
            reckon("1+".repeat(2000) + "1", "4000"),
        ),
        (
            "an expression",
            "100 brackets deep",
            reckon("(".repeat(101) + "1" + &")".repeat(101), "100 deep"),
        ),
        (
            "a recipe",
            "200 dimensions",
            family(&(blocks(200, dimension) + PLATE), "200 dimensions"),
        ),
        (
            "a recipe",
            "500 named values",
            family(
                &("[let]\n".to_owned() + &blocks(501, |k| format!("v{k} = \"1\"\n")) + PLATE),
                "500 named values",
            ),
        ),
        (
            "a recipe",
            "50 plates",
            family(
                &(blocks(51, |k| {
                    PLATE.replacen('\n', &format!("\nname = \"p{k}\"\n"), 1)
                })),
                "50 plates",
            ),
        ),
        (
            "a recipe",
            "50 lookup tables",
            family(
                &(blocks(51, |k| {
                    format!(
                        "[table.t{k}]\ncolumns = {{ a = \"length\" }}\nsource = \"none\"\nrows.a = [\"1 mm\"]\n"
                    )
                }) + PLATE),
                "50 tables",
            ),
        ),
        (
            "a recipe",
            "50 named shapes",
            family(
                &(blocks(51, |k| {
                    format!(
                        "[[shape]]\nname = \"s{k}\"\n[[shape.step]]\nadd = \"disc\"\ndiameter = \"9 mm\"\n"
                    )
                }) + PLATE),
                "50 shapes",
            ),
        ),
        (
            "a recipe",
            "50 joints",
            family(&(PLATE.to_owned() + &"[[joint]]\n".repeat(51)), "50 joints"),
        ),
        (
            "a list or a lookup table",
            "200 rows",
            family(
                &format!(
                    "[dimension.list]\nsays = \"list\"\ncolumns = {{ x = \"length\" }}\ndefault = [{}]\n{PLATE}",
                    "[\"1 mm\"],".repeat(201)
                ),
                "200 rows",
            ),
        ),
        (
            "a list or a lookup table",
            "20 columns",
            family(
                &format!(
                    "[table.t]\ncolumns = {{ {} }}\nsource = \"none\"\n[table.t.rows]\na = []\n{PLATE}",
                    blocks(21, |k| format!("c{k} = \"length\",")).trim_end_matches(',')
                ),
                "20 columns",
            ),
        ),
        (
            "a hull",
            "200 discs",
            step(
                &format!(
                    "add = \"hull\"\ndiscs = [{}]",
                    blocks(201, |k| format!("[\"{k} mm\", \"0 mm\", \"9 mm\"],"))
                ),
                "no more than 200",
            ),
        ),
        (
            "a plate",
            "500 steps",
            family(&("[[plate]]\n".to_owned() + &DISC.repeat(501)), "500 steps"),
        ),
        (
            "a plate",
            "2000 copies of a step",
            family(
                &("[[plate]]\n".to_owned() + &row(2001)),
                "no more than 2000",
            ),
        ),
        (
            "a plate",
            "5000 copies in all",
            family(
                &("[[plate]]\n".to_owned() + &row(1700).repeat(3)),
                "more than 5000 copies",
            ),
        ),
        (
            "a plate",
            "500 points",
            family(
                &("[[plate]]\n[plate.point]\n".to_owned() + &blocks(501, point) + DISC),
                "500 points",
            ),
        ),
        (
            "a plate",
            "2000 corners of a polygon",
            step(
                &format!("add = \"polygon\"\npoints = [{}]", blocks(2001, corner)),
                "no more than 2000",
            ),
        ),
        (
            "shapes of one plate",
            "some 250 000 places where the edges of shapes cross that are not covered by others of the same step",
            family(
                &format!(
                    "[[plate]]\n[[plate.step]]\nadd = \"rectangle\"\nwidth = \"3 m\"\nheight = \"3 m\"\n{}{}",
                    bars("2500 mm", "0.4 mm", "[\"0 mm\", \"1 mm\"]"),
                    bars("0.4 mm", "2500 mm", "[\"1 mm\", \"0 mm\"]"),
                ),
                "cross one another in too many places",
            ),
        ),
        (
            "words to cut",
            "60 letters",
            step(
                &format!(
                    "cut = \"text\"\ntext = \"{}\"\nheight = \"8 mm\"\nstroke = \"1 mm\"",
                    "H".repeat(61)
                ),
                "no more than 60",
            ),
        ),
        (
            "path data",
            "5000 pieces",
            step(
                &format!(
                    "add = \"drawing\"\npath = \"M 0 0{} Z\"",
                    blocks(5001, |k| format!(" L {} {k}", 1 + k % 2))
                ),
                "5000 pieces",
            ),
        ),
        (
            "a drawing (DXF or SVG)",
            "32 MiB",
            remnant(" ".repeat((32 << 20) + 1), "32 MiB"),
        ),
        (
            "a drawing (DXF or SVG)",
            "10 000 lines and arcs",
            remnant(drawing(&lines.repeat(10_001)), "more than 10000 lines"),
        ),
        (
            "a file of outlines for `nest`",
            "64 MiB",
            file(
                "strip.json",
                " ".repeat((64 << 20) + 1),
                "nest strip.json",
                ("65536 KiB", 3),
            ),
        ),
        (
            "a file of outlines for `nest`",
            "5000 corners of an outline",
            file(
                "strip.json",
                strip(&format!(
                    "{{ \"id\": 1, \"polygon\": [{}[0, 9]] }}",
                    blocks(5000, |k| format!("[{k}, {}],", k % 2))
                )),
                "nest strip.json",
                ("no more than 5000", 1),
            ),
        ),
        (
            "a file of outlines for `nest`",
            "20 000 corners in all",
            file(
                "strip.json",
                strip(
                    &vec![
                        format!(
                            "{{ \"id\": 1, \"polygon\": [{}[0, 9]] }}",
                            blocks(4999, |k| format!("[{k}, {}],", k % 2))
                        );
                        5
                    ]
                    .join(","),
                ),
                "nest strip.json",
                ("no more than 20000", 1),
            ),
        ),
        (
            "a file of outlines for `nest`",
            "20 000 copies in all",
            file(
                "strip.json",
                strip("{ \"id\": 1, \"quantity\": 20001, \"polygon\": [[0, 0], [1, 0], [0, 1]] }"),
                "nest strip.json",
                ("no more than 20000", 1),
            ),
        ),
        (
            "a file of outlines for `nest`",
            "10 000 widths of the strip from an origin",
            file(
                "strip.json",
                strip("{ \"id\": 1, \"polygon\": [[0, 0], [1e9, 0], [0, 1]] }"),
                "nest strip.json",
                ("no more than 10000 times", 1),
            ),
        ),
        (
            "a job",
            "200 parts",
            job(of_a_part.repeat(201), "no more than 200 [[part]]"),
        ),
        (
            "a job",
            "100 stock lines",
            job(
                "[[stock]]\nthickness = \"6 mm\"\nsize = [\"1 m\", \"1 m\"]\n".repeat(101)
                    + of_a_part,
                "no more than 100 [[stock]]",
            ),
        ),
        (
            "a job",
            "1000 copies in all",
            job(
                (of_a_part.to_owned() + "quantity = 501\n").repeat(2),
                "no more than 1000",
            ),
        ),
        (
            "a job",
            "250 sheets",
            job(
                "[[stock]]\nthickness = \"6 mm\"\nsize = [\"100 mm\", \"100 mm\"]\n".to_owned()
                    + of_a_part
                    + "quantity = 1000\n",
                "no more than 250",
            ),
        ),
        (
            "a job",
            "50 joints",
            job(
                of_a_part.to_owned() + &joint(2).repeat(51),
                "no more than 50 [[bolted]]",
            ),
        ),
        (
            "a job",
            "6 plies of a joint",
            job(of_a_part.to_owned() + &joint(7), "a joint of 7 plies"),
        ),
        (
            "a job",
            "36 bolts of a joint",
            job(
                of_a_part.to_owned() + &joint(2).replace("count = 4", "count = 37"),
                "more than 36 holes",
            ),
        ),
        (
            "any length",
            "100 m",
            step(
                "add = \"disc\"\ndiameter = \"100.001 m\"",
                "no more than 100000 mm",
            ),
        ),
        (
            "`--seconds`",
            "a day",
            file(
                "job.toml",
                of_a_part.to_owned(),
                "estimate job.toml --seconds 86401",
                ("86400", 2),
            ),
        ),
    ]
}

/// The rows of the table, each with its limits.
fn told() -> Vec<(String, Vec<String>)> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("part-recipes/README.md");
    let text = fs::read_to_string(path).expect("the definition of the language");
    let table = text
        .split("| what | at most |\n| --- | --- |\n")
        .nth(1)
        .expect("the table of limits");
    let rows = table.lines().take_while(|line| line.starts_with('|'));
    rows.map(|row| {
        let cells: Vec<&str> = row.trim_matches('|').split('|').map(str::trim).collect();
        let most = cells[1].split(", ").map(str::to_owned).collect();
        (cells[0].to_owned(), most)
    })
    .collect()
}

#[test]
fn one_step_beyond_every_limit_is_a_message() {
    for (what, most, beyond) in limits() {
        let bench = Bench::new();
        for (name, text) in &beyond.files {
            bench.write(name, text);
        }
        let before = tree(&bench.path(""));
        let command: Vec<&str> = beyond.command.iter().map(String::as_str).collect();
        let said = bench.refused(&command, beyond.code);
        assert!(said.contains(beyond.says), "{what}: {most}\n{said}");
        assert!(
            tree(&bench.path("")) == before,
            "{what}: {most}: something was written"
        );
    }
}

#[test]
fn every_limit_that_is_told_is_tried() {
    let tried: Vec<(&str, &str)> = limits().iter().map(|it| (it.0, it.1)).collect();
    let told = told();
    let told: Vec<(&str, &str)> = told
        .iter()
        .flat_map(|(what, most)| most.iter().map(move |most| (what.as_str(), most.as_str())))
        .collect();
    assert_eq!(tried, told);
}
