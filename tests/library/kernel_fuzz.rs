//! Random builds, every step judged by an independent polygon engine on fine chords.
//!
//! The short runs are part of the ordinary tests. The long ones:
//! `cargo test --release --test library kernel_fuzz -- --ignored`

use crate::support::kernel_check::scene::Maker;
use crate::support::kernel_check::{
    Operation, Reference, THIN, boolean, fault, offset, there_and_back,
};
use platewright::geometry::{Region, Unresolved};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64Mcg;
use rayon::prelude::*;

/// What a run of builds came to.
#[derive(Debug, Default)]
struct Tally {
    sequences: usize,
    steps: usize,
    unresolved: Vec<String>,
    wrong: Vec<String>,
}

impl Tally {
    fn plus(mut self, other: Self) -> Self {
        self.sequences += other.sequences;
        self.steps += other.steps;
        self.unresolved.extend(other.unresolved);
        self.wrong.extend(other.wrong);
        self
    }

    fn print(&self, title: &str) {
        println!(
            "{title}: {} sequences, {} steps, {} silently wrong, {} unresolved",
            self.sequences,
            self.steps,
            self.wrong.len(),
            self.unresolved.len()
        );
        for line in self.wrong.iter().chain(&self.unresolved).take(40) {
            println!("  {line}");
        }
    }
}

/// Runs `count` builds from a seed; `jitter` gives the error put on every contact of a build.
fn run(seed: u64, count: usize, jitter: fn(&mut Pcg64Mcg) -> f64) -> Tally {
    (0..count)
        .into_par_iter()
        .map(|index| sequence(seed, index, jitter))
        .reduce(Tally::default, Tally::plus)
}

fn sequence(seed: u64, index: usize, jitter: fn(&mut Pcg64Mcg) -> f64) -> Tally {
    let mut random = Pcg64Mcg::seed_from_u64(seed.wrapping_mul(1_000_003) + index as u64);
    let jitter = jitter(&mut random);
    let mut maker = Maker::new(random, jitter);
    let mut tally = Tally {
        sequences: 1,
        ..Tally::default()
    };
    let mut region = maker.shape();
    for step in 0..maker.random.random_range(3..=8) {
        let (name, result, reference, thin) = next(&mut maker, &region);
        tally.steps += 1;
        match result {
            Err(why) => {
                tally
                    .unresolved
                    .push(format!("{seed}/{index}/{step} {name}: {why}"));
                continue;
            }
            Ok(result) => {
                if let Some(why) = fault(&result, &reference, thin) {
                    tally
                        .wrong
                        .push(format!("{seed}/{index}/{step} {name}: {why}"));
                    break;
                }
                region = result;
            }
        }
        if region.faces.is_empty() {
            region = maker.shape();
        }
    }
    tally
}

/// One random step: its name, the kernel's result, the reference and the allowance.
fn next(
    maker: &mut Maker,
    region: &Region,
) -> (String, Result<Region, Unresolved>, Reference, f64) {
    match maker.random.random_range(0..20) {
        0..=7 => pair(region, &maker.shape(), Operation::Union),
        8..=13 => pair(region, &maker.shape(), Operation::Difference),
        14 => pair(region, &maker.shape(), Operation::Intersection),
        15..=17 => {
            let distance = maker.pick(&[0.5, 1.0, 2.0, 2.5, 5.0, -0.5, -1.0, -2.0, -2.5]);
            (
                format!("offset {distance}"),
                region.offset(distance),
                offset(region, distance),
                3.0 * THIN,
            )
        }
        18 => {
            let radius = maker.pick(&[1.0, 2.0, 2.5, 5.0]);
            (
                format!("round inside {radius}"),
                region.round_inside(radius),
                there_and_back(region, radius),
                3.0 * THIN,
            )
        }
        _ => {
            let radius = maker.pick(&[1.0, 2.0, 2.5]);
            (
                format!("round outside {radius}"),
                region.round_outside(radius),
                there_and_back(region, -radius),
                3.0 * THIN,
            )
        }
    }
}

fn pair(
    a: &Region,
    b: &Region,
    operation: Operation,
) -> (String, Result<Region, Unresolved>, Reference, f64) {
    let result = match operation {
        Operation::Union => a.union(b),
        Operation::Difference => a.difference(b),
        Operation::Intersection => a.intersection(b),
    };
    let reference = boolean(a, b, operation);
    (format!("{operation:?}"), result, reference, THIN)
}

fn exact(_: &mut Pcg64Mcg) -> f64 {
    0.0
}

/// Between 1e-3.5 and 1e-9.5 mm.
fn perturbed(random: &mut Pcg64Mcg) -> f64 {
    10.0_f64.powf(random.random_range(-9.5..-3.5))
}

#[test]
fn exact_contacts_are_never_silently_wrong() {
    let tally = run(1, 1_500, exact);
    tally.print("exact contacts");
    assert!(tally.wrong.is_empty(), "{:#?}", tally.wrong);
    assert!(tally.unresolved.is_empty(), "{:#?}", tally.unresolved);
}

#[test]
fn perturbed_contacts_are_never_silently_wrong() {
    let tally = run(2, 500, perturbed);
    tally.print("perturbed contacts");
    assert!(tally.wrong.is_empty(), "{:#?}", tally.wrong);
}

#[test]
#[ignore = "long: 20,000 builds"]
fn twenty_thousand_builds_with_exact_contacts() {
    let tally = run(3, 20_000, exact);
    tally.print("exact contacts, long");
    assert!(tally.wrong.is_empty(), "{:#?}", tally.wrong);
    assert!(tally.unresolved.is_empty(), "{:#?}", tally.unresolved);
}

#[test]
#[ignore = "long: 5,000 builds"]
fn five_thousand_builds_with_perturbed_contacts() {
    let tally = run(4, 5_000, perturbed);
    tally.print("perturbed contacts, long");
    assert!(tally.wrong.is_empty(), "{:#?}", tally.wrong);
}
