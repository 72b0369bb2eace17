//! Safety cautions by topic, and which of them apply.
//!
//! In: the topics of plates (their family's and their metal's), and what is made of them. Out: the
//! cautions to print. Every command and every face of a report asks [`applying`].

use serde::Serialize;

/// A caution.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Caution {
    /// Its topic.
    pub topic: &'static str,
    /// What is to be heeded, in whole sentences.
    pub text: &'static str,
    /// The gist of it, for a line of a terminal.
    #[serde(skip)]
    pub gist: &'static str,
}

impl Caution {
    /// All of it in a line.
    #[must_use]
    pub fn line(&self) -> String {
        format!("caution, {}: {}", self.topic, self.text)
    }

    /// The gist of it in a line of at most 80 letters.
    #[must_use]
    pub fn short_line(&self) -> String {
        format!("caution, {}: {}", self.topic, self.gist)
    }
}

/// What is made of plates; some cautions go with that.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Made {
    /// Nothing but words and pictures.
    Words,
    /// A file to cut by.
    CutFile,
    /// A template to lay on, or to drill by.
    Template,
}

/// Cautions of everything, whatever is made.
const ALWAYS: &[&str] = &["scope", "law"];

impl Made {
    /// Topics of the cautions that go with it.
    const fn cautions(self) -> &'static [&'static str] {
        match self {
            Self::Words => &[],
            Self::CutFile => &["light and fire", "units"],
            Self::Template => &["template check"],
        }
    }
}

/// The cautions of plates with these topics and of what is made of them, each once, in the order they are
/// printed.
pub fn applying<'a>(own: impl IntoIterator<Item = &'a str>, made: &[Made]) -> Vec<Caution> {
    let mut wanted: Vec<&str> = own.into_iter().collect();
    wanted.extend(made.iter().flat_map(|made| made.cautions()));
    wanted.extend(ALWAYS);
    let applying = CAUTIONS.iter().filter(|(it, ..)| wanted.contains(it));
    applying
        .map(|&(topic, gist, text)| Caution { topic, text, gist })
        .collect()
}

/// Topic, gist and text, in the order they are printed. Common practice of the trade; the fume topics
/// follow the guidance of occupational-safety authorities.
const CAUTIONS: &[(&str, &str, &str)] = &[
    (
        "scope",
        "this is arithmetic; it approves no part for road, load or speed",
        "This is geometry and arithmetic. It approves no part for a road, a load or a speed.",
    ),
    (
        "safety-critical",
        "can kill if it breaks; let a qualified person check it",
        "When a steering, suspension, hub or brake part breaks, people can die. Have the design, \
         the material and the welds checked by a qualified person before the part is used.",
    ),
    (
        "wheel adapters",
        "check studs, seats, centring and torque; retighten soon",
        "Check stud length, thread engagement, seat shape, centring and tightening torque, and \
         tighten again after the first short run. An adapter moves the wheel outward and loads \
         the bearings more.",
    ),
    (
        "steering",
        "lock to lock: nothing touches, not over centre, nuts locked",
        "Turn the steering to full lock both ways: nothing may touch, the linkage may not go over \
         centre, and every fastener must be locked by a nut or a split pin.",
    ),
    (
        "holes",
        "keep edge distance; never slot, enlarge or weld up a bolt hole",
        "Keep the edge distance printed here. Never slot, enlarge or weld up a bolt hole in a \
         wheel or steering part.",
    ),
    (
        "fasteners",
        "one class a joint, as named; no stretched bolt or used nut",
        "Use the bolt class named here, one class in a joint, and no stretched bolt or used \
         locking nut again.",
    ),
    (
        "welds",
        "by a qualified welder or inspected; look for cracks regularly",
        "Have welds that carry load made or inspected by a qualified welder. Look for cracks \
         after the first hours of use and regularly from then on.",
    ),
    (
        "thermal edges",
        "hard, may be notched: grind if loaded, drill bolt holes",
        "A plasma or oxy-fuel edge is hard and may have fine notches. Grind it back where it is \
         loaded, and drill or ream bolt holes rather than use them as cut.",
    ),
    (
        "aluminium",
        "a weld softens it: do not count on the plate beside it",
        "Welding softens heat-treated aluminium beside the seam: do not count on the strength of \
         the plate there.",
    ),
    (
        "zinc fume",
        "take the coating off before cutting or welding; extract fume",
        "Take the coating off galvanised or plated steel before cutting or welding it, and use \
         extraction: zinc fume gives metal fume fever.",
    ),
    (
        "stainless fume",
        "causes cancer: use extraction, protect your breathing",
        "Cutting or welding stainless steel frees hexavalent chromium, which causes cancer. Use \
         extraction and suitable breathing protection.",
    ),
    (
        "light and fire",
        "shield eyes, skin; extinguisher at hand; stay till cold",
        "Shield eyes and skin from the arc, clear away what burns, keep an extinguisher at hand \
         and stay until the metal is cold.",
    ),
    (
        "water tables",
        "aluminium dross gives off hydrogen: ventilate, clear tank",
        "Aluminium dross under water can give off hydrogen: ventilate, and leave no pieces in the \
         tank.",
    ),
    (
        "template check",
        "measure the scale bars and one cut hole before the lot",
        "Measure the scale bars on the printout and one cut sample hole before you cut the lot.",
    ),
    (
        "units",
        "compare the file's unit with a size you know on the machine",
        "Before cutting, compare the unit of the file with a dimension you know on the machine.",
    ),
    (
        "law",
        "local rules come first, and a licensed engineer where they ask",
        "Vehicle, electrical and building rules where you live come first. Where they ask for a \
         licensed engineer, use one.",
    ),
];

/// The caution of a topic.
#[must_use]
pub fn text(topic: &str) -> Option<&'static str> {
    let found = CAUTIONS.iter().find(|(name, ..)| *name == topic);
    found.map(|(.., text)| *text)
}

/// Every topic, in the order cautions are printed.
pub fn topics() -> impl Iterator<Item = &'static str> {
    CAUTIONS.iter().map(|(topic, ..)| *topic)
}

#[cfg(test)]
mod tests {
    use super::super::material_table::MATERIALS;
    use super::*;

    #[test]
    fn each_topic_has_one_text_of_whole_sentences() {
        for topic in topics() {
            assert_eq!(
                topics().filter(|other| *other == topic).count(),
                1,
                "{topic}"
            );
            let text = text(topic).expect("a topic has its text");
            assert!(
                text.ends_with('.') && !text.contains("  "),
                "{topic}: {text}"
            );
        }
        assert_eq!(text("no such topic"), None);
    }

    #[test]
    fn each_gist_is_a_line_of_a_narrow_terminal() {
        let all: Vec<&str> = topics().collect();
        for caution in applying(all.iter().copied(), &[]) {
            let line = caution.short_line();
            let width = line.chars().count();
            assert!(width <= 80, "{width}: {line}");
            assert!(width < caution.line().chars().count(), "{line}");
        }
    }

    #[test]
    fn law_and_scope_apply_to_everything_and_each_topic_once() {
        let topics = |own: &[&'static str], made: &[Made]| -> Vec<&str> {
            let applying = applying(own.iter().copied(), made);
            applying.iter().map(|it| it.topic).collect()
        };
        assert_eq!(topics(&[], &[Made::Words]), ["scope", "law"]);
        assert_eq!(
            topics(
                &["welds", "steering", "welds"],
                &[Made::CutFile, Made::Template]
            ),
            [
                "scope",
                "steering",
                "welds",
                "light and fire",
                "template check",
                "units",
                "law"
            ]
        );
    }

    #[test]
    fn every_caution_of_a_metal_is_a_topic() {
        for topic in MATERIALS
            .iter()
            .flat_map(|material| material.metal.cautions())
        {
            assert!(text(topic).is_some(), "{topic}");
        }
    }
}
