//! What rounding leaves is no piece of a plate, and a margin is wanted within reason.

use platewright::fault::Source;
use platewright::plate::plates;
use platewright::recipe::{Family, Part};

const HEAD: &str = "title = \"P\"\nabout = \"a plate\"\n\
    [dimension.thickness]\nsays = \"thickness\"\ndefault = \"6 mm\"\n";

fn made(rest: &str) -> Result<Vec<platewright::plate::Plate>, String> {
    let text = format!("{HEAD}{rest}");
    let family = Family::read("p", &Source::inline("p.toml", text)).map_err(|it| it.to_string())?;
    let made = plates(&Part::plain(family)).map_err(|it| it.to_string())?;
    Ok(made.plates)
}

/// A square of 40 mm with a cut along its upper edge that misses it by so many mm.
fn short_by(gap: &str) -> Result<Vec<platewright::plate::Plate>, String> {
    made(&format!(
        "[[plate]]\n[[plate.step]]\nadd = \"rectangle\"\nwidth = \"40 mm\"\nheight = \"40 mm\"\n\
         [[plate.step]]\ncut = \"rectangle\"\nwidth = \"50 mm\"\nheight = \"10 mm\"\n\
         at = [\"0 mm\", \"15 mm - {gap}\"]\n"
    ))
}

#[test]
fn a_sliver_that_rounding_leaves_is_no_piece() {
    let made = short_by("0.0005 mm").expect("one piece");
    let area = made[0].net_area();
    assert!((area - 40.0 * (30.0 - 0.0005)).abs() < 1e-6, "{area}");
    let refused = short_by("0.01 mm").expect_err("a strip that is there");
    assert!(refused.contains("falls into 2 pieces"), "{refused}");
}

#[test]
fn a_sliver_is_gone_before_rounding_makes_metal_of_it() {
    let strip = |gap: &str| {
        made(&format!(
            "[[plate]]\n[[plate.step]]\nadd = \"rectangle\"\nwidth = \"40 mm\"\nheight = \"40 mm\"\n\
             [[plate.step]]\ncut = \"rectangle\"\nwidth = \"50 mm\"\nheight = \"10 mm\"\n\
             at = [\"0 mm\", \"15 mm - {gap}\"]\n\
             [[plate.step]]\nround = \"inside\"\nradius = \"6 mm\"\n"
        ))
    };
    let area = |gap: &str| strip(gap).expect("one piece")[0].net_area();
    assert!((area("0.0015 mm") - 40.0 * (30.0 - 0.0015)).abs() < 1e-6);
    // A strip that is there is joined to the rest, the gap being narrower than twice the radius.
    assert!(area("0.1 mm") > 40.0 * 39.0);
}

/// A rectangle with a bite of 40 mm across that leaves its lower right corner standing or takes it.
fn bitten(at: &str) -> Result<Vec<platewright::plate::Plate>, String> {
    made(&format!(
        "[[plate]]\n[[plate.step]]\nadd = \"rectangle\"\nwidth = \"50 mm\"\nheight = \"25 mm\"\n\
         [[plate.step]]\ncut = \"disc\"\ndiameter = \"40 mm\"\nat = [\"{at}\", \"5 mm\"]\n"
    ))
}

#[test]
fn a_crumb_of_a_corner_is_no_piece() {
    // What stays ends where the circle meets the lower edge.
    let made = bitten("15 mm").expect("the corner, 0.03 mm², is a crumb");
    let right = made[0].face.outside.bounds().max.x;
    assert!((right - (15.0 - f64::sqrt(20.0 * 20.0 - 17.5 * 17.5))).abs() < 1e-9);
    let refused = bitten("14.8 mm").expect_err("a corner of a third of a millimetre");
    let piece = "falls into 2 pieces (551 mm², 0.08 mm²): the cut \"window\" parts it";
    assert!(refused.contains(piece), "{refused}");
}

#[test]
fn of_crumbs_alone_none_is_dropped_and_none_is_0_mm2() {
    let crumbs = |size: &str| {
        made(&format!(
            "[[plate]]\n[[plate.step]]\nadd = \"rectangle\"\nwidth = \"{size}\"\nheight = \"{size}\"\n\
             along = {{ count = 2, step = [\"10 mm\", \"0 mm\"] }}\n"
        ))
    };
    let refused = crumbs("0.1 mm").expect_err("two crumbs");
    assert!(
        refused.contains("2 pieces (0.01 mm², 0.01 mm²)"),
        "{refused}"
    );
    let refused = crumbs("0.09 mm").expect_err("two smaller crumbs");
    let shown = "2 pieces (under 0.01 mm², under 0.01 mm²)";
    assert!(refused.contains(shown), "{refused}");
}

#[test]
fn a_margin_is_wanted_from_1_to_100() {
    let hold = |margin: &str| {
        made(&format!(
            "[[plate]]\n[[plate.step]]\nadd = \"disc\"\ndiameter = \"40 mm\"\n\
             [[hold]]\nsays = \"it\"\nload = \"10 N\"\ncarries = \"30 N\"\nmargin = \"{margin}\"\n\
             formula = \"f\"\nsource = \"s\"\nremedy = \"r\"\n"
        ))
    };
    for sane in ["1", "1.5", "100"] {
        assert!(hold(sane).is_ok(), "{sane}");
    }
    for wild in ["-1", "0", "0.99", "101", "9e18"] {
        let refused = hold(wild).expect_err(wild);
        assert!(refused.contains("`margin` comes to"), "{refused}");
        assert!(refused.contains("write 1 to 100"), "{refused}");
    }
}
