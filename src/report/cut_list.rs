//! The cut list as CSV (RFC 4180): one plate a line.

use super::figures::Report;

/// The cut list.
#[must_use]
pub fn csv(report: &Report) -> String {
    let mut text = String::from(
        "plate,recipe,quantity,material,thickness_mm,width_mm,height_mm,mass_kg,pierces,cut_length_mm,drill_holes\r\n",
    );
    for plate in &report.plates {
        let fields = [
            field(&plate.name),
            field(&plate.recipe),
            plate.quantity.to_string(),
            field(&plate.material),
            plate.thickness_mm.to_string(),
            format!("{:.3}", plate.width_mm),
            format!("{:.3}", plate.height_mm),
            format!("{:.3}", plate.mass_kg),
            plate.pierces.to_string(),
            format!("{:.1}", plate.cut_length_mm),
            plate.drill_list.len().to_string(),
        ];
        text.push_str(&fields.join(","));
        text.push_str("\r\n");
    }
    text
}

/// A field, in quotes where it must be.
fn field(words: &str) -> String {
    if words.contains([',', '"', '\n', '\r']) {
        format!("\"{}\"", words.replace('"', "\"\""))
    } else {
        words.to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::field;

    #[test]
    fn fields_are_quoted_as_the_rfc_says() {
        assert_eq!(field("plate"), "plate");
        assert_eq!(field("a, \"b\""), "\"a, \"\"b\"\"\"");
    }
}
