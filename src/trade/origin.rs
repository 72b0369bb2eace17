//! Where a table's numbers come from, and how far they were confirmed.

/// The pedigree of one table or formula.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Origin {
    /// What the table holds.
    pub title: &'static str,
    /// The standard, handbook or rule, with its edition where editions differ.
    pub source: &'static str,
    /// Which rows were looked up, and which stand from memory.
    pub verified: &'static str,
}
