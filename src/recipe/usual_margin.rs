//! Where the strength stands that a `[[hold]]` goes by, and which margin is wanted over it.
//!
//! In: what a hold `carries`. Out: the margin, the formula and the source that the hold leaves out, as far as the
//! function in it gives them.

use super::left_out::blocks_mut;
use crate::quantity::Expression;
use crate::toml_text::{Item, Table};

/// What a strength is held against.
struct Law {
    /// The function that gives the strength.
    of: &'static str,
    formula: Option<&'static str>,
    /// Where it stands; it differs from detail to detail where there is none.
    source: Option<&'static str>,
    margin: &'static str,
    /// Why that margin.
    why: &'static str,
}

const LAWS: [Law; 4] = [
    Law {
        of: "bearing",
        formula: Some("min(1.2 lc, 2.4 d) t Fu"),
        source: Some("AISC 360 J3.10"),
        margin: "2",
        why: "2 is its safety factor",
    },
    Law {
        of: "shear_load",
        formula: Some("(pi / 4) d^2 * 0.45 Fu"),
        source: Some("AISC 360 Table J3.2, threads in the shear plane"),
        margin: "2",
        why: "2 is its safety factor",
    },
    Law {
        of: "fillet_weld",
        formula: None,
        source: Some("EN 1993-1-8 4.5.3.3"),
        margin: "1.5",
        why: "1.5 is the load factor of EN 1990",
    },
    Law {
        of: "fatigue_range",
        formula: None,
        source: None,
        margin: "1.35",
        why: "1.35 is its factor for a part whose failure harms",
    },
];

/// The full plastic bending of a flat bar, as it is written.
const BENT: &str = "1.5 * yield(";
const BENT_LAW: Law = Law {
    of: "yield",
    formula: None,
    source: Some("AISC 360 F11"),
    margin: "1.67",
    why: "1.67 is its safety factor",
};

/// A shear and a pull together are another law (EN 1993-1-8 4.5.3.2), which is reckoned with this.
const OTHER: &str = "sqrt";

/// Fills in the margins, formulas and sources that holds leave out.
pub(super) fn of_holds(table: &mut Table) {
    for hold in blocks_mut(table, "hold") {
        let Some(carries) = hold.get_mut("carries").cloned() else {
            continue;
        };
        let Some(law) = carries.written().and_then(|it| law_of(&it)) else {
            continue;
        };
        let mut put = |key: &str, words: Option<String>| {
            if let Some(item) = words.and_then(|it| carries.rewritten(&it)) {
                hold.put(key, item);
            }
        };
        put("formula", law.formula.map(str::to_owned));
        put("margin", Some(law.margin.to_owned()));
        let margin = hold.get_mut("margin").and_then(|it| Item::written(it));
        let source = margin.and_then(|it| Some(format!("{}; {}", law.source?, why(law, &it)?)));
        if let Some(item) = source.and_then(|it| carries.rewritten(&it)) {
            hold.put("source", item);
        }
    }
}

/// The law of what a hold carries.
fn law_of(carries: &str) -> Option<&'static Law> {
    if carries.starts_with(BENT) {
        return Some(&BENT_LAW);
    }
    let expression = Expression::parse(carries).ok()?;
    let calls = expression.calls();
    let law = LAWS.iter().find(|it| calls.contains(&it.of))?;
    (!calls.contains(&OTHER)).then_some(law)
}

/// Why a margin is wanted; `None` for one that is worked out, whose reason the hold gives itself.
fn why(law: &Law, margin: &str) -> Option<String> {
    if margin == law.margin {
        return Some(law.why.to_owned());
    }
    margin.parse::<f64>().ok()?;
    let for_what = if margin == "3" {
        " for a part that must not break"
    } else {
        ""
    };
    Some(format!(
        "the margin of {margin} is common practice{for_what}"
    ))
}
