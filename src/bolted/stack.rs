//! A joint of a job with its plates found: what each ply is, where its holes are and how true.
//!
//! In: a `[[bolted]]` block and the plates of the job. Out: a [`Stack`], or what is wrong with the block, at its place.

use std::ops::Range;

use super::fit::{Holes, Laid};
use crate::fault::{Fault, nearest};
use crate::geometry::{Point, Vector};
use crate::plate::form::{self, Seat};
use crate::plate::{Hardware, Making, Opening, Plate, Purpose};
use crate::quantity::format::both_units;
use crate::recipe::bolted::{Bolted, PlyOf, Thing};
use crate::recipe::{limits, name};
use crate::toml_text::Text;
use crate::trade::bolt::Fastener;
use crate::trade::hole::Trueness;
use crate::trade::thermal::Process;
use crate::trade::thread::{self, Thread};

/// Slack when diameters are compared, mm.
const SAME: f64 = 1e-6;

/// What a job's joints are looked for in.
#[derive(Clone, Copy)]
pub(super) struct Among<'a> {
    /// The plates of the job.
    pub(super) plates: &'a [Plate],
    /// Which of them belong to one part.
    pub(super) parts: &'a [Range<usize>],
    /// How they are cut.
    pub(super) process: Process,
}

/// A joint with its plates found.
#[derive(Debug, Clone)]
pub(super) struct Stack {
    /// What the builder calls it.
    pub(super) name: String,
    /// Thread of its bolts.
    pub(super) thread: Thread,
    /// The plies from one side to the other.
    pub(super) plies: Vec<StackPly>,
    /// Bolts of one such joint.
    pub(super) bolts: usize,
    /// How many such joints there are.
    pub(super) quantity: u32,
    /// Bolts that families list for the same openings: the plate, and their place in its list.
    pub(super) listed: Vec<(usize, usize)>,
}

impl Stack {
    /// Whether a family lists U-bolts for these openings: each goes through two of them.
    pub(super) fn takes_u_bolts(&self, plates: &[Plate]) -> bool {
        family_bolts(self, plates).is_some_and(|it| it.fastener == Fastener::UBolt)
    }
}

/// A ply of a stack.
#[derive(Debug, Clone)]
pub(super) struct StackPly {
    /// What it is called: the name of its plate, or what the job says of it.
    pub(super) says: String,
    /// The plate that it is, of those of the job.
    pub(super) plate: Option<usize>,
    /// Thickness, mm.
    pub(super) thickness: f64,
    /// Its holes, in the order of its names; none where they are drilled to suit.
    pub(super) holes: Vec<StackHole>,
    /// Whether they are tapped.
    pub(super) tapped: bool,
    /// Whether they are drilled through those of the others.
    pub(super) match_drilled: bool,
    /// Diameter of the circle that a thing's holes are said to lie on, mm.
    pub(super) circle: Option<f64>,
    /// Radius of the room around each hole of a thing, mm.
    pub(super) room: Option<f64>,
    /// Whether any of its holes is used as the table cuts it.
    pub(super) as_cut: bool,
}

/// A hole of a ply.
#[derive(Debug, Clone)]
pub(super) struct StackHole {
    /// What it is called.
    pub(super) name: String,
    /// Which of the plate's openings it is.
    pub(super) opening: Option<usize>,
    /// Its middle, mm.
    pub(super) at: Point,
    /// Its diameter, or the width of a slot, mm.
    pub(super) diameter: f64,
    /// From the middle of a slot to where a bolt at its end stands, mm; nothing of a round hole.
    pub(super) along: Vector,
    /// How true it is, or why nobody knows.
    pub(super) true_to: Result<Trueness, String>,
}

impl StackPly {
    /// Whether its holes have places of their own that must lie as those of the others do.
    pub(super) fn is_compared(&self) -> bool {
        !self.holes.is_empty() && !self.match_drilled
    }

    /// The middles of its holes.
    pub(super) fn middles(&self) -> Vec<Point> {
        self.holes.iter().map(|it| it.at).collect()
    }

    /// Its holes as they lie on those of the first.
    pub(super) fn laid(&self, laid: &Laid, thread: &Thread) -> Holes {
        let holes = || laid.order.iter().map(|it| &self.holes[*it]);
        let free = |it: &StackHole| (it.diameter - thread.diameter) / 2.0;
        let end = |it: &StackHole| laid.onto(it.at + it.along) - laid.onto(it.at);
        Holes {
            at: holes().map(|it| laid.onto(it.at)).collect(),
            free: holes()
                .map(|it| if self.tapped { 0.0 } else { free(it) })
                .collect(),
            along: holes().map(end).collect(),
        }
    }
}

/// The stack of a joint; `None` where a plate that it names is not made, as not all are wanted.
pub(super) fn stack(
    of: &Bolted,
    among: Among<'_>,
    all_are_made: bool,
) -> Result<Option<Stack>, Fault> {
    let mut plies = Vec::with_capacity(of.through.len());
    let mut threads: Vec<(String, Thread)> = Vec::new();
    for ply in &of.through {
        let mut read = match &ply.of {
            PlyOf::Thing(thing) => of_thing(thing),
            PlyOf::Plate { plate, openings } => {
                let Some(at) = plate_called(plate, among.plates, all_are_made)? else {
                    return Ok(None);
                };
                let chosen = chosen(openings, &among.plates[at])?;
                let own = chosen.iter().map(|it| &among.plates[at].openings[*it]);
                let own = own.filter_map(|it| thread::read(it.thread.as_deref()?).ok());
                threads.extend(own.map(|it| (among.plates[at].name.clone(), it)));
                of_plate(at, &chosen, among)
            }
        };
        read.match_drilled = ply.match_drilled;
        plies.push(read);
    }
    let fault = |message: String| {
        let fault = Fault::refused(message);
        fault.at(&of.place.source, of.place.span.clone())
    };
    if plies.iter().all(|it| it.plate.is_none()) {
        let fault = of.name.fault("this joint has no plate of the job");
        return Err(fault.remedy("write plate = \"…\" and openings = \"…\" for one of its plies"));
    }
    if plies.iter().all(|it| !it.is_compared()) {
        let fault = of
            .name
            .fault("no ply of this joint says where its holes are");
        return Err(fault.remedy("leave out match_drilled where the holes are made first"));
    }
    let inner = &plies[1..plies.len() - 1];
    let tapped = plies.iter().filter(|it| it.tapped).count();
    if tapped > 1 || inner.iter().any(|it| it.tapped) {
        let message = "only one ply can be tapped, and it is the first or the last";
        let fault = of.name.fault(message);
        return Err(fault.remedy("name openings that the bolts pass, or change the order"));
    }
    let bolts = plies.iter().map(|it| it.holes.len()).max().unwrap_or(0);
    if bolts > limits::BOLTS {
        let message = format!("this joint has {bolts} bolts");
        let most = format!("no more than {} are possible", limits::BOLTS);
        return Err(fault(message).remedy(format!("{most}: make several joints of it")));
    }
    let thread = thread_of(of, &threads)?;
    let untapped = plies.iter().filter(|it| !it.tapped);
    let holes = untapped.flat_map(|ply| ply.holes.iter().map(move |hole| (ply, hole)));
    if let Some((ply, hole)) = holes
        .into_iter()
        .find(|(_, it)| it.diameter < thread.diameter - SAME)
    {
        let message = format!(
            "{} bolts do not pass {} of {}, {}",
            thread.name(),
            hole.name,
            ply.says,
            both_units(hole.diameter)
        );
        let fault = of.thread.as_ref().unwrap_or(&of.name).fault(message);
        return Err(fault.remedy("write a thread that passes, or make these holes wider"));
    }
    let mut stack = Stack {
        name: of.name.as_str().to_owned(),
        thread,
        bolts,
        quantity: quantity(of, &plies, among.plates)?,
        listed: Vec::new(),
        plies,
    };
    stack.listed = listed(&stack, among);
    if stack.takes_u_bolts(among.plates) && stack.bolts % 2 == 1 {
        let message = format!(
            "this joint has {} openings for legs of U-bolts",
            stack.bolts
        );
        let fault = of.name.fault(message);
        return Err(fault.remedy("name both openings of each U-bolt"));
    }
    Ok(Some(stack))
}

/// Where a plate of a name is among those made.
pub(super) fn made(wanted: &Text, plates: &[Plate]) -> Option<usize> {
    let called = name::safe(wanted.as_str(), "");
    plates.iter().position(|it| it.name == called)
}

fn plate_called(
    wanted: &Text,
    plates: &[Plate],
    all_are_made: bool,
) -> Result<Option<usize>, Fault> {
    let found = made(wanted, plates);
    if found.is_some() || !all_are_made {
        return Ok(found);
    }
    let called = name::safe(wanted.as_str(), "");
    let names = || plates.iter().map(|it| it.name.as_str());
    let fault = wanted.fault(format!("the job has no plate \"{}\"", wanted.as_str()));
    let longer: Vec<&str> = names().filter(|it| it.starts_with(&called)).collect();
    Err(match (nearest(&called, names()), longer.as_slice()) {
        (_, [first, ..]) if !called.is_empty() => fault.remedy(match longer.len() {
            1 => format!("write \"{first}\""),
            _ => format!("write one of {}", longer.join(", ")),
        }),
        (Some(near), _) => fault.remedy(format!("did you mean \"{near}\"?")),
        _ => fault.remedy(format!(
            "there are {}",
            names().collect::<Vec<_>>().join(", ")
        )),
    })
}

/// The openings of a plate that go by these names, in the order of their own.
fn chosen(wanted: &[Text], plate: &Plate) -> Result<Vec<usize>, Fault> {
    let mut chosen: Vec<usize> = Vec::new();
    for name in wanted {
        let called = |it: &&(usize, &Opening)| it.1.is_called(name.as_str());
        let own: Vec<(usize, &Opening)> = plate.openings.iter().enumerate().collect();
        let mut found: Vec<_> = own.iter().filter(called).collect();
        if found.is_empty() {
            let fault = name.fault(format!(
                "{} has no opening \"{}\"",
                plate.name,
                name.as_str()
            ));
            let mut names: Vec<&str> = plate.openings.iter().map(Opening::title).collect();
            names.sort_unstable();
            names.dedup();
            return Err(match nearest(name.as_str(), names.iter().copied()) {
                Some(near) => fault.remedy(format!("did you mean \"{near}\"?")),
                None if names.is_empty() => fault.remedy("it has none at all: name another plate"),
                None => fault.remedy(format!("it has {}", names.join(", "))),
            });
        }
        if let Some((_, odd)) = found.iter().find(|(at, _)| seat(plate, *at).is_none()) {
            let fault = name.fault(format!(
                "{} of {} is neither round nor a slot",
                odd.name, plate.name
            ));
            return Err(fault.remedy("name round openings or slots: bolts go through those alone"));
        }
        found.sort_by_key(|(_, it)| it.number());
        let new = found.iter().map(|(index, _)| *index);
        let new: Vec<usize> = new.filter(|it| !chosen.contains(it)).collect();
        chosen.extend(new);
    }
    Ok(chosen)
}

/// What a bolt stands in at an opening of a plate; `None` of what is neither round nor a slot.
pub(super) fn seat(plate: &Plate, opening: usize) -> Option<Seat> {
    form::seat(plate.face.openings.get(opening)?)
}

fn of_plate(index: usize, chosen: &[usize], among: Among<'_>) -> StackPly {
    let plate = &among.plates[index];
    let seats = chosen.iter().filter_map(|it| seat(plate, *it));
    let middles: Vec<Point> = seats.map(|it| it.middle).collect();
    let span = span(&middles);
    let holes = chosen.iter().filter_map(|at| {
        let opening = &plate.openings[*at];
        let seat = seat(plate, *at)?;
        let diameter = seat.width;
        Some(StackHole {
            name: opening.name.clone(),
            opening: Some(*at),
            at: seat.middle,
            diameter,
            along: seat.along,
            true_to: trueness(opening, diameter, plate.thickness, span, among.process),
        })
    });
    let made_as_cut = |it: &usize| plate.openings[*it].drilling().is_none();
    StackPly {
        says: plate.name.clone(),
        plate: Some(index),
        thickness: plate.thickness,
        holes: holes.collect(),
        tapped: chosen
            .iter()
            .any(|it| plate.openings[*it].purpose == Purpose::Tapped),
        match_drilled: false,
        circle: None,
        room: None,
        as_cut: chosen.iter().any(made_as_cut),
    }
}

/// The greatest distance between two holes.
fn span(middles: &[Point]) -> f64 {
    let pairs = middles
        .iter()
        .flat_map(|a| middles.iter().map(move |b| a.distance(*b)));
    pairs.fold(0.0, f64::max)
}

/// How true a hole of a plate is: one that is cut for the drill to follow lies as the table puts it.
fn trueness(
    opening: &Opening,
    diameter: f64,
    thickness: f64,
    span: f64,
    process: Process,
) -> Result<Trueness, String> {
    let drilled = Trueness::drilled(diameter);
    let cut = || {
        let cut = Trueness::cut(process, thickness, diameter, span);
        cut.map_err(|why| why.to_string())
    };
    match &opening.making {
        Some(Making::Drilled(_)) => Ok(drilled),
        Some(Making::Undersize { .. }) => Ok(Trueness {
            diameter: drilled.diameter,
            ..cut()?
        }),
        Some(Making::Cut) | None => cut(),
    }
}

fn of_thing(thing: &Thing) -> StackPly {
    let holes = (1..).zip(&thing.holes).map(|(number, at)| StackHole {
        name: format!("hole {number}"),
        opening: None,
        at: *at,
        diameter: thing.hole.unwrap_or(0.0),
        along: Vector::new(0.0, 0.0),
        true_to: Ok(Trueness {
            off: thing.tolerance,
            diameter: (0.0, 0.0),
        }),
    });
    StackPly {
        says: thing.says.as_str().to_owned(),
        plate: None,
        thickness: thing.thickness,
        holes: holes.collect(),
        tapped: thing.tapped,
        match_drilled: false,
        circle: thing.circle,
        room: thing.room,
        as_cut: false,
    }
}

/// The thread that the joint names, else that of its plates' openings.
fn thread_of(of: &Bolted, threads: &[(String, Thread)]) -> Result<Thread, Fault> {
    if let Some(text) = &of.thread {
        return thread::read(text.as_str()).map_err(|why| text.fault(why));
    }
    let Some((plate, first)) = threads.first() else {
        let fault = of.name.fault("no opening of this joint names its thread");
        return Err(fault.remedy("add thread = \"M12\", or what the bolts are"));
    };
    match threads.iter().find(|(_, it)| it.name() != first.name()) {
        Some((other, second)) => {
            let message = format!(
                "{plate} has openings for {} and {other} for {}",
                first.name(),
                second.name()
            );
            let remedy = format!("add thread = \"{}\", or what the bolts are", first.name());
            Err(of.name.fault(message).remedy(remedy))
        }
        None => Ok(*first),
    }
}

/// How many such joints there are: as many as the plates give.
fn quantity(of: &Bolted, plies: &[StackPly], plates: &[Plate]) -> Result<u32, Fault> {
    let taken = |plate: usize| plies.iter().filter(|it| it.plate == Some(plate)).count() as u32;
    let given = plies.iter().filter_map(|it| it.plate);
    let given = given.map(|plate| (plate, plates[plate].quantity / taken(plate).max(1)));
    let Some((plate, most)) = given.min_by_key(|(_, most)| *most) else {
        return Ok(1);
    };
    let wanted = of.quantity.unwrap_or(most.max(1));
    if wanted <= most {
        return Ok(wanted);
    }
    let message = format!(
        "this joint takes {} of {}, and the job makes {}",
        wanted * taken(plate),
        plates[plate].name,
        plates[plate].quantity
    );
    let remedy = match most {
        0 => "give its part a larger `quantity`, or name the plate once".to_owned(),
        most => format!("set its `quantity` to at most {most}, or make more plates"),
    };
    Err(of.name.fault(message).remedy(remedy))
}

/// Bolts that the families of a stack's plates list for the same openings.
fn listed(stack: &Stack, among: Among<'_>) -> Vec<(usize, usize)> {
    let mut listed = Vec::new();
    for ply in &stack.plies {
        let Some(plate) = ply.plate else { continue };
        let own = among.parts.iter().find(|it| it.contains(&plate));
        for other in own.cloned().unwrap_or(plate..plate + 1) {
            let hardware = among.plates[other].strength.hardware.iter();
            let same = hardware.enumerate().filter(|(_, it)| {
                let near = it.near.as_deref();
                let openings = ply.holes.iter().filter_map(|it| it.opening);
                let mut openings = openings.map(|it| &among.plates[plate].openings[it]);
                near.is_some_and(|near| openings.any(|it| goes_through(near, it)))
            });
            let same = same.map(|(at, _)| (other, at));
            listed.extend(same.filter(|it| !listed.contains(it)).collect::<Vec<_>>());
        }
    }
    listed
}

/// Whether bolts that are near openings of this name go through an opening: one of the name, or a slot that is called a slot in
/// the place of its last word.
fn goes_through(near: &str, opening: &Opening) -> bool {
    let slot = || match near.rsplit_once(' ') {
        Some((first, _)) => format!("{first} slot"),
        None => "slot".to_owned(),
    };
    opening.is_called(near) || (opening.purpose == Purpose::Slot && opening.is_called(&slot()))
}

/// The first of the bolts that families list.
pub(super) fn family_bolts<'a>(stack: &Stack, plates: &'a [Plate]) -> Option<&'a Hardware> {
    let (plate, at) = stack.listed.first()?;
    plates[*plate].strength.hardware.get(*at)
}
