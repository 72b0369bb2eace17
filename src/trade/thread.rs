//! Naming a thread: `M10`, `M12x1.25`, `1/2-13`, `#10-24`, or a size alone such as `1/2 in`.
//!
//! In: what a builder writes, with any case, blanks and multiplication sign. Out: a [`Thread`] of
//! the table, or a refusal that names what is near. A size alone means its usual (coarse) thread.

use super::scan::{self, Scan};
use super::thread_table::THREADS;
use super::unit::INCH;
use crate::fault::Refusal;
use crate::quantity::{Argument, Dimension, Function, Parameter, Value};

pub use super::thread_kind::{Series, System, Thread};

/// How far a written diameter may be from the size it means, mm.
const SAME_SIZE: f64 = 0.01;
/// How far a written pitch may be from the table's, mm or threads per inch.
const SAME_PITCH: f64 = 1e-6;

impl<'a> Argument<'a> for Thread {
    fn take(value: Option<&'a Value>) -> Result<Self, Refusal> {
        read(Argument::take(value)?)
    }
}

/// Reads a thread.
pub fn read(text: &str) -> Result<Thread, Refusal> {
    let plain = scan::plain(text);
    let mut scan = Scan(&plain);
    let written = Written::scan(&mut scan).ok_or_else(|| unknown(text))?;
    written.find(text)
}

/// A thread as written, not yet looked up.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Written {
    size: Size,
    pitch: Option<f64>,
    series: Option<Series>,
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Size {
    /// `M10`
    Metric(f64),
    /// `#10`
    Number(u32),
    /// `1/2`, `1/2 in`
    Inch(f64),
    /// `10-24`: a number size if it has that many threads, else inches.
    NumberOrInch(u32),
    /// `12.7 mm`: whatever has that diameter.
    Millimetres(f64),
}

impl Written {
    fn scan(scan: &mut Scan<'_>) -> Option<Self> {
        let size = Size::scan(scan)?;
        let mut written = Self {
            size,
            pitch: None,
            series: None,
        };
        if !scan_class(scan) && scan.word(&["x", "-", "/"]).is_some() {
            written.pitch = Some(scan.decimal()?);
            scan.word(&["tpi", "mm"]);
        }
        if let (Size::Inch(inches), Some(_)) = (size, written.pitch)
            && inches.fract() == 0.0
        {
            written.size = Size::NumberOrInch(inches as u32);
        }
        written.series = scan_series(scan);
        scan_class(scan);
        scan.is_done().then_some(written)
    }

    fn find(self, text: &str) -> Result<Thread, Refusal> {
        let of_size: Vec<&Thread> = THREADS
            .iter()
            .filter(|thread| self.has_size(thread))
            .collect();
        let fits = |thread: &&&Thread| self.has_pitch(thread) && self.has_series(thread);
        match (of_size.iter().find(fits), of_size.first()) {
            (Some(thread), _) => Ok(**thread),
            (None, Some(size)) => {
                let made = format!("{} is made as {}", size.size, list(&of_size));
                Err(no_thread(text).remedy(made))
            }
            (None, None) => Err(self.unknown(text)),
        }
    }

    fn has_size(self, thread: &Thread) -> bool {
        let near = |mm: f64| (thread.diameter - mm).abs() < SAME_SIZE;
        let numbered = |n: u32| thread.size == format!("#{n}");
        match self.size {
            Size::Metric(d) => thread.system == System::Metric && near(d),
            Size::Inch(d) => {
                thread.system == System::Inch && !thread.size.starts_with('#') && near(d * INCH)
            }
            Size::Number(n) => numbered(n),
            Size::NumberOrInch(n) => {
                (numbered(n) && self.has_pitch(thread)) || near(f64::from(n) * INCH)
            }
            Size::Millimetres(d) => near(d),
        }
    }

    fn has_pitch(self, thread: &Thread) -> bool {
        self.pitch.is_none_or(|pitch| {
            let own = match thread.system {
                System::Metric => thread.pitch,
                System::Inch => thread.threads_per_inch,
            };
            (own - pitch).abs() < SAME_PITCH
        })
    }

    fn has_series(self, thread: &Thread) -> bool {
        self.series.is_none_or(|series| thread.series == series)
    }

    fn unknown(self, text: &str) -> Refusal {
        let mm = match self.size {
            Size::Metric(d) | Size::Millimetres(d) => d,
            Size::Inch(d) => d * INCH,
            Size::NumberOrInch(n) => f64::from(n) * INCH,
            Size::Number(_) => return unknown(text),
        };
        let system = match self.size {
            Size::Metric(_) => Some(System::Metric),
            Size::Inch(_) | Size::NumberOrInch(_) => Some(System::Inch),
            Size::Millimetres(_) | Size::Number(_) => None,
        };
        if matches!(self.size, Size::Inch(d) if d >= 2.0 && d.fract() == 0.0) {
            let n = text.trim();
            return Refusal::new(format!("\"{n}\" could be any of several threads"))
                .remedy(format!("write M{n}, #{n} or {n} mm"));
        }
        let rows = THREADS
            .iter()
            .filter(|thread| system.is_none_or(|system| thread.system == system))
            .map(|thread| (thread.size, thread.diameter));
        no_thread(text).remedy(format!("the nearest are {}", scan::neighbours(rows, mm)))
    }
}

impl Size {
    fn scan(scan: &mut Scan<'_>) -> Option<Self> {
        if scan.word(&["m"]).is_some() {
            return scan.decimal().map(Self::Metric);
        }
        if scan.word(&["#", "no.", "no"]).is_some() {
            scan.blanks();
            return scan.whole().map(Self::Number);
        }
        let size = scan.size()?;
        if scan.word(&["mm"]).is_some() {
            return Some(Self::Millimetres(size));
        }
        scan.word(&["inches", "inch", "in", "\"", "''"]);
        Some(Self::Inch(size))
    }
}

fn scan_series(scan: &mut Scan<'_>) -> Option<Series> {
    scan.word(&["-"]);
    let word = scan.word(&["unc", "unf", "uns", "un", "coarse", "fine"])?;
    match word {
        "unc" | "coarse" => Some(Series::Coarse),
        "unf" | "fine" => Some(Series::Fine),
        "uns" => Some(Series::Special),
        _ => None,
    }
}

/// Passes over a tolerance class, `2A` or `6g`, and tells whether there was one.
fn scan_class(scan: &mut Scan<'_>) -> bool {
    let before = *scan;
    scan.word(&["-"]);
    let class = scan.word(&[
        "1a", "1b", "2a", "2b", "3a", "3b", "6g", "6h", "6e", "4h", "5h",
    ]);
    if class.is_none() {
        *scan = before;
    }
    class.is_some()
}

fn unknown(text: &str) -> Refusal {
    no_thread(text)
        .remedy("write it as \"M10\", \"M12x1.25\", \"1/2-13\", \"#10-24\" or \"1/2 in\"")
}

fn no_thread(text: &str) -> Refusal {
    Refusal::new(format!("no thread \"{}\"", text.trim()))
}

fn list(threads: &[&Thread]) -> String {
    let names: Vec<String> = threads.iter().map(|thread| thread.name()).collect();
    names.join(", ")
}

/// A thread or bolt by its name.
pub(super) const THREAD: Parameter = Parameter::words("thread");

/// What recipes can ask about threads.
pub const FUNCTIONS: &[Function] = &[
    Function {
        name: "diameter",
        parameters: &[THREAD],
        says: "nominal (major) diameter of a thread",
        source: "ISO 261; ASME B1.1",
        call: |given| Ok(Value::length(given.one::<Thread>()?.diameter)),
    },
    Function {
        name: "pitch",
        parameters: &[THREAD],
        says: "pitch of a thread; 1 in / threads per inch for inch threads",
        source: "ISO 261; ASME B1.1",
        call: |given| Ok(Value::length(given.one::<Thread>()?.pitch)),
    },
    Function {
        name: "tap_drill",
        parameters: &[THREAD],
        says: "drill before tapping",
        source: "ISO 2306; drill chart of Machinery's Handbook for inch threads",
        call: |given| Ok(Value::length(given.one::<Thread>()?.drill.diameter())),
    },
    Function {
        name: "stress_area",
        parameters: &[THREAD],
        says: "tensile stress area: pi/4 (d - 0.938194 P)^2 metric, pi/4 (d - 0.974279 P)^2 inch",
        source: "ISO 898-1; ASME B1.1",
        call: |given| {
            let area = given.one::<Thread>()?.stress_area();
            Ok(Value::of(area, Dimension::AREA))
        },
    },
];

#[cfg(test)]
mod tests {
    use super::*;

    fn name(text: &str) -> String {
        read(text).map_or_else(|e| e.to_string(), |thread| thread.name())
    }

    #[test]
    fn a_thread_may_be_written_in_many_ways() {
        for (expected, ways) in [
            (
                "M10",
                &[
                    "M10",
                    "m10",
                    " M 10 ",
                    "M10x1.5",
                    "M10×1.5",
                    "10 mm",
                    "M10 coarse",
                    "M10-6g",
                ][..],
            ),
            (
                "M12x1.25",
                &[
                    "M12x1.25",
                    "m12 X 1.25",
                    "M12×1,25",
                    "M12-1.25",
                    "12 mm x 1.25",
                ],
            ),
            (
                "1/2-13",
                &[
                    "1/2-13",
                    "1/2 in",
                    "1/2",
                    "1/2\"",
                    "1/2″",
                    "0.5 in",
                    ".5 in",
                    "12.7 mm",
                    "1/2 - 13",
                    "1/2\"-13 UNC-2A",
                    "1/2 UNC",
                ],
            ),
            (
                "1/2-20",
                &["1/2-20", "1/2 unf", "1/2-20 UNF", "0.5 in - 20"],
            ),
            (
                "#10-24",
                &["#10-24", "#10", "no. 10", "No.10-24", "# 10 - 24", "10-24"],
            ),
            ("1-8", &["1-8", "1 in", "1", "1\"", "1 in-8 UNC"]),
            ("1-14", &["1-14", "1-14 UNS"]),
            ("#1-64", &["1-64", "#1"]),
            (
                "1-1/4-7",
                &["1-1/4-7", "1 1/4-7", "1-1/4", "1.25 in", "1-1/4 in"],
            ),
            ("#0-80", &["#0", "0-80"]),
        ] {
            for way in ways {
                assert_eq!(name(way), expected, "written {way}");
            }
        }
    }

    #[test]
    fn what_is_not_made_gets_what_is() {
        for (text, hint) in [
            ("M13", "M12 and M14"),
            ("M10x0.9", "M10, M10x0.75, M10x1, M10x1.25"),
            ("1/2-12", "1/2-13, 1/2-20"),
            ("1/2-13 UNF", "1/2-13, 1/2-20"),
            ("0.3 in", "1/4 and 5/16"),
            ("13 mm", "1/2 and M14"),
            ("10", "M10, #10 or 10 mm"),
            ("M", "write it as"),
            ("", "write it as"),
            ("M10x", "write it as"),
            ("M10 bolt", "write it as"),
            ("#99", "write it as"),
            ("M1e9", "write it as"),
        ] {
            let message = read(text).expect_err(text).to_string();
            assert!(message.contains(hint), "{text}: {message}");
        }
    }

    #[test]
    fn every_thread_reads_back_from_its_own_name() {
        for thread in THREADS {
            assert_eq!(read(&thread.name()).as_ref(), Ok(thread));
        }
    }
}
