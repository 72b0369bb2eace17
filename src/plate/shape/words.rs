//! Words as a shape: the strokes of the alphabet, as wide as asked, with round ends.

use super::Shaped;
use super::bar::slot;
use super::round::curved_slot;
use super::size::{positive, read};
use crate::fault::Refusal;
use crate::geometry::{Pose, Region, Segment, arrange};
use crate::lettering;

/// The widest stroke as a share of the height: wider ones fill the letters.
const WIDEST: f64 = 0.2;
/// Longest line of words.
const MOST_LETTERS: usize = 60;

/// Words whose capitals are `height` mm high, from the left end of their base line at the origin, in
/// strokes `stroke` mm wide.
pub fn words(text: &str, height: f64, stroke: f64) -> Shaped {
    positive("height", height)?;
    positive("stroke", stroke)?;
    let widest = WIDEST * height;
    if stroke > widest {
        return Err(Refusal::new(format!(
            "a stroke of {} fills letters {} high",
            read(stroke),
            read(height)
        ))
        .remedy(format!("make it at most {}", read(widest))));
    }
    if text.trim().is_empty() {
        return Err(Refusal::new("there are no letters in it"));
    }
    let count = text.chars().count();
    if count > MOST_LETTERS {
        return Err(Refusal::new(format!("it has {count} letters"))
            .remedy(format!("no more than {MOST_LETTERS} are possible")));
    }
    if let Some(unknown) = lettering::unknown(text) {
        return Err(Refusal::new(format!("the alphabet has no \"{unknown}\""))
            .remedy("use plain letters, digits and signs"));
    }
    let strokes = lettering::strokes(text, height);
    let bands: Result<Vec<Region>, Refusal> = strokes
        .iter()
        .flatten()
        .map(|piece| band(piece, stroke))
        .collect();
    let whole = arrange(&bands?, &|inside| inside.contains(&true));
    whole.map_err(|_| {
        Refusal::new("the letters do not join").remedy("change the height or the stroke a little")
    })
}

/// One piece of a stroke with its round ends.
fn band(piece: &Segment, stroke: f64) -> Shaped {
    match piece {
        Segment::Line { start, end } => slot(*start, *end, stroke),
        Segment::Arc { centre, radius, .. } => {
            let middle = (piece.point_at(0.5) - *centre).angle();
            let band = curved_slot(2.0 * radius, piece.sweep().abs(), stroke)?;
            let shift = *centre - crate::geometry::Point::ORIGIN;
            Ok(band.posed(&Pose::new(middle, shift)))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_i_without_a_dot_is_a_slot() {
        let region = words("l", 12.0, 1.0).expect("a letter");
        assert_eq!(region.faces.len(), 1);
        // 10 mm of straight stroke, a quarter turn of 2 mm radius, 0.4 mm of foot, one round end each.
        let length = 10.0 + std::f64::consts::FRAC_PI_2 * 2.0 + 0.4;
        let area = length + std::f64::consts::FRAC_PI_4;
        assert!((region.area() - area).abs() < 1e-6, "{}", region.area());
    }

    #[test]
    fn closed_letters_have_their_eyes() {
        for (text, pieces, eyes) in [
            ("O", 1, 1),
            ("B", 1, 2),
            ("8", 1, 2),
            ("i", 2, 0),
            ("12 mm", 4, 0),
            ("%", 3, 2),
            ("a4", 2, 2),
        ] {
            let region = words(text, 20.0, 2.0).expect(text);
            let found: usize = region.faces.iter().map(|face| face.openings.len()).sum();
            assert_eq!((region.faces.len(), found), (pieces, eyes), "{text}");
        }
    }

    /// Against an independent engine on flattened strokes: the union of their bands.
    #[test]
    fn the_whole_alphabet_has_the_area_of_its_strokes_united() {
        use i_overlay::core::{fill_rule::FillRule, overlay_rule::OverlayRule};
        use i_overlay::float::single::SingleFloatOverlay;
        let all = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789.,:;!?-+±×=<>/_()'\"#%°⌀→↑";
        for c in all.chars() {
            for stroke in [0.4, 1.0, 2.0] {
                let text = c.to_string();
                let region =
                    words(&text, 10.0, stroke).unwrap_or_else(|why| panic!("{c} {stroke}: {why}"));
                let mut bands: Vec<Vec<[f64; 2]>> = Vec::new();
                for piece in lettering::strokes(&text, 10.0).iter().flatten() {
                    let band = band(piece, stroke).expect("a band");
                    for contour in band.contours() {
                        bands.push(
                            contour
                                .flattened(1e-4, crate::geometry::Side::Outward)
                                .iter()
                                .map(|p| [p.x, p.y])
                                .collect(),
                        );
                    }
                }
                let nothing: Vec<Vec<[f64; 2]>> = Vec::new();
                let united = bands.overlay(&nothing, OverlayRule::Union, FillRule::NonZero);
                let area: f64 = united
                    .iter()
                    .flatten()
                    .map(|ring| {
                        let next = ring.iter().cycle().skip(1);
                        ring.iter()
                            .zip(next)
                            .map(|(a, b)| (a[0] * b[1] - b[0] * a[1]) / 2.0)
                            .sum::<f64>()
                    })
                    .sum();
                assert!(
                    (region.area() - area).abs() < 0.01,
                    "{c} {stroke}: {} {area}",
                    region.area()
                );
                assert_eq!(region.faces.len(), united.len(), "{c} {stroke}");
            }
        }
    }

    #[test]
    fn what_cannot_be_made_is_told() {
        assert!(
            words("A", 10.0, 2.5)
                .expect_err("too wide")
                .to_string()
                .contains("at most 2 mm")
        );
        assert!(
            words("Ж", 10.0, 1.0)
                .expect_err("unknown")
                .to_string()
                .contains("\"Ж\"")
        );
        assert!(words("  ", 10.0, 1.0).is_err());
        assert!(words("A", 0.0, 1.0).is_err());
    }
}
