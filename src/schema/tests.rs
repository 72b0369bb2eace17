//! The schemas against what the readers of files say that they take.

use std::collections::BTreeSet;

use super::*;
use crate::cut;
use crate::fault::Source;
use crate::recipe::{Family, Job};

/// A key that no file has, and that is like none.
const WRONG: &str = "qqqqqq";

/// The keys that a reader names when it meets one that it does not know.
fn taken(faults: &crate::fault::Faults, text: &str) -> BTreeSet<String> {
    let unknown = format!("unknown key `{WRONG}`");
    let faults = faults.as_slice().iter();
    let mut found = faults.filter(|it| it.message.starts_with(&unknown));
    let fault = found
        .next()
        .unwrap_or_else(|| panic!("{text}: no fault of {WRONG}"));
    let remedy = fault.remedy.clone().expect("a remedy");
    let keys = remedy
        .strip_prefix("it takes ")
        .unwrap_or_else(|| panic!("{text}: {remedy}"));
    keys.split(", ").map(str::to_owned).collect()
}

fn keys_of(schema: &Value) -> BTreeSet<String> {
    let properties = schema["properties"].as_object().expect("a block");
    properties.keys().cloned().collect()
}

/// A family of these blocks is read; what it takes where [`WRONG`] stands.
fn of_family(blocks: &str) -> BTreeSet<String> {
    const HEAD: &str = "title = \"T\"\nabout = \"t\"\n";
    const BODY: &str = "[dimension.thickness]\nsays = \"t\"\ndefault = \"6 mm\"\n\
        [[plate]]\nname = \"a\"\n[[plate.step]]\nadd = \"disc\"\ndiameter = \"80 mm\"\n";
    let (top, below) = blocks
        .strip_prefix("TOP\n")
        .map_or(("", blocks), |top| (top, ""));
    let text = format!("{HEAD}{top}{BODY}{below}");
    match Family::read("t", &Source::inline("t.toml", text.clone())) {
        Err(faults) => taken(&faults, &text),
        Ok(_) => panic!("{text}: read"),
    }
}

#[test]
fn blocks_of_a_recipe_take_what_their_schema_has() {
    let wrong = format!("{WRONG} = 1\n");
    let families = family::schema();
    let mut of_hold = keys_of(&family::hold()["anyOf"][0]);
    for (blocks, expected) in [
        (format!("TOP\n{wrong}"), keys_of(&families)),
        (
            format!("[dimension.d]\n{wrong}says = \"d\"\ndefault = \"1 mm\"\n"),
            keys_of(&family::dimension()),
        ),
        (
            format!("[[rule]]\n{wrong}need = \"1 > 2\"\notherwise = \"a: b\"\n"),
            keys_of(&family::rule()),
        ),
        (
            format!("[[note]]\n{wrong}says = \"a\"\n"),
            keys_of(&family::note()),
        ),
        (
            format!("[[figure]]\n{wrong}says = \"a\"\nvalue = \"1\"\n"),
            keys_of(&family::figure()),
        ),
        (
            format!(
                "[[hold]]\n{wrong}says = \"a\"\nload = \"1 N\"\ncarries = \"1 N\"\nmargin = \"1\"\n\
                 formula = \"f\"\nsource = \"s\"\nremedy = \"r\"\n"
            ),
            {
                of_hold.insert("not_checked".to_owned());
                of_hold
            },
        ),
        (
            format!(
                "[[bolt]]\n{wrong}says = \"a\"\nthread = \"'M8'\"\nclass = \"'8.8'\"\ncount = \"1\"\n\
                 grip = \"thickness\"\n"
            ),
            keys_of(&family::bolt()),
        ),
        (
            format!(
                "[[shape]]\nname = \"s\"\n{wrong}[[shape.step]]\nadd = \"disc\"\ndiameter = \"1 mm\"\n"
            ),
            keys_of(&family::shape()),
        ),
        (
            format!(
                "[[joint]]\n{wrong}says = \"j\"\ntabs = {{ plate = \"a\", from = [\"0 mm\", \"0 mm\"], to = [\"9 mm\", \
                 \"0 mm\"], count = 1, width = \"3 mm\" }}\nslots = {{ plate = \"a\", from = [\"0 mm\", \"0 mm\"], \
                 to = [\"9 mm\", \"0 mm\"] }}\n"
            ),
            keys_of(&family::joint()),
        ),
        (
            format!(
                "[[plate]]\nname = \"b\"\n{wrong}[[plate.step]]\nadd = \"disc\"\ndiameter = \"1 mm\"\n"
            ),
            keys_of(&family::plate()),
        ),
        (
            format!(
                "[[plate]]\nname = \"b\"\n[[plate.dimension]]\n{wrong}from = [\"0 mm\", \"0 mm\"]\nto = [\"9 mm\", \"0 mm\"]\n\
                 says = \"s\"\n[[plate.step]]\nadd = \"disc\"\ndiameter = \"1 mm\"\n"
            ),
            keys_of(&family::size()),
        ),
        (
            format!("[[shared]]\n{wrong}file = \"bolts-that-slip\"\neach = [\"d\"]\n"),
            keys_of(&family::shared()),
        ),
    ] {
        assert_eq!(of_family(&blocks), expected, "{blocks}");
    }
}

/// A value that a key of a step may have, by its schema: whatever it is, the step's own keys are told.
fn some(takes: &Value) -> String {
    if let Some(word) = takes["const"]
        .as_str()
        .or_else(|| takes["enum"][0].as_str())
    {
        return format!("\"{word}\"");
    }
    if let Some(one) = takes["anyOf"].as_array() {
        return some(one.last().expect("one"));
    }
    match takes["type"].as_str() {
        Some("boolean") => "true".to_owned(),
        Some("array") => {
            let item = some(&takes["items"]);
            let count = takes["minItems"].as_u64().unwrap_or(3) as usize;
            format!("[{}]", vec![item; count].join(", "))
        }
        Some("object") => {
            let own = takes["properties"].as_object().into_iter().flatten();
            let own = own.map(|(key, takes)| format!("{key} = {}", some(takes)));
            format!("{{ {} }}", own.collect::<Vec<_>>().join(", "))
        }
        _ => "\"thickness\"".to_owned(),
    }
}

#[test]
fn steps_take_what_their_schema_has() {
    let kinds = steps::step();
    let kinds = kinds["anyOf"].as_array().expect("kinds of steps");
    assert!(kinds.len() > 50);
    for kind in kinds {
        let must = kind["required"].as_array().expect("what must be there");
        let must = must.iter().filter_map(Value::as_str);
        let lines = must.map(|key| format!("{key} = {}\n", some(&kind["properties"][key])));
        let lines: String = lines.collect();
        if lines.contains("use = ") || lines.contains("either = ") {
            continue;
        }
        let mut found = of_family(&format!(
            "[[plate]]\nname = \"b\"\n[[plate.step]]\n{WRONG} = 1\n{lines}"
        ));
        let mut expected = keys_of(kind);
        // A drawing is looked at as a file or as a path.
        if lines.contains("path = ") {
            found.remove("file");
            expected.remove("file");
        }
        assert_eq!(found, expected, "{lines}");
    }
}

#[test]
fn jobs_and_tables_take_what_their_schema_has() {
    let of_job = |text: String| match Job::from_source(
        &Source::inline("j.toml", text.clone()),
        &Shelf::built_in(),
    ) {
        Err(faults) => taken(&faults, &text),
        Ok(_) => panic!("{text}: read"),
    };
    let shelf = Shelf::built_in();
    let job = part::job(&shelf).expect("a schema");
    let part = "[[part]]\nrecipe = \"flange\"\n";
    assert_eq!(of_job(format!("{WRONG} = 1\n{part}")), keys_of(&job));
    assert_eq!(
        of_job(format!("[job]\n{WRONG} = 1\n{part}")),
        keys_of(&job["properties"]["job"])
    );
    let stock = &job["properties"]["stock"]["items"]["anyOf"];
    for (index, own) in ["size = [\"1 m\", \"1 m\"]", "outline = \"r.dxf\""]
        .into_iter()
        .enumerate()
    {
        let mut found = of_job(format!(
            "{part}[[stock]]\n{WRONG} = 1\nthickness = \"6 mm\"\n{own}\n"
        ));
        // One of the two is asked for to tell which it is.
        found.retain(|key| !["size", "outline"].contains(&key.as_str()) || own.starts_with(key));
        assert_eq!(found, keys_of(&stock[index]), "{own}");
    }
    let joint = &job["properties"]["bolted"]["items"];
    let bolted = |own: &str, plies: &str| {
        of_job(format!(
            "{part}[[bolted]]\n{own}name = \"j\"\nthrough = [{plies}, {{ says = \"a\", thickness = \"1 mm\" }}]\n"
        ))
    };
    let wrong = format!("{WRONG} = 1\n");
    let plate = "plate = \"flange\", openings = \"bolt\"";
    assert_eq!(bolted(&wrong, &format!("{{ {plate} }}")), keys_of(joint));
    let plies = &joint["properties"]["through"]["items"]["anyOf"];
    assert_eq!(
        bolted("", &format!("{{ {plate}, {WRONG} = 1 }}")),
        keys_of(&plies[0])
    );
    let thing = format!("{{ says = \"b\", thickness = \"1 mm\", {WRONG} = 1 }}");
    let mut found = bolted("", &thing);
    // Both kinds are told apart by it.
    found.remove("plate");
    assert_eq!(found, keys_of(&plies[1]));
    let plain = "[[part]]\nshape = \"disc\"\ndiameter = \"9 mm\"\nthickness = \"6 mm\"\n";
    let kinds = job["$defs"]["part"]["anyOf"].as_array().expect("parts");
    let disc = kinds
        .iter()
        .find(|it| it["properties"]["shape"]["const"] == "disc");
    let mut expected = keys_of(disc.expect("a disc"));
    // The kind of a part is known before its keys are told.
    expected.remove("shape");
    let mut found = of_job(format!("{plain}{WRONG} = 1\n"));
    found.remove("shape");
    assert_eq!(found, expected);

    let of_table = |text: String| match cut::Table::read(&Source::inline("t.toml", text.clone())) {
        Err(faults) => taken(&faults, &text),
        Ok(_) => panic!("{text}: read"),
    };
    let shipped = Shelf::built_in()
        .table_text("shop-plasma")
        .expect("a table");
    let before = |block: &str| {
        shipped
            .text
            .replacen(block, &format!("{block}\n{WRONG} = 1"), 1)
    };
    let top = format!("{WRONG} = 1\n{}", shipped.text);
    assert_eq!(of_table(top), keys_of(&table::schema()));
    assert_eq!(of_table(before("[[cut]]")), keys_of(&table::row()));
    let name = "touch-off-plasma";
    let shipped = Shelf::built_in().table_text(name).expect("a table");
    let text = shipped
        .text
        .replacen("[program]", &format!("[program]\n{WRONG} = 1"), 1);
    assert_eq!(of_table(text), keys_of(&table::program()));
}

/// Every dimension of every family is a key of its part, with what it is.
#[test]
fn parts_take_the_dimensions_of_their_families() {
    let shelf = Shelf::built_in();
    let parts = schema(SchemaOf::Part, &shelf).expect("a schema");
    let kinds = parts["anyOf"].as_array().expect("kinds of parts");
    for family in shelf.families().expect("the shelf") {
        let of = |it: &&Value| it["properties"]["recipe"]["const"] == family.name.as_str();
        let kind = kinds.iter().find(of).expect("its part");
        for measure in &family.measures {
            let said = &kind["properties"][&measure.name]["description"];
            assert_eq!(said, measure.says.as_str(), "{}", family.name);
        }
    }
}

#[test]
fn a_shared_file_takes_what_its_schema_has() {
    let folder = tempfile::tempdir().expect("a folder");
    std::fs::create_dir(folder.path().join("shared")).expect("made");
    let path = folder.path().join("shared/s.toml");
    std::fs::write(path, format!("{WRONG} = 1\n")).expect("written");
    let shelf = Shelf::open(None, folder.path()).expect("a shelf");
    let text = "title = \"T\"\n[[shared]]\nfile = \"s\"\n";
    let source = Source::inline("t.toml", text);
    let faults = Family::read_on(&shelf, "t", &source).expect_err("refused");
    let schema = schema(SchemaOf::Shared, &shelf).expect("a schema");
    assert_eq!(taken(&faults, text), keys_of(&schema));
}
