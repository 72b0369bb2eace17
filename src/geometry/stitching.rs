//! From the faces that are kept back to contours.
//!
//! In: a planar map and which of its faces are metal. Out: a region of simple contours, neighbours
//! on one line or one circle re-joined, slivers dropped, in a fixed order.

use super::arrangement::{Arrangement, Edge, root_of, unite};
use super::curve::Curve;
use super::planar::PlanarMap;
use super::rotation::{curve, tail};
use super::run::{Run, contour_of};
use super::tolerance::Tolerance;
use super::{Contour, Face, Point, Region, Unresolved};

/// The region of the walks that `inside` marks; `inside` has one entry more, for the face around
/// everything.
pub(super) fn stitch(
    arrangement: &Arrangement,
    map: &PlanarMap,
    inside: &[bool],
    tolerance: &Tolerance,
) -> Result<Region, Unresolved> {
    if inside[map.around()] {
        return Err(Unresolved::Unclear("it would cover the whole plane".into()));
    }
    let kept: Vec<bool> = (0..map.next.len())
        .map(|half| inside[map.walk[half]] && !inside[map.walk[half ^ 1]])
        .collect();
    check_flow(arrangement, &kept)?;
    let mut pieces = map.faces();
    for half in 0..map.next.len() {
        let (left, right) = (map.walk[half], map.walk[half ^ 1]);
        if inside[left] && inside[right] {
            unite(&mut pieces, left, right);
        }
    }
    let mut contours = Vec::new();
    for chain in loops(arrangement, map, &kept) {
        let piece = root_of(&mut pieces, map.walk[chain[0]]);
        for halves in simple_loops(arrangement, chain) {
            let runs = halves
                .iter()
                .map(|&half| run_of(arrangement, half))
                .collect();
            if let Some(contour) = contour_of(runs, tolerance) {
                contours.push((piece, contour));
            }
        }
    }
    assemble(contours, tolerance)
}

/// At every vertex as many kept edges end as start.
fn check_flow(arrangement: &Arrangement, kept: &[bool]) -> Result<(), Unresolved> {
    let mut flow = vec![0_i32; arrangement.vertices.len()];
    for half in (0..kept.len()).filter(|&half| kept[half]) {
        flow[tail(&arrangement.edges, half)] += 1;
        flow[tail(&arrangement.edges, half ^ 1)] -= 1;
    }
    if flow.iter().all(|&sum| sum == 0) {
        Ok(())
    } else {
        Err(Unresolved::Unclear("an outline does not close".into()))
    }
}

/// The kept half-edges in closed chains, each along one side of one piece of metal.
fn loops(arrangement: &Arrangement, map: &PlanarMap, kept: &[bool]) -> Vec<Vec<usize>> {
    let mut used = vec![false; kept.len()];
    let mut chains = Vec::new();
    for first in 0..kept.len() {
        if !kept[first] || used[first] {
            continue;
        }
        let mut chain = Vec::new();
        let mut half = first;
        while !used[half] {
            used[half] = true;
            chain.push(half);
            half = map.next[half];
            while !kept[half] {
                half = map.next[half ^ 1];
            }
        }
        debug_assert!(tail(&arrangement.edges, half) == tail(&arrangement.edges, first));
        chains.push(chain);
    }
    chains
}

/// A chain cut where it passes the same vertex twice.
fn simple_loops(arrangement: &Arrangement, chain: Vec<usize>) -> Vec<Vec<usize>> {
    let edges: &[Edge] = &arrangement.edges;
    let mut simple = Vec::new();
    let mut path: Vec<usize> = Vec::with_capacity(chain.len());
    let mut seen = std::collections::BTreeMap::new();
    for half in chain {
        let vertex = tail(edges, half);
        if let Some(&place) = seen.get(&vertex) {
            let cut: Vec<usize> = path.split_off(place);
            for &gone in &cut {
                seen.remove(&tail(edges, gone));
            }
            simple.push(cut);
        }
        seen.insert(vertex, path.len());
        path.push(half);
    }
    simple.push(path);
    simple
}

fn run_of(arrangement: &Arrangement, half: usize) -> Run {
    let edges = &arrangement.edges;
    let start = arrangement.vertices[tail(edges, half)];
    let end = arrangement.vertices[tail(edges, half ^ 1)];
    let curve: Curve = curve(edges, half);
    Run::new(curve, start, end)
}

/// Faces from the contours of each piece of metal.
fn assemble(
    mut contours: Vec<(usize, Contour)>,
    tolerance: &Tolerance,
) -> Result<Region, Unresolved> {
    contours
        .retain(|(_, contour)| contour.signed_area().abs() >= tolerance.sliver * contour.length());
    contours.sort_by_key(|(piece, _)| *piece);
    let mut faces = Vec::new();
    for group in contours.chunk_by(|a, b| a.0 == b.0) {
        let members = group.iter().map(|(_, contour)| contour.clone());
        let (mut outsides, mut openings): (Vec<Contour>, Vec<Contour>) =
            members.partition(|contour| contour.signed_area() > 0.0);
        let Some(outside) = outsides.pop() else {
            return Err(Unresolved::Unclear(
                "an opening without metal around it".into(),
            ));
        };
        if !outsides.is_empty() {
            return Err(Unresolved::Unclear("one piece with two outsides".into()));
        }
        openings.sort_by_key(place);
        let face = Face { outside, openings };
        let length: f64 =
            face.outside.length() + face.openings.iter().map(Contour::length).sum::<f64>();
        if face.area() >= tolerance.sliver * length {
            faces.push(face);
        }
    }
    faces.sort_by_key(|face| place(&face.outside));
    Ok(Region { faces })
}

/// What contours are ordered by: the lower left corner of the box, to a micron, then its size.
fn place(contour: &Contour) -> [i64; 4] {
    let bounds = contour.bounds();
    let rounded = |p: Point| [(p.x * 1e3).round() as i64, (p.y * 1e3).round() as i64];
    let (low, high) = (rounded(bounds.min), rounded(bounds.max));
    [low[0], low[1], high[0], high[1]]
}
