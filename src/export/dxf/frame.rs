//! What stands around the entities of a DXF file: header, tables, blocks and objects.
//!
//! Handles are fixed numbers, so that two files of one drawing are equal byte for byte.

use super::groups::Groups;
use crate::geometry::{Bounds, Point};
use crate::layer::Layer;

/// The block record that owns every entity.
pub(super) const MODEL_SPACE: u32 = 0x1F;

/// The first handle that entities may take.
pub(super) const FIRST_FREE_HANDLE: u32 = 0x100;

const PAPER_SPACE: u32 = 0x1B;
const ROOT_DICTIONARY: u32 = 0x0C;
const GROUP_DICTIONARY: u32 = 0x0D;
const LAYOUT_DICTIONARY: u32 = 0x1A;
const PLOT_STYLE_DICTIONARY: u32 = 0x0E;
const PLOT_STYLE: u32 = 0x0F;
const MODEL_LAYOUT: u32 = 0x22;
const PAPER_LAYOUT: u32 = 0x1E;
const LAYERS: u32 = 0x40;

/// The colour of each layer as a colour number of the format. Kept apart in brightness as well as in
/// hue; the names, not the colours, carry the meaning.
const COLOURS: [(Layer, u8); 8] = [
    (Layer::Outside, 7),
    (Layer::Inside, 5),
    (Layer::SmallHole, 30),
    (Layer::CentreMark, 6),
    (Layer::Scribe, 4),
    (Layer::Bend, 3),
    (Layer::Sheet, 8),
    (Layer::Note, 9),
];

/// Likewise of the layer that only drawings with cuts in scrap have.
const SCRAP_COLOUR: (Layer, u8) = (Layer::Scrap, 1);

/// A text style whose letters any reader has.
const STYLE: &[(u16, &str)] = &[
    (40, "0.0"),
    (41, "1.0"),
    (50, "0.0"),
    (71, "0"),
    (42, "2.5"),
    (3, "txt"),
    (4, ""),
];

/// No printer chosen; paper in millimetres, scale one to one.
const PLOT_SETTINGS: &[(u16, &str)] = &[
    (1, ""),
    (2, "none_device"),
    (4, ""),
    (6, ""),
    (40, "0.0"),
    (41, "0.0"),
    (42, "0.0"),
    (43, "0.0"),
    (44, "0.0"),
    (45, "0.0"),
    (46, "0.0"),
    (47, "0.0"),
    (48, "0.0"),
    (49, "0.0"),
    (140, "0.0"),
    (141, "0.0"),
    (142, "1.0"),
    (143, "1.0"),
    (70, "688"),
    (72, "1"),
    (73, "0"),
    (74, "5"),
    (7, ""),
    (75, "16"),
    (147, "1.0"),
    (148, "0.0"),
    (149, "0.0"),
];

/// Elevation 0 and the axes of the world.
const LAYOUT_AXES: &[(u16, &str)] = &[
    (146, "0.0"),
    (13, "0.0"),
    (23, "0.0"),
    (33, "0.0"),
    (16, "1.0"),
    (26, "0.0"),
    (36, "0.0"),
    (17, "0.0"),
    (27, "1.0"),
    (37, "0.0"),
    (76, "0"),
];

/// What the frame has to know about the entities in it.
pub(super) struct Frame {
    /// The box around them, mm.
    pub(super) bounds: Bounds,
    /// The first handle that none of them took.
    pub(super) next_handle: u32,
    /// Whether one of them is a cut in scrap.
    pub(super) has_scrap: bool,
}

impl Frame {
    /// A whole file of release R12.
    pub(super) fn write_r12(&self, file: &mut Groups, entities: &Groups) {
        // The release has no header for its unit; a comment tells whoever opens the file as text.
        file.pair(999, "lengths in millimetres");
        section(file, "HEADER", |file| {
            file.pairs(&[(9, "$ACADVER"), (1, "AC1009")]);
            self.extent(file);
        });
        section(file, "TABLES", |file| {
            tables_r12(file, &self.layers());
        });
        section(file, "BLOCKS", |_| ());
        section(file, "ENTITIES", |file| {
            file.append(entities);
        });
        file.pair(0, "EOF");
    }

    /// A whole file of release 2000.
    pub(super) fn write_r2000(&self, file: &mut Groups, entities: &Groups) {
        section(file, "HEADER", |file| {
            file.pairs(&[(9, "$ACADVER"), (1, "AC1015")])
                .pairs(&[(9, "$DWGCODEPAGE"), (3, "ANSI_1252")]);
            self.extent(file);
            file.pair(9, "$HANDSEED").handle(5, self.next_handle);
            // Millimetres, metric.
            file.pairs(&[(9, "$INSUNITS"), (70, "4"), (9, "$MEASUREMENT"), (70, "1")]);
        });
        section(file, "CLASSES", |_| ());
        section(file, "TABLES", |file| self.tables_r2000(file));
        section(file, "BLOCKS", |file| {
            block(file, "*Model_Space", MODEL_SPACE, 0x20);
            block(file, "*Paper_Space", PAPER_SPACE, 0x1C);
        });
        section(file, "ENTITIES", |file| {
            file.append(entities);
        });
        section(file, "OBJECTS", |file| {
            dictionaries(file);
            self.layout(file, "Model", MODEL_LAYOUT, MODEL_SPACE);
            self.layout(file, "Layout1", PAPER_LAYOUT, PAPER_SPACE);
        });
        file.pair(0, "EOF");
    }

    /// The layers of the file with their colours.
    fn layers(&self) -> Vec<(Layer, u8)> {
        let scrap = self.has_scrap.then_some(SCRAP_COLOUR);
        COLOURS.into_iter().chain(scrap).collect()
    }

    /// The box around everything, the origin alone if there is nothing.
    fn extent(&self, file: &mut Groups) {
        let (min, max) = self.corners();
        file.pair(9, "$EXTMIN").point_in_space(10, min);
        file.pair(9, "$EXTMAX").point_in_space(10, max);
    }

    fn corners(&self) -> (Point, Point) {
        if self.bounds.width() < 0.0 {
            (Point::ORIGIN, Point::ORIGIN)
        } else {
            (self.bounds.min, self.bounds.max)
        }
    }

    fn tables_r2000(&self, file: &mut Groups) {
        table(file, "VPORT", 0x08, 1, |file| self.view(file));
        table(file, "LTYPE", 0x05, 3, |file| {
            line_type(file, 0x14, "ByBlock", "");
            line_type(file, 0x15, "ByLayer", "");
            line_type(file, 0x16, "Continuous", "Solid line");
        });
        let layers = self.layers();
        table(file, "LAYER", 0x02, layers.len() + 1, |file| {
            layer(file, 0x10, "0", 7);
            for (handle, (name, colour)) in (LAYERS..).zip(layers) {
                layer(file, handle, name.name(), colour);
            }
        });
        table(file, "STYLE", 0x03, 1, |file| {
            record(file, "STYLE", 0x11, 0x03, "AcDbTextStyleTableRecord");
            file.pairs(&[(2, "Standard"), (70, "0")]).pairs(STYLE);
        });
        table(file, "VIEW", 0x06, 0, |_| ());
        table(file, "UCS", 0x07, 0, |_| ());
        table(file, "APPID", 0x09, 1, |file| {
            record(file, "APPID", 0x12, 0x09, "AcDbRegAppTableRecord");
            file.pairs(&[(2, "ACAD"), (70, "0")]);
        });
        dimension_styles(file);
        table(file, "BLOCK_RECORD", 0x01, 2, |file| {
            for (name, handle, layout) in [
                ("*Model_Space", MODEL_SPACE, MODEL_LAYOUT),
                ("*Paper_Space", PAPER_SPACE, PAPER_LAYOUT),
            ] {
                record(file, "BLOCK_RECORD", handle, 0x01, "AcDbBlockTableRecord");
                file.pair(2, name).handle(340, layout);
            }
        });
    }

    /// The opening view: everything drawn, with a little room around it.
    fn view(&self, file: &mut Groups) {
        let (min, max) = self.corners();
        let height = ((max.y - min.y).max(max.x - min.x) * 1.1).max(1.0);
        record(file, "VPORT", 0x30, 0x08, "AcDbViewportTableRecord");
        file.pairs(&[(2, "*Active"), (70, "0")]).pairs(&[
            (10, "0.0"),
            (20, "0.0"),
            (11, "1.0"),
            (21, "1.0"),
        ]);
        file.point(12, min.lerp(max, 0.5)).pairs(&[
            (13, "0.0"),
            (23, "0.0"),
            (14, "10.0"),
            (24, "10.0"),
            (15, "10.0"),
            (25, "10.0"),
            (16, "0.0"),
            (26, "0.0"),
            (36, "1.0"),
            (17, "0.0"),
            (27, "0.0"),
            (37, "0.0"),
        ]);
        file.real(40, height).pairs(&[
            (41, "1.0"),
            (42, "50.0"),
            (43, "0.0"),
            (44, "0.0"),
            (50, "0.0"),
            (51, "0.0"),
            (71, "0"),
            (72, "100"),
            (73, "1"),
            (74, "3"),
            (75, "0"),
            (76, "0"),
            (77, "0"),
            (78, "0"),
        ]);
    }

    fn layout(&self, file: &mut Groups, name: &str, handle: u32, space: u32) {
        let (min, max) = self.corners();
        object(file, "LAYOUT", handle, LAYOUT_DICTIONARY);
        file.pair(100, "AcDbPlotSettings").pairs(PLOT_SETTINGS);
        file.pair(100, "AcDbLayout")
            .pair(1, name)
            .pair(70, 1)
            .pair(71, u8::from(space != MODEL_SPACE))
            .point(10, min)
            .point(11, max)
            .point_in_space(12, Point::ORIGIN)
            .point_in_space(14, min)
            .point_in_space(15, max)
            .pairs(LAYOUT_AXES)
            .handle(330, space);
    }
}

fn section(file: &mut Groups, name: &str, body: impl FnOnce(&mut Groups)) {
    file.pair(0, "SECTION").pair(2, name);
    body(file);
    file.pair(0, "ENDSEC");
}

fn tables_r12(file: &mut Groups, layers: &[(Layer, u8)]) {
    let table = |file: &mut Groups, name: &str, count: usize| {
        file.pair(0, "TABLE").pair(2, name).pair(70, count);
    };
    table(file, "LTYPE", 1);
    file.pairs(&[(0, "LTYPE"), (2, "CONTINUOUS"), (70, "0")])
        .pairs(&[(3, "Solid line"), (72, "65"), (73, "0"), (40, "0.0")])
        .pair(0, "ENDTAB");
    table(file, "LAYER", layers.len() + 1);
    let named = layers.iter().map(|(layer, colour)| (layer.name(), *colour));
    for (name, colour) in std::iter::once(("0", 7)).chain(named) {
        file.pair(0, "LAYER")
            .pair(2, name)
            .pair(70, 0)
            .pair(62, colour)
            .pair(6, "CONTINUOUS");
    }
    file.pair(0, "ENDTAB");
    table(file, "STYLE", 1);
    file.pairs(&[(0, "STYLE"), (2, "STANDARD"), (70, "0")])
        .pairs(STYLE)
        .pair(0, "ENDTAB");
}

fn table(
    file: &mut Groups,
    name: &str,
    handle: u32,
    count: usize,
    entries: impl FnOnce(&mut Groups),
) {
    file.pair(0, "TABLE")
        .pair(2, name)
        .handle(5, handle)
        .handle(330, 0)
        .pair(100, "AcDbSymbolTable")
        .pair(70, count);
    entries(file);
    file.pair(0, "ENDTAB");
}

/// The head of a table entry.
fn record(file: &mut Groups, kind: &str, handle: u32, owner: u32, subclass: &str) {
    file.pair(0, kind)
        .handle(5, handle)
        .handle(330, owner)
        .pair(100, "AcDbSymbolTableRecord")
        .pair(100, subclass);
}

fn line_type(file: &mut Groups, handle: u32, name: &str, says: &str) {
    record(file, "LTYPE", handle, 0x05, "AcDbLinetypeTableRecord");
    file.pair(2, name)
        .pair(70, 0)
        .pair(3, says)
        .pairs(&[(72, "65"), (73, "0"), (40, "0.0")]);
}

fn layer(file: &mut Groups, handle: u32, name: &str, colour: u8) {
    record(file, "LAYER", handle, 0x02, "AcDbLayerTableRecord");
    file.pair(2, name)
        .pair(70, 0)
        .pair(62, colour)
        .pair(6, "Continuous")
        .handle(390, PLOT_STYLE);
}

/// The dimension styles: one, all defaults. Its handle stands under 105, since 5 means something
/// else in a dimension style.
fn dimension_styles(file: &mut Groups) {
    file.pairs(&[(0, "TABLE"), (2, "DIMSTYLE")])
        .handle(5, 0x0A)
        .handle(330, 0)
        .pairs(&[(100, "AcDbSymbolTable"), (70, "1")])
        .pairs(&[(100, "AcDbDimStyleTable"), (71, "0")]);
    file.pair(0, "DIMSTYLE")
        .handle(105, 0x27)
        .handle(330, 0x0A)
        .pair(100, "AcDbSymbolTableRecord")
        .pair(100, "AcDbDimStyleTableRecord")
        .pairs(&[(2, "Standard"), (70, "0"), (0, "ENDTAB")]);
}

fn block(file: &mut Groups, name: &str, space: u32, handle: u32) {
    let head = |file: &mut Groups, kind: &str, handle: u32, subclass: &str| {
        file.pair(0, kind)
            .handle(5, handle)
            .handle(330, space)
            .pair(100, "AcDbEntity")
            .pair(8, 0)
            .pair(100, subclass);
    };
    head(file, "BLOCK", handle, "AcDbBlockBegin");
    file.pair(2, name)
        .pair(70, 0)
        .point_in_space(10, Point::ORIGIN)
        .pair(3, name)
        .pair(1, "");
    head(file, "ENDBLK", handle + 1, "AcDbBlockEnd");
}

/// The head of an object.
fn object(file: &mut Groups, kind: &str, handle: u32, owner: u32) {
    file.pair(0, kind).handle(5, handle).handle(330, owner);
}

fn dictionaries(file: &mut Groups) {
    dictionary(
        file,
        ROOT_DICTIONARY,
        0,
        &[
            ("ACAD_GROUP", GROUP_DICTIONARY),
            ("ACAD_LAYOUT", LAYOUT_DICTIONARY),
            ("ACAD_PLOTSTYLENAME", PLOT_STYLE_DICTIONARY),
        ],
    );
    dictionary(file, GROUP_DICTIONARY, ROOT_DICTIONARY, &[]);
    dictionary(
        file,
        LAYOUT_DICTIONARY,
        ROOT_DICTIONARY,
        &[("Model", MODEL_LAYOUT), ("Layout1", PAPER_LAYOUT)],
    );
    plot_styles(file);
}

/// The one plot style that every layer points at.
fn plot_styles(file: &mut Groups) {
    object(
        file,
        "ACDBDICTIONARYWDFLT",
        PLOT_STYLE_DICTIONARY,
        ROOT_DICTIONARY,
    );
    file.pairs(&[(100, "AcDbDictionary"), (281, "1"), (3, "Normal")])
        .handle(350, PLOT_STYLE)
        .pair(100, "AcDbDictionaryWithDefault")
        .handle(340, PLOT_STYLE);
    object(file, "ACDBPLACEHOLDER", PLOT_STYLE, PLOT_STYLE_DICTIONARY);
}

fn dictionary(file: &mut Groups, handle: u32, owner: u32, entries: &[(&str, u32)]) {
    object(file, "DICTIONARY", handle, owner);
    file.pair(100, "AcDbDictionary").pair(281, 1);
    for (name, entry) in entries {
        file.pair(3, name).handle(350, *entry);
    }
}
