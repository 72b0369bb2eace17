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

/// Numbers in order as people say them: `4 to 9, 12`.
#[must_use]
pub fn ranges(numbers: &[usize]) -> String {
    let parts = numbers.chunk_by(|a, b| a + 1 == *b);
    let parts = parts.map(|part| match part {
        [one] => one.to_string(),
        [one, two] => format!("{one}, {two}"),
        _ => format!("{} to {}", part[0], part[part.len() - 1]),
    });
    parts.collect::<Vec<_>>().join(", ")
}

#[cfg(test)]
mod tests {
    use super::{ranges, time};

    #[test]
    fn numbers_that_follow_one_another_are_told_by_the_first_and_the_last() {
        assert_eq!(ranges(&[4, 5, 6, 9, 11, 12]), "4 to 6, 9, 11, 12");
        assert_eq!(ranges(&[]), "");
    }

    #[test]
    fn times_read_as_people_say_them() {
        assert_eq!(time(9.6), "10 s");
        assert_eq!(time(249.6), "4 min 10 s");
        assert_eq!(time(3_900.0), "1 h 05 min");
    }
}
