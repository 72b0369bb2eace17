//! Shrinking the strip.

use rand::RngExt;

use super::pack::{Lie, Pack};
use super::press;
use super::seek::Seeker;
use super::separate::{Patience, separate};
use crate::geometry::{Bounds, Vector};

pub(crate) struct Settings {
    pub(crate) idle: usize,
    pub(crate) strikes: usize,
    pub(crate) cidle: usize,
    pub(crate) end: f64,
    pub(crate) ils: bool,
    pub(crate) k: [f64; 8],
}

pub(crate) fn length(lies: &[Lie], left: f64) -> f64 {
    lies.iter()
        .map(|lie| lie.bounds().max.x - left)
        .fold(0.0, f64::max)
}

fn with_length(frame: Bounds, length: f64) -> Bounds {
    let mut frame = frame;
    frame.max.x = frame.min.x + length;
    frame
}

/// Moves what lies right of `from` to the left, and everything into the frame.
fn squeeze(lies: &mut [Lie], frame: Bounds, from: f64, by: f64) {
    for lie in lies {
        if lie.at.x > from {
            lie.at.x -= by;
        }
        into_frame(lie, frame);
    }
}

fn into_frame(lie: &mut Lie, frame: Bounds) {
    let low = frame.min - lie.form.bounds.min;
    let high = frame.max - lie.form.bounds.max;
    lie.at = Vector::new(
        lie.at.x.min(high.x).max(low.x),
        lie.at.y.min(high.y).max(low.y),
    );
}

/// What comes out: shapes at the shortest length found.
pub(crate) fn shorten(
    pack: &mut Pack,
    seeker: &mut Seeker,
    settings: &Settings,
    share: &mut dyn FnMut(u64) -> f64,
    report: &mut dyn FnMut(f64, &str),
) -> Vec<Lie> {
    let frame = pack.frame;
    let left = frame.min.x;
    let mut best = pack.lies().to_vec();
    let mut best_length = length(&best, left);
    let end = settings.end;
    let patience = Patience {
        idle: settings.idle,
        strikes: settings.strikes,
        press: settings.k[6], reach: settings.k[7],
    };
    let mut due = 0;
    let mut pool: Vec<(f32, Vec<Lie>)> = Vec::new();
    let mut now = best.clone();
    let mut target = best_length * 0.999;
    while share(seeker.evaluations) < end {
        let f = with_length(frame, target);
        squeeze(&mut now, f, f64::INFINITY, 0.0);
        pack.restore(&now, f);
        pack.forget();
        if separate(pack, seeker, patience, &mut |e| share(e) >= end) {
            let loose = length(pack.lies(), left);
            report(loose, "explore");
            if loose < best_length {
                best_length = loose;
                best = pack.lies().to_vec();
            }
            if loose < best_length * 1.01 && seeker.evaluations > due {
                let mut tight = pack.lies().to_vec();
                let work = tighten(pack, &mut tight, frame);
                due = seeker.evaluations + work * 6;
                let got = length(&tight, left);
                report(got, "tighten");
                if got < best_length {
                    best_length = got;
                    best = tight;
                }
            }
            pool.clear();
            target = loose * 0.999;
            now = pack.lies().to_vec();
        } else if settings.ils {
            break;
        } else {
            let loss = pack.total();
            let place = pool.partition_point(|(l, _)| *l <= loss);
            pool.insert(place, (loss, pack.lies().to_vec()));
            let r: f64 = (0..3).map(|_| seeker.random.random::<f64>()).sum();
            let r = ((r - 1.5) * 0.5).abs().min(0.999);
            let pick = (r * pool.len() as f64) as usize;
            now.clone_from(&pool[pick].1);
            disrupt(pack, &mut now, seeker, f);
            report(target, "disrupt");
        }
    }
    if settings.ils {
        ils(pack, seeker, settings, frame, share, report, &mut best, &mut best_length);
    }
    // compress
    let mut step: f64 = 0.0005;
    let patience = Patience {
        idle: settings.cidle,
        strikes: 5,
        press: settings.k[6], reach: settings.k[7],
    };
    while share(seeker.evaluations) < 1.0 {
        let t = (share(seeker.evaluations) - end) / (1.0 - end);
        step = step.min(0.0005 * (1.0 - t) + 0.00001 * t);
        let by = best_length * step;
        let f = with_length(frame, best_length - by);
        now.clone_from(&best);
        let from = left + best_length * seeker.random.random::<f64>();
        squeeze(&mut now, f, from, by);
        pack.restore(&now, f);
        pack.forget();
        if separate(pack, seeker, patience, &mut |e| share(e) >= 1.0) {
            best = pack.lies().to_vec();
            if seeker.evaluations > due {
                let work = tighten(pack, &mut best, frame);
                due = seeker.evaluations + work * 6;
            }
            best_length = length(&best, left);
            report(best_length, "compress");
        }
    }
    best
}

fn ils(
    pack: &mut Pack,
    seeker: &mut Seeker,
    settings: &Settings,
    frame: Bounds,
    share: &mut dyn FnMut(u64) -> f64,
    report: &mut dyn FnMut(f64, &str),
    best: &mut Vec<Lie>,
    best_length: &mut f64,
) {
    let left = frame.min.x;
    let k = settings.k;
    let mut current = best.clone();
    tighten(pack, &mut current, frame);
    let mut current_length = length(&current, left);
    if current_length < *best_length {
        *best_length = current_length;
        best.clone_from(&current);
    }
    let mut delta = k[0];
    let mut since = 0;
    while share(seeker.evaluations) < settings.end {
        let target = current_length * (1.0 + delta);
        let f = with_length(frame, target);
        let mut now = current.clone();
        for lie in &mut now {
            lie.at.x = left + (lie.at.x - left) * (1.0 + delta);
        }
        let swaps = 1 + (seeker.random.random::<f64>() * k[1]) as usize;
        for _ in 0..swaps {
            disrupt(pack, &mut now, seeker, f);
        }
        squeeze(&mut now, f, f64::INFINITY, 0.0);
        pack.restore(&now, f);
        pack.forget();
        let patience = Patience { idle: k[2] as usize, strikes: 1, press: k[6], reach: k[7] };
        let ok = separate(pack, seeker, patience, &mut |e| share(e) >= settings.end);
        if ok {
            let mut tight = pack.lies().to_vec();
            let _work = tighten(pack, &mut tight, frame);
            let got = length(&tight, left);
            report(got, "ils");
            if got < current_length * (1.0 + k[3] * seeker.random.random::<f64>()) {
                current = tight;
                current_length = got;
            }
            if current_length < *best_length {
                *best_length = current_length;
                best.clone_from(&current);
                since = 0;
                report(*best_length, "BEST");
            }
            delta = (delta * (1.0 - k[4])).max(0.0005);
        } else {
            report(target, "fail");
            delta = (delta * (1.0 + k[4])).min(0.03);
        }
        since += 1;
        if since > k[5] as usize {
            since = 0;
            current.clone_from(best);
            current_length = *best_length;
        }
    }
    report(1.0 / delta, "delta");
}

/// Shortens a layout by small moves of everything, as far as that goes.
fn tighten(pack: &Pack, lies: &mut Vec<Lie>, frame: Bounds) -> u64 {
    let mut work = 0;
    let left = frame.min.x;
    let mut now = length(lies, left);
    let mut step = 0.002;
    let unit = frame.height();
    while step > 2e-5 {
        let by = now * step;
        let f = with_length(frame, now - by);
        let effort = press::Effort {
            reach: (by * 2.0).max(unit * 0.005),
            rounds: 4,
            sweeps: 400,
            margin: unit * 2e-6,
        };
        let mut moved = lies.clone();
        if press::press(pack.kinds, &pack.kind, &mut moved, f, effort, &mut work) {
            *lies = moved;
            now = length(lies, left);
            step *= 1.5;
        } else {
            step *= 0.4;
        }
    }
    work
}

/// Swaps two large shapes of different kinds.
fn disrupt(pack: &Pack, lies: &mut [Lie], seeker: &mut Seeker, frame: Bounds) {
    let mut order: Vec<usize> = (0..lies.len()).collect();
    let area = |i: &usize| pack.kind_of(*i).shape.hull_area;
    order.sort_by(|a, b| area(b).total_cmp(&area(a)));
    let total: f64 = order.iter().map(area).sum();
    let mut sum = 0.0;
    let mut count = 0;
    for i in &order {
        sum += area(i);
        count += 1;
        if sum > total * 0.75 {
            break;
        }
    }
    let large = &order[..count];
    for _ in 0..20 {
        let a = large[seeker.random.random_range(0..large.len())];
        let b = large[seeker.random.random_range(0..large.len())];
        if pack.kind[a] == pack.kind[b] {
            continue;
        }
        let (pa, pb) = (lies[a].at, lies[b].at);
        lies[a].at = pb;
        lies[b].at = pa;
        into_frame(&mut lies[a], frame);
        into_frame(&mut lies[b], frame);
        return;
    }
}
