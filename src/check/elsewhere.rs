//! Findings that other stages make, told as checks are.

use super::About;
use crate::plate::drawing;

/// A finding that is not made by a check of a plate.
pub struct Elsewhere {
    /// What it is called, and what is said of it.
    pub about: About,
    /// Whether a job may make a note of it.
    pub may_be_relaxed: bool,
}

/// All of them.
pub const ELSEWHERE: &[Elsewhere] = &[
    Elsewhere {
        about: About {
            name: drawing::CHECK,
            looks_at: "what a drawing has beside the lines that bound metal",
            limit: "everything that may bound metal is read; the rest is told",
            source: "the drawing",
            why: "A drawing may hold text, dimensions and hidden layers, and lines that do not quite meet.",
            if_ignored: "A line that you took for an edge may be missing from the plate: look at its picture.",
        },
        may_be_relaxed: true,
    },
    Elsewhere {
        about: About {
            name: "recipe rule",
            looks_at: "the dimensions of a part",
            limit: "what the rules of its recipe demand; `platewright explain` and the recipe's name lists them",
            source: "each rule names its own",
            why: "A recipe knows what its part is for, and which dimensions spoil it.",
            if_ignored: "The part may not fit, not be cut, or not hold, as the finding says.",
        },
        may_be_relaxed: true,
    },
    Elsewhere {
        about: About {
            name: "recipe note",
            looks_at: "the form of a part",
            limit: "what its recipe says whoever makes it should know",
            source: "each note names its own",
            why: "Some of what a part needs is done by hand, or lies outside the plate.",
            if_ignored: "What was left out comes up when the part is put together.",
        },
        may_be_relaxed: true,
    },
    Elsewhere {
        about: About {
            name: "merged openings",
            looks_at: "holes that run into other openings, and openings that lie wholly in others",
            limit: "each hole keeps its own edge",
            source: "geometry",
            why: "Two openings that overlap are one to the torch, and the smaller loses its shape.",
            if_ignored: "What should fit into the hole has no edge to sit against on one side.",
        },
        may_be_relaxed: true,
    },
    Elsewhere {
        about: About {
            name: "short lead",
            looks_at: "where the torch pierces and leads in",
            limit: "the table's pierce clearance and lead length, where there is room for them",
            source: "the table's settings",
            why: "A pierce throws molten metal and leaves a crater, and the arc needs a way to settle.",
            if_ignored: "A mark of the pierce may reach the finished edge: grind it, or cut that opening larger.",
        },
        may_be_relaxed: true,
    },
    Elsewhere {
        about: About {
            name: "holding tabs",
            looks_at: "plates that are to be held by tabs",
            limit: "tabs of the width and in the number asked for",
            source: "the table's or the job's tabs",
            why: "A tab needs a straight or gently bulging stretch of edge that mates with nothing.",
            if_ignored: "The plate is cut all the way round and may tip up into the way of the torch.",
        },
        may_be_relaxed: true,
    },
    Elsewhere {
        about: About {
            name: "cut path",
            looks_at: "whether the torch can run all around the plate and its openings",
            limit: "every contour has a path that leaves the plate whole",
            source: "geometry, and the table's settings",
            why: "Without a path there is nothing to cut by.",
            if_ignored: "It cannot be ignored: no file is written for the plate.",
        },
        may_be_relaxed: false,
    },
    Elsewhere {
        about: About {
            name: "template",
            looks_at: "the paper template of a plate",
            limit: "no more pages than anybody joins",
            source: "common practice, no source",
            why: "Tiles that are joined add up their errors.",
            if_ignored: "Nothing: the plate is cut all the same, only the paper check is missing.",
        },
        may_be_relaxed: false,
    },
];
