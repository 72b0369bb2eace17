//! The last look at finished sheets, before any file is written.
//!
//! In: the plates of a run with their cut paths, and the sheets with what lies on them. Out: every
//! [`Flaw`]. None means: every copy is on a sheet or said to be left over; each plate has its area; each
//! contour is cut once, half a kerf beside its nominal edge, but for exactly the holding tabs that it is
//! said to have, openings before the outside; no torch path comes nearer than half a kerf to any plate, pierces in none, and leaves no sheet. All of it is seen on
//! chords within 0.003 mm of the true lines and arcs, by code that shares nothing with the
//! geometry that made them but the types.

mod beside;
mod chords;
mod shared;
mod tabs;

use std::collections::HashMap;
use std::fmt;

use rayon::prelude::*;

use self::chords::{Chain, Edges, Moved, Xy, along, area, around, holds, length};
use crate::cut::{CutPath, Reach};
use crate::nest::Placement;
use crate::sheet::{CutPlate, CutSheet};

/// A finished edge may be off by this, mm: far below what a torch can do.
const OFF: f64 = 0.02;
/// Areas may differ by this, mm², beside what the chords cut off.
const AREA: f64 = 0.01;

/// Something that is not as it has to be.
#[derive(Debug, Clone, PartialEq)]
pub struct Flaw {
    /// The sheet or plate.
    pub of: String,
    /// What is wrong, with sizes.
    pub what: String,
}

impl fmt::Display for Flaw {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.of, self.what)
    }
}

/// A whole run, as it would be written.
#[derive(Debug, Clone, Copy)]
pub struct Finished<'a> {
    /// The plates.
    pub plates: &'a [CutPlate],
    /// The sheets.
    pub sheets: &'a [CutSheet],
    /// Plates, and how many copies of them found no room.
    pub unplaced: &'a [(usize, u32)],
}

impl Finished<'_> {
    /// Everything that is wrong.
    #[must_use]
    pub fn flaws(&self) -> Vec<Flaw> {
        let mut flaws = self.counts();
        let shapes: Vec<PlateChords> = self.plates.par_iter().map(PlateChords::of).collect();
        for (cut, shape) in self.plates.iter().zip(&shapes) {
            flaws.extend(shape.area_flaw(cut));
        }
        for sheet in self.sheets {
            let found = Look::at(sheet, self.plates, &shapes).flaws();
            flaws.extend(found.into_iter().map(|what| Flaw {
                of: sheet.name.clone(),
                what,
            }));
        }
        flaws
    }

    /// Copies placed and left over make up what was asked for.
    fn counts(&self) -> Vec<Flaw> {
        let numbered = self.plates.iter().enumerate();
        let wrong = numbered.filter_map(|(index, cut)| {
            let laid = self.sheets.iter().flat_map(|sheet| &sheet.placements);
            let laid = laid.filter(|placement| placement.piece == index).count();
            let left: u32 = self
                .unplaced
                .iter()
                .filter(|it| it.0 == index)
                .map(|it| it.1)
                .sum();
            let asked = cut.plate.quantity;
            (laid as u64 + u64::from(left) != u64::from(asked)).then(|| Flaw {
                of: cut.plate.name.clone(),
                what: format!("{asked} asked for, {laid} on sheets and {left} left over"),
            })
        });
        wrong.collect()
    }
}

/// A plate as chords, in its own coordinates.
struct PlateChords {
    /// The outside, then the openings.
    rings: Vec<Chain>,
    /// What the torch is to follow: for the outside and each opening its nominal ring, `None` where
    /// only a centre is marked.
    followed: Vec<Option<Chain>>,
}

impl PlateChords {
    fn of(cut: &CutPlate) -> Self {
        let face = &cut.plate.face;
        let rings: Vec<Chain> = std::iter::once(&face.outside)
            .chain(&face.openings)
            .map(around)
            .collect();
        let mut followed: Vec<Option<Chain>> = rings.iter().cloned().map(Some).collect();
        for (opening, followed) in cut.plate.openings.iter().zip(&mut followed[1..]) {
            if opening.drilling().is_some() {
                let pilot = opening.cut_circle();
                *followed = pilot.map(|it| circle(it.centre.x, it.centre.y, it.radius));
            }
        }
        Self { rings, followed }
    }

    /// Where the area of the chords is not that of the lines and arcs.
    fn area_flaw(&self, cut: &CutPlate) -> Option<Flaw> {
        let chords = area(&self.rings[0]).abs()
            - self.rings[1..].iter().map(|it| area(it).abs()).sum::<f64>();
        let edge: f64 = self.rings.iter().map(|it| length(it)).sum();
        let exact = cut.plate.net_area();
        ((chords - exact).abs() > AREA + edge * chords::CHORD).then(|| Flaw {
            of: cut.plate.name.clone(),
            what: format!("its area is {exact:.3} mm² by arcs and {chords:.3} mm² by chords"),
        })
    }
}

/// A circle of chords about a place.
fn circle(x: f64, y: f64, radius: f64) -> Chain {
    around(&crate::geometry::Contour::circle(
        crate::geometry::Point::new(x, y),
        radius,
    ))
}

/// One sheet under inspection.
struct Look<'a> {
    sheet: &'a CutSheet,
    plates: &'a [CutPlate],
    shapes: &'a [PlateChords],
    /// The rings of every placement, on the sheet.
    rings: Vec<Vec<Chain>>,
    /// Edges of the metal, by placement.
    metal: Edges,
    /// Edges of the sheet.
    rim: Vec<Chain>,
}

impl<'a> Look<'a> {
    fn at(sheet: &'a CutSheet, plates: &'a [CutPlate], shapes: &'a [PlateChords]) -> Self {
        let placed = |placement: &Placement| -> Vec<Chain> {
            let moved = Moved::by(&placement.pose);
            shapes[placement.piece]
                .rings
                .iter()
                .map(|ring| moved.chain(ring))
                .collect()
        };
        let rings: Vec<Vec<Chain>> = sheet.placements.iter().map(placed).collect();
        let owned = rings.iter().enumerate();
        let owned = owned.flat_map(|(owner, rings)| rings.iter().map(move |ring| (owner, ring)));
        Self {
            metal: Edges::of(owned),
            rim: sheet.outline.contours().map(around).collect(),
            sheet,
            plates,
            shapes,
            rings,
        }
    }

    fn flaws(&self) -> Vec<String> {
        let mut flaws = self.strangers();
        if !flaws.is_empty() {
            return flaws;
        }
        flaws.extend(self.cut_once());
        flaws.extend(self.too_near());
        let rim = Edges::of(self.rim.iter().map(|ring| (0, ring)));
        let paths = self.sheet.plan.paths.par_iter();
        let told = paths.map(|(owner, path)| self.path_flaws(*owner, path, &rim));
        flaws.extend(told.collect::<Vec<_>>().concat());
        flaws.extend(self.scrap_flaws(&rim));
        flaws.extend(self.tab_flaws());
        flaws.extend(self.shared_flaws());
        flaws
    }

    /// Whether the torch comes too near a plate, or leaves the sheet, on its way through the skeleton.
    fn scrap_flaws(&self, rim: &Edges) -> Vec<String> {
        let cuts = self.sheet.plan.scrap.iter();
        let flaws = cuts.flat_map(|cut| {
            let chain = along(&cut.segments);
            // It begins and ends at the edge, or in a slot.
            let leaves = chain.windows(2).any(|two| {
                let middle = [
                    f64::midpoint(two[0][0], two[1][0]),
                    f64::midpoint(two[0][1], two[1][1]),
                ];
                let is_at_edge = |at: &Xy| rim.distance(*at, OFF) < OFF;
                let ends_well = two.iter().all(|it| is_at_edge(it) || holds(&self.rim, *it));
                !(ends_well && holds(&self.rim, middle))
            });
            let found = [
                self.burns_metal(&chain),
                leaves.then(|| "leaves the sheet".to_owned()),
            ];
            found.into_iter().flatten()
        });
        flaws
            .map(|what| format!("a cut in the skeleton {what}"))
            .collect()
    }

    fn path_flaws(&self, owner: usize, path: &CutPath, rim: &Edges) -> Vec<String> {
        let chain = along(&path.segments);
        let found = [
            self.burns_metal(&chain),
            self.leaves_the_sheet(&chain, rim),
            match path.reach {
                Reach::AcrossSlug => None,
                Reach::Whole | Reach::BetweenTabs | Reach::BesideCut => self.strays(owner, path),
            },
        ];
        let called = self.called(owner, path.opening);
        let told = found.into_iter().flatten();
        told.map(|what| format!("the cut of {called} {what}"))
            .collect()
    }

    /// Cuts of nothing that lies on the sheet, which leave nothing more to say.
    fn strangers(&self) -> Vec<String> {
        let paths = self.sheet.plan.paths.iter();
        let there = |(owner, path): &&(usize, CutPath)| {
            let placement = self.sheet.placements.get(*owner);
            let plate = placement.map(|it| &self.plates[it.piece].plate);
            plate.is_some_and(|it| path.opening.is_none_or(|index| index < it.openings.len()))
        };
        let strange = paths.filter(|it| !there(it)).count();
        match strange {
            0 => Vec::new(),
            _ => vec![format!("{strange} cuts are of nothing that lies on it")],
        }
    }

    /// Plates that leave no room for the torch between them.
    fn too_near(&self) -> Vec<String> {
        let least = self.sheet.kerf - OFF;
        let rings = self.rings.par_iter().enumerate();
        let near = rings.filter_map(|(index, rings)| {
            let others = |owner: usize| owner < index;
            let near = rings
                .iter()
                .filter_map(|ring| self.metal.nearest(ring, least, others));
            let (other, gap) = near.min_by(|a, b| a.1.total_cmp(&b.1))?;
            let (this, other) = (self.copy(index), self.copy(other));
            Some(format!(
                "{this} lies {gap:.3} mm from {other}, less than the kerf"
            ))
        });
        near.collect()
    }

    fn plate(&self, placement: usize) -> &CutPlate {
        &self.plates[self.sheet.placements[placement].piece]
    }

    /// What a contour of a placement is called.
    fn called(&self, placement: usize, opening: Option<usize>) -> String {
        let openings = &self.plate(placement).plate.openings;
        let part = opening.map_or("outside", |index| openings[index].name.as_str());
        format!("{}, {part},", self.copy(placement))
    }

    fn copy(&self, placement: usize) -> String {
        let copy = self.sheet.placements[placement].copy + 1;
        format!("{} (copy {copy})", self.plate(placement).plate.name)
    }

    /// Each contour has its one cut, what lies inside before what holds it.
    fn cut_once(&self) -> Vec<String> {
        let mut flaws = Vec::new();
        // Where in the order the cuts of each contour come.
        let mut cuts: HashMap<(usize, Option<usize>), Vec<usize>> = HashMap::new();
        for (at, (owner, path)) in self.sheet.plan.paths.iter().enumerate() {
            if path.reach == Reach::AcrossSlug {
                if cuts.contains_key(&(*owner, path.opening)) {
                    let called = self.called(*owner, path.opening);
                    flaws.push(format!("the slug of {called} is cut up once it is loose"));
                }
                continue;
            }
            cuts.entry((*owner, path.opening)).or_default().push(at);
        }
        let of = |placement: usize, opening: Option<usize>| {
            cuts.get(&(placement, opening))
                .map_or(&[][..], Vec::as_slice)
        };
        let first = |placement: usize| of(placement, None).first().copied();
        let last =
            |placement: usize, opening: Option<usize>| of(placement, opening).last().copied();
        for (index, placement) in self.sheet.placements.iter().enumerate() {
            let outside = first(index).unwrap_or(usize::MAX);
            for (number, followed) in self.shapes[placement.piece].followed.iter().enumerate() {
                let opening = number.checked_sub(1);
                let runs = self.tabs_of(index, opening).max(1);
                let wanted = usize::from(followed.is_some()) * runs;
                let cuts = of(index, opening).len();
                if cuts != wanted {
                    flaws.push(format!(
                        "the cut of {} is there {cuts} times, not {wanted}",
                        self.called(index, opening)
                    ));
                }
                if opening.is_some() && last(index, opening).is_some_and(|at| at > outside) {
                    flaws.push(format!(
                        "the cut of {} comes after the plate is loose",
                        self.called(index, opening)
                    ));
                }
            }
            if let Some(host) = placement.inside
                && let Some(host) = first(host)
                && last(index, None).is_none_or(|end| host < end)
            {
                flaws.push(format!(
                    "the cut of {} comes after the plate around it is loose",
                    self.called(index, None)
                ));
            }
        }
        flaws
    }

    /// Whether the torch comes too near a plate, or pierces in one.
    fn burns_metal(&self, chain: &Chain) -> Option<String> {
        let half = self.sheet.kerf / 2.0;
        let nearest = self.metal.nearest(chain, half - OFF, |_| true);
        if let Some((owner, gap)) = nearest {
            return Some(format!(
                "runs {gap:.3} mm from the edge of {}, less than half a kerf, {half:.3} mm",
                self.copy(owner)
            ));
        }
        let within = self.metal.holder(chain[0]);
        within.map(|owner| format!("pierces {}", self.copy(owner)))
    }

    fn leaves_the_sheet(&self, chain: &Chain, rim: &Edges) -> Option<String> {
        let crosses = rim.nearest(chain, OFF, |_| true).is_some();
        (crosses || !holds(&self.rim, chain[0])).then(|| "leaves the sheet".to_owned())
    }

    /// What the torch is to follow for a contour of a placement, on the sheet.
    fn ring(&self, placement: usize, opening: Option<usize>) -> Option<Chain> {
        let placement = &self.sheet.placements[placement];
        let number = opening.map_or(0, |index| index + 1);
        let followed = self.shapes[placement.piece].followed.get(number)?;
        Some(Moved::by(&placement.pose).chain(followed.as_ref()?))
    }

    /// Whether the torch does not follow its contour half a kerf beside it.
    fn strays(&self, owner: usize, path: &CutPath) -> Option<String> {
        let ring = self.ring(owner, path.opening)?;
        let half = self.sheet.kerf / 2.0;
        let contour = along(&path.around());
        let edges = Edges::of([(0, &ring)]);
        let middles = contour.windows(2).map(|two| {
            [
                f64::midpoint(two[0][0], two[1][0]),
                f64::midpoint(two[0][1], two[1][1]),
            ]
        });
        let off = contour
            .iter()
            .copied()
            .chain(middles)
            .map(|spot| (edges.distance(spot, half + OFF) - half).abs());
        let most = off.fold(0.0, f64::max);
        if most > OFF {
            return Some(format!(
                "strays by {most:.3} mm from half a kerf beside its edge"
            ));
        }
        if self.tabs_of(owner, path.opening) > 0 || path.reach == Reach::BesideCut {
            return None;
        }
        let side = if path.opening.is_some() { -1.0 } else { 1.0 };
        let found = area(&contour).abs();
        let slack = OFF * length(&ring) + half * half;
        let wanted = beside::refuted(&ring, side * half, found, slack)?;
        Some(format!("goes around {found:.2} mm², not {wanted:.2} mm²"))
    }
}
