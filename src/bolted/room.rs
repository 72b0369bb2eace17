//! Room for heads, nuts, washers and the sockets that turn them.
//!
//! In: the stacks of a job, and how their plates lie on each other. Out: findings where a washer stands over an edge,
//! where a socket does not go on, and where heads or nuts stand under another ply.

use super::across::Across;
use super::stack::{Among, Stack, StackPly};
use super::tell::{self, SOCKET_ROOM};
use crate::finding::{Finding, Level};
use crate::geometry::{Contour, Point, Segment};
use crate::plate::Plate;
use crate::quantity::format::measured;
use crate::trade::thread::Thread;
use crate::trade::wrench;

/// Slack when a distance is compared with its limit, mm.
const SLACK: f64 = 0.005;

/// What turns and what bears around a bolt, radii in mm.
#[derive(Clone, Copy)]
struct Seat {
    /// To the corners of the hexagon.
    corners: f64,
    washer: f64,
    socket: f64,
}

impl Seat {
    fn of(thread: &Thread) -> Option<Self> {
        let (flats, washer) = wrench::seat(thread)?;
        Some(Self {
            corners: flats / 3.0_f64.sqrt(),
            washer: washer / 2.0,
            socket: wrench::socket_outside(flats) / 2.0,
        })
    }
}

/// What is wrong around the bolts of a stack, each with the plate that it stands with.
pub(super) fn around(stack: &Stack, among: Among<'_>) -> Vec<(usize, Finding)> {
    let Some(seat) = Seat::of(&stack.thread) else {
        return Vec::new();
    };
    let ends = [stack.plies.first(), stack.plies.last()];
    let mut found: Vec<(usize, Finding)> = Vec::new();
    for ply in ends.into_iter().flatten().filter(|it| !it.tapped) {
        match ply.plate {
            Some(index) => {
                let plate = &among.plates[index];
                let said = on_plate(stack, ply, plate, seat).into_iter();
                found.extend(said.map(|it| (index, it)));
            }
            None => found.extend(on_thing(stack, ply, seat)),
        }
    }
    found.extend(side_by_side(stack, seat));
    found
}

/// The nearest edge of a plate to one of its holes that is not the hole's own: what it is of, and how far.
fn nearest_edge(plate: &Plate, own: Option<usize>, at: Point) -> (String, f64) {
    let outside = std::iter::once(("the outside".to_owned(), &plate.face.outside));
    let openings = plate.openings.iter().zip(&plate.face.openings).enumerate();
    let openings = openings.filter(|(index, _)| Some(*index) != own);
    let openings = openings.map(|(_, (opening, edge))| (opening.name.clone(), edge));
    let gap = |edge: &Contour| edge.gap_to_point(at).distance;
    let all = outside
        .chain(openings)
        .map(|(name, edge)| (name, gap(edge)));
    let nearest = all.min_by(|a, b| a.1.total_cmp(&b.1));
    nearest.unwrap_or_else(|| ("the outside".to_owned(), f64::INFINITY))
}

/// Washers over edges and holes, and folds in the way of a socket.
fn on_plate(stack: &Stack, ply: &StackPly, plate: &Plate, seat: Seat) -> Vec<Finding> {
    let mut worst_washer: Option<(f64, Finding)> = None;
    let mut worst_fold: Option<(f64, Finding)> = None;
    let keep = |worst: &mut Option<(f64, Finding)>, room: f64, finding: Finding| {
        if worst.as_ref().is_none_or(|(least, _)| room < *least) {
            *worst = Some((room, finding));
        }
    };
    let bolt = stack.thread.name();
    for hole in &ply.holes {
        let (of, room) = nearest_edge(plate, hole.opening, hole.at);
        if room < seat.washer - SLACK {
            let message = format!(
                "joint \"{}\": a washer for {bolt} on {} is {} across and stands over the edge of {of}, {} from the \
                 hole's middle",
                stack.name,
                hole.name,
                measured(2.0 * seat.washer),
                measured(room)
            );
            let remedy = smaller(&stack.thread, room, wrench::largest_washer_within);
            let remedy =
                format!("move the hole or that edge{remedy}, or use a plate washer made to fit");
            let finding = tell::finding(SOCKET_ROOM, Level::Warn, message, remedy);
            keep(&mut worst_washer, room, finding.at(hole.at));
        }
        for bend in &plate.bends {
            let fold = Segment::Line {
                start: bend.from,
                end: bend.to,
            };
            // The inner face of the leg, bent square, stands at most a third of a thickness this side of the fold line.
            let room = fold.gap_to_point(hole.at).distance - plate.thickness / 3.0;
            if room < seat.socket - SLACK {
                let message = format!(
                    "joint \"{}\": the fold leaves {} around the middle of {}, and a socket for {bolt} takes {}",
                    stack.name,
                    measured(room.max(0.0)),
                    hole.name,
                    measured(seat.socket)
                );
                let remedy = what_would_do(&stack.thread, seat, room);
                let remedy = format!("put the side that is turned on the other face, or {remedy}");
                let finding = tell::finding(SOCKET_ROOM, Level::Warn, message, remedy);
                keep(&mut worst_fold, room, finding.at(hole.at));
            }
        }
    }
    let told = [worst_washer, worst_fold].into_iter().flatten();
    told.map(|(_, finding)| finding).collect()
}

/// A thing whose room somebody measured.
fn on_thing(stack: &Stack, ply: &StackPly, seat: Seat) -> Option<(usize, Finding)> {
    let room = ply.room?;
    let plate = stack.plies.iter().find_map(|it| it.plate)?;
    if room >= seat.socket - SLACK {
        return None;
    }
    let message = format!(
        "joint \"{}\": {} leaves {} around the middle of each bolt, and a socket for {} takes {}",
        stack.name,
        ply.says,
        measured(room),
        stack.thread.name(),
        measured(seat.socket)
    );
    let remedy = what_would_do(&stack.thread, seat, room);
    let finding = tell::finding(SOCKET_ROOM, Level::Warn, message, remedy);
    Some((plate, finding))
}

/// Bolts of one joint that stand in the way of each other's sockets.
fn side_by_side(stack: &Stack, seat: Seat) -> Option<(usize, Finding)> {
    let ply = stack.plies.iter().find(|it| it.plate.is_some())?;
    let pairs = ply.holes.iter().enumerate();
    let pairs = pairs.flat_map(|(i, one)| ply.holes[i + 1..].iter().map(move |it| (one, it)));
    let pairs = pairs.map(|(one, other)| (one, other, one.at.distance(other.at)));
    let (one, other, apart) = pairs.min_by(|a, b| a.2.total_cmp(&b.2))?;
    let room = apart - seat.corners;
    if room >= seat.socket - SLACK {
        return None;
    }
    let message = format!(
        "joint \"{}\": {} and {} of {} are {} apart: the head on one leaves {} for the socket on the other, which takes {}",
        stack.name,
        one.name,
        other.name,
        ply.says,
        measured(apart),
        measured(room.max(0.0)),
        measured(seat.socket)
    );
    let finding = tell::finding(
        SOCKET_ROOM,
        Level::Warn,
        message,
        what_would_do(&stack.thread, seat, room),
    );
    Some((ply.plate?, finding.at(one.at)))
}

/// What turns or bears in so much room around a bolt's middle.
fn what_would_do(thread: &Thread, seat: Seat, room: f64) -> String {
    let smaller = smaller(thread, room, wrench::largest_socket_within);
    if room > seat.corners + SLACK {
        format!(
            "turn it with a socket or ring spanner of at most {} outside{smaller}",
            measured(2.0 * room)
        )
    } else {
        format!("no spanner goes on: make room{smaller}")
    }
}

fn smaller(thread: &Thread, room: f64, largest: fn(&Thread, f64) -> Option<String>) -> String {
    let size = largest(thread, 2.0 * room);
    size.map_or_else(String::new, |size| format!(", or use {size} bolts"))
}

/// Heads and nuts of one joint that stand on a face which a ply of another covers.
pub(super) fn covered(
    one: &Stack,
    (other, other_laid): (&Stack, &Across),
    among: Among<'_>,
) -> Vec<(usize, Finding)> {
    let Some(seat) = Seat::of(&one.thread) else {
        return Vec::new();
    };
    let last = one.plies.len() - 1;
    let mut found = Vec::new();
    for (end, towards_last) in [(0, false), (last, true)] {
        let ply = &one.plies[end];
        let Some(plate) = ply.plate.filter(|_| !ply.tapped) else {
            continue;
        };
        let Some(under) = other.plies.iter().position(|it| it.plate == Some(plate)) else {
            continue;
        };
        let over = if towards_last {
            under.checked_add(1).filter(|it| *it < other.plies.len())
        } else {
            under.checked_sub(1)
        };
        let Some(over) = over else { continue };
        let cover = &other.plies[over];
        let Some(index) = cover.plate else {
            found.push((plate, pocket(one, other, cover, seat)));
            continue;
        };
        let worst = ply.holes.iter().filter_map(|hole| {
            let there = other_laid.moved(under, over, hole.at)?;
            Some((hole, under_cover(&among.plates[index], there)))
        });
        let worst = worst.min_by(|a, b| a.1.total_cmp(&b.1));
        if let Some((hole, room)) = worst.filter(|(_, room)| *room < seat.socket - SLACK) {
            found.push((
                plate,
                hidden((one, other), (&hole.name, cover), room, seat).at(hole.at),
            ));
        }
    }
    found
}

/// Room around a place under a plate: 0 or less where metal covers it.
fn under_cover(plate: &Plate, at: Point) -> f64 {
    let (_, room) = nearest_edge(plate, None, at);
    let inside = plate.face.outside.encloses(at);
    let in_opening = plate.face.openings.iter().any(|it| it.encloses(at));
    if inside && !in_opening { -room } else { room }
}

fn hidden(
    (one, other): (&Stack, &Stack),
    (hole, cover): (&str, &StackPly),
    room: f64,
    seat: Seat,
) -> Finding {
    let (message, remedy) = if room <= 0.0 {
        (
            format!(
                "joint \"{}\": the bolt in {hole} ends under {}, which joint \"{}\" puts over it",
                one.name, cover.says, other.name
            ),
            format!(
                "cut an opening of at least {} there, or a spacer of more than the head's height between",
                measured(2.0 * seat.socket)
            ),
        )
    } else {
        (
            format!(
                "joint \"{}\": {} of joint \"{}\" leaves {} around the middle of {hole}, and a socket for {} takes {}",
                one.name,
                cover.says,
                other.name,
                measured(room),
                one.thread.name(),
                measured(seat.socket)
            ),
            format!(
                "tighten \"{}\" before \"{}\", or {}",
                one.name,
                other.name,
                what_would_do(&one.thread, seat, room)
            ),
        )
    };
    tell::finding(SOCKET_ROOM, Level::Warn, message, remedy)
}

/// A thing over heads or nuts: nobody drew it.
fn pocket(one: &Stack, other: &Stack, cover: &StackPly, seat: Seat) -> Finding {
    let message = format!(
        "the bolts of joint \"{}\" end under {} of joint \"{}\"",
        one.name, cover.says, other.name
    );
    let remedy = format!(
        "see that it has a pocket there, at least {} across and {} deep for each, or use heads that are sunk",
        measured(2.0 * seat.corners),
        measured(wrench::stands_out(&one.thread))
    );
    tell::finding(SOCKET_ROOM, Level::Note, message, remedy)
}
