//! Slots that are round holes where they have no travel.
//!
//! In: a step that cuts a slot, or one bent round a circle, with the `thread` or the `purpose` of a round hole. Out:
//! two steps in its place: the slot where it has some travel, the round hole where it has none.

use super::left_out::{clearance_of, joined};
use crate::fault::Fault;
use crate::toml_text::{Item, Table};

/// What round holes are for.
const ROUND: [&str; 4] = ["bolt", "bore", "pin", "tapped"];

/// The two steps in place of a slot for what goes through a round hole; `None` for any other step.
pub(super) fn both_forms(step: &Item, faults: &mut Vec<Fault>) -> Option<[Item; 2]> {
    let mut slot = step.clone();
    let keys = slot.table_mut()?;
    let (travel, is_bent) = match words(keys, "cut")?.as_str() {
        "slot" => (keys.get_mut("travel")?.clone(), false),
        "curved slot" => (keys.get_mut("sweep")?.clone(), true),
        _ => return None,
    };
    let is_round = match words(keys, "purpose") {
        Some(purpose) => ROUND.contains(&purpose.as_str()),
        None => keys.has("thread"),
    };
    if !is_round {
        return None;
    }
    if let Some(width) = keys.get_mut("thread").and_then(|it| clearance_of(it)) {
        keys.put("width", width);
    }
    if is_bent {
        faults.extend(elsewhere(keys));
    }
    let mut hole = slot.clone();
    as_slot(slot.table_mut()?, &travel);
    as_hole(hole.table_mut()?, &travel, is_bent);
    Some([slot, hole])
}

/// The fault of a bent slot that is placed otherwise than on its own circle, where its round hole would not be.
fn elsewhere(keys: &mut Table) -> Option<Fault> {
    let own = ["mirror", "along"]
        .into_iter()
        .find_map(|key| keys.get_mut(key).cloned());
    let around = keys.get_mut("around").and_then(Item::table_mut);
    let around = around.and_then(|it| {
        let mut found = ["circle", "upright"].into_iter();
        found.find_map(|key| it.get_mut(key).cloned())
    });
    let fault = own
        .or(around)?
        .fault("a curved slot that may be a round hole stands on its own circle");
    Some(fault.remedy("leave this out, or make two steps of it, `cut = \"curved slot\"` with `purpose = \"slot\"` and `cut = \"disc\"`"))
}

/// The slot, called one in the place of the last word of its name.
fn as_slot(keys: &mut Table, travel: &Item) {
    if let Some(name) = words(keys, "name") {
        let kind = name.rsplit_once(' ').map(|(of, _)| format!("{of} slot"));
        set(keys, "name", travel, kind.as_deref().unwrap_or("slot"));
    }
    set(keys, "purpose", travel, "slot");
    // A travel below nothing is no hole: the slot tells what is wrong with it.
    counts(keys, travel, "!=");
}

/// The round hole, at the middle of the slot.
fn as_hole(keys: &mut Table, travel: &Item, is_bent: bool) {
    set(keys, "cut", travel, "disc");
    keys.take(if is_bent { "sweep" } else { "travel" });
    let turn = keys.take("turn").filter(|_| is_bent);
    if let Some(width) = keys.take("width") {
        keys.put("diameter", width);
    }
    counts(keys, travel, "==");
    let Some(circle) = keys.take("circle") else {
        return;
    };
    let span = keys.span();
    keys.make_room("around", &span);
    if let Some(around) = keys.get_mut("around").and_then(Item::table_mut) {
        if let Some(once) = travel.rewritten("1") {
            around.put("count", once);
        }
        let start = around.take("start");
        if let Some(start) = joined(start.iter().chain(&turn), " + ") {
            around.put("start", start);
        }
        around.put("circle", circle);
    }
}

/// Lets a step count where the travel is nothing, or is something.
fn counts(keys: &mut Table, travel: &Item, how: &str) {
    let written = travel.written();
    let own = written.and_then(|it| travel.rewritten(&format!("({it}) {how} 0 * ({it})")));
    let when = keys.take("when");
    if let Some(all) = joined(when.iter().chain(&own), " and ") {
        keys.put("when", all);
    }
}

/// Puts words at a key, in place of what is there.
fn set(keys: &mut Table, key: &str, like: &Item, words: &str) {
    keys.take(key);
    if let Some(item) = like.rewritten(words) {
        keys.put(key, item);
    }
}

fn words(keys: &mut Table, key: &str) -> Option<String> {
    Some(keys.get_mut(key)?.as_words()?.to_owned())
}
