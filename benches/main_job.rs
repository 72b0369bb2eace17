//! The demo job, stage by stage, with the first layout only.
//!
//! Everything but the placement is to take under 0.3 s in all: the stages up to "files", summed.

use std::hint::black_box;
use std::path::Path;

use criterion::{Criterion, criterion_group, criterion_main};
use platewright::cut::{self, Placed, SheetLimits, Starts};
use platewright::nest::proof::{TrueShape, TrueSheet, on_arcs};
use platewright::nest::{Budget, Control, Placement, SheetLayout, footprint};
use platewright::pipeline::{self, Planned, Wanted};
use platewright::plate::Scribing;
use platewright::proof::Finished;
use platewright::recipe::{Job, Shelf};
use rayon::prelude::*;

fn demo() -> (Job, Shelf) {
    let shelf = Shelf::built_in();
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("part-recipes/jobs/orchard-cart.toml");
    let job = Job::read(&path, &shelf).expect("the demo job");
    (job, shelf)
}

fn stages(c: &mut Criterion) {
    let (job, shelf) = demo();
    let drawn = pipeline::draw(&job, &shelf).expect("plates");
    let drawn = drawn.scribed(Scribing::On);
    let plan = |budget: &Budget| {
        pipeline::plan(&job, drawn.clone(), budget, &mut |_| Control::Continue).expect("a plan")
    };
    let planned = plan(&Budget::FIRST_LAYOUT);
    let prepared: Vec<_> = planned.plates.iter().map(|it| &it.prepared).collect();
    let mut group = c.benchmark_group("orchard cart");
    group.sample_size(10);
    group.bench_function("read the job", |b| b.iter(|| black_box(demo())));
    group.bench_function("expand and check", |b| {
        b.iter(|| pipeline::draw(black_box(&job), &shelf).expect("plates"));
    });
    group.bench_function("scribe", |b| {
        b.iter(|| black_box(&drawn).clone().scribed(Scribing::On));
    });
    group.bench_function("prepare", |b| {
        b.iter(|| {
            // On all cores, as the run does it.
            drawn.plates.par_iter().for_each(|plate| {
                let settings = drawn.table.settings(&plate.material, plate.thickness);
                let settings = settings.expect("the demo's table knows its plates");
                let paths = cut::prepare(plate, &settings, &drawn.table, Starts::Several);
                let paths = paths.expect("cut paths");
                let piece = footprint::piece(0, plate, &paths, job.web).expect("a footprint");
                black_box(piece);
            });
        });
    });
    group.bench_function("prove the layout", |b| b.iter(|| prove(&planned, &job)));
    group.bench_function("last look", |b| {
        let finished = Finished {
            plates: &planned.plates,
            sheets: &planned.sheets,
            unplaced: &planned.unplaced,
        };
        b.iter(|| black_box(&finished).flaws());
    });
    group.bench_function("sequence", |b| {
        b.iter(|| {
            for sheet in &planned.sheets {
                let placed: Vec<Placed> = sheet.placements.iter().map(placed).collect();
                let ground = SheetLimits {
                    metal: &sheet.outline,
                    margin: job.margin,
                    web: job.web,
                };
                let settings = drawn.table.settings(&sheet.material, sheet.thickness);
                let settings = settings.expect("the demo's table knows its sheets");
                let table = &drawn.table;
                black_box(cut::sequence(&placed, &prepared, &ground, &settings, table));
            }
        });
    });
    group.bench_function("files", |b| {
        b.iter(|| {
            black_box(&planned)
                .outputs(Wanted::default())
                .expect("files")
        });
    });
    group.bench_function("all with the first layout", |b| {
        b.iter(|| plan(&Budget::FIRST_LAYOUT));
    });
    group.finish();
}

fn placed(placement: &Placement) -> Placed {
    Placed {
        plate: placement.piece,
        pose: placement.pose,
        inside: placement.inside,
    }
}

/// The proof on the true arcs, sheet by sheet, as the run does it.
fn prove(planned: &Planned, job: &Job) {
    let prepared = planned.plates.iter().map(|it| &it.prepared);
    let shapes: Vec<TrueShape> = prepared
        .map(|it| TrueShape {
            outline: &it.outline,
            rooms: &it.room,
        })
        .collect();
    for (index, sheet) in planned.sheets.iter().enumerate() {
        let laid = SheetLayout {
            stock: 0,
            along: sheet.along,
            placements: sheet.placements.clone(),
        };
        let edge = TrueSheet {
            edge: &sheet.outline,
            margin: job.margin,
        };
        let flaws = on_arcs(index, &laid, &shapes, edge, job.web);
        assert!(flaws.is_empty(), "{flaws:?}");
    }
}

criterion_group!(benches, stages);
criterion_main!(benches);
