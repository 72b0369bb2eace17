//! Screw threads: size, pitch and tapping drill.
//!
//! Metric: ISO 261 pitches with ISO 2306 drills (about d − P). Inch: ASME B1.1 threads with the
//! drills of the usual chart for about 75 % thread.

use super::drill::Drill;
use super::origin::Origin;
use super::thread_kind::{Series, System, Thread};
use super::unit::INCH;

/// Metric coarse threads.
pub const METRIC_COARSE: Origin = Origin {
    title: "ISO coarse pitch and tapping drill",
    source: "ISO 261 (pitch), ISO 2306 (drill)",
    verified: "M3 to M20 looked up; M1 to M2.5, M4.5, M9, M11 and over M24 from memory",
};

/// Metric fine threads.
pub const METRIC_FINE: Origin = Origin {
    title: "ISO fine pitch and tapping drill",
    source: "ISO 261 (pitch), ISO 2306 (drill)",
    verified: "from memory; every drill is d - P within 0.06 mm",
};

/// Inch coarse threads.
pub const UNC: Origin = Origin {
    title: "UNC threads and tap drills, nominally 75 % thread",
    source: "ASME B1.1 threads with the drill chart of Machinery's Handbook",
    verified: "#10 to 1 in looked up; smaller and larger from memory",
};

/// Inch fine threads.
pub const UNF: Origin = Origin {
    title: "UNF threads and tap drills, nominally 75 % thread",
    source: "ASME B1.1 threads with the drill chart of Machinery's Handbook",
    verified: "#10 to 1 in looked up; smaller and larger and 1-14 UNS from memory",
};

const fn metric(series: Series, size: &'static str, d: f64, pitch: f64, drill: f64) -> Thread {
    Thread {
        system: System::Metric,
        series,
        size,
        diameter: d,
        pitch,
        threads_per_inch: INCH / pitch,
        drill: Drill::Metric(drill),
    }
}

const fn coarse(size: &'static str, d: f64, pitch: f64, drill: f64) -> Thread {
    metric(Series::Coarse, size, d, pitch, drill)
}

const fn fine(size: &'static str, d: f64, pitch: f64, drill: f64) -> Thread {
    metric(Series::Fine, size, d, pitch, drill)
}

const fn inch(series: Series, size: &'static str, d: f64, tpi: f64, drill: &'static str) -> Thread {
    Thread {
        system: System::Inch,
        series,
        size,
        diameter: d * INCH,
        pitch: INCH / tpi,
        threads_per_inch: tpi,
        drill: Drill::Inch(drill),
    }
}

const fn unc(size: &'static str, d: f64, tpi: f64, drill: &'static str) -> Thread {
    inch(Series::Coarse, size, d, tpi, drill)
}

const fn unf(size: &'static str, d: f64, tpi: f64, drill: &'static str) -> Thread {
    inch(Series::Fine, size, d, tpi, drill)
}

const fn uns(size: &'static str, d: f64, tpi: f64, drill: &'static str) -> Thread {
    inch(Series::Special, size, d, tpi, drill)
}

/// Every thread: the usual one of a size before its others.
///
/// Columns: size, diameter (mm or inch), pitch (mm) or threads per inch, tapping drill.
pub const THREADS: &[Thread] = &[
    // metric coarse
    coarse("M1", 1.0, 0.25, 0.75),
    coarse("M1.2", 1.2, 0.25, 0.95),
    coarse("M1.4", 1.4, 0.3, 1.1),
    coarse("M1.6", 1.6, 0.35, 1.25),
    coarse("M1.8", 1.8, 0.35, 1.45),
    coarse("M2", 2.0, 0.4, 1.6),
    coarse("M2.5", 2.5, 0.45, 2.05),
    coarse("M3", 3.0, 0.5, 2.5),
    coarse("M3.5", 3.5, 0.6, 2.9),
    coarse("M4", 4.0, 0.7, 3.3),
    coarse("M4.5", 4.5, 0.75, 3.7),
    coarse("M5", 5.0, 0.8, 4.2),
    coarse("M6", 6.0, 1.0, 5.0),
    coarse("M7", 7.0, 1.0, 6.0),
    coarse("M8", 8.0, 1.25, 6.8),
    coarse("M9", 9.0, 1.25, 7.8),
    coarse("M10", 10.0, 1.5, 8.5),
    coarse("M11", 11.0, 1.5, 9.5),
    coarse("M12", 12.0, 1.75, 10.2),
    coarse("M14", 14.0, 2.0, 12.0),
    coarse("M16", 16.0, 2.0, 14.0),
    coarse("M18", 18.0, 2.5, 15.5),
    coarse("M20", 20.0, 2.5, 17.5),
    coarse("M22", 22.0, 2.5, 19.5),
    coarse("M24", 24.0, 3.0, 21.0),
    coarse("M27", 27.0, 3.0, 24.0),
    coarse("M30", 30.0, 3.5, 26.5),
    coarse("M33", 33.0, 3.5, 29.5),
    coarse("M36", 36.0, 4.0, 32.0),
    coarse("M39", 39.0, 4.0, 35.0),
    coarse("M42", 42.0, 4.5, 37.5),
    coarse("M45", 45.0, 4.5, 40.5),
    coarse("M48", 48.0, 5.0, 43.0),
    coarse("M52", 52.0, 5.0, 47.0),
    coarse("M56", 56.0, 5.5, 50.5),
    coarse("M60", 60.0, 5.5, 54.5),
    coarse("M64", 64.0, 6.0, 58.0),
    // metric fine
    fine("M2", 2.0, 0.25, 1.75),
    fine("M2.5", 2.5, 0.35, 2.15),
    fine("M3", 3.0, 0.35, 2.65),
    fine("M3.5", 3.5, 0.35, 3.15),
    fine("M4", 4.0, 0.5, 3.5),
    fine("M4.5", 4.5, 0.5, 4.0),
    fine("M5", 5.0, 0.5, 4.5),
    fine("M6", 6.0, 0.5, 5.5),
    fine("M6", 6.0, 0.75, 5.2),
    fine("M7", 7.0, 0.75, 6.2),
    fine("M8", 8.0, 0.75, 7.2),
    fine("M8", 8.0, 1.0, 7.0),
    fine("M9", 9.0, 0.75, 8.2),
    fine("M9", 9.0, 1.0, 8.0),
    fine("M10", 10.0, 0.75, 9.2),
    fine("M10", 10.0, 1.0, 9.0),
    fine("M10", 10.0, 1.25, 8.8),
    fine("M11", 11.0, 1.0, 10.0),
    fine("M12", 12.0, 1.0, 11.0),
    fine("M12", 12.0, 1.25, 10.8),
    fine("M12", 12.0, 1.5, 10.5),
    fine("M14", 14.0, 1.0, 13.0),
    fine("M14", 14.0, 1.25, 12.8),
    fine("M14", 14.0, 1.5, 12.5),
    fine("M16", 16.0, 1.0, 15.0),
    fine("M16", 16.0, 1.5, 14.5),
    fine("M18", 18.0, 1.0, 17.0),
    fine("M18", 18.0, 1.5, 16.5),
    fine("M18", 18.0, 2.0, 16.0),
    fine("M20", 20.0, 1.0, 19.0),
    fine("M20", 20.0, 1.5, 18.5),
    fine("M20", 20.0, 2.0, 18.0),
    fine("M22", 22.0, 1.0, 21.0),
    fine("M22", 22.0, 1.5, 20.5),
    fine("M22", 22.0, 2.0, 20.0),
    fine("M24", 24.0, 1.0, 23.0),
    fine("M24", 24.0, 1.5, 22.5),
    fine("M24", 24.0, 2.0, 22.0),
    fine("M27", 27.0, 1.0, 26.0),
    fine("M27", 27.0, 1.5, 25.5),
    fine("M27", 27.0, 2.0, 25.0),
    fine("M30", 30.0, 1.0, 29.0),
    fine("M30", 30.0, 1.5, 28.5),
    fine("M30", 30.0, 2.0, 28.0),
    fine("M30", 30.0, 3.0, 27.0),
    fine("M33", 33.0, 1.5, 31.5),
    fine("M33", 33.0, 2.0, 31.0),
    fine("M33", 33.0, 3.0, 30.0),
    fine("M36", 36.0, 1.5, 34.5),
    fine("M36", 36.0, 2.0, 34.0),
    fine("M36", 36.0, 3.0, 33.0),
    fine("M39", 39.0, 1.5, 37.5),
    fine("M39", 39.0, 2.0, 37.0),
    fine("M39", 39.0, 3.0, 36.0),
    fine("M42", 42.0, 1.5, 40.5),
    fine("M42", 42.0, 2.0, 40.0),
    fine("M42", 42.0, 3.0, 39.0),
    fine("M45", 45.0, 1.5, 43.5),
    fine("M45", 45.0, 2.0, 43.0),
    fine("M45", 45.0, 3.0, 42.0),
    fine("M48", 48.0, 1.5, 46.5),
    fine("M48", 48.0, 2.0, 46.0),
    fine("M48", 48.0, 3.0, 45.0),
    // inch coarse
    unc("#1", 0.073, 64.0, "#53"),
    unc("#2", 0.086, 56.0, "#50"),
    unc("#3", 0.099, 48.0, "#47"),
    unc("#4", 0.112, 40.0, "#43"),
    unc("#5", 0.125, 40.0, "#38"),
    unc("#6", 0.138, 32.0, "#36"),
    unc("#8", 0.164, 32.0, "#29"),
    unc("#10", 0.190, 24.0, "#25"),
    unc("#12", 0.216, 24.0, "#16"),
    unc("1/4", 0.25, 20.0, "#7"),
    unc("5/16", 0.3125, 18.0, "F"),
    unc("3/8", 0.375, 16.0, "5/16"),
    unc("7/16", 0.4375, 14.0, "U"),
    unc("1/2", 0.5, 13.0, "27/64"),
    unc("9/16", 0.5625, 12.0, "31/64"),
    unc("5/8", 0.625, 11.0, "17/32"),
    unc("3/4", 0.75, 10.0, "21/32"),
    unc("7/8", 0.875, 9.0, "49/64"),
    unc("1", 1.0, 8.0, "7/8"),
    unc("1-1/8", 1.125, 7.0, "63/64"),
    unc("1-1/4", 1.25, 7.0, "1-7/64"),
    unc("1-3/8", 1.375, 6.0, "1-7/32"),
    unc("1-1/2", 1.5, 6.0, "1-11/32"),
    // inch fine
    unf("#0", 0.060, 80.0, "3/64"),
    unf("#1", 0.073, 72.0, "#53"),
    unf("#2", 0.086, 64.0, "#50"),
    unf("#3", 0.099, 56.0, "#45"),
    unf("#4", 0.112, 48.0, "#42"),
    unf("#5", 0.125, 44.0, "#37"),
    unf("#6", 0.138, 40.0, "#33"),
    unf("#8", 0.164, 36.0, "#29"),
    unf("#10", 0.190, 32.0, "#21"),
    unf("#12", 0.216, 28.0, "#14"),
    unf("1/4", 0.25, 28.0, "#3"),
    unf("5/16", 0.3125, 24.0, "I"),
    unf("3/8", 0.375, 24.0, "Q"),
    unf("7/16", 0.4375, 20.0, "25/64"),
    unf("1/2", 0.5, 20.0, "29/64"),
    unf("9/16", 0.5625, 18.0, "33/64"),
    unf("5/8", 0.625, 18.0, "37/64"),
    unf("3/4", 0.75, 16.0, "11/16"),
    unf("7/8", 0.875, 14.0, "13/16"),
    unf("1", 1.0, 12.0, "59/64"),
    uns("1", 1.0, 14.0, "15/16"),
    unf("1-1/8", 1.125, 12.0, "1-3/64"),
    unf("1-1/4", 1.25, 12.0, "1-11/64"),
    unf("1-3/8", 1.375, 12.0, "1-19/64"),
    unf("1-1/2", 1.5, 12.0, "1-27/64"),
];

#[cfg(test)]
mod tests {
    use super::super::drill;
    use super::*;

    #[test]
    fn every_metric_drill_is_the_diameter_less_the_pitch() {
        for thread in THREADS.iter().filter(|t| t.system == System::Metric) {
            let rule = thread.diameter - thread.pitch;
            let out = (thread.drill.diameter() - rule).abs();
            assert!(out < 0.061, "{}: {out}", thread.name());
        }
    }

    #[test]
    fn every_inch_drill_has_a_name_and_leaves_a_sound_thread() {
        for thread in THREADS.iter().filter(|t| t.system == System::Inch) {
            let Drill::Inch(name) = thread.drill else {
                panic!("{} has a metric drill", thread.name());
            };
            let drill = drill::inches(name).expect("the drill table has it");
            // Share of full thread depth, Machinery's Handbook: 76.98 (D - drill) tpi percent.
            let percent = 76.98 * (thread.diameter / INCH - drill) * thread.threads_per_inch;
            assert!(
                (64.0..84.0).contains(&percent),
                "{}: {percent}",
                thread.name()
            );
        }
    }

    #[test]
    fn no_thread_stands_twice() {
        for (i, one) in THREADS.iter().enumerate() {
            for other in &THREADS[i + 1..] {
                assert!(
                    one.size != other.size || one.pitch != other.pitch,
                    "{}",
                    one.name()
                );
            }
        }
    }
}
