//! What is said of joints: names of findings, and how they are made.

use crate::finding::{Finding, Level};
use crate::geometry::Point;
use crate::trade::{hole, wrench};

/// The finding of patterns that do not go together.
pub const BOLT_PATTERN: &str = "bolt pattern";
/// The finding of washers and sockets without room.
pub const SOCKET_ROOM: &str = "socket room";
/// The finding of holes that are not true enough.
pub const CHANCE_OF_FIT: &str = "chance of fit";

/// The finding of a joint of which not every plate is made.
pub const JOINT_LEFT_OUT: &str = "joint left out";

/// Whether a finding is one of a joint.
#[must_use]
pub fn is_of_joint(finding: &Finding) -> bool {
    [BOLT_PATTERN, SOCKET_ROOM, CHANCE_OF_FIT, JOINT_LEFT_OUT].contains(&finding.check.as_str())
}

/// A finding of a joint.
pub(super) fn finding(check: &str, level: Level, message: String, remedy: String) -> Finding {
    let source = match check {
        SOCKET_ROOM => format!("{}; {}", wrench::HEXAGONS.source, wrench::SOCKETS.source),
        CHANCE_OF_FIT => format!(
            "ISO 9013:2017 for holes as cut, {} and {} for drilled ones",
            hole::IT13.source,
            hole::TO_A_MARK.source
        ),
        JOINT_LEFT_OUT => "the job".to_owned(),
        _ => "geometry".to_owned(),
    };
    Finding {
        check: check.to_owned(),
        level,
        message,
        remedy,
        source,
        at: None,
    }
}

impl Finding {
    /// The same at a place.
    pub(super) fn at(mut self, at: Point) -> Self {
        self.at = Some(at);
        self
    }
}
