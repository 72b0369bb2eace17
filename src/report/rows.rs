//! Rows of words under headings as a terminal of a width shows them: side by side while there is room,
//! else each row by itself.

use comfy_table::presets::NOTHING;
use comfy_table::{CellAlignment, ContentArrangement, Table};

/// Least width of a column on the average that can still be read, letters.
const NARROW: usize = 14;
/// How far the lines of a row stand in that has none beside it.
const INDENT: &str = "  ";

/// Rows of words.
#[derive(Debug, Clone, Default)]
pub struct Rows {
    header: Vec<String>,
    rows: Vec<Vec<String>>,
    /// Columns whose words end at the right.
    right: Vec<usize>,
}

impl Rows {
    /// Rows under headings; none for no headings.
    #[must_use]
    pub fn under(header: &[&str]) -> Self {
        Self {
            header: header.iter().map(|it| (*it).to_owned()).collect(),
            ..Self::default()
        }
    }

    /// Columns whose words end at the right.
    #[must_use]
    pub fn right(mut self, columns: &[usize]) -> Self {
        self.right = columns.to_vec();
        self
    }

    /// Adds a row.
    pub fn add<const N: usize>(&mut self, row: [String; N]) {
        self.rows.push(row.into());
    }

    /// The rows no wider than so many letters, one line after the other.
    #[must_use]
    pub fn text(&self, width: usize) -> String {
        let natural = self.table().to_string();
        if widest(&natural) <= width {
            return trimmed(&natural);
        }
        let columns = self.rows.iter().map(Vec::len).max().unwrap_or(1);
        let mut table = self.table();
        table.set_content_arrangement(ContentArrangement::Dynamic);
        table.set_width(u16::try_from(width).unwrap_or(u16::MAX));
        if columns * NARROW <= width {
            return trimmed(&table.to_string());
        }
        let cards = self.rows.iter().map(|row| self.card(row, width));
        cards.collect::<Vec<_>>().join("\n")
    }

    fn table(&self) -> Table {
        let mut table = Table::new();
        table.load_style(NOTHING);
        if !self.header.is_empty() {
            table.set_header(&self.header);
        }
        for row in &self.rows {
            table.add_row(row);
        }
        for column in &self.right {
            if let Some(column) = table.column_mut(*column) {
                column.set_cell_alignment(CellAlignment::Right);
            }
        }
        table
    }

    /// A row by itself: its first words, and the others under their headings.
    fn card(&self, row: &[String], width: usize) -> String {
        let named = row
            .iter()
            .enumerate()
            .filter(|(_, words)| !words.is_empty());
        let lines = named.map(|(index, words)| match self.header.get(index) {
            _ if index == 0 => words.clone(),
            Some(heading) => format!("{INDENT}{heading}: {words}"),
            None => format!("{INDENT}{words}"),
        });
        fitted(&lines.collect::<Vec<_>>().join("\n"), width)
    }
}

fn widest(text: &str) -> usize {
    let widths = text.lines().map(|it| it.trim_end().chars().count());
    widths.max().unwrap_or(0)
}

fn trimmed(text: &str) -> String {
    let lines: Vec<&str> = text.lines().map(str::trim_end).collect();
    lines.join("\n")
}

/// Lines no wider than so many letters, broken between words; what goes on stands further in. A word
/// that is longer stays whole, so that a path can be copied.
#[must_use]
pub fn fitted(text: &str, width: usize) -> String {
    let lines = text.split('\n').map(|line| {
        if line.chars().count() <= width {
            return line.to_owned();
        }
        let own = line
            .chars()
            .take_while(|it| *it == ' ')
            .count()
            .min(width / 3);
        let further = own
            + if own + INDENT.len() < width / 2 {
                INDENT.len()
            } else {
                0
            };
        let mut broken = " ".repeat(own);
        let mut at = own;
        let mut is_first = true;
        for word in line.split_whitespace() {
            let length = word.chars().count();
            if !is_first && at + 1 + length > width {
                broken.push('\n');
                broken.push_str(&" ".repeat(further));
                at = further;
            } else if !is_first {
                broken.push(' ');
                at += 1;
            }
            broken.push_str(word);
            at += length;
            is_first = false;
        }
        broken
    });
    lines.collect::<Vec<_>>().join("\n")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_fit_and_lose_no_word() {
        let mut rows =
            Rows::under(&["dimension", "what it is", "unless you say otherwise"]).right(&[2]);
        let says = "from the face the base is bolted to, out to the centre of the pivot";
        rows.add(["reach", says, "70 mm (2.756 in)"].map(str::to_owned));
        for width in [30, 40, 60, 80, 120, 200] {
            let text = rows.text(width);
            assert!(widest(&text) <= width, "{width}:\n{text}");
            for word in says.split(' ').chain(["reach", "70", "(2.756"]) {
                assert!(text.contains(word), "{width}: {word}\n{text}");
            }
        }
    }

    #[test]
    fn lines_break_between_words_and_stand_further_in() {
        let said = fitted("caution, units: compare the unit", 20);
        assert_eq!(said, "caution, units:\n  compare the unit");
        let long = "wrote /some/where/far/away.html";
        assert_eq!(fitted(long, 12), "wrote\n  /some/where/far/away.html");
        assert_eq!(fitted("short\n\n", 5), "short\n\n");
    }
}
