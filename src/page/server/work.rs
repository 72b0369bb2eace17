//! The long work: the layout search on a thread of its own with the best so far kept, and the files.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::PathBuf;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, MutexGuard};
use std::thread;
use std::time::{Duration, Instant};

use serde::Deserialize;
use serde_json::{Value, json};

use super::disk::{self, Texts};
use super::{Desk, reply};
use crate::export::paper::Shows;
use crate::export::{Command, Outputs, PictureFiles, Release, Target, fnv1a};
use crate::fault::{Fault, Outcome, REPORT_IT};
use crate::nest::{Control, Progress};
use crate::page::views::{self, WrittenFiles};
use crate::page::{Request, readings, sheets};
use crate::pipeline::{self, Planned, Wanted};
use crate::plate::Scribing;
use crate::quantity::format::counted;
use crate::recipe::Job;
use crate::trade::paper::{self, Paper};

/// Between two tellings of how far the search is.
const BEAT: Duration = Duration::from_millis(150);

/// What is asked of a file.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Asked {
    file: String,
    /// How long to look, s; as long as the commands do without it.
    seconds: Option<f64>,
}

/// A layout that is searched, or that was found.
pub(super) struct Work {
    file: String,
    /// What it was made from.
    made_of: String,
    seconds: Option<f64>,
    stop: Arc<AtomicBool>,
    /// Pictures of the best layout so far, while it is searched.
    so_far: Arc<str>,
    found: Option<Arc<Planned>>,
}

fn lock<T>(it: &Mutex<T>) -> MutexGuard<'_, T> {
    it.lock().unwrap_or_else(std::sync::PoisonError::into_inner)
}

/// Ends a search.
pub(super) fn stop(desk: &Desk) {
    if let Some(work) = &*lock(&desk.work) {
        work.stop.store(true, Ordering::Relaxed);
    }
}

/// Does what is asked for, or begins it.
pub(super) fn begin(desk: &Arc<Desk>, what: &str, asked: Asked) -> Outcome<Value> {
    if asked
        .seconds
        .is_some_and(|it| !(0.0..=86_400.0).contains(&it))
    {
        let fault = Fault::usage("the search cannot look for so long");
        return Err(fault
            .remedy("give a number of seconds from 0 to 86400")
            .into());
    }
    match what {
        "shown" => {
            let work = lock(&desk.work);
            let here = work.as_ref().filter(|it| it.file == asked.file);
            let here = here.map(|it| (it.found.clone(), Arc::clone(&it.so_far)));
            drop(work);
            match here {
                Some((Some(found), _)) => laid_out(&found),
                Some((None, so_far)) => Ok(json!({ "parts": { "sheets": &*so_far } })),
                None => Ok(json!({})),
            }
        }
        "stop" => {
            stop(desk);
            Ok(json!({}))
        }
        "lay-out" => search(desk, asked, false),
        "cut" => search(desk, asked, true),
        "draw" => {
            let job = job(desk, &asked.file, &disk::texts(&desk.folder))?;
            let drawn = pipeline::draw(&job, &desk.shelf)?.scribed(Scribing::On);
            let paper = Paper::default();
            let outputs =
                drawn.outputs(&job.name, Release::default(), PictureFiles::Svg, &paper)?;
            written(desk, &outputs, Command::Draw, &job.files())
        }
        "paper" | "paper-letter" => {
            let size = if what == "paper" { "A4" } else { "Letter" };
            let job = job(desk, &asked.file, &disk::texts(&desk.folder))?;
            let drawn = pipeline::draw(&job, &desk.shelf)?;
            let (outputs, _) = drawn.templates(paper::find(size)?, Shows::Plate)?;
            written(desk, &outputs, Command::Paper, &job.files())
        }
        _ => Err(Fault::usage(format!("there is no work `{what}`")).into()),
    }
}

fn job(desk: &Desk, file: &str, texts: &Texts) -> Outcome<Job> {
    Job::from_source(&desk.bench(texts).source(file)?, &desk.shelf)
}

/// Checksum of all that a layout is made from: the texts of the folder, and what the job names beside them.
fn made_of(texts: &Texts, job: &Job) -> String {
    let mut bytes = Vec::new();
    for (name, text) in texts {
        bytes.extend([name.as_bytes(), &[0], text.as_bytes(), &[0]].concat());
    }
    for file in job.files() {
        bytes.extend(std::fs::read(file).unwrap_or_default());
    }
    fnv1a(&bytes)
}

/// Searches for a layout on a thread of its own, unless it is there already; then writes its files if
/// that is wanted.
fn search(desk: &Arc<Desk>, asked: Asked, then_cut: bool) -> Outcome<Value> {
    let texts = disk::texts(&desk.folder);
    let job = job(desk, &asked.file, &texts)?;
    let made_of = made_of(&texts, &job);
    let mut work = lock(&desk.work);
    if let Some(known) = &*work {
        let is_same =
            known.file == asked.file && known.made_of == made_of && known.seconds == asked.seconds;
        match &known.found {
            None => {
                let fault = Fault::refused("a layout is being searched already");
                return Err(fault
                    .remedy("wait for it, or stop it and keep the best")
                    .into());
            }
            Some(found) if is_same && then_cut => {
                let found = Arc::clone(found);
                drop(work);
                return cut(desk, &found, &job);
            }
            Some(_) => {}
        }
    }
    let stop = Arc::new(AtomicBool::new(false));
    *work = Some(Work {
        file: asked.file.clone(),
        made_of,
        seconds: asked.seconds,
        stop: Arc::clone(&stop),
        so_far: Arc::from(""),
        found: None,
    });
    drop(work);
    let desk = Arc::clone(desk);
    thread::spawn(move || {
        // A mistake in the program must not leave the search standing for good.
        let searched = catch_unwind(AssertUnwindSafe(|| find(&desk, &job, &asked, &stop)));
        let found = searched.unwrap_or_else(|_| {
            let fault =
                Fault::program("a mistake in the program ended the search; nothing was written");
            Err(fault.remedy(REPORT_IT).into())
        });
        let mut work = lock(&desk.work);
        let parts = match found {
            Ok(found) => {
                let found = Arc::new(found);
                if let Some(work) = &mut *work {
                    work.found = Some(Arc::clone(&found));
                }
                drop(work);
                let shown = laid_out(&found);
                if then_cut {
                    let files = cut(&desk, &found, &job);
                    shown.and_then(|shown| Ok(merged(shown, &files?)))
                } else {
                    shown
                }
            }
            Err(faults) => {
                *work = None;
                Err(faults)
            }
        };
        let told = parts.unwrap_or_else(|faults| {
            let mut told = reply::said(&faults);
            told["parts"] = json!({ "progress": "" });
            told
        });
        tell(&desk, &asked.file, told);
    });
    Ok(json!({ "parts": { "progress": "Looking for a layout.", "written": "" } }))
}

fn merged(mut a: Value, b: &Value) -> Value {
    if let (Some(into), Value::Object(from)) = (a["parts"].as_object_mut(), b["parts"].clone()) {
        into.extend(from);
    }
    a
}

fn tell(desk: &Desk, file: &str, mut told: Value) {
    told["file"] = json!(file);
    desk.events.tell("work", &told.to_string());
}

fn find(desk: &Desk, job: &Job, asked: &Asked, stop: &AtomicBool) -> Outcome<Planned> {
    let drawn = pipeline::draw(job, &desk.shelf)?.scribed(Scribing::On);
    let copies = drawn.plates.iter().map(|it| it.quantity);
    let budget = pipeline::budget(0, asked.seconds, copies);
    let mut next = Instant::now();
    pipeline::plan(job, drawn, &budget, &mut |now| {
        if stop.load(Ordering::Relaxed) {
            return Control::Stop;
        }
        if Instant::now() >= next {
            next = Instant::now() + BEAT;
            // The pictures are fetched by who looks: kept for each window they would fill the memory.
            let pictures: Arc<str> = sheets::so_far(now).into();
            if let Some(work) = &mut *lock(&desk.work) {
                work.so_far = pictures;
            }
            let told = json!({ "parts": { "progress": line(&now.progress) }, "look": true });
            tell(desk, &asked.file, told);
        }
        Control::Continue
    })
}

fn line(progress: &Progress<'_>) -> String {
    let room = match progress.unplaced {
        0 => String::new(),
        n => format!(", {} without room", counted(n as usize, "plate")),
    };
    format!(
        "{}{room}, {:.1} % used, {:.0} % of the search done.",
        counted(progress.sheets, "sheet"),
        progress.use_percent,
        100.0 * progress.spent
    )
}

fn laid_out(found: &Planned) -> Outcome<Value> {
    let sheets = sheets::shown(found)?;
    Ok(json!({ "parts": { "progress": "", "sheets": sheets } }))
}

/// Writes what `cut` writes.
fn cut(desk: &Desk, found: &Planned, job: &Job) -> Outcome<Value> {
    let (outputs, _) = found.outputs(Wanted::default())?;
    written(desk, &outputs, Command::Cut, &job.files())
}

/// Writes what `redrill` writes.
pub(super) fn redrill(desk: &Desk, request: &Request) -> Outcome<Value> {
    let texts = disk::texts(&desk.folder);
    let answer = readings::clocking(&desk.bench(&texts), request)?;
    written(
        desk,
        &answer.outputs(PictureFiles::Svg, None)?,
        Command::Redrill,
        &[],
    )
}

/// Puts the files of a command into `out`, and tells where they are.
fn written(
    desk: &Desk,
    outputs: &Outputs,
    command: Command,
    sources: &[PathBuf],
) -> Outcome<Value> {
    let folder = desk.folder.join("out");
    let target = Target {
        folder: &folder,
        command,
        replace: false,
        sources,
    };
    let done = {
        let _nothing_else = lock(&desk.writing);
        outputs.write(&target)?
    };
    let files = outputs.listing();
    let outdated = done.outdated.iter().map(|it| {
        format!(
            "The files of the earlier `{}` no longer fit these and were removed.",
            it.word()
        )
    });
    let mended = done
        .mended
        .then(|| "An earlier run was stopped half way: what it left was removed.".to_owned());
    let html = views::rendered(&WrittenFiles {
        said: format!("Wrote {} into out.", counted(files.len(), "file")),
        asides: mended.into_iter().chain(outdated).collect(),
        has_report: command == Command::Cut,
        files: files
            .iter()
            .map(|it| {
                (
                    it.path.clone(),
                    it.path
                        .split('/')
                        .map(address)
                        .collect::<Vec<_>>()
                        .join("/"),
                )
            })
            .collect(),
    })?;
    Ok(json!({ "parts": { "written": html, "progress": "" } }))
}

/// A name as it stands in an address.
pub(super) fn address(name: &str) -> String {
    let mut out = String::new();
    for byte in name.bytes() {
        if byte.is_ascii_alphanumeric() || b"-_.".contains(&byte) {
            out.push(char::from(byte));
        } else {
            out.push_str(&format!("%{byte:02X}"));
        }
    }
    out
}
