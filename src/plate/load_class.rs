//! What loads a plate has to stand, as far as they decide how its holes are made.

use super::Plate;

/// How the loads of a part come and go.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LoadClass {
    /// Steady loads: a bolt hole may be used as cut (AISC 360 M2.5 for static load, looked up).
    Static,
    /// The changing loads of steering, suspension, hub and brake parts, where a crack may start from
    /// the notches of a thermal cut: bolt holes are drilled or reamed. Common practice, from memory.
    Cyclic,
}

/// The caution that a recipe puts on parts whose failure kills.
const SAFETY: &str = "safety-critical";

impl Plate {
    /// The load class, by the cautions of the plate's recipe.
    #[must_use]
    pub fn load_class(&self) -> LoadClass {
        if self.cautions.iter().any(|topic| topic == SAFETY) {
            LoadClass::Cyclic
        } else {
            LoadClass::Static
        }
    }
}
