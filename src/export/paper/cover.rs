//! The page that goes with tiles: how they are joined, a map of them over the plate, and cautions.

use super::furniture::{DRAFT, Furniture, PlateShown};
use super::tiling::{MARGIN, Tiling};
use crate::export::Ends;
use crate::export::picture::{Dash, Ink, Item, Picture};
use crate::export::scaled::Scaled;
use crate::geometry::Point;
use crate::quantity::format::{both_units, counted};

/// Most of the height that the map takes, mm.
const MAP: f64 = 170.0;

/// The page, in the coordinates of the page.
pub(super) fn cover(
    sheet: &PlateShown,
    tiling: &Tiling,
    plate: &Picture,
    notes: &[String],
) -> Picture {
    let (width, height) = tiling.page;
    let mut page = Furniture::new(sheet.plate.name.clone(), tiling.page);
    page.bars();
    let left = MARGIN + super::tiling::SIDE;
    let most = page.note_width();
    let mut top = height - MARGIN - 5.0;
    page.write(Point::new(left, top), 4.5, most, &sheet.plate.name);
    for line in words(sheet, tiling) {
        top -= 5.0;
        page.write(Point::new(left, top), 2.4, most, &line);
    }
    let foot = MARGIN + super::tiling::FOOT;
    let notes = page.notes(notes, Point::new(left, foot), most);
    let side = (top - foot - notes - 10.0)
        .min(MAP)
        .min(width - left - MARGIN);
    let corner = Point::new(left, foot + notes + 5.0);
    let scale = page.key_map(tiling, None, corner, side);
    let fine = DRAFT.pen(0.25, Ink::Aid, Dash::Solid);
    let map = Scaled::upright(
        scale,
        corner - Point::ORIGIN - (tiling.corner - Point::ORIGIN) * scale,
    );
    for item in &plate.items {
        let Item::Shape(shape) = item else { continue };
        for edge in shape.chains.iter().filter(|it| it.ends == Ends::Closed) {
            page.picture.stroke(map.chain(edge), fine);
        }
    }
    page.picture
}

fn words(sheet: &PlateShown, tiling: &Tiling) -> Vec<String> {
    let plate = sheet.plate;
    vec![
        format!("{} {}", plate.material, both_units(plate.thickness)),
        format!(
            "{}, {} across and {} up; print all at 100 %, do not fit",
            counted((tiling.columns * tiling.rows) as usize, "tile"),
            tiling.columns,
            tiling.rows
        ),
        "Measure the bars, both ways, on every tile before you trust it.".to_owned(),
        "Cut one of two neighbours along the dotted line from cross to cross, lay it cross on"
            .to_owned(),
        format!(
            "cross over the other, and tape. Crosses of a tile stand {} by {} apart.",
            both_units(tiling.cell.0),
            both_units(tiling.cell.1)
        ),
    ]
}
