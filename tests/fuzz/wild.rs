//! Recipes whose steps are valid and whose numbers are wild, from any bytes.

use std::fmt::Write as _;

/// Bytes read as choices; zeros when they run out.
pub(crate) struct Wild<'a> {
    bytes: std::slice::Iter<'a, u8>,
}

impl<'a> Wild<'a> {
    /// Choices from bytes.
    pub(crate) fn new(bytes: &'a [u8]) -> Self {
        Self {
            bytes: bytes.iter(),
        }
    }

    fn byte(&mut self) -> u8 {
        self.bytes.next().copied().unwrap_or(0)
    }

    /// A whole number below another.
    pub(crate) fn below(&mut self, most: u32) -> u32 {
        u32::from(self.byte()) % most
    }

    fn is_done(&self) -> bool {
        self.bytes.len() == 0
    }

    /// Any number at all.
    pub(crate) fn number(&mut self) -> f64 {
        let eight: [u8; 8] = std::array::from_fn(|_| self.byte());
        match self.below(3) {
            0 => f64::from_le_bytes(eight),
            1 => f64::from(i16::from_le_bytes([eight[0], eight[1]])) / 16.0,
            _ => f64::from(eight[0]),
        }
    }

    /// A length, mostly of the size of a plate, on a coarse grid so that contacts are common.
    fn length(&mut self) -> String {
        let coarse = f64::from(self.byte());
        match self.below(16) {
            0 => format!("{} mm", -coarse),
            1 => format!("{} mm", coarse * 1e-6),
            2 => format!("{} mm", coarse * 400.0),
            3 => format!("{} mm", self.number()),
            4 => format!("{coarse}/{} in", self.byte()),
            5 => "0 mm".to_owned(),
            _ => format!("{} mm", coarse / 2.0),
        }
    }

    fn angle(&mut self) -> String {
        let quarter = i32::from(self.byte()) - 128;
        match self.below(4) {
            0 => format!("{} deg", f64::from(quarter) * 2.813),
            1 => format!("{} rad", self.number()),
            _ => format!("{} deg", quarter * 15),
        }
    }

    fn point(&mut self) -> String {
        format!("[\"{}\", \"{}\"]", self.length(), self.length())
    }
}

/// A recipe.
pub(crate) fn recipe(bytes: &[u8]) -> String {
    let mut wild = Wild::new(bytes);
    let mut text = format!(
        "title = \"Wild\"\nabout = \"Any numbers.\"\n[dimension.thickness]\nsays = \"thickness\"\n\
         default = \"{} mm\"\n[[plate]]\n",
        1 + wild.below(20)
    );
    for count in 0..12 {
        if count > 0 && wild.is_done() {
            break;
        }
        // The first step adds the disc or rectangle that the rest is about.
        let kind = if count == 0 { 0 } else { wild.below(8) };
        text.push_str("[[plate.step]]\n");
        match kind {
            0 | 1 => shape(&mut text, &mut wild, "add"),
            2..=4 => shape(&mut text, &mut wild, "cut"),
            5 => shape(&mut text, &mut wild, "keep"),
            6 => {
                let which = ["inside", "outside", "both"][wild.below(3) as usize];
                put(
                    &mut text,
                    &format!("round = \"{which}\"\nradius = \"{}\"\n", wild.length()),
                );
            }
            _ => put(&mut text, &format!("hollow = \"{}\"\n", wild.length())),
        }
    }
    text
}

fn put(text: &mut String, more: &str) {
    text.write_str(more)
        .expect("writing to a string cannot fail");
}

fn shape(text: &mut String, wild: &mut Wild, verb: &str) {
    let (name, keys) = match wild.below(9) {
        0 | 1 => ("disc", format!("diameter = \"{}\"\n", wild.length())),
        2 => (
            "rectangle",
            format!(
                "width = \"{}\"\nheight = \"{}\"\ncorner = \"{}\"\n",
                wild.length(),
                wild.length(),
                wild.length()
            ),
        ),
        3 => (
            "ring",
            format!(
                "outside = \"{}\"\ninside = \"{}\"\n",
                wild.length(),
                wild.length()
            ),
        ),
        4 => (
            "bar",
            format!(
                "from = {}\nto = {}\nfrom_width = \"{}\"\nto_width = \"{}\"\n",
                wild.point(),
                wild.point(),
                wild.length(),
                wild.length()
            ),
        ),
        5 => (
            "slot",
            format!(
                "travel = \"{}\"\nwidth = \"{}\"\n",
                wild.length(),
                wild.length()
            ),
        ),
        6 => (
            "curved slot",
            format!(
                "circle = \"{}\"\nsweep = \"{}\"\nwidth = \"{}\"\n",
                wild.length(),
                wild.angle(),
                wild.length()
            ),
        ),
        7 => (
            "sector",
            format!(
                "outside = \"{}\"\ninside = \"{}\"\nsweep = \"{}\"\ncorner = \"{}\"\n",
                wild.length(),
                wild.length(),
                wild.angle(),
                wild.length()
            ),
        ),
        _ => {
            let corners: Vec<String> = (0..3 + wild.below(4)).map(|_| wild.point()).collect();
            ("polygon", format!("points = [{}]\n", corners.join(", ")))
        }
    };
    put(text, &format!("{verb} = \"{name}\"\n{keys}"));
    // Bars lie between their own points.
    if name != "bar" && wild.below(2) == 0 {
        put(
            text,
            &format!("at = {}\nturn = \"{}\"\n", wild.point(), wild.angle()),
        );
        if wild.below(3) == 0 {
            put(
                text,
                &format!(
                    "around = {{ count = {}, circle = \"{}\" }}\n",
                    wild.below(12),
                    wild.length()
                ),
            );
        }
    }
    if verb == "cut" {
        let purpose = ["bore", "bolt", "slot", "window"][wild.below(4) as usize];
        put(text, &format!("purpose = \"{purpose}\"\n"));
    }
}
