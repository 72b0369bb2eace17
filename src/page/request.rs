//! What the page asks.

use serde::Deserialize;

use super::document::Block;

/// Something that the page asks.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(tag = "ask", rename_all = "kebab-case", deny_unknown_fields)]
pub enum Request {
    /// The page of the folder.
    Folder,
    /// The page of a file, or of one of a job's parts.
    Open {
        /// The file, by its name in the folder.
        file: String,
        /// The part; all of the file without it.
        block: Option<Block>,
    },
    /// What a part would be with a value changed, or is; nothing is written.
    Try {
        /// The file.
        file: String,
        /// The part of it.
        block: Block,
        /// The value that is being typed.
        patch: Option<Patch>,
        /// The dimension whose edges are drawn strong.
        focus: Option<String>,
    },
    /// How far it is from one place of a plate to another.
    Distance {
        /// The file.
        file: String,
        /// The part of it.
        block: Block,
        /// Which of its plates, from 0.
        plate: usize,
        /// A place, as typed or pointed at.
        from: String,
        /// The other; nothing while only one is chosen.
        to: String,
    },
    /// The parts of a job's page as they are now.
    Job {
        /// The file.
        file: String,
    },
    /// A value changed in a file.
    Edit {
        /// The file.
        file: String,
        /// The value.
        patch: Patch,
    },
    /// One more part in a job.
    AddPart {
        /// The job.
        file: String,
        /// A recipe, or a part file of the folder whose values it takes.
        like: String,
        /// The text that it was asked on.
        checksum: String,
    },
    /// One more line of stock in a job.
    AddStock {
        /// The job.
        file: String,
        /// Its thickness, as typed.
        thickness: String,
        /// Its size, as typed.
        size: String,
        /// The text that it was asked on.
        checksum: String,
    },
    /// A part or a line of stock taken out of a job.
    Remove {
        /// The job.
        file: String,
        /// What goes.
        block: Block,
        /// The text that it was asked on.
        checksum: String,
    },
    /// A new part file of a recipe, or an empty job.
    Begin {
        /// The recipe; a job without it.
        recipe: Option<String>,
        /// What it is to be called.
        name: String,
    },
    /// A copy of a file.
    Duplicate {
        /// The file.
        file: String,
        /// What the copy is to be called.
        name: String,
    },
    /// Another name for a file.
    Rename {
        /// The file.
        file: String,
        /// Its new name.
        name: String,
    },
    /// The picture of a file's first plate.
    Picture {
        /// The file.
        file: String,
    },
    /// The picture of a recipe's first plate.
    Family {
        /// The recipe.
        recipe: String,
    },
    /// A sheet of the last `cut`, to work by.
    Table {
        /// Which, from 1.
        sheet: usize,
    },
    /// Something ticked off at the table, or not.
    Tick {
        /// What.
        tick: String,
        /// Whether it is done.
        done: bool,
        /// The sheets that it is of.
        sheets: String,
    },
    /// The page to clock a second pattern onto a plate.
    Redrill,
    /// The best clocking of a pattern.
    Clock {
        /// The plate: a part file of the folder; a plate that is typed where it is empty.
        plate: String,
        /// Typed plate: outside diameter.
        outside: String,
        /// Typed plate: bore.
        bore: String,
        /// Typed plate: the pattern that is there.
        has: String,
        /// Thickness, where the plate is typed.
        thickness: String,
        /// The new pattern.
        new: String,
    },
    /// The page of caliper readings.
    Readings,
    /// Readings over two studs.
    Chord {
        /// How many studs.
        studs: String,
        /// How many lie between the two.
        skipped: String,
        /// The readings.
        readings: String,
        /// `centres`, `over` or `between`.
        how: String,
        /// Diameter of a stud.
        stud: String,
        /// How far a reading may be off.
        within: String,
    },
    /// Three points of an arc.
    Points {
        /// The points.
        points: [String; 3],
        /// How far a reading may be off.
        within: String,
    },
    /// A chord and its rise.
    Rise {
        /// The chord.
        chord: String,
        /// The rise.
        rise: String,
        /// How far a reading may be off.
        within: String,
    },
    /// The labelled sketch of a part.
    Sketch {
        /// The file.
        file: String,
        /// The part of it.
        block: Block,
    },
}

/// A value as it is typed.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Patch {
    /// The block that it stands in.
    pub block: Block,
    /// Its key.
    pub key: String,
    /// What was typed; nothing takes the key out.
    pub text: String,
    /// What stood there when the typing began.
    pub was: String,
    /// Checksum of the text that stood there then.
    pub checksum: String,
}
