//! What `--version` says: short the number, long also what it was made of and how to verify that.

use std::env::consts::{ARCH, OS};
use std::sync::LazyLock;

/// What a release was made of: the commit and the compiler, as `.ci/release` knows them.
const MADE_OF: Option<&str> = option_env!("PLATEWRIGHT_MADE_OF");

/// The long version.
pub(super) fn long() -> &'static str {
    static LONG: LazyLock<String> = LazyLock::new(|| told(MADE_OF));
    LONG.as_str()
}

fn told(made_of: Option<&str>) -> String {
    let number = env!("CARGO_PKG_VERSION");
    let how = match made_of {
        Some(made_of) => format!(
            "Made of {made_of}, for {OS} on {ARCH}.\n\
             To verify: compare the SHA-256 of your archive with the line in SHA256SUMS, or make it anew:\n\
             `bash .ci/release` in a clone of that commit, with that compiler, gives the same bytes."
        ),
        None => format!(
            "Made in a working copy, for {OS} on {ARCH}: no release, nothing to compare it with.\n\
             To verify: read the source and make it yourself, with `cargo install --path . --locked`."
        ),
    };
    format!("{number}\n{how}\nLibraries and their licences: `platewright licences`.")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_release_says_what_it_was_made_of_and_a_working_copy_that_it_is_none() {
        let release = told(Some("commit 0123abcd by rustc 1.95.0"));
        assert!(
            release.contains("Made of commit 0123abcd by rustc 1.95.0, for "),
            "{release}"
        );
        assert!(release.contains("SHA256SUMS"), "{release}");
        assert!(told(None).contains("no release"));
    }
}
