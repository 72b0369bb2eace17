//! `check` and `cut` agree: what one refuses the other refuses for the same reason, with exit code 1 and
//! nothing written; what `check` lets through is cut.

use std::path::Path;

use crate::support::bench::Bench;

const FAMILY: &str = "title = \"Test\"\nabout = \"For tests.\"\n[dimension.thickness]\nsays = \"thickness\"\n\
                      default = \"6 mm\"\n[[plate]]\n[[plate.step]]\nadd = \"rectangle\"\n\
                      width = \"120 mm\"\nheight = \"80 mm\"\n";

/// Kerf of shop-plasma in 6 mm mild steel, mm.
fn kerf() -> f64 {
    use platewright::cut::Table;
    use platewright::fault::Source;
    let text = include_str!("../../part-recipes/tables/shop-plasma.toml");
    let table = Table::read(&Source::inline("shop-plasma.toml", text)).expect("sound");
    table.settings("mild steel", 6.0).expect("a row").kerf
}

/// Whether both let a plate of some steps through; both must say the same.
fn passes(steps: &str, part: &str) -> bool {
    let bench = Bench::new();
    bench.write("test.toml", &format!("{FAMILY}{steps}"));
    bench.write("part.toml", &format!("recipe = \"test\"\n{part}"));
    let checked = bench.run(&["check", "part.toml"]);
    let cut = bench.run(&["cut", "part.toml", "--seconds", "0"]);
    let said = format!(
        "{steps}\ncheck: {}{}\ncut: {}",
        String::from_utf8_lossy(&checked.stdout),
        String::from_utf8_lossy(&checked.stderr),
        String::from_utf8_lossy(&cut.stderr)
    );
    assert_eq!(checked.status.code(), cut.status.code(), "{said}");
    let passes = match cut.status.code() {
        Some(0) => true,
        Some(1) => false,
        other => panic!("{other:?}: {said}"),
    };
    assert_eq!(bench.path("out").exists(), passes, "{said}");
    let report = bench.path("out/report.json");
    if let Ok(report) = std::fs::read_to_string(Path::new(&report)) {
        assert!(!report.contains("\"refuse\""), "{said}");
    }
    passes
}

fn cut(shape: &str) -> String {
    format!("[[plate.step]]\ncut = {shape}\n")
}

#[test]
fn a_slot_is_cut_if_the_torch_gets_in_and_its_lead_fits() {
    let kerf = kerf();
    let slot = |width: f64| {
        cut(&format!(
            "\"slot\"\ntravel = \"40 mm\"\nwidth = \"{width:.2} mm\""
        ))
    };
    let mut passed = 0;
    for share in [0.6, 0.95, 1.0, 1.05, 1.2, 1.5, 2.0, 2.5, 3.0, 4.0, 6.0] {
        let through = passes(&slot(share * kerf), "");
        assert!(share > 1.0 || !through, "{share} kerfs");
        assert!(share < 4.0 || through, "{share} kerfs");
        passed += usize::from(through);
    }
    assert!(passed >= 2, "{passed}");
}

#[test]
fn a_slit_or_a_notch_is_judged_by_its_narrowest() {
    let kerf = kerf();
    let slit = |width: f64| {
        cut(&format!(
            "\"rectangle\"\nwidth = \"40 mm\"\nheight = \"{width:.2} mm\"\nat = [\"50 mm\", \"0 mm\"]"
        ))
    };
    let pocket = cut("\"disc\"\ndiameter = \"24 mm\"\nat = [\"25 mm\", \"0 mm\"]");
    for (mouth, through) in [
        (0.5, false),
        (0.9, false),
        (1.1, true),
        (1.6, true),
        (2.1, true),
    ] {
        assert_eq!(
            passes(&slit(mouth * kerf), ""),
            through,
            "a slit of {mouth} kerfs"
        );
        let notch = format!("{}{pocket}", slit(mouth * kerf));
        assert_eq!(passes(&notch, ""), through, "a mouth of {mouth} kerfs");
    }
}

#[test]
fn wedges_hourglasses_and_thick_plate_have_one_answer() {
    for half in [2, 5, 9, 20] {
        let wedge = cut(&format!(
            "\"polygon\"\npoints = [[\"-30 mm\", \"-{half} mm\"], [\"30 mm\", \"0 mm\"], [\"-30 mm\", \"{half} mm\"]]"
        ));
        passes(&wedge, "");
    }
    for neck in ["0.4 mm", "1.5 mm", "2 mm", "4 mm"] {
        let hourglass = format!(
            "{}{}{}",
            cut("\"disc\"\ndiameter = \"20 mm\"\nat = [\"-25 mm\", \"0 mm\"]"),
            cut("\"disc\"\ndiameter = \"20 mm\"\nat = [\"25 mm\", \"0 mm\"]"),
            cut(&format!(
                "\"rectangle\"\nwidth = \"50 mm\"\nheight = \"{neck}\""
            ))
        );
        assert_eq!(
            passes(&hourglass, ""),
            neck == "2 mm" || neck == "4 mm",
            "{neck}"
        );
    }
    assert!(passes("", ""));
    assert!(
        !passes("", "thickness = \"60 mm\"\n"),
        "the table has no settings for it"
    );
    assert!(!passes("", "material = \"copper\"\n"));
}

#[test]
fn only_round_openings_are_drilled() {
    let slot = "\"slot\"\ntravel = \"40 mm\"\nwidth = \"12 mm\"\nname = \"key\"";
    assert!(passes(&cut(slot), ""));
    assert!(!passes(&cut(&format!("{slot}\nfinish = \"drill\"")), ""));
    let bench = Bench::new();
    bench.write("test.toml", &format!("{FAMILY}{}", cut(slot)));
    bench.write(
        "part.toml",
        "recipe = \"test\"\n[opening.key]\nfinish = \"undersize\"\n",
    );
    let said = bench.refused(&["check", "part.toml"], 1);
    assert!(
        said.contains("part.toml:2:10")
            && said.contains("key is not round, so it cannot be drilled or reamed"),
        "{said}"
    );
}
