//! Random plates, written as recipes: shapes that share centres, touch, have edges in common, or miss
//! such a contact by a billionth to a thousandth of a millimetre.

use std::fmt::Write as _;

use platewright::fault::{Faults, Source};
use platewright::plate::{Plate, plates};
use platewright::recipe::{Family, Part};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64Mcg;

/// The recipe of a seed: three to eight steps.
pub fn recipe(seed: u64) -> String {
    let mut random = Pcg64Mcg::seed_from_u64(seed);
    let off = if random.random_bool(0.4) {
        0.0
    } else {
        10.0_f64.powf(random.random_range(-9.0..-3.0))
    };
    let mut maker = Maker {
        random,
        off,
        discs: Vec::new(),
        text: HEAD.to_owned(),
    };
    maker.body();
    for _ in 0..maker.random.random_range(2..=7) {
        match maker.random.random_range(0..100) {
            0..47 => maker.step("add"),
            47..84 => maker.step("cut"),
            84..87 => maker.step("keep"),
            87..91 => {
                let wall = maker.pick(&[2.0, 5.0, 8.0]);
                maker.line("[[plate.step]]");
                maker.set("hollow", wall);
            }
            _ => {
                let corners = maker.pick(&["inside", "outside", "both"]);
                let radius = maker.pick(&[1.0, 2.0, 2.5, 5.0]);
                maker.line("[[plate.step]]");
                maker.line(&format!("round = \"{corners}\""));
                maker.set("radius", radius);
            }
        }
    }
    maker.text
}

/// The plate of a recipe, or why there is none.
pub fn plate(recipe: &str) -> Result<Plate, Faults> {
    let family = Family::read("random", &Source::inline("random.toml", recipe))?;
    let mut made = plates(&Part::plain(family))?;
    Ok(made.plates.remove(0))
}

const HEAD: &str = "title = \"Random plate\"\nabout = \"For tests.\"\n[dimension.thickness]\n\
    says = \"plate thickness\"\ndefault = \"6 mm\"\n[[plate]]\n";

struct Maker {
    random: Pcg64Mcg,
    /// By how much contacts are missed, mm.
    off: f64,
    /// Centres and radii so far.
    discs: Vec<(f64, f64, f64)>,
    text: String,
}

impl Maker {
    fn pick<T: Copy>(&mut self, choices: &[T]) -> T {
        choices[self.random.random_range(0..choices.len())]
    }

    fn chance(&mut self, share: f64) -> bool {
        self.random.random_bool(share)
    }

    fn missed(&mut self) -> f64 {
        if self.off > 0.0 && self.chance(0.5) {
            self.random.random_range(-self.off..self.off)
        } else {
            0.0
        }
    }

    fn line(&mut self, line: &str) {
        self.text.push_str(line);
        self.text.push('\n');
    }

    fn set(&mut self, key: &str, mm: f64) {
        let _ = writeln!(self.text, "{key} = \"{mm:.12} mm\"");
    }

    fn set_point(&mut self, key: &str, (x, y): (f64, f64)) {
        let _ = writeln!(self.text, "{key} = [\"{x:.12} mm\", \"{y:.12} mm\"]");
    }

    fn place(&mut self) -> (f64, f64) {
        let (x, y) = if !self.discs.is_empty() && self.chance(0.6) {
            let known = self.random.random_range(0..self.discs.len());
            (self.discs[known].0, self.discs[known].1)
        } else {
            let mut grid = || 5.0 * f64::from(self.random.random_range(-6..=6));
            (grid(), grid())
        };
        (x + self.missed(), y + self.missed())
    }

    /// A disc about a place; often one that touches a known one.
    fn disc(&mut self) -> (f64, f64, f64) {
        let (x, y) = self.place();
        let mut radius = self.pick(&[2.5, 5.0, 7.5, 10.0, 12.5, 15.0, 20.0, 25.0, 30.0]);
        if !self.discs.is_empty() && self.chance(0.4) {
            let (a, b, known) = self.discs[self.random.random_range(0..self.discs.len())];
            let apart = (x - a).hypot(y - b);
            let touching = if self.chance(0.5) {
                (apart - known).abs()
            } else {
                apart + known
            };
            if (1.0..=45.0).contains(&touching) {
                radius = touching;
            }
        }
        let disc = (x, y, radius + self.missed());
        self.discs.push(disc);
        disc
    }

    /// What there is to begin with, large enough that much of the rest meets it.
    fn body(&mut self) {
        let radius = self.pick(&[25.0, 30.0, 40.0, 50.0]);
        self.discs.push((0.0, 0.0, radius));
        let shape = self.pick(&["disc", "rectangle"]);
        self.line(&format!("[[plate.step]]\nadd = \"{shape}\""));
        if shape == "disc" {
            self.set("diameter", 2.0 * radius);
        } else {
            self.set("width", 2.0 * radius);
            self.set("height", radius);
        }
    }

    fn step(&mut self, verb: &str) {
        self.line("[[plate.step]]");
        let kind = self.random.random_range(0..12);
        let mut at = (0.0, 0.0);
        match kind {
            0..=3 => {
                let (x, y, radius) = self.disc();
                at = (x, y);
                self.line(&format!("{verb} = \"disc\""));
                self.set("diameter", 2.0 * radius);
            }
            4 => {
                let (x, y, radius) = self.disc();
                at = (x, y);
                let inside = self.pick(&[0.3, 0.5, 0.8]);
                self.line(&format!("{verb} = \"ring\""));
                self.set("outside", 2.0 * radius);
                self.set("inside", 2.0 * radius * inside);
            }
            5 | 6 => {
                at = self.place();
                let width = self.pick(&[10.0, 20.0, 30.0, 40.0, 60.0, 90.0]) + self.missed();
                let height = self.pick(&[5.0, 10.0, 20.0, 40.0]) + self.missed();
                self.line(&format!("{verb} = \"rectangle\""));
                self.set("width", width);
                self.set("height", height);
                if height > 6.0 && self.chance(0.3) {
                    self.set("corner", 2.5);
                }
            }
            7 => {
                at = self.place();
                let travel = self.pick(&[10.0, 20.0, 30.0, 60.0]) + self.missed();
                let width = self.pick(&[4.0, 8.0, 10.0, 20.0]) + self.missed();
                self.line(&format!("{verb} = \"slot\""));
                self.set("travel", travel);
                self.set("width", width);
            }
            8 | 9 => {
                let (a, b) = (self.disc(), self.disc());
                self.line(&format!("{verb} = \"bar\""));
                self.set_point("from", (a.0, a.1));
                self.set_point("to", (b.0 + 1.0, b.1));
                self.set("from_width", 2.0 * a.2);
                self.set("to_width", 2.0 * b.2);
            }
            10 => {
                at = self.place();
                self.polygon(verb);
            }
            _ => {
                let (x, y, radius) = self.disc();
                at = (x, y);
                let sweep = self.pick(&[30.0, 60.0, 90.0, 135.0]);
                self.line(&format!("{verb} = \"sector\""));
                self.set("outside", 2.0 * radius);
                if self.chance(0.5) {
                    self.set("inside", radius);
                }
                self.line(&format!("sweep = \"{sweep} deg\""));
            }
        }
        self.set_point("at", at);
        if self.chance(0.3) {
            let turn = self.pick(&[30.0, 45.0, 53.130_102_354_155_98, 90.0]);
            self.line(&format!("turn = \"{turn} deg\""));
        }
        if self.chance(0.12) {
            let (count, circle) = (
                self.random.random_range(2..=6),
                self.pick(&[20.0, 40.0, 60.0]),
            );
            self.line(&format!(
                "around = {{ count = {count}, circle = \"{circle} mm\" }}"
            ));
        }
    }

    /// Corners on the grid, in order around the origin.
    fn polygon(&mut self, verb: &str) {
        let mut corners: Vec<(f64, f64)> = Vec::new();
        for sector in 0..self.random.random_range(3..=6) {
            let angle = 0.9 * f64::from(sector) + self.random.random_range(0.0..0.6);
            let reach = self.random.random_range(15.0..45.0);
            let grid = |v: f64| 5.0 * (v / 5.0).round();
            let corner = (grid(reach * angle.cos()), grid(reach * angle.sin()));
            if !corners.contains(&corner) {
                corners.push(corner);
            }
        }
        let points = corners
            .iter()
            .map(|(x, y)| format!("[\"{x} mm\", \"{y} mm\"]"));
        let points: Vec<String> = points.collect();
        self.line(&format!(
            "{verb} = \"polygon\"\npoints = [{}]",
            points.join(", ")
        ));
    }
}
