//! The steps of a plate as written: shapes added, cut and kept, corners rounded, marks and bends.

use std::sync::Arc;

use super::joint::Joint;
use super::named_shape::NamedShape;
use super::template::Template;
use super::words::{Anchor, Corners, DrawingUnit, Finish, Fold, Mirror, Operation, Purpose};
use crate::fault::Place;
use crate::toml_text::Formula;
use crate::toml_text::Text;

/// One step of a plate.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Step {
    /// Its name, for messages and overrides.
    pub(crate) name: Option<Text>,
    /// The step counts only if this holds.
    pub(crate) when: Option<Formula>,
    /// It is done for each row of this list.
    pub(crate) each: Option<Text>,
    /// What it does.
    pub(crate) action: Action,
    /// Where it stands in its recipe, or in a file that recipes share.
    pub(crate) place: Place,
}

/// What a step does.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Action {
    /// Adds, cuts or keeps a shape.
    Shape {
        /// Which of the three.
        operation: Operation,
        /// The shape about its own origin.
        shape: Box<Shape>,
        /// Where it goes, how often.
        placing: Box<Placing>,
        /// What a cut is for.
        hole: CutAttributes,
    },
    /// Keeps only a band along the inside of the outline.
    Hollow {
        /// Width of the band.
        wall: Formula,
    },
    /// Rounds every corner of a kind.
    Round {
        /// Which corners.
        corners: Corners,
        /// With this radius.
        radius: Formula,
        /// Only those that lie so near to a place, if not all.
        near: Option<Box<(Position, Formula)>>,
    },
    /// Shows a shape that is no part of the plate: on pictures, and nowhere else.
    Show {
        /// The shape about its own origin.
        shape: Box<Shape>,
        /// Where it goes, how often.
        placing: Box<Placing>,
    },
    /// Scribes a line or text.
    Scribe {
        /// What is scribed, about its own origin.
        mark: Box<Scribe>,
        /// Where it goes, how often.
        placing: Box<Placing>,
    },
    /// Does the steps of a named shape.
    Use {
        /// The shape.
        shape: Arc<NamedShape>,
        /// What the values that it takes are here.
        with: Vec<(String, Formula)>,
        /// Where it goes, how often.
        placing: Box<Placing>,
    },
    /// Adds the tabs of a joint.
    Tabs(Arc<Joint>),
    /// Cuts the slots of a joint.
    Slots(Arc<Joint>),
    /// Folds along a line.
    Bend {
        /// Which way.
        fold: Fold,
        /// One end of the fold line.
        from: Position,
        /// Its other end.
        to: Position,
        /// By how much.
        angle: Box<Formula>,
        /// Inside radius.
        radius: Box<Formula>,
    },
}

/// A place on the plate.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Position {
    /// A named point.
    Named(Text),
    /// x and y.
    At(Box<[Formula; 2]>),
}

/// Widths at both ends of a bar.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Widths {
    /// The same all along.
    Even(Formula),
    /// From one to the other.
    Taper(Formula, Formula),
}

/// A corner of a polygon.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Corner {
    /// Where.
    pub(crate) at: [Formula; 2],
    /// Its radius, if it is rounded.
    pub(crate) radius: Option<Formula>,
}

/// A shape about its own origin, before placing. The fields are the keys of the language page.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Shape {
    Disc {
        diameter: Formula,
    },
    Ring {
        outside: Formula,
        inside: Formula,
    },
    Rectangle {
        width: Formula,
        height: Formula,
        corner: Option<Formula>,
        anchor: Anchor,
    },
    Polygon {
        points: Vec<Corner>,
    },
    RegularPolygon {
        sides: Formula,
        across: Formula,
    },
    Bar {
        from: Position,
        to: Position,
        widths: Widths,
    },
    Hull {
        discs: Vec<(Position, Formula)>,
    },
    Slot {
        travel: Formula,
        width: Formula,
    },
    SlotBetween {
        from: Position,
        to: Position,
        width: Formula,
    },
    CurvedSlot {
        circle: Formula,
        sweep: Formula,
        width: Formula,
    },
    Sector {
        outside: Formula,
        inside: Option<Formula>,
        sweep: Formula,
        corner: Option<Formula>,
    },
    Bow {
        from: Position,
        to: Position,
        rise: Formula,
        widths: Widths,
    },
    Teeth {
        pitch: Formula,
        roller: Formula,
        count: Formula,
    },
    Text {
        text: Template,
        height: Formula,
        stroke: Formula,
    },
    Drawing(Box<Drawing>),
    Path {
        path: Text,
    },
}

/// A drawing, and how it is to be read.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Drawing {
    /// The file.
    pub(crate) file: Template,
    /// The layers that count; all that may bound something if there are none.
    pub(crate) layers: Vec<Text>,
    /// What it is in, if the builder says.
    pub(crate) unit: Option<DrawingUnit>,
    /// How many times as large as it is drawn the plate is to be, if not once.
    pub(crate) scale: Option<Formula>,
    /// Its width and height, as far as they are known.
    pub(crate) known: [Option<Formula>; 2],
    /// How far short pieces may be off what is taken for them, if the builder says.
    pub(crate) fit: Option<Formula>,
    /// How far apart ends may be that are joined, if the builder says.
    pub(crate) gap: Option<Formula>,
    /// Whether a drawing that names no unit is refused where the builder names none.
    pub(crate) asks_for_unit: bool,
}

/// Something scribed, about its own origin. The fields are the keys of the language page.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Scribe {
    Line { from: Position, to: Position },
    Circle { diameter: Formula },
    Centre,
    Text { text: Template, height: Formula },
}

/// What a cut is for and how it is to be made.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct CutAttributes {
    /// What it is for; a window if the recipe does not say.
    pub(crate) purpose: Option<Purpose>,
    /// The thread that passes or is tapped.
    pub(crate) thread: Option<Formula>,
    /// How it is to be made.
    pub(crate) finish: Finish,
    /// Whether its edge fits another part.
    pub(crate) edge: EdgeRole,
}

/// What the edge of a shape is to other parts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) enum EdgeRole {
    /// Nothing touches it: leads may start there.
    #[default]
    Free,
    /// It fits another part: leads keep away.
    Mating,
}

/// Where a shape or mark goes, in this order: mirrored, turned, repeated, moved.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Placing {
    /// Mirrored first, if at all.
    pub(crate) mirror: Option<Mirror>,
    /// Then turned about its own origin.
    pub(crate) turn: Option<Formula>,
    /// Then repeated in a row.
    pub(crate) along: Option<Along>,
    /// Then repeated about the origin.
    pub(crate) around: Option<Around>,
    /// Then moved here.
    pub(crate) at: Option<Position>,
}

/// Copies about a centre.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Around {
    /// How many places.
    pub(crate) count: Formula,
    /// Pitch diameter; copies only turn without it.
    pub(crate) circle: Option<Formula>,
    /// Direction of the first, from +x.
    pub(crate) start: Option<Formula>,
    /// Over which angle they spread; a full turn without it.
    pub(crate) sweep: Option<Formula>,
    /// Places left out, from 1.
    pub(crate) skip: Vec<Formula>,
    /// Whether copies turn with their place.
    pub(crate) stance: Stance,
}

/// How the copies around a circle stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) enum Stance {
    /// Turned with their place.
    #[default]
    Turned,
    /// As the first is drawn.
    Upright,
}

/// Copies in a row.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Along {
    /// How many.
    pub(crate) count: Formula,
    /// From one to the next.
    pub(crate) step: [Formula; 2],
    /// How many rows, if not one, and from one to the next.
    pub(crate) rows: Option<(Formula, [Formula; 2])>,
    /// Where the row lies.
    pub(crate) row: RowStart,
}

/// Where a row lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) enum RowStart {
    /// The first copy is at the place given.
    #[default]
    FromFirst,
    /// The middle of the row is at the place given.
    Centred,
}

impl Step {
    /// What the openings are called that it cuts.
    pub(crate) fn opening_titles(&self) -> Vec<&str> {
        match &self.action {
            Action::Shape {
                operation: Operation::Cut,
                ..
            }
            | Action::Slots(_) => vec![self.title()],
            Action::Use { shape, .. } => {
                shape.steps.iter().flat_map(Self::opening_titles).collect()
            }
            _ => Vec::new(),
        }
    }

    /// How the step is called: its name, or what it is.
    pub(crate) fn title(&self) -> &str {
        match (&self.name, &self.action) {
            (Some(name), _) => name.as_str(),
            (
                None,
                Action::Shape {
                    operation: Operation::Cut,
                    hole,
                    ..
                },
            ) => hole.purpose.unwrap_or(Purpose::Window).opening_word(),
            (None, Action::Shape { shape, .. } | Action::Show { shape, .. }) => shape.word(),
            (None, Action::Hollow { .. }) => "hollow",
            (None, Action::Round { .. }) => "rounding",
            (None, Action::Scribe { .. }) => "mark",
            (None, Action::Bend { .. }) => "bend",
            (None, Action::Use { shape, .. }) => shape.name.as_str(),
            (None, Action::Tabs(_)) => "tab",
            (None, Action::Slots(_)) => Purpose::TabSlot.opening_word(),
        }
    }
}

impl Shape {
    /// Its word in recipes.
    pub(crate) const fn word(&self) -> &'static str {
        match self {
            Self::Disc { .. } => "disc",
            Self::Ring { .. } => "ring",
            Self::Rectangle { .. } => "rectangle",
            Self::Polygon { .. } | Self::RegularPolygon { .. } => "polygon",
            Self::Bar { .. } => "bar",
            Self::Hull { .. } => "hull",
            Self::Slot { .. } | Self::SlotBetween { .. } => "slot",
            Self::CurvedSlot { .. } => "curved slot",
            Self::Sector { .. } => "sector",
            Self::Bow { .. } => "bow",
            Self::Teeth { .. } => "teeth",
            Self::Text { .. } => "text",
            Self::Drawing(_) | Self::Path { .. } => "drawing",
        }
    }
}
