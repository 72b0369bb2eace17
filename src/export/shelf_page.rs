//! The shelf on a page: every family with its picture, its name and what it is.
//!
//! In: families with their plates as they stand, in the order of their groups. Out: a document of as many pages of
//! a paper as they take, thirty a page of A4. Pictures are not to scale.

use super::pdf::{Document, PdfPage};
use super::picture::{Anchor, Dash, Ink, Picture, Stroke, Words};
use super::scaled::Scaled;
use crate::geometry::{Bounds, Point, Vector};
use crate::lettering;
use crate::plate::Plate;
use crate::trade::paper::Paper;

/// Free edge of the paper, mm.
const EDGE: f64 = 8.0;
/// Heights of letters: title, name of a family, what it is, mm.
const TITLE: f64 = 4.0;
const NAME: f64 = 2.3;
const TEXT: f64 = 1.55;
/// From line to line, as a share of the height of its letters.
const LEADING: f64 = 1.75;
/// Width of a column and height of a row, mm.
const COLUMN: f64 = 38.0;
const ROW: f64 = 45.0;
/// Height of a picture, mm.
const PICTURE: f64 = 22.0;
/// Between what stands side by side, mm.
const APART: f64 = 2.0;
/// Plates of a family that are shown.
const SHOWN: usize = 3;
/// Lines of what it is.
const LINES: usize = 5;

/// A family on the page.
#[derive(Debug, Clone)]
pub struct Shelved {
    /// What it is called on the command line.
    pub name: String,
    /// Where it stands on the shelf.
    pub group: &'static str,
    /// What it is, in a sentence.
    pub about: String,
    /// Its plates as it stands.
    pub plates: Vec<Plate>,
}

/// The shelf on pages of a paper.
#[must_use]
pub fn shelf_page(families: &[Shelved], paper: &Paper) -> Document {
    let title = match families.len() {
        1 => "One family".to_owned(),
        count => format!("{count} families"),
    };
    let across = ((paper.width - 2.0 * EDGE) / COLUMN).floor().max(1.0);
    let top = paper.height - EDGE - LEADING * TITLE;
    let down = ((top - EDGE) / ROW).floor().max(1.0);
    let on_a_page = (across * down) as usize;
    let pages = families.chunks(on_a_page).map(|shown| {
        let mut page = Picture::new(title.clone());
        page.frame = Bounds {
            min: Point::ORIGIN,
            max: Point::new(paper.width, paper.height),
        };
        let at = Point::new(EDGE, paper.height - EDGE - TITLE);
        let told = format!("{title}, not to scale: platewright recipes NAME explains one");
        line(
            &mut page,
            at,
            TITLE,
            Ink::Edge,
            told,
            paper.width - 2.0 * EDGE,
        );
        for (index, family) in shown.iter().enumerate() {
            let column = (index as f64) % across;
            let row = (index as f64 / across).floor();
            let corner = Point::new(EDGE + column * COLUMN, top - row * ROW);
            cell(&mut page, family, corner);
        }
        PdfPage::of(page)
    });
    Document {
        pages: pages.collect(),
        title: title.clone(),
    }
}

/// A family, its upper left corner there.
fn cell(page: &mut Picture, family: &Shelved, corner: Point) {
    let width = COLUMN - 2.0 * APART;
    plates(page, family, corner);
    let mut y = corner.y - APART - PICTURE;
    let mut write = |height: f64, ink: Ink, text: String| {
        y -= LEADING * height;
        line(page, Point::new(corner.x, y), height, ink, text, width);
    };
    write(NAME, Ink::Edge, family.name.clone());
    // The tails of a name reach further down than those of smaller letters.
    write(0.5 * (NAME + TEXT), Ink::Aid, family.group.to_owned());
    let about = family.about.replace('`', "");
    let lines = lettering::wrapped(&about, " ", TEXT, width);
    for text in lines.into_iter().take(LINES) {
        write(TEXT, Ink::Edge, text);
    }
}

/// Its plates side by side, as large as there is room.
fn plates(page: &mut Picture, family: &Shelved, corner: Point) {
    let shown: Vec<&Plate> = family.plates.iter().take(SHOWN).collect();
    let sizes = shown.iter().map(|it| it.face.outside.bounds());
    let sizes: Vec<Bounds> = sizes.collect();
    let gaps = APART * sizes.len().saturating_sub(1) as f64;
    let wide: f64 = sizes.iter().map(|it| it.width()).sum();
    let high = sizes.iter().map(|it| it.height()).fold(0.0, f64::max);
    let room = COLUMN - 2.0 * APART - gaps;
    let factor = (room / wide).min((PICTURE - APART) / high);
    let middle = corner.y - APART - PICTURE / 2.0;
    let mut x = corner.x;
    let pen = Stroke::new(0.2, Ink::Edge, Dash::Solid);
    for (plate, size) in shown.into_iter().zip(sizes) {
        let lower_left = Vector::new(size.min.x, size.centre().y) * factor;
        let scaled = Scaled::upright(factor, Vector::new(x, middle) - lower_left);
        let edges = plate.face.contours();
        let chains = edges.map(|it| scaled.contour(it)).collect();
        page.draw(chains, Some(Ink::Plate), Some(pen));
        x += size.width() * factor + APART;
    }
}

fn line(page: &mut Picture, at: Point, height: f64, ink: Ink, text: String, most: f64) {
    let words = Words {
        at,
        anchor: Anchor::Start,
        height,
        turn: 0.0,
        ink,
        text,
    };
    page.write(words.fitted(most));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::export::picture::Item;
    use crate::plate;
    use crate::recipe::words::Group;
    use crate::recipe::{Part, Shelf};
    use crate::trade::paper;

    fn whole_shelf() -> Vec<Shelved> {
        let families = Shelf::built_in().families().expect("the shelf");
        let of_group = |group: Group| families.iter().filter(move |it| it.group == group);
        let sorted = Group::ALL.iter().flat_map(|(group, _)| of_group(*group));
        let shelved = sorted.map(|family| Shelved {
            name: family.name.clone(),
            group: family.group.word(),
            about: family.about.clone(),
            plates: plate::plates(&Part::plain(family.clone()))
                .expect("plates")
                .plates,
        });
        shelved.collect()
    }

    #[test]
    fn thirty_families_stand_on_one_page_and_nothing_on_anything_else() {
        let families = whole_shelf();
        let a4 = paper::find("A4").expect("A4");
        let document = shelf_page(&families, a4);
        assert_eq!(document.pages.len(), families.len().div_ceil(30));
        let mut seen = 0;
        for page in &document.pages {
            let items = page.views.iter().flat_map(|view| &view.picture.items);
            let items: Vec<&Item> = items.collect();
            let words: Vec<Bounds> = items
                .iter()
                .filter_map(|it| match it {
                    Item::Words(words) => Some(words.bounds()),
                    Item::Shape(_) => None,
                })
                .collect();
            let paper = Bounds {
                min: Point::ORIGIN,
                max: Point::new(a4.width, a4.height),
            }
            .grown(-7.0);
            assert!(words.iter().all(|it| paper.holds(*it)));
            for (index, one) in words.iter().enumerate() {
                let apart = |other: &Bounds| !one.grown(-0.05).meets(other.grown(-0.05));
                assert!(words[..index].iter().all(apart), "words {index}");
                let shapes = items.iter().filter_map(|it| match it {
                    Item::Shape(_) => Some(it.bounds()),
                    Item::Words(_) => None,
                });
                assert!(
                    shapes.into_iter().all(|it| !it.meets(*one)),
                    "words {index}"
                );
            }
            seen += items
                .iter()
                .filter(|it| {
                    matches!(it, Item::Words(words)
                if families.iter().any(|family| family.name == words.text))
                })
                .count();
        }
        assert_eq!(seen, families.len());
    }

    /// What a family is, is told whole on the page.
    #[test]
    fn what_a_family_is_fits_into_its_lines() {
        for family in whole_shelf() {
            let lines = lettering::wrapped(&family.about, " ", TEXT, COLUMN - 2.0 * APART);
            assert!(
                lines.len() <= LINES,
                "{}: {} lines",
                family.name,
                lines.len()
            );
        }
    }
}
