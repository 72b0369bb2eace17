//! The closed lists of words that recipes choose from: one enum each, every value with its word.

use crate::toml_text::words::{Words, words};

impl Words for crate::finding::Level {
    const ALL: &'static [(Self, &'static str)] = Self::ALL;
}

words! {
    /// What an opening is for.
    Purpose {
        /// A round hole that centres on a hub or shaft.
        Bore = "bore",
        /// A clearance hole for a bolt.
        Bolt = "bolt",
        /// A hole to be tapped.
        Tapped = "tapped",
        /// A hole for a pin or bush, reamed to size.
        Pin = "pin",
        /// An opening of any form that something goes through or into.
        Opening = "opening",
        /// A slot that the tab of another plate goes into.
        TabSlot = "tab slot",
        /// A slotted hole for adjustment.
        Slot = "slot",
        /// An opening to save weight or make room.
        Window = "window",
    }
}

impl Purpose {
    /// Whether something fits into it, so that it must come out whole and clear of other holes.
    #[must_use]
    pub const fn fits_something(self) -> bool {
        matches!(
            self,
            Self::Bore | Self::Bolt | Self::Tapped | Self::Pin | Self::Opening
        )
    }

    /// What an opening for it is called where the recipe gives no name.
    #[must_use]
    pub const fn opening_word(self) -> &'static str {
        match self {
            Self::Bore => "bore",
            Self::Bolt => "bolt hole",
            Self::Tapped => "tapped hole",
            Self::Pin => "pin hole",
            Self::Opening => "opening",
            Self::TabSlot => "tab slot",
            Self::Slot => "slot",
            Self::Window => "window",
        }
    }
}

words! {
    /// By which law the torch goes from run to run.
    #[derive(Default)]
    CutOrder {
        /// All runs of a plate, then those of the next; the parts in its windows before it.
        #[default]
        PlateByPlate = "plate by plate",
        /// The shortest way, whichever plate a run belongs to.
        Shortest = "shortest",
        /// One plate after another, each far from those that are still hot.
        SpreadHeat = "spread heat",
    }
}

words! {
    /// How the builder wants an opening made, where the recipe or the job says so.
    #[derive(Default)]
    Finish {
        /// By the table's rules for its purpose and size.
        #[default]
        ByRule = "by rule",
        /// Cut to size on the table.
        Cut = "cut",
        /// Only centre-marked on the table, then drilled.
        Drill = "drill",
        /// Cut undersize on the table, then drilled or reamed to size.
        Undersize = "undersize",
    }
}

words! {
    /// How a plate may be turned on the sheet.
    #[derive(Default)]
    AllowedRotation {
        /// Any angle.
        #[default]
        Free = "free",
        /// Quarter turns.
        Quarters = "quarters",
        /// Half turns: the grain runs along x.
        Grain = "grain",
        /// As drawn.
        Fixed = "fixed",
    }
}

words! {
    /// The unit that a drawing's numbers are in.
    DrawingUnit {
        /// Millimetres.
        Millimetres = "mm",
        /// Centimetres.
        Centimetres = "cm",
        /// Metres.
        Metres = "m",
        /// Inches.
        Inches = "in",
        /// Feet.
        Feet = "ft",
        /// Pixels of SVG and CSS, 96 to the inch.
        Pixels = "px",
        /// Points of printers, 72 to the inch.
        Points = "pt",
    }
}

words! {
    /// Which way a leg is folded, seen from the face that is drawn.
    Fold {
        /// Towards the viewer.
        Up = "up",
        /// Away from the viewer.
        Down = "down",
    }
}

words! {
    /// What a step does with its shape.
    Operation {
        /// Unites.
        Add = "add",
        /// Takes away.
        Cut = "cut",
        /// Leaves what both share.
        Keep = "keep",
    }
}

impl Operation {
    /// Whether one step and the next do what one step with the shapes of both would do.
    #[must_use]
    pub fn joins(self, next: Self) -> bool {
        self == next && self != Self::Keep
    }
}

words! {
    /// Which corners are rounded.
    Corners {
        /// Concave ones.
        Inside = "inside",
        /// Convex ones.
        Outside = "outside",
        /// All of them.
        Both = "both",
    }
}

words! {
    /// How a shape is flipped before it is turned.
    Mirror {
        /// x becomes -x.
        LeftForRight = "left for right",
        /// y becomes -y.
        UpsideDown = "upside down",
        /// As drawn, and again with x as -x.
        Both = "both",
    }
}

words! {
    /// Which point of a rectangle lies at its place.
    #[derive(Default)]
    Anchor {
        /// Its middle.
        #[default]
        Centre = "centre",
        /// The middle of its left side.
        Left = "left",
        /// The middle of its right side.
        Right = "right",
        /// The middle of its lower side.
        Lower = "lower",
        /// The middle of its upper side.
        Upper = "upper",
        /// Its lower left corner.
        LowerLeft = "lower left",
        /// Its lower right corner.
        LowerRight = "lower right",
        /// Its upper left corner.
        UpperLeft = "upper left",
        /// Its upper right corner.
        UpperRight = "upper right",
    }
}

words! {
    /// Where on a vehicle, or what for, a family's parts are: the shelf is told in this order.
    #[derive(Default)]
    Group {
        /// What joins wheels to hubs and axles.
        WheelsAndHubs = "wheels and hubs",
        /// What turns the wheels.
        Steering = "steering",
        /// What carries on springs and dampers.
        Springs = "springs",
        /// What drives: chains, engines, bearings.
        Drive = "drive",
        /// What brakes, and what feet and hands push and pull.
        BrakesAndPedals = "brakes and pedals",
        /// What joins and ends tubes and rails.
        Frame = "frame",
        /// What is mounted on the frame.
        Body = "body",
        /// What helps to measure, drill and bend.
        SettingOut = "to measure and set out",
        /// None of these.
        #[default]
        Other = "other",
    }
}

words! {
    /// Whether a plate is made once or as a left and a right.
    #[derive(Default)]
    Hand {
        /// As drawn.
        #[default]
        Single = "single",
        /// One as drawn and one mirrored left for right.
        Pair = "pair",
    }
}

words! {
    /// The shapes that steps name.
    ShapeWord {
        /// A round plate or hole.
        Disc = "disc",
        /// A disc with a round hole.
        Ring = "ring",
        /// A rectangle, corners rounded if asked.
        Rectangle = "rectangle",
        /// Given corners, or a regular one.
        Polygon = "polygon",
        /// The hull of two discs.
        Bar = "bar",
        /// The hull of discs.
        Hull = "hull",
        /// A straight slot with round ends.
        Slot = "slot",
        /// A slot along a circle.
        CurvedSlot = "curved slot",
        /// A piece of a disc or ring.
        Sector = "sector",
        /// A curved bar with square ends.
        Bow = "bow",
        /// A chain wheel blank.
        Teeth = "teeth",
        /// Letters as strokes.
        Text = "text",
        /// Outlines from a file or path data.
        Drawing = "drawing",
    }
}

/// The shape of a plain plate that is given by its corners or by path data.
pub const OUTLINE: &str = "outline";

words! {
    /// What a scribing step draws.
    ScribeWord {
        /// A straight line.
        Line = "line",
        /// A circle.
        Circle = "circle",
        /// A centre to punch.
        Centre = "centre",
        /// Single-stroke text.
        Text = "text",
    }
}
