//! Marks and bends moved with their plate.

use crate::geometry::Pose;
use crate::lettering;

use super::{Bend, Mark};

impl Mark {
    /// The mark moved. Words are never flipped: on a flipped plate they start where they would have
    /// ended, so that they cover the same stretch and can be read.
    #[must_use]
    pub fn posed(&self, pose: &Pose) -> Self {
        match self {
            Self::Line { from, to } => Self::Line {
                from: pose.point(*from),
                to: pose.point(*to),
            },
            Self::Circle { centre, diameter } => Self::Circle {
                centre: pose.point(*centre),
                diameter: *diameter,
            },
            Self::Centre { at } => Self::Centre {
                at: pose.point(*at),
            },
            Self::Text {
                at,
                height,
                turn,
                text,
            } => {
                let length = lettering::width(text, *height);
                let (start, turn) = if pose.mirrored {
                    (at.polar(length, *turn), pose.turn - turn)
                } else {
                    (*at, pose.turn + turn)
                };
                Self::Text {
                    at: pose.point(start),
                    height: *height,
                    turn,
                    text: text.clone(),
                }
            }
        }
    }
}

impl Bend {
    /// The bend moved; its legs still fold the same way.
    #[must_use]
    pub fn posed(&self, pose: &Pose) -> Self {
        Self {
            from: pose.point(self.from),
            to: pose.point(self.to),
            ..self.clone()
        }
    }
}
