//! Findings that other stages make, told as checks are.

use super::About;
use crate::bolted;
use crate::plate::drawing;

/// A finding that is not made by a check of a plate.
pub struct Elsewhere {
    /// What it is called, and what is said of it.
    pub about: About,
    /// Whether a job may make a note of it.
    pub may_be_relaxed: bool,
}

/// The name of the note on a plate that has no room for its name.
pub const NAME_NOT_SCRIBED: &str = "name not scribed";

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
            name: bolted::BOLT_PATTERN,
            looks_at: "plies that a job bolts together",
            limit: "their holes lie alike, turned and flipped as they may be, as far as clearances and the tolerances of how holes are made allow",
            source: "geometry",
            why: "A bolt goes through all plies at one place.",
            if_ignored: "It cannot be ignored: the plates do not go together.",
        },
        may_be_relaxed: false,
    },
    Elsewhere {
        about: About {
            name: bolted::SOCKET_ROOM,
            looks_at: "heads, nuts and washers of a job's joints",
            limit: "a plain washer lies on metal all around, a hand socket goes over each head and nut, and nothing covers them",
            source: "ISO 4014, ISO 4032, ISO 7089; sockets by common practice",
            why: "A bolt that no spanner turns is not tightened, and a washer over an edge bends and lets go.",
            if_ignored: "The joint cannot be tightened, or works loose.",
        },
        may_be_relaxed: true,
    },
    Elsewhere {
        about: About {
            name: bolted::CHANCE_OF_FIT,
            looks_at: "how true the holes of a job's joints are, by the way they are made",
            limit: "all bolts go in at the worst, or in at least 95 % of 10 000 draws within the tolerances",
            source: "ISO 9013 for holes as cut, class 1 by laser and else 2; H13 of ISO 286-1 and 0.3 mm off the mark for drilled ones",
            why: "No hole is just where it is meant, nor as wide; the more of them a joint has, the sooner one is in the way.",
            if_ignored: "The last bolts may not go in, and holes are filed at the bench until they carry nothing.",
        },
        may_be_relaxed: true,
    },
    Elsewhere {
        about: About {
            name: bolted::JOINT_LEFT_OUT,
            looks_at: "joints of which some plates are made and others are not",
            limit: "every plate of a joint is made, or none",
            source: "the job",
            why: "Whether plates go together can be told only of plates that are there.",
            if_ignored: "Holes that were changed meanwhile may not meet those of the plate left out.",
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
            name: "slugs",
            looks_at: "what falls out of openings, on a table that says how far apart its slats are",
            limit: "shorter than nine tenths of that distance, it falls through; with its middle of mass at least \
                    that distance within its hull, a slat carries it on either side wherever it lies",
            source: "statics; the share that is free between slats is common practice, no source",
            why: "A slug that is neither may tip over the edge of a slat and stand up in the way of the torch.",
            if_ignored: "The torch runs into it, or a plate that is not cut yet is pushed out of its place.",
        },
        may_be_relaxed: true,
    },
    Elsewhere {
        about: About {
            name: "shared cuts",
            looks_at: "whether parts named in `shared_cuts` have edges that are cut once for two plates",
            limit: "rectangles of one kind with sharp corners, without mating edge, holding tab or corner loop on the \
                    outside, where side by side they take no sheet more",
            source: "common practice, no source",
            why: "Straight edges a kerf apart need one cut and no pierce of their own.",
            if_ignored: "Every plate is cut all round, as without `shared_cuts`.",
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
            name: NAME_NOT_SCRIBED,
            looks_at: "plates that are scribed with their names",
            limit: "room for the name in letters 3 mm high, 2 mm clear of edges, openings and folds",
            source: "common practice, no source",
            why: "A small plate has no room for a long name.",
            if_ignored: "Plates that look alike, a left and a right one, are mixed up when they leave the table.",
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
