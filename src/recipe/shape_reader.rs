//! Reading the shape of a step: which keys each shape takes.

use super::limits;
use super::reader::{Reader, ends, optional};
use super::step::{Corner, Drawing, Position, Shape, Widths};
use super::template::Template;
use super::words::ShapeWord;
use crate::fault::Fault;
use crate::toml_text::{Formula, Item, Table, Text};

/// Reads the keys that belong to a shape.
pub(crate) fn shape(word: ShapeWord, table: &mut Table, reader: &mut Reader<'_>) -> Option<Shape> {
    match word {
        ShapeWord::Disc => Some(Shape::Disc {
            diameter: reader.need(table, "diameter", SIZE)?,
        }),
        ShapeWord::Ring => {
            let outside = reader.need(table, "outside", SIZE);
            let inside = reader.need(table, "inside", SIZE);
            Some(Shape::Ring {
                outside: outside?,
                inside: inside?,
            })
        }
        ShapeWord::Rectangle => rectangle(table, reader),
        ShapeWord::Polygon => polygon(table, reader),
        ShapeWord::Bar => {
            let (from, to) = ends(table, reader);
            let widths = widths(table, reader);
            Some(Shape::Bar {
                from: from?,
                to: to?,
                widths: widths?,
            })
        }
        ShapeWord::Hull => hull(table, reader),
        ShapeWord::Slot => slot(table, reader),
        ShapeWord::CurvedSlot => {
            let circle = reader.need(table, "circle", SIZE);
            let sweep = reader.need(table, "sweep", ANGLE);
            let width = reader.need(table, "width", SIZE);
            Some(Shape::CurvedSlot {
                circle: circle?,
                sweep: sweep?,
                width: width?,
            })
        }
        ShapeWord::Sector => sector(table, reader),
        ShapeWord::Bow => {
            let (from, to) = ends(table, reader);
            let rise = reader.need(table, "rise", SIZE);
            let widths = widths(table, reader);
            Some(Shape::Bow {
                from: from?,
                to: to?,
                rise: rise?,
                widths: widths?,
            })
        }
        ShapeWord::Teeth => {
            let pitch = reader.need(table, "pitch", SIZE);
            let roller = reader.need(table, "roller", SIZE);
            let count = reader.need(table, "count", "18");
            Some(Shape::Teeth {
                pitch: pitch?,
                roller: roller?,
                count: count?,
            })
        }
        ShapeWord::Text => {
            let text = reader.template(table, "text", "\"…\"");
            let height = reader.need(table, "height", SIZE);
            let stroke = reader.need(table, "stroke", SIZE);
            Some(Shape::Text {
                text: text?,
                height: height?,
                stroke: stroke?,
            })
        }
        ShapeWord::Drawing => drawing(table, reader),
    }
}

/// Examples for keys that are missing.
const SIZE: &str = "\"40 mm\"";
const ANGLE: &str = "\"30 deg\"";

fn rectangle(table: &mut Table, reader: &mut Reader<'_>) -> Option<Shape> {
    let width = reader.need(table, "width", SIZE);
    let height = reader.need(table, "height", SIZE);
    let corner = optional(table, "corner", |item| reader.formula(item));
    let anchor = optional(table, "anchor", |item| item.word(reader.faults));
    Some(Shape::Rectangle {
        width: width?,
        height: height?,
        corner: corner?,
        anchor: anchor?.unwrap_or_default(),
    })
}

fn polygon(table: &mut Table, reader: &mut Reader<'_>) -> Option<Shape> {
    if !table.has("points") {
        if !table.has("sides") {
            reader.item(
                table,
                "points",
                "[[\"0 mm\", \"0 mm\"], …] or sides and across",
            );
            return None;
        }
        let sides = reader.need(table, "sides", "6");
        let across = reader.need(table, "across", SIZE);
        return Some(Shape::RegularPolygon {
            sides: sides?,
            across: across?,
        });
    }
    let item = table.take("points")?;
    let few = item.fault("a polygon has at least three corners");
    let many = item.fault("this polygon has too many corners");
    let items = item.list(reader.faults)?;
    if items.len() < 3 {
        reader
            .faults
            .push(few.remedy("give `points` three or more"));
        return None;
    }
    if items.len() > limits::CORNERS {
        let most = format!("no more than {} are possible", limits::CORNERS);
        reader.faults.push(many.remedy(most));
        return None;
    }
    let corners: Vec<Option<Corner>> = items.into_iter().map(|item| corner(item, reader)).collect();
    Some(Shape::Polygon {
        points: corners.into_iter().collect::<Option<_>>()?,
    })
}

fn corner(item: Item, reader: &mut Reader<'_>) -> Option<Corner> {
    let wrong = item.fault("a corner is two lengths, or three with its radius");
    let mut values = item.list(reader.faults)?.into_iter();
    let (Some(x), Some(y), radius, None) =
        (values.next(), values.next(), values.next(), values.next())
    else {
        let fault = wrong.remedy("write [\"10 mm\", \"0 mm\"] or [\"10 mm\", \"0 mm\", \"3 mm\"]");
        reader.faults.push(fault);
        return None;
    };
    let (x, y) = (reader.formula(x), reader.formula(y));
    let radius = match radius {
        Some(item) => Some(reader.formula(item)?),
        None => None,
    };
    Some(Corner {
        at: [x?, y?],
        radius,
    })
}

/// A hull: discs that each have a place and a diameter.
fn hull(table: &mut Table, reader: &mut Reader<'_>) -> Option<Shape> {
    let item = reader.item(table, "discs", "[[\"0 mm\", \"0 mm\", \"40 mm\"], …]")?;
    let few = item.fault("a hull has at least two discs");
    let many = item.fault("this hull has too many discs");
    let items = item.list(reader.faults)?;
    if items.len() < 2 {
        reader.faults.push(few.remedy("give `discs` two or more"));
        return None;
    }
    if items.len() > limits::DISCS {
        let most = format!("no more than {} are possible", limits::DISCS);
        reader.faults.push(many.remedy(most));
        return None;
    }
    let discs: Vec<_> = items
        .into_iter()
        .map(|item| disc_at(item, reader))
        .collect();
    Some(Shape::Hull {
        discs: discs.into_iter().collect::<Option<_>>()?,
    })
}

/// `["x", "y", "diameter"]`, or `["point", "diameter"]`.
fn disc_at(item: Item, reader: &mut Reader<'_>) -> Option<(Position, Formula)> {
    let wrong = item.fault("a disc of a hull is its place and its diameter");
    let mut values = item.list(reader.faults)?.into_iter();
    match (values.next(), values.next(), values.next(), values.next()) {
        (Some(place), Some(diameter), None, None) => {
            let (place, diameter) = (reader.position(place), reader.formula(diameter));
            Some((place?, diameter?))
        }
        (Some(x), Some(y), Some(diameter), None) => {
            let (x, y) = (reader.formula(x), reader.formula(y));
            let diameter = reader.formula(diameter);
            Some((Position::At(Box::new([x?, y?])), diameter?))
        }
        _ => {
            let remedy = "write [\"10 mm\", \"0 mm\", \"40 mm\"] or [\"boss\", \"40 mm\"]";
            reader.faults.push(wrong.remedy(remedy));
            None
        }
    }
}

fn slot(table: &mut Table, reader: &mut Reader<'_>) -> Option<Shape> {
    if table.has("travel") {
        let travel = reader.need(table, "travel", SIZE);
        let width = reader.need(table, "width", SIZE);
        return Some(Shape::Slot {
            travel: travel?,
            width: width?,
        });
    }
    if !table.has("from") {
        reader.item(table, "travel", "\"20 mm\" (or from and to)");
        return None;
    }
    let (from, to) = ends(table, reader);
    let width = reader.need(table, "width", SIZE);
    Some(Shape::SlotBetween {
        from: from?,
        to: to?,
        width: width?,
    })
}

fn sector(table: &mut Table, reader: &mut Reader<'_>) -> Option<Shape> {
    let outside = reader.need(table, "outside", SIZE);
    let inside = optional(table, "inside", |item| reader.formula(item));
    let sweep = reader.need(table, "sweep", ANGLE);
    let corner = optional(table, "corner", |item| reader.formula(item));
    Some(Shape::Sector {
        outside: outside?,
        inside: inside?,
        sweep: sweep?,
        corner: corner?,
    })
}

fn widths(table: &mut Table, reader: &mut Reader<'_>) -> Option<Widths> {
    if table.has("from_width") || table.has("to_width") {
        let from = reader.need(table, "from_width", SIZE);
        let to = reader.need(table, "to_width", SIZE);
        return Some(Widths::Taper(from?, to?));
    }
    reader.need(table, "width", SIZE).map(Widths::Even)
}

fn drawing(table: &mut Table, reader: &mut Reader<'_>) -> Option<Shape> {
    if table.has("path") {
        let path = reader.text(table, "path", "\"M 0 0 …\"")?;
        return Some(Shape::Path { path });
    }
    let file = reader.template(table, "file", "\"outline.dxf\"")?;
    let drawing = Drawing::read(file, table, reader)?;
    Some(Shape::Drawing(Box::new(drawing)))
}

impl Drawing {
    /// Reads the keys beside that of the file.
    pub(super) fn read(file: Template, table: &mut Table, reader: &mut Reader<'_>) -> Option<Self> {
        let layers = optional(table, "layer", |item| layers(item, reader.faults));
        let unit = optional(table, "unit", |item| item.word(reader.faults));
        let scale = reader.option(table, "scale");
        let known = optional(table, "known", |item| known(item, reader));
        let fit = reader.option(table, "fit");
        let gap = reader.option(table, "gap");
        Some(Self {
            file,
            layers: layers?.unwrap_or_default(),
            unit: unit?,
            scale,
            known: known?.unwrap_or_default(),
            fit,
            gap,
            asks_for_unit: false,
        })
    }
}

/// One layer or a list of them.
fn layers(item: Item, faults: &mut Vec<Fault>) -> Option<Vec<Text>> {
    if item.is_list() {
        return Some(item.texts(faults));
    }
    item.text(faults).map(|layer| vec![layer])
}

fn known(item: Item, reader: &mut Reader<'_>) -> Option<[Option<Formula>; 2]> {
    let mut table = item.table(reader.faults)?;
    table.call("`known`");
    let sizes = ["width", "height"].map(|key| reader.option(&mut table, key));
    table.finish(reader.faults);
    Some(sizes)
}
