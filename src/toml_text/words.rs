//! Closed lists of words to choose from: one enum each, every value with its word.

/// Defines an enum together with the word of each value, so that no list is written twice.
macro_rules! words {
    ($(#[$about:meta])* $name:ident { $($(#[$says:meta])* $value:ident = $word:literal,)+ }) => {
        $(#[$about])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
        pub enum $name {
            $($(#[$says])* $value,)+
        }

        impl $name {
            /// Every value with its word in recipes and reports.
            pub const ALL: &'static [(Self, &'static str)] = &[$((Self::$value, $word)),+];

            /// Its word in recipes and reports.
            #[must_use]
            pub const fn word(self) -> &'static str {
                match self {
                    $(Self::$value => $word,)+
                }
            }
        }

        impl $crate::toml_text::words::Words for $name {
            const ALL: &'static [(Self, &'static str)] = $name::ALL;
        }
    };
}

pub(crate) use words;

/// A closed list of words, for the reader of values.
pub(crate) trait Words: Copy + 'static {
    /// The values and their words.
    const ALL: &'static [(Self, &'static str)];
}
