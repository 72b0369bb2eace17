//! The demo job without the layout search, stage by stage.
//!
//! The reference in the same run is the layout search at the budget that `cut` uses.

use std::hint::black_box;
use std::path::Path;

use criterion::{Criterion, criterion_group, criterion_main};
use platewright::nest::{Budget, Control};
use platewright::pipeline::{self, Wanted};
use platewright::recipe::{Job, Shelf};

fn demo() -> (Job, Shelf) {
    let shelf = Shelf::built_in();
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("part-recipes/jobs/orchard-cart.toml");
    let job = Job::read(&path, &shelf).expect("the demo job");
    (job, shelf)
}

/// Only the first layout, no search.
const NO_SEARCH: Budget = Budget {
    seed: 0,
    iterations: 0,
    seconds: None,
};

fn stages(c: &mut Criterion) {
    let (job, shelf) = demo();
    let drawn = pipeline::draw(&job, &shelf).expect("plates");
    let plan = |budget: &Budget| {
        pipeline::plan(&job, drawn.clone(), budget, &mut |_| Control::Continue).expect("a plan")
    };
    let planned = plan(&NO_SEARCH);
    let mut group = c.benchmark_group("orchard cart");
    group.sample_size(10);
    group.bench_function("read the job", |b| b.iter(|| black_box(demo())));
    group.bench_function("expand and check", |b| {
        b.iter(|| pipeline::draw(black_box(&job), &shelf).expect("plates"));
    });
    group.bench_function("prepare, first layout, sequence", |b| {
        b.iter(|| plan(&NO_SEARCH));
    });
    group.bench_function("files", |b| {
        b.iter(|| {
            black_box(&planned)
                .outputs(Wanted::default())
                .expect("files")
        });
    });
    group.finish();
}

criterion_group!(benches, stages);
criterion_main!(benches);
