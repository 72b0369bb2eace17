//! Figures of a run as people say them.

use super::figures::Totals;

/// The cost, and what of the sheets is not in it.
#[must_use]
pub fn cost(totals: &Totals) -> String {
    let cost = format!("{:.2}", totals.cost);
    match (totals.unpriced_sheets, totals.sheets) {
        (0, _) => cost,
        (1, 1) => format!("{cost}, the sheet not priced"),
        (some, all) if some == all => format!("{cost}, the sheets not priced"),
        (1, all) => format!("{cost}, 1 of {all} sheets not priced"),
        (some, all) => format!("{cost}, {some} of {all} sheets not priced"),
    }
}

/// A length in metres: `12.3 m`.
#[must_use]
pub fn metres(mm: f64) -> String {
    format!("{:.1} m", mm / 1000.0)
}

/// A time as people say it: `1 h 05 min`, `4 min 10 s`.
#[must_use]
pub fn time(seconds: f64) -> String {
    let whole = seconds.round() as u64;
    match (whole / 3600, whole / 60 % 60, whole % 60) {
        (0, 0, seconds) => format!("{seconds} s"),
        (0, minutes, seconds) => format!("{minutes} min {seconds:02} s"),
        (hours, minutes, _) => format!("{hours} h {minutes:02} min"),
    }
}

#[cfg(test)]
mod tests {
    use super::time;

    #[test]
    fn times_read_as_people_say_them() {
        assert_eq!(time(9.6), "10 s");
        assert_eq!(time(249.6), "4 min 10 s");
        assert_eq!(time(3_900.0), "1 h 05 min");
    }
}
