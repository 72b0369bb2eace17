//! Files: drawings for the table and pictures for people, one file a format.
//!
//! In: plates and sheets. In between: a [`Drawing`] (layers and true arcs, for machines) or a
//! [`Picture`] (strokes, fills and words, for people), which each format writes as it stands. Out:
//! bytes, the same for the same input, put in place all together by [`Outputs`].

pub mod calculation;
mod column;
pub mod dimensioned;
pub mod draft;
mod drafting;
pub mod drawing;
mod drawing_fault;
pub mod dxf;
mod finding_marks;
pub mod folder;
pub mod graph;
pub mod ids;
pub mod labelled;
mod labels;
pub mod layout_picture;
mod manifest;
mod marks;
mod obstacle;
mod one_file;
mod opening_group;
pub mod paper;
pub mod pdf;
pub mod picture;
mod plan;
mod plate_body;
pub mod plate_picture;
pub mod png;
pub mod program;
mod scaled;
mod sheet_ground;
mod sheet_notes;
mod sheet_of_many;
pub mod sheet_picture;
mod sheet_tags;
mod sheet_view;
pub mod shelf_page;
mod shown;
mod staging;
pub mod svg;

pub use draft::{SheetLines, plate_drawing, remnant_drawing, sheet_drawing};
use drafting::Drafting;
pub use drawing::{Drawing, Ends, Entity, Polyline, Vertex};
pub use drawing_fault::drawing_fault;
pub use dxf::{Dxf, Release};
pub use folder::Outputs;
pub use layout_picture::layout_picture;
pub use manifest::{Command, Listed, fnv1a};
pub use one_file::{Over, write_file, write_together};
pub use pdf::{Document, PdfFile, pdf};
pub use picture::Picture;
pub use plan::{Target, Written};
pub use plate_picture::{bare_plate_picture, plate_picture};
pub use png::Png;
pub use program::Program;
pub use sheet_picture::sheet_picture;
pub use sheet_view::{run_says, scrap_says};
pub use staging::{fault_point, remove_left_over};
pub use svg::{Svg, svg, svg_for_page};

use crate::fault::Outcome;

/// A file format for one kind of content, such as DXF for a [`Drawing`].
///
/// The bytes depend on the content alone: no date, no user, no random handle.
pub trait Exporter<Content: ?Sized> {
    /// What its file names end in, without the dot.
    fn extension(&self) -> &'static str;

    /// The whole file.
    fn export(&self, content: &Content) -> Outcome<Vec<u8>>;
}

/// What pictures are written as.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum PictureFiles {
    /// SVG.
    #[default]
    Svg,
    /// SVG, and PNG beside it.
    SvgAndPng,
}

impl PictureFiles {
    /// Adds the files of a picture under a path without its ending. Gives the SVG text, which the
    /// report page carries too.
    pub fn add(self, outputs: &mut Outputs, path: &str, picture: &Picture) -> Outcome<()> {
        outputs.add(format!("{path}.svg"), svg(picture).into_bytes());
        if self == Self::SvgAndPng {
            outputs.add(format!("{path}.png"), Png.export(picture)?);
        }
        Ok(())
    }
}
