//! Small pieces into the windows of large ones, before anything is laid on a sheet.
//!
//! In: pieces with windows. Out: [`Assembly`]s, so that every piece in a window travels with its host.
//! Hosts with small windows come first, so that a loaded one may itself go into a larger window.
//! Each window gets the fullest of several fillings: one piece after another where it fits, and then,
//! if there is time for it, more that find room when what is there moves aside.

use std::sync::OnceLock;

use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;

use super::assembly::Assembly;
use super::clock::Phase;
use super::construct::Finder;
use super::container::Container;
use super::obstacles::FixedObstacles;
use super::placed::PlacedShape;
use super::prepared::PreparedPiece;
use super::search::SearchShape;
use super::search::insert::{self, Waiting};
use super::{Piece, Polygon, Rotation, inscribed_discs, polygon};
use crate::elementary;
use crate::geometry::{Point, Pose};

/// Fillings tried for each window.
const FILLINGS: usize = 4;
/// The largest disc in a window is known to this factor.
const RADIUS_SLACK: f64 = 1.05;
/// How far chance moves a piece in the order of a filling: its rank is multiplied by up to this.
const SHUFFLE: f64 = 8.0;

/// How much trouble a filling is worth.
#[derive(Clone)]
pub(super) enum Effort {
    /// One piece after another, in milliseconds.
    Quick(Phase),
    /// What is there moves aside for more, as long as there is time.
    Thorough(Phase),
}

impl Effort {
    /// The time there is for all of it.
    fn phase(&self) -> &Phase {
        match self {
            Self::Quick(phase) | Self::Thorough(phase) => phase,
        }
    }

    /// The time there is to move things aside; `None` if there is none.
    fn time(&self) -> Option<&Phase> {
        match self {
            Self::Thorough(phase) if !phase.is_late() => Some(phase),
            _ => None,
        }
    }
}

/// Every piece, in as many windows as have room for one. `items` are those of the pieces; `beat` is
/// called before each window.
pub(super) fn loaded(
    pieces: &[Piece],
    items: &[Option<PreparedPiece>],
    seed: u64,
    effort: &Effort,
    beat: &mut dyn FnMut(),
) -> Vec<Assembly> {
    let mut random = Pcg64::seed_from_u64(seed);
    let mut assemblies: Vec<Assembly> = pieces
        .iter()
        .enumerate()
        .map(|(index, piece)| Assembly::bare(index, piece))
        .collect();
    let mut hosts: Vec<(usize, Vec<Window>)> = pieces
        .iter()
        .enumerate()
        .filter(|(index, _)| items[*index].is_some())
        .map(|(index, piece)| (index, windows(piece)))
        .filter(|(_, windows)| !windows.is_empty())
        .collect();
    let room = |windows: &[Window]| windows.iter().map(|window| window.area).sum::<f64>();
    hosts.sort_by(|a, b| room(&a.1).total_cmp(&room(&b.1)));
    for (host, windows) in hosts {
        let mut loader = Loader {
            items,
            effort,
            random: &mut random,
            beat: &mut *beat,
        };
        loader.load_all(host, &windows, &mut assemblies);
    }
    assemblies.retain(|assembly| assembly.quantity > 0);
    assemblies
}

/// A window made ready.
struct Window {
    outline: Polygon,
    /// mm².
    area: f64,
    /// Its greatest extent and the radius of the largest disc in it, mm.
    diameter: f64,
    radius: f64,
    /// Its corners as the search sees them, made when it first asks.
    obstacles: OnceLock<FixedObstacles>,
}

impl Window {
    fn obstacles(&self) -> &FixedObstacles {
        self.obstacles
            .get_or_init(|| FixedObstacles::new(&self.outline, &[]))
    }

    /// Whether nothing rules out that a shape fits.
    fn may_hold(&self, item: &PreparedPiece) -> bool {
        let thick = item.shape.widest.map_or(0.0, |disc| disc.radius);
        item.shape.area < self.area
            && item.shape.diameter < self.diameter
            && thick < self.radius * RADIUS_SLACK
    }
}

/// The windows of a piece, the largest first.
fn windows(piece: &Piece) -> Vec<Window> {
    let outlines = piece.windows.iter().filter_map(|w| polygon::cleaned(w));
    let mut windows: Vec<Window> = outlines
        .map(|outline| Window {
            area: polygon::signed_area(&outline),
            diameter: polygon::diameter(&outline),
            radius: inscribed_discs::widest(std::slice::from_ref(&outline))
                .map_or(0.0, |disc| disc.radius),
            obstacles: OnceLock::new(),
            outline,
        })
        .collect();
    windows.sort_by(|a, b| b.area.total_cmp(&a.area));
    windows
}

type Filling = Vec<(usize, Pose)>;

/// What filling the windows needs.
struct Loader<'a> {
    items: &'a [Option<PreparedPiece>],
    effort: &'a Effort,
    random: &'a mut Pcg64,
    beat: &'a mut dyn FnMut(),
}

impl Loader<'_> {
    /// Loads the copies of one piece; the same load as often as there are pieces for it.
    fn load_all(&mut self, host: usize, windows: &[Window], assemblies: &mut Vec<Assembly>) {
        while assemblies[host].quantity > 0 {
            let mut loaded = Assembly {
                quantity: 0,
                ..assemblies[host].clone()
            };
            let mut taken = vec![0_u32; assemblies.len()];
            for window in windows {
                (self.beat)();
                for (guest, pose) in self.fullest(&loaded, window, assemblies, &taken) {
                    loaded.nest(&assemblies[guest], &pose);
                    taken[guest] += 1;
                }
            }
            if loaded.contents.is_empty() {
                return;
            }
            let times = taken.iter().zip(assemblies.iter()).filter(|(n, _)| **n > 0);
            let times = times
                .map(|(n, assembly)| assembly.quantity / n)
                .min()
                .unwrap_or(0);
            loaded.quantity = times.min(assemblies[host].quantity);
            for (n, assembly) in taken.iter().zip(assemblies.iter_mut()) {
                assembly.quantity -= n * loaded.quantity;
            }
            assemblies[host].quantity -= loaded.quantity;
            assemblies.push(loaded);
        }
    }

    /// The filling of a window with the most area in it.
    fn fullest(
        &mut self,
        host: &Assembly,
        window: &Window,
        assemblies: &[Assembly],
        taken: &[u32],
    ) -> Filling {
        let guests = self.guests(host, window, assemblies, taken);
        let mut best = Vec::new();
        let mut fullest = 0.0;
        for filling in 0..FILLINGS {
            let order = shuffled(&guests, filling, self.random);
            let Some(mut found) =
                one_by_one(&window.outline, &order, self.effort.phase(), self.random)
            else {
                break;
            };
            if let Some(time) = self.effort.time() {
                found = with_more(found, window, &order, time, self.random, self.beat);
            }
            let filled = found.iter().map(|(k, _)| order[*k].item.shape.area).sum();
            if filled > fullest {
                fullest = filled;
                best = found
                    .iter()
                    .map(|(k, placed)| (order[*k].assembly, order[*k].pose(placed)))
                    .collect();
            }
            if best.is_empty() {
                break;
            }
        }
        best
    }

    /// What may go into a window of a host.
    fn guests(
        &self,
        host: &Assembly,
        window: &Window,
        assemblies: &[Assembly],
        taken: &[u32],
    ) -> Vec<Guest> {
        // The host is loaded as it lies at one of its turns; its guests keep to theirs by that.
        let lying = match &host.rotation {
            Rotation::Free => 0.0,
            Rotation::Steps(steps) => steps.first().copied().unwrap_or(0.0),
        };
        let moves_aside = self.effort.time().is_some();
        (0..assemblies.len())
            .filter(|index| assemblies[*index].quantity > taken[*index])
            .filter(|index| assemblies[*index].piece != host.piece)
            .filter_map(|index| {
                let item = self.items[assemblies[index].piece].as_ref()?;
                let item = item.with_turns(&assemblies[index].rotation, lying);
                window.may_hold(&item).then(|| Guest {
                    assembly: index,
                    copies: assemblies[index].quantity - taken[index],
                    kind: moves_aside.then(|| SearchShape::new(&item)),
                    item,
                })
            })
            .collect()
    }
}

/// A assembly that may go into a window.
struct Guest {
    assembly: usize,
    copies: u32,
    item: PreparedPiece,
    kind: Option<SearchShape>,
}

impl Guest {
    fn pose(&self, placed: &PlacedShape) -> Pose {
        let turn = placed.shape.turn;
        Pose::new(turn, self.item.origin(turn, placed.at))
    }
}

/// Large guests first, and after the first time a different order each time.
fn shuffled<'a>(guests: &'a [Guest], filling: usize, random: &mut Pcg64) -> Vec<&'a Guest> {
    let mut order: Vec<(f64, &Guest)> = guests
        .iter()
        .map(|guest| {
            let luck = if filling == 0 {
                1.0
            } else {
                elementary::powf(SHUFFLE, random.random::<f64>())
            };
            (guest.item.rank() * luck, guest)
        })
        .collect();
    order.sort_by(|a, b| b.0.total_cmp(&a.0));
    order.into_iter().map(|(_, guest)| guest).collect()
}

/// One guest after another to the first place found; each with its index in the order. `None` if the
/// window bounds no area.
fn one_by_one(
    window: &[Point],
    order: &[&Guest],
    time: &Phase,
    random: &mut Pcg64,
) -> Option<Vec<(usize, PlacedShape)>> {
    let mut container = Container::new(window, &[])?;
    let mut found = Vec::new();
    for (k, guest) in order.iter().enumerate() {
        let mut finder = Finder::new(&guest.item);
        for _ in 0..guest.copies {
            let Some(placed) = finder.find(&container, time, random) else {
                break;
            };
            container.put(placed.clone());
            found.push((k, placed));
        }
    }
    Some(found)
}

/// A filling with more in it, if moving what is there makes room.
fn with_more(
    found: Vec<(usize, PlacedShape)>,
    window: &Window,
    order: &[&Guest],
    time: &Phase,
    random: &mut Pcg64,
    beat: &mut dyn FnMut(),
) -> Vec<(usize, PlacedShape)> {
    let waiting: Vec<Waiting> = order
        .iter()
        .filter_map(|guest| {
            let (kind, copies) = (guest.kind.as_ref()?, guest.copies);
            Some(Waiting { kind, copies })
        })
        .collect();
    let area: f64 = found.iter().map(|(k, _)| order[*k].item.shape.area).sum();
    let free = window.area - area;
    let before = found.clone();
    let as_steps = found.into_iter().map(|(k, placed)| {
        let shape = waiting[k].kind.rotated(placed.shape.turn);
        (
            k,
            PlacedShape {
                shape,
                at: placed.at,
            },
        )
    });
    let obstacles = window.obstacles();
    let walls = (obstacles.fixed(), obstacles.frame);
    let seed = random.random::<u64>();
    let (more, _) = insert::as_many(
        &waiting,
        as_steps.collect(),
        (&walls.0, walls.1),
        free,
        (insert::IN_WINDOW, seed),
        time,
        beat,
    );
    if lies_free(&window.outline, &more) {
        more
    } else {
        before
    }
}

/// Whether everything lies within the window and off the others, by the same look as for a sheet.
fn lies_free(window: &[Point], lying: &[(usize, PlacedShape)]) -> bool {
    let Some(mut container) = Container::new(window, &[]) else {
        return false;
    };
    lying.iter().all(|(_, placed)| {
        let free = container.is_free(placed.borrowed());
        container.put(placed.clone());
        free
    })
}
