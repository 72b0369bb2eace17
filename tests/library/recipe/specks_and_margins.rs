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
