//! What a screw thread is: system, series, size, pitch, and the drill before tapping.

use super::drill::Drill;

/// Which family of screw threads.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum System {
    /// ISO metric.
    Metric,
    /// Unified inch.
    Inch,
}

/// Which of a size's threads.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Series {
    /// Coarse: the usual one; UNC in inches.
    Coarse,
    /// Fine; UNF in inches.
    Fine,
    /// In use, but in neither series; UNS in inches.
    Special,
}

/// A thread of the table.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Thread {
    /// Metric or inch.
    pub system: System,
    /// Coarse, fine or special.
    pub series: Series,
    /// The size as tables name it: `M10`, `1/2`, `#10`.
    pub size: &'static str,
    /// Major diameter, mm.
    pub diameter: f64,
    /// Pitch, mm.
    pub pitch: f64,
    /// Threads per inch.
    pub threads_per_inch: f64,
    /// The drill before tapping.
    pub drill: Drill,
}

impl Thread {
    /// Its full name: `M10`, `M12x1.25`, `1/2-13`.
    #[must_use]
    pub fn name(&self) -> String {
        match (self.system, self.series) {
            (System::Metric, Series::Coarse) => self.size.to_owned(),
            (System::Metric, _) => format!("{}x{}", self.size, self.pitch),
            (System::Inch, _) => format!("{}-{}", self.size, self.threads_per_inch),
        }
    }

    /// Tensile stress area, mm².
    ///
    /// Metric: π/4 (d − 0.938194 P)², ISO 898-1. Inch: π/4 (d − 0.974279 / n)², ASME B1.1.
    #[must_use]
    pub fn stress_area(&self) -> f64 {
        let depth = match self.system {
            System::Metric => 0.938_194,
            System::Inch => 0.974_279,
        };
        std::f64::consts::FRAC_PI_4 * (self.diameter - depth * self.pitch).powi(2)
    }
}
