//! The family of a part that has none: one plate, made by its own steps.

use std::ops::Range;
use std::sync::Arc;

use super::caution::Caution;
use super::family::Family;
use super::part::{Part, PartKeys};
use super::plate_spec::{Pieces, PlateSpec};
use super::step::Step;
use super::words::{AllowedRotation, Group, Hand};
use crate::fault::Source;
use crate::toml_text::Formula;

/// What a part without a family is made by.
pub(super) struct Plain<'a> {
    /// What stands where the name of a family would.
    pub(super) called: &'a str,
    pub(super) title: &'static str,
    pub(super) about: &'static str,
    pub(super) thickness: Formula,
    pub(super) rotation: AllowedRotation,
    pub(super) steps: Vec<Step>,
    pub(super) pieces: Pieces,
}

/// A part with a family of its own; its usual name, and where it stands.
pub(super) fn without_family(
    plain: Plain<'_>,
    keys: PartKeys,
    name: &str,
    (source, span): (Arc<Source>, Range<usize>),
) -> Part {
    let plan = PlateSpec {
        name: None,
        when: None,
        quantity: None,
        thickness: Some(plain.thickness),
        hand: Hand::default(),
        left_when: None,
        right_when: None,
        rotation: plain.rotation,
        points: Vec::new(),
        steps: plain.steps,
        datum: None,
        sizes: Vec::new(),
        pieces: plain.pieces,
        span: span.clone(),
    };
    let family = Family {
        name: plain.called.to_owned(),
        title: plain.title.to_owned(),
        about: plain.about.to_owned(),
        group: Group::default(),
        // Nobody knows what it will carry.
        knows_use: false,
        cautions: vec![Caution::topic_of_all(
            "safety-critical",
            &source,
            span.clone(),
        )],
        measures: Vec::new(),
        tables: Arc::default(),
        lets: Vec::new(),
        rules: Vec::new(),
        notes: Vec::new(),
        figures: Vec::new(),
        strength_checks: Vec::new(),
        bolts: Vec::new(),
        plans: vec![plan],
        joints: Vec::new(),
        shapes: Vec::new(),
        formulas: Vec::new(),
        used_otherwise: Vec::new(),
        source: Arc::clone(&source),
        shared: Vec::new(),
    };
    Part::new(Arc::new(family), name, keys, (source, span))
}
