//! The closed lists of words that recipes choose from: one enum each, every value with its word.

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

        impl Words for $name {
            const ALL: &'static [(Self, &'static str)] = $name::ALL;
        }
    };
}

/// A closed list of words, for the reader of recipes.
pub(crate) trait Words: Copy + 'static {
    /// The values and their words.
    const ALL: &'static [(Self, &'static str)];
}

impl Words for crate::finding::Level {
    const ALL: &'static [(Self, &'static str)] = Self::ALL;
}

words! {
    /// What an opening is for.
    Purpose {
        /// A round hole that centres on a hub or shaft.
        Bore = "bore",
        /// A clearance hole for a bolt.
        Bolt = "bolt",
        /// A hole to be tapped.
        Tapped = "tapped",
        /// A hole for a pin or bush, reamed to size.
        Pin = "pin",
        /// A slotted hole for adjustment.
        Slot = "slot",
        /// An opening to save weight or make room.
        Window = "window",
    }
}

impl Purpose {
    /// Whether something fits into it, so that it must come out whole and clear of other holes.
    #[must_use]
    pub const fn fits_something(self) -> bool {
        matches!(self, Self::Bore | Self::Bolt | Self::Tapped | Self::Pin)
    }
}

words! {
    /// How the builder wants an opening made, where the recipe or the job says so.
    #[derive(Default)]
    Finish {
        /// By the table's rules for its purpose and size.
        #[default]
        ByRule = "by rule",
        /// Cut to size on the table.
        Cut = "cut",
        /// Only centre-marked on the table, then drilled.
        Drill = "drill",
        /// Cut undersize on the table, then drilled or reamed to size.
        Undersize = "undersize",
    }
}

words! {
    /// How a plate may be turned on the sheet.
    #[derive(Default)]
    Turning {
        /// Any angle.
        #[default]
        Free = "free",
        /// Quarter turns.
        Quarters = "quarters",
        /// Half turns: the grain runs along x.
        Grain = "grain",
        /// As drawn.
        Fixed = "fixed",
    }
}

words! {
    /// Which way a leg is folded, seen from the face that is drawn.
    Fold {
        /// Towards the viewer.
        Up = "up",
        /// Away from the viewer.
        Down = "down",
    }
}
