//! What is doubtful in a family, and that each remark goes away when it is followed.

use platewright::fault::Source;
use platewright::lint::remarks;
use platewright::recipe::{Family, Shelf};

const SOUND: &str = r#"title = "Test"
about = "For tests."
[dimension.thickness]
says = "thickness"
default = "6 mm"
min = "3 mm"
max = "12 mm"
[dimension.outside]
says = "outside"
default = "100 mm"
min = "60 mm"
max = "200 mm"
[dimension.bore]
says = "bore"
default = "40 mm"
min = "10 mm"
max = "150 mm"
[let]
wall = "(outside - bore) / 2"
[[rule]]
need = "wall >= 10 mm"
otherwise = "the wall is {wall}"
remedy = "make the bore smaller"
[[plate]]
[[plate.step]]
add = "ring"
outside = "outside"
inside = "bore"
"#;

fn told(text: &str) -> Vec<String> {
    let source = Source::inline("it.toml", text);
    let family = Family::read("it", &source).unwrap_or_else(|faults| panic!("{faults}"));
    remarks(&family).iter().map(ToString::to_string).collect()
}

#[test]
fn a_sound_family_gets_no_remark() {
    assert_eq!(told(SOUND), Vec::<String>::new());
}

#[test]
fn each_kind_of_doubt_is_told_at_its_place() {
    let before = "[[plate]]\n";
    for (add, expected) in [
        (
            "[dimension.idle]\nsays = \"idle\"\ndefault = \"1 mm\"\n",
            "nothing uses the dimension `idle`; use it, or take it out",
        ),
        (
            "[dimension.idle]\nsays = \"idle\"\ndefault = \"1 mm\"\n[[bolt]]\nsays = \"none\"\nthread = \"'M8'\"\nclass = \"'8.8'\"\ncount = \"if(idle > 900 m, 1, 0)\"\ngrip = \"thickness\"\n",
            "`idle` moves no edge, opening, mark or margin in any of 1 forms",
        ),
        (
            "[point]\nspare = [\"0 mm\", \"0 mm\"]\n",
            "nothing uses the point `spare`",
        ),
        (
            "[table.t]\ncolumns = { a = \"length\" }\nsource = \"none\"\nrows.a = [\"1 mm\"]\n",
            "nothing looks up the table \"t\"",
        ),
        (
            "[[shape]]\nname = \"lug\"\n[[shape.step]]\nadd = \"disc\"\ndiameter = \"9 mm\"\n",
            "no step uses the shape \"lug\"",
        ),
        (
            "[[rule]]\nneed = \"outside > 20 mm\"\notherwise = \"small\"\nremedy = \"larger\"\n",
            "settings within the ranges breaks this rule",
        ),
        (
            "[[figure]]\nsays = \"it\"\nvalue = \"if(bore > 0 mm, bore, 3)\"\n",
            "one of its values is a length, the other a plain number",
        ),
        (
            "[[figure]]\nsays = \"it\"\nvalue = \"1\"\nwhen = \"bore > 0 mm or bore > 2\"\n",
            "can this be worked out",
        ),
        (
            "[dimension.form]\nsays = \"form\"\nchoices = [\"a\", \"b\"]\ndefault = \"a\"\n[[rule]]\nneed = \"outside >= 150 mm\"\nwhen = 'form == \"b\"'\notherwise = \"small\"\nremedy = \"larger\"\n",
            "with form = b and all else as it stands the part is refused: small",
        ),
    ] {
        let said = told(&SOUND.replacen(before, &format!("{add}{before}"), 1));
        assert!(
            said.iter().any(|it| it.contains(expected)),
            "{add}: {said:?}"
        );
        assert!(said.iter().all(|it| it.starts_with("it.toml:")), "{said:?}");
    }
    let unused = told(
        &SOUND
            .replace(
                "need = \"wall >= 10 mm\"",
                "need = \"outside - bore >= 20 mm\"",
            )
            .replace("{wall}", "thin"),
    );
    assert!(
        unused[0].contains("nothing uses the value `wall`; take it out"),
        "{unused:?}"
    );
}

#[test]
fn no_name_on_the_shelf_is_unused() {
    for family in Shelf::built_in().families().expect("the shelf") {
        let unused: Vec<String> = remarks(&family)
            .iter()
            .map(ToString::to_string)
            .filter(|it| it.contains("nothing uses") || it.contains("can this be worked out"))
            .collect();
        assert_eq!(unused, Vec::<String>::new(), "{}", family.name);
    }
}
