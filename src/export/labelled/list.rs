//! What each dimension is, in groups: what must fit, what shapes it, what loads it, choices, the rest.

use super::{DRAFT, MARGIN, WIDTH};
use crate::export::picture::{Anchor, Picture};
use crate::geometry::{Bounds, Point};
use crate::lettering;
use crate::sketch::{Role, Sketch, Sketched};

/// Height of letters and of headings, mm.
const LETTERS: f64 = 2.2;
const HEADING: f64 = 2.8;
/// From line to line, mm.
const LINE: f64 = 4.2;
/// Widths of the columns of names and values, mm.
const NAMES: f64 = 34.0;
const VALUES: f64 = 40.0;
/// Between columns, mm.
const APART: f64 = 3.0;

/// The groups that have a line for each dimension.
const GROUPS: [Role; 5] = [
    Role::Fits,
    Role::Shapes,
    Role::Loads,
    Role::Chooses,
    Role::Judged,
];

/// One picture a group, its upper left corner at the left of the page at height 0.
pub(super) fn blocks(sketch: &Sketch) -> Vec<Picture> {
    let of = |role: Role| -> Vec<&Sketched> {
        let all = sketch.dimensions.iter();
        all.filter(|it| it.role == role).collect()
    };
    let groups = GROUPS.iter().map(|role| (of(*role), role.heading()));
    let groups = groups.filter(|(them, _)| !them.is_empty());
    let mut blocks: Vec<Picture> = groups
        .map(|(them, heading)| group(heading, &them))
        .collect();
    let idle = of(Role::Idle);
    if !idle.is_empty() {
        let names: Vec<&str> = idle.iter().map(|it| it.name.as_str()).collect();
        let mut list = List::new(Role::Idle.heading());
        list.lines(MARGIN, WIDTH - 2.0 * MARGIN, &names.join(", "), ", ");
        blocks.push(list.done());
    }
    blocks
}

fn group(heading: &str, them: &[&Sketched]) -> Picture {
    let mut list = List::new(heading);
    for it in them {
        list.row(it);
    }
    list.done()
}

struct List {
    picture: Picture,
    y: f64,
}

impl List {
    fn new(heading: &str) -> Self {
        let mut list = Self {
            picture: Picture::new(heading),
            y: -LINE,
        };
        list.write(MARGIN, WIDTH, HEADING, heading);
        list.y -= LINE * 0.3;
        list
    }

    fn write(&mut self, x: f64, most: f64, height: f64, text: &str) {
        let words = DRAFT.words(
            Point::new(x, self.y),
            Anchor::Start,
            height,
            text.to_owned(),
        );
        self.picture.write(words.fitted(most));
    }

    /// Words from a place on, on as many lines as they take.
    fn lines(&mut self, x: f64, most: f64, text: &str, at: &str) {
        for line in lettering::wrapped(text, at, LETTERS, most) {
            self.y -= LINE;
            self.write(x, most, LETTERS, &line);
        }
    }

    fn row(&mut self, it: &Sketched) {
        let top = self.y;
        let says = MARGIN + NAMES + VALUES + 2.0 * APART;
        self.lines(says, WIDTH - MARGIN - says, &it.says, " ");
        let foot = self.y;
        self.y = top - LINE;
        self.write(MARGIN, NAMES, LETTERS, &it.name);
        self.write(MARGIN + NAMES + APART, VALUES, LETTERS, &it.value);
        self.y = foot.min(self.y);
    }

    fn done(mut self) -> Picture {
        self.picture.frame = Bounds {
            min: Point::new(0.0, self.y - LINE / 2.0),
            max: Point::new(WIDTH, 0.0),
        };
        self.picture
    }
}
