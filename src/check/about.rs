//! What is said of a check, or of a finding that another stage makes.

/// A name, and what stands behind it.
pub struct About {
    /// Its name, by which a job may relax it.
    pub name: &'static str,
    /// What it looks at.
    pub looks_at: &'static str,
    /// What is allowed.
    pub limit: &'static str,
    /// Where the limit comes from.
    pub source: &'static str,
    /// Why there is a limit.
    pub why: &'static str,
    /// What happens to those who ignore it.
    pub if_ignored: &'static str,
}
