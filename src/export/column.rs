//! The column of call-outs beside a view: words one above another, each with a leader to what it is
//! about. Leaders do not cross where they can be parted, and go around openings where there is a way.

use super::drafting::{Drafting, PAST};
use super::opening_group::OpeningGroup;
use super::picture::{Anchor, Chain, Picture, Tag};
use super::scaled::Scaled;
use crate::geometry::{Bounds, Contour, Point, Vector, lines_cross};
use crate::lettering;
use crate::plate::{Bend, Plate};

/// From the foot of one line to the next, as a share of the height of its letters.
const LEADING: f64 = 1.75;
/// Between two call-outs, mm on paper.
const GAP: f64 = 1.8;
/// How far a leader climbs where there is room: a level one could be taken for a centre line, mm on
/// paper.
const CLIMB: f64 = 6.0;
/// What it is worth, in mm of leader on paper, to keep one of its samples out of an opening.
const DETOUR: f64 = 6.0;
/// A leader is looked at so many mm apart on paper.
const SAMPLE: f64 = 1.0;
/// What it is worth, in such samples, to keep off a line of the plate.
const LINE: usize = 3;
/// What it is worth, in such samples, that two leaders do not cross.
const CROSSING: usize = 20;
/// With more call-outs than this, none change places for the sake of the holes that leaders run over.
const FEW: usize = 24;
/// Length of the level end of a leader, mm on paper.
const LANDING: f64 = 3.0;
/// From a leader to its words, mm on paper.
const ASIDE: f64 = 1.0;
/// Call-outs are swapped at most this often to part crossing leaders.
const SWAPS: usize = 400;
/// Stacking words, aiming leaders and parting those that cross depend on one another: so often in turn.
const ROUNDS: usize = 4;

/// What the leader of a call-out may point at.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Target {
    /// The edge of an opening.
    Edge(Contour),
    /// A spot on an edge.
    Spot(Point),
    /// A spot on a dimension line: the leader ends there without an arrow.
    Line(Point),
    /// Where a line of the plate ends that is prolonged that way, so that no arrow lies on it.
    End(Point, Vector),
}

impl Target {
    /// Where the call-out of a fold may point: at either end of its line.
    pub(super) fn ends_of(bend: &Bend) -> Vec<Self> {
        let way = (bend.to - bend.from).unit().unwrap_or_default();
        vec![Self::End(bend.from, -way), Self::End(bend.to, way)]
    }
}

/// On which side of the view a column is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Beside {
    /// Words begin at the column's left end.
    Right,
    /// Words end at its right end.
    Left,
}

/// A call-out before it has its place.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Callout {
    /// Words, the first line larger.
    pub(super) lines: Vec<String>,
    /// What its leader may point at, one of them.
    pub(super) targets: Vec<Target>,
}

impl OpeningGroup<'_> {
    /// What the leader of its call-out may point at.
    pub(super) fn targets(&self, plate: &Plate) -> Vec<Target> {
        let members = self.members.iter().map(|(index, _)| *index);
        let pointed_at = members.filter(|index| self.all_alike() || *index == self.shown);
        pointed_at
            .map(|index| Target::Edge(plate.face.openings[index].clone()))
            .collect()
    }
}

/// Where the column is, in the picture.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Column {
    /// Where it is.
    pub(super) beside: Beside,
    /// Pens and letters.
    pub(super) draft: Drafting,
    /// Height of the first line of a call-out and of the further ones, mm on paper.
    pub(super) letters: [f64; 2],
    /// Left end of the words.
    pub(super) left: f64,
    /// Longest line.
    pub(super) width: f64,
    /// Lowest and highest place for words.
    pub(super) bottom: f64,
    /// Highest place for words.
    pub(super) top: f64,
}

/// What leaders point into.
pub(super) struct Scene<'a> {
    /// From the plate to the page.
    pub(super) scaled: Scaled,
    /// Openings that leaders go around where they can, in the plate's coordinates, with their boxes.
    pub(super) openings: Vec<(Bounds, &'a Contour)>,
    /// Lines that leaders keep clear of where they can, in the plate's coordinates.
    pub(super) lines: Vec<(Point, Point)>,
}

impl<'a> Scene<'a> {
    /// Openings with their boxes.
    pub(super) fn boxed(openings: &'a [Contour]) -> Vec<(Bounds, &'a Contour)> {
        openings.iter().map(|it| (it.bounds(), it)).collect()
    }
}

/// A call-out in its place.
struct Placed<'a> {
    callout: &'a Callout,
    /// Upper edge of its words.
    top: f64,
    /// What its leader points at.
    tip: Point,
    /// Whether an arrow ends there.
    is_arrow: bool,
}

impl Column {
    /// From the plate to the words of a column, at least, mm on paper.
    pub(super) const LEADERS: f64 = 6.0 + LANDING + ASIDE;

    /// The longest line of some call-outs, in mm of the picture.
    pub(super) fn width(callouts: &[Callout], letters: [f64; 2], unit: f64) -> f64 {
        let lines = callouts.iter().flat_map(|it| it.lines.iter().enumerate());
        let lengths = lines.map(|(index, line)| lettering::width(line, letters[index.min(1)]));
        lengths.fold(0.0, f64::max) * unit
    }

    /// Height that some call-outs take one above another, in mm of the picture.
    pub(super) fn height_of(&self, callouts: &[Callout]) -> f64 {
        let gap = GAP * self.draft.unit;
        callouts.iter().map(|it| self.height(it) + gap).sum()
    }

    fn height(&self, callout: &Callout) -> f64 {
        let further = callout.lines.len().saturating_sub(1) as f64;
        LEADING * (self.letters[0] + self.letters[1] * further) * self.draft.unit
    }

    /// Draws as many call-outs as there is room for, the first ones first, and says how many are
    /// left out.
    pub(super) fn draw(&self, picture: &mut Picture, callouts: &[Callout], scene: &Scene) {
        let shown = self.shown(callouts);
        for placed in self.placed(&callouts[..shown], scene) {
            let says = placed.callout.lines.join(", ");
            picture.grouped(Tag::new("call-out", says), |picture| {
                self.write(picture, &placed);
            });
        }
        if shown < callouts.len() {
            let text = format!(
                "{} more radii or sizes: see the DXF",
                callouts.len() - shown
            );
            let height = self.letters[1];
            self.line(
                picture,
                self.bottom + 0.4 * height * self.draft.unit,
                height,
                text,
            );
        }
    }

    /// Words on one line of the column.
    fn line(&self, picture: &mut Picture, y: f64, height: f64, text: String) {
        let anchor = match self.beside {
            Beside::Right => Anchor::Start,
            Beside::Left => Anchor::End,
        };
        let at = Point::new(self.inner(), y);
        picture.write(
            self.draft
                .words(at, anchor, height, text)
                .fitted(self.width),
        );
    }

    /// The end of the words that is next to the view.
    fn inner(&self) -> f64 {
        match self.beside {
            Beside::Right => self.left,
            Beside::Left => self.left + self.width,
        }
    }

    /// So far from the words towards the view.
    fn towards_view(&self, mm: f64) -> f64 {
        match self.beside {
            Beside::Right => -mm * self.draft.unit,
            Beside::Left => mm * self.draft.unit,
        }
    }

    /// How many fit.
    fn shown(&self, callouts: &[Callout]) -> usize {
        let room = self.top - self.bottom;
        if self.height_of(callouts) <= room {
            return callouts.len();
        }
        let last_line = (self.letters[1] * LEADING + GAP) * self.draft.unit;
        let fits = |count: &usize| self.height_of(&callouts[..*count]) + last_line <= room;
        (0..callouts.len()).rev().find(fits).unwrap_or(0)
    }

    /// Every call-out in its place, from top to bottom, leaders not crossing where they can be parted, and over
    /// no opening where there is a way around.
    fn placed<'a>(&self, callouts: &'a [Callout], scene: &Scene) -> Vec<Placed<'a>> {
        let mut best = self.arranged(callouts, scene, 0.0);
        let mut least = self.disorder(&best, scene);
        // Words that all stand below the height of what they are about send their leaders along one row of holes.
        let height = self.height_of(callouts);
        for share in [0.0, 0.25, 0.5, 0.75] {
            if least == 0 || callouts.len() > FEW {
                break;
            }
            let mut other = self.arranged(callouts, scene, share * height);
            self.swapped(&mut other, scene, share * height);
            let disorder = self.disorder(&other, scene);
            if disorder < least {
                (best, least) = (other, disorder);
            }
        }
        best
    }

    /// How much leaders run over openings and one another.
    fn disorder(&self, order: &[Placed], scene: &Scene) -> usize {
        let over = order
            .iter()
            .map(|it| self.over(it.tip, self.elbow(it), scene, usize::MAX));
        let pairs = (0..order.len()).flat_map(|i| (0..i).map(move |j| (i, j)));
        let crossing = pairs.filter(|(i, j)| self.cross(&order[*i], &order[*j]));
        over.sum::<usize>() + CROSSING * crossing.count()
    }

    /// Lets call-outs change places as long as that brings order.
    fn swapped(&self, order: &mut [Placed], scene: &Scene, lift: f64) {
        let mut least = self.disorder(order, scene);
        for _ in 0..ROUNDS {
            let before = least;
            for (i, j) in (0..order.len()).flat_map(|i| (0..i).map(move |j| (i, j))) {
                order.swap(i, j);
                self.stack(order, lift);
                let now = self.disorder(order, scene);
                if now < least {
                    least = now;
                } else {
                    order.swap(i, j);
                }
            }
            if least == before {
                break;
            }
        }
        self.stack(order, lift);
    }

    /// How many samples of a leader on the page lie in openings; a line that it crosses counts as some. Those past
    /// `enough` are not counted.
    fn over(&self, tip: Point, elbow: Point, scene: &Scene, enough: usize) -> usize {
        let (from, to) = (scene.scaled.back(tip), scene.scaled.back(elbow));
        let lines = scene.lines.iter();
        let crossed = lines.filter(|(a, b)| lines_cross(from, to, *a, *b));
        let crossed = LINE * crossed.count();
        let line = Bounds::around([from, to]);
        let near: Vec<_> = scene
            .openings
            .iter()
            .filter(|it| it.0.meets(line))
            .collect();
        if near.is_empty() || crossed >= enough {
            return crossed;
        }
        let steps = (tip.distance(elbow) / (SAMPLE * self.draft.unit))
            .ceil()
            .max(2.0);
        let samples = (1..steps as u32).map(|k| from.lerp(to, f64::from(k) / steps));
        let inside = samples.filter(|p| near.iter().any(|it| holds(it, *p)));
        crossed + inside.take(enough - crossed).count()
    }

    /// Call-outs by the height of what they are about, raised by `lift`.
    fn arranged<'a>(&self, callouts: &'a [Callout], scene: &Scene, lift: f64) -> Vec<Placed<'a>> {
        let far = Point::new(self.inner(), f64::midpoint(self.bottom, self.top));
        let mut order: Vec<Placed> = callouts
            .iter()
            .map(|callout| {
                let (tip, is_arrow) = self.tip(callout, far, scene);
                Placed {
                    callout,
                    top: 0.0,
                    tip,
                    is_arrow,
                }
            })
            .collect();
        order.sort_by(|a, b| b.tip.y.total_cmp(&a.tip.y));
        for _ in 0..ROUNDS {
            let before = tips(&order);
            self.stack(&mut order, lift);
            self.aim(&mut order, scene);
            self.part(&mut order, lift);
            if tips(&order) == before {
                break;
            }
        }
        order
    }

    /// Swaps neighbours whose leaders cross.
    fn part(&self, order: &mut [Placed], lift: f64) {
        for _ in 0..SWAPS {
            let crossing = (1..order.len()).find(|&i| self.cross(&order[i - 1], &order[i]));
            let Some(lower) = crossing else { break };
            order.swap(lower - 1, lower);
            self.stack(order, lift);
        }
    }

    /// Puts words as near to the height of their tips, raised by `lift`, as their order and the room allow.
    fn stack(&self, order: &mut [Placed], lift: f64) {
        let gap = GAP * self.draft.unit;
        let over_tip = self.first_middle() + CLIMB * self.draft.unit;
        let mut ceiling = self.top;
        for placed in order.iter_mut() {
            placed.top = (placed.tip.y + over_tip + lift).min(ceiling);
            ceiling = placed.top - self.height(placed.callout) - gap;
        }
        let mut floor = self.bottom;
        for placed in order.iter_mut().rev() {
            placed.top = placed.top.max(floor + self.height(placed.callout));
            floor = placed.top + gap;
        }
    }

    /// From the upper edge of a call-out to the middle of its first line.
    fn first_middle(&self) -> f64 {
        self.letters[0] * LEADING / 2.0 * self.draft.unit
    }

    /// Points every leader at the nearest of its targets.
    fn aim(&self, order: &mut [Placed], scene: &Scene) {
        for placed in order {
            (placed.tip, placed.is_arrow) = self.tip(placed.callout, self.elbow(placed), scene);
        }
    }

    fn elbow(&self, placed: &Placed) -> Point {
        Point::new(
            self.inner() + self.towards_view(ASIDE + LANDING),
            placed.top - self.first_middle(),
        )
    }

    fn cross(&self, a: &Placed, b: &Placed) -> bool {
        lines_cross(self.elbow(a), a.tip, self.elbow(b), b.tip)
    }

    fn write(&self, picture: &mut Picture, placed: &Placed) {
        let unit = self.draft.unit;
        let elbow = self.elbow(placed);
        let landing = elbow - Vector::new(self.towards_view(LANDING), 0.0);
        let points = [placed.tip, elbow, landing];
        if placed.is_arrow {
            self.draft.leader(picture, &points);
        } else {
            picture.stroke(Chain::through(&points), self.draft.aid());
        }
        let mut y = placed.top;
        for (index, line) in placed.callout.lines.iter().enumerate() {
            let height = self.letters[index.min(1)];
            y -= LEADING * height * unit;
            self.line(picture, y + 0.45 * height * unit, height, line.clone());
        }
    }

    /// The place that a leader from a point of the page best points at, on the page: near, and such that
    /// the leader does not run over openings on its way.
    fn tip(&self, callout: &Callout, near: Point, scene: &Scene) -> (Point, bool) {
        let factor = scene.scaled.factor;
        let from = scene.scaled.back(near);
        let spots = callout.targets.iter().flat_map(|target| match target {
            Target::Edge(edge) => {
                let around = edge.segments().iter();
                let around = around.flat_map(|it| [0.0, 0.25, 0.5, 0.75].map(|t| it.point_at(t)));
                let mut spots: Vec<Point> = around.collect();
                spots.push(edge.gap_to_point(from).from);
                spots.into_iter().map(|it| (it, true)).collect()
            }
            Target::Spot(spot) => vec![(*spot, true)],
            Target::Line(spot) => vec![(*spot, false)],
            Target::End(end, way) => {
                vec![(*end + *way * (PAST * self.draft.unit / factor), true)]
            }
        });
        let detour = DETOUR * self.draft.unit;
        let inside =
            |spot: Point, enough: usize| self.over(scene.scaled.point(spot), near, scene, enough);
        let away = |spot: Point| spot.distance(from) * factor;
        let mut nearest: Vec<_> = spots.map(|it| (away(it.0), it)).collect();
        nearest.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut best: Option<(f64, (Point, bool))> = None;
        for (away, it) in nearest {
            // No leader costs less than its length, and those that follow are longer still.
            if best.is_some_and(|(cost, _)| cost <= away) {
                break;
            }
            // With so many samples it costs more than the best.
            let enough = best.map_or(f64::INFINITY, |(least, _)| (least - away) / detour);
            let enough = (enough as usize).saturating_add(1);
            let cost = away + detour * inside(it.0, enough) as f64;
            if best.is_none_or(|(least, _)| cost < least) {
                best = Some((cost, it));
            }
        }
        best.map_or((near, true), |(_, (spot, is_arrow))| {
            (scene.scaled.point(spot), is_arrow)
        })
    }
}

/// Which call-out points where, from top to bottom.
fn tips<'a>(order: &[Placed<'a>]) -> Vec<(*const Callout, Point)> {
    let tip = |it: &Placed<'a>| (std::ptr::from_ref(it.callout), it.tip);
    order.iter().map(tip).collect()
}

fn holds((around, opening): &(Bounds, &Contour), p: Point) -> bool {
    around.meets(Bounds::around([p])) && opening.encloses(p)
}
