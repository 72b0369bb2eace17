//! Layers of a drawing, by what becomes of their lines on the table.

/// The layer a line goes on in a cut-ready file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Layer {
    /// Outside contours.
    Outside,
    /// Openings.
    Inside,
    /// Small round holes at reduced feed.
    SmallHole,
    /// Cuts in scrap alone: slugs, the skeleton, the cut that parts what is left.
    Scrap,
    /// Centres to mark and drill.
    CentreMark,
    /// Lines and text to scribe.
    Scribe,
    /// Fold lines.
    Bend,
    /// The edge of the sheet, never cut.
    Sheet,
    /// Words for people, never cut.
    Note,
}

impl Layer {
    /// Every layer with its name in files.
    pub const ALL: [(Self, &'static str); 9] = [
        (Self::Outside, "OUTSIDE"),
        (Self::Inside, "INSIDE"),
        (Self::SmallHole, "SMALL_HOLE"),
        (Self::Scrap, "SCRAP"),
        (Self::CentreMark, "CENTRE_MARK"),
        (Self::Scribe, "SCRIBE"),
        (Self::Bend, "BEND"),
        (Self::Sheet, "SHEET"),
        (Self::Note, "NOTE"),
    ];

    /// Its name in files.
    #[must_use]
    pub fn name(self) -> &'static str {
        Self::ALL
            .iter()
            .find(|(layer, _)| *layer == self)
            .map_or("NOTE", |(_, name)| name)
    }
}
