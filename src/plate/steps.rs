//! The steps of a plate worked out: expressions to numbers, shapes into their places.
//!
//! In: a plan and the values of its names. Out: a [`Construction`], or every step that cannot be
//! worked out.

use std::f64::consts::PI;

use crate::fault::{Fault, Faults, Outcome, Refusal};
use crate::geometry::{Circle, Point, Pose, Region, Vector};
use crate::lettering;
use crate::quantity::{Dimension, Scope as _, format};
use crate::recipe::joint::{Edge, Joint};
use crate::recipe::named_shape::NamedShape;
use crate::recipe::plate_spec::PlateSpec;
use crate::recipe::step::{
    Action, CutAttributes, EdgeRole, Placing, Position, Scribe, Shape, Step,
};
use crate::recipe::template::Template;
use crate::recipe::words::{Corners, Fold, Operation, Purpose};
use crate::recipe::{Cutting, Part, limits};
use crate::toml_text::holds;
use crate::toml_text::{Formula, Names};

use super::construction::{Construction, Cut, ShapeInstance, Stage, Work};
use super::drawing::Outlines;
use super::placing::{Places, left_for_right, places, point};
use super::shape::joining::{self, JointSizes};
use super::shaping::shaped;
use super::{Bend, Datum, Mark, Shown, WantedSize};

/// Room between a tab and its slot, on each side, mm, where the recipe says none. Common practice, no source.
const USUAL_CLEARANCE: f64 = 0.2;

/// Which of a pair a plate is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Side {
    /// As the recipe draws it.
    Drawn,
    /// Flipped left for right; words stay readable.
    Flipped,
}

/// Works out every step of a plan that counts.
pub(super) fn constructed(
    part: &Part,
    plan: &PlateSpec,
    names: &Names,
    side: Side,
) -> Outcome<Construction<'static>> {
    let mut bench = Bench {
        part,
        names: names.clone(),
        side,
        made: Construction::default(),
        numbers: Vec::new(),
        frames: Vec::new(),
        copies: 0,
    };
    let mut faults = Vec::new();
    for (index, step) in plan.steps.iter().enumerate() {
        if let Err(fault) = bench.step(index, step) {
            faults.push(part.blamed(fault));
        }
    }
    if let Err(fault) = bench.told(plan) {
        faults.push(part.blamed(fault));
    }
    Faults::check(faults)?;
    Ok(bench.made)
}

struct Bench<'a> {
    part: &'a Part,
    names: Names,
    side: Side,
    made: Construction<'static>,
    /// How many places of each name there are so far.
    numbers: Vec<(String, u32)>,
    /// Where the named shape goes whose steps are carried out, if they are.
    frames: Vec<Pose>,
    /// How many copies there are so far.
    copies: usize,
}

impl Bench<'_> {
    /// Carries out a step, for each row of its list if it has one.
    fn step(&mut self, index: usize, step: &Step) -> Result<(), Fault> {
        let Some(each) = &step.each else {
            return self.once(index, step);
        };
        let Some(rows) = self.names.rows(each.as_str()) else {
            return self
                .names
                .failure(each.as_str())
                .cloned()
                .map_or(Ok(()), Err);
        };
        let outer = self.names.clone();
        let done = (0..rows.len()).try_for_each(|row| {
            self.names.enter(&rows, row);
            self.once(index, step)
        });
        self.names = outer;
        done
    }

    fn once(&mut self, index: usize, step: &Step) -> Result<(), Fault> {
        if !holds(step.when.as_ref(), &self.names)? {
            return Ok(());
        }
        match &step.action {
            Action::Shape {
                operation,
                shape,
                placing,
                hole,
            } => self.shape(index, step, *operation, shape, placing, hole),
            Action::Hollow { wall } => {
                let wall = wall.size(&self.names, "`hollow`")?;
                self.stage(index, Work::Hollow(wall));
                Ok(())
            }
            Action::Round {
                corners,
                radius,
                near,
            } => self.round(index, *corners, radius, near.as_deref()),
            Action::Show { shape, placing } => self.show(step, shape, placing),
            Action::Scribe { mark, placing } => self.scribe(step, mark, placing),
            Action::Use {
                shape,
                with,
                placing,
            } => self.named_shape(index, shape, with, placing),
            Action::Tabs(joint) => self.tabs(index, joint),
            Action::Slots(joint) => self.slots(index, step, joint),
            Action::Bend {
                fold,
                from,
                to,
                angle,
                radius,
            } => self.bend(*fold, [from, to], angle, radius),
        }
    }

    fn shape(
        &mut self,
        index: usize,
        step: &Step,
        operation: Operation,
        shape: &Shape,
        placing: &Placing,
        hole: &CutAttributes,
    ) -> Result<(), Fault> {
        let Outlines {
            region,
            findings,
            drawn_on,
        } = shaped(self.part, step, shape, &self.names)?;
        self.made.drawn_on.extend(drawn_on);
        for finding in findings {
            if !self.made.findings.contains(&finding) {
                self.made.findings.push(finding);
            }
        }
        let places = self.places(step, placing)?;
        let regions = places.poses.iter();
        let regions: Vec<(u32, Region)> = regions
            .map(|(number, pose)| (*number, self.posed(shape, &region, pose)))
            .collect();
        if hole.edge == EdgeRole::Mating {
            let contours = regions.iter().flat_map(|(_, copy)| copy.contours());
            self.made.mating.extend(contours.cloned());
        }
        let first_cut = self.made.cuts.len();
        if operation == Operation::Cut {
            self.cut(index, step, hole, &places, &regions)?;
        }
        let copies = regions.into_iter().zip(first_cut..);
        let copies = copies.map(|((_, region), cut)| ShapeInstance {
            region,
            cut: (operation == Operation::Cut).then_some(cut),
        });
        let copies: Vec<ShapeInstance> = copies.collect();
        // Cutting nothing changes nothing, but keeping nothing leaves nothing.
        if operation == Operation::Keep || !copies.is_empty() {
            self.stage(index, Work::Shapes(operation, copies));
        }
        Ok(())
    }

    /// Records what every copy of a cut is for.
    fn cut(
        &mut self,
        index: usize,
        step: &Step,
        hole: &CutAttributes,
        places: &Places,
        regions: &[(u32, Region)],
    ) -> Result<(), Fault> {
        let thread = hole.thread.as_ref();
        let thread = thread.map(|formula| formula.words(&self.names, "`thread`"));
        let thread = thread.transpose()?;
        let before = self.number(step.title(), places.numbers);
        let cuts = regions.iter().map(|(number, region)| Cut {
            step: index,
            title: step.title().to_owned(),
            number: before + number,
            purpose: hole.purpose.unwrap_or(Purpose::Window),
            thread: thread.clone(),
            finish: hole.finish,
            circle: circle_of(region),
            region: region.clone(),
            pattern: places.pattern,
        });
        self.made.cuts.extend(cuts);
        Ok(())
    }

    /// Notes what is shown beside the plate.
    fn show(&mut self, step: &Step, shape: &Shape, placing: &Placing) -> Result<(), Fault> {
        let region = shaped(self.part, step, shape, &self.names)?.region;
        let places = self.places(step, placing)?;
        for (_, pose) in &places.poses {
            let region = self.posed(shape, &region, pose);
            let says = step.title().to_owned();
            self.made.beside.shown.push(Shown { says, region });
        }
        Ok(())
    }

    /// A place on the side of the plate that is made.
    fn point(&self, at: &Position) -> Result<Point, Fault> {
        let at = point(at, &self.names)?;
        Ok(match self.side {
            Side::Drawn => at,
            Side::Flipped => left_for_right().point(at),
        })
    }

    /// Where the recipe says that places are measured from, and the sizes that it wants drawn.
    fn told(&mut self, plan: &PlateSpec) -> Result<(), Fault> {
        if let Some((at, says)) = &plan.datum {
            self.made.beside.datum = Some(Datum {
                at: self.point(at)?,
                says: says.as_str().to_owned(),
            });
        }
        for size in &plan.sizes {
            if holds(size.when.as_ref(), &self.names)? {
                self.made.beside.sizes.push(WantedSize {
                    from: self.point(&size.from)?,
                    to: self.point(&size.to)?,
                    says: size.says.filled(&self.names)?,
                });
            }
        }
        Ok(())
    }

    fn round(
        &mut self,
        index: usize,
        corners: Corners,
        radius: &Formula,
        near: Option<&(Position, Formula)>,
    ) -> Result<(), Fault> {
        let asked = radius.length(&self.names, "`radius`")?;
        if asked < 0.0 {
            let message = format!("`radius` comes to {}", format::both_units(asked));
            return Err(radius.text().fault(message).remedy("write 0 mm or more"));
        }
        if asked > 0.0 {
            let near = match near {
                Some((at, reach)) => Some(Circle {
                    centre: self.point(at)?,
                    radius: reach.size(&self.names, "`reach`")?,
                }),
                None => None,
            };
            self.stage(index, Work::Round(corners, asked, near));
        }
        Ok(())
    }

    fn scribe(&mut self, step: &Step, mark: &Scribe, placing: &Placing) -> Result<(), Fault> {
        let mark = match mark {
            Scribe::Line { from, to } => Mark::Line {
                from: point(from, &self.names)?,
                to: point(to, &self.names)?,
            },
            Scribe::Circle { diameter } => Mark::Circle {
                centre: Point::ORIGIN,
                diameter: diameter.size(&self.names, "`diameter`")?,
            },
            Scribe::Centre => Mark::Centre { at: Point::ORIGIN },
            Scribe::Text { text, height } => Mark::Text {
                at: Point::ORIGIN,
                height: height.size(&self.names, "`height`")?,
                turn: 0.0,
                text: self.scribed_words(text)?,
            },
        };
        let places = self.places(step, placing)?;
        let marks = places.poses.iter().map(|(_, pose)| mark.posed(pose));
        self.made.marks.extend(marks);
        Ok(())
    }

    /// Words to scribe; a letter that the alphabet does not have is refused, as where it is cut.
    fn scribed_words(&self, text: &Template) -> Result<String, Fault> {
        let words = text.filled(&self.names)?;
        match lettering::unknown(&words) {
            None => Ok(words),
            Some(unknown) => {
                let message = format!("the alphabet has no \"{unknown}\" to scribe");
                let fault = text.text().fault(message);
                Err(fault.remedy("use Latin letters, digits and signs"))
            }
        }
    }

    fn bend(
        &mut self,
        fold: Fold,
        [from, to]: [&Position; 2],
        angle: &Formula,
        radius: &Formula,
    ) -> Result<(), Fault> {
        let turned = angle.angle(&self.names, "`angle`")?;
        if turned <= 0.0 || turned > PI {
            let message = format!("`angle` comes to {}", format::degrees(turned));
            let fault = angle.text().fault(message);
            return Err(fault.remedy("a bend turns by more than 0 and at most 180 deg"));
        }
        let inside = radius.length(&self.names, "`radius`")?;
        if inside < 0.0 {
            let message = format!("`radius` comes to {}", format::both_units(inside));
            return Err(radius.text().fault(message).remedy("write 0 mm or more"));
        }
        let bend = Bend {
            from: point(from, &self.names)?,
            to: point(to, &self.names)?,
            angle: turned,
            radius: inside,
            fold,
        };
        let poses = self.framed(&[(1, Pose::IDENTITY)], 1);
        self.copies += poses.len();
        if self.copies > limits::ALL_COPIES {
            let message = format!("this makes more than {} copies", limits::ALL_COPIES);
            return Err(angle
                .text()
                .fault(message)
                .remedy("use the shape less often"));
        }
        for (_, pose) in poses {
            self.made.bends.push(bend.posed(&pose));
        }
        Ok(())
    }

    /// The steps of a named shape, each at all places of the shape before the next.
    fn named_shape(
        &mut self,
        index: usize,
        shape: &NamedShape,
        with: &[(String, Formula)],
        placing: &Placing,
    ) -> Result<(), Fault> {
        let outer = self.names.clone();
        for (name, usual) in &shape.takes {
            let given = with.iter().find(|(known, _)| known == name);
            let value = match given {
                Some((_, formula)) => formula.value(&outer)?,
                None => usual.value(&self.names)?,
            };
            self.names.set(name, value);
        }
        let frames = places(placing, &outer)?.poses;
        self.frames = frames.into_iter().map(|(_, pose)| pose).collect();
        let done = if self.frames.is_empty() {
            Ok(())
        } else {
            shape
                .steps
                .iter()
                .try_for_each(|step| self.step(index, step))
        };
        self.frames = Vec::new();
        self.names = outer;
        done
    }

    /// The numbers of a joint on the plate with the tabs, or on that with the slots.
    fn joint(&self, joint: &Joint, edge: &Edge) -> Result<JointSizes, Fault> {
        let names = &self.names;
        let thickness = |formula: &Option<Formula>| match formula {
            Some(formula) => formula.size(names, "`thickness`"),
            None => {
                let known = names.value("thickness");
                let known = known.and_then(|it| it.expect(Dimension::LENGTH).ok());
                known.ok_or_else(|| edge.plate.fault("the thickness of this plate is not known"))
            }
        };
        let size = |formula: &Option<Formula>, what: &str, usual: f64| match formula {
            Some(formula) => formula.length(names, what),
            None => Ok(usual),
        };
        let Cutting { process, kerf } = self.part.cutting;
        let clearance = size(&joint.clearance, "`clearance`", USUAL_CLEARANCE)?;
        if clearance < 0.0 {
            let at = joint.clearance.as_ref().map_or(&edge.plate, Formula::text);
            let fault = at.fault(format!(
                "`clearance` comes to {}",
                format::both_units(clearance)
            ));
            return Err(fault.remedy("write 0 mm or more"));
        }
        Ok(JointSizes {
            from: point(&edge.from, names)?,
            to: point(&edge.to, names)?,
            count: joint.count.count(names, limits::TABS, "`count`")?,
            width: joint.width.size(names, "`width`")?,
            reach: match &joint.reach {
                Some(reach) => reach.size(names, "`reach`")?,
                None => thickness(&joint.thickness[1])?,
            },
            clearance,
            thickness: thickness(&joint.thickness[0])?,
            relief: joining::relief(kerf, process),
        })
    }

    fn tabs(&mut self, index: usize, joint: &Joint) -> Result<(), Fault> {
        let sizes = self.joint(joint, &joint.tabs)?;
        let (tabs, rounds) = sizes.tabs().map_err(|why| self.unjoined(joint, why))?;
        self.mates(&tabs);
        for (operation, shapes) in [(Operation::Add, tabs), (Operation::Cut, rounds)] {
            let shapes = self.on_side(shapes).into_iter();
            let copies = shapes.map(|region| ShapeInstance { region, cut: None });
            let copies: Vec<ShapeInstance> = copies.collect();
            if !copies.is_empty() {
                self.stage(index, Work::Shapes(operation, copies));
            }
        }
        Ok(())
    }

    fn slots(&mut self, index: usize, step: &Step, joint: &Joint) -> Result<(), Fault> {
        let sizes = self.joint(joint, &joint.slots)?;
        let slots = sizes.slots().map_err(|why| self.unjoined(joint, why))?;
        self.mates(&slots);
        let regions = (1..).zip(self.on_side(slots)).collect::<Vec<_>>();
        let places = Places {
            poses: Vec::new(),
            numbers: regions.len() as u32,
            pattern: None,
        };
        let hole = CutAttributes {
            purpose: Some(Purpose::TabSlot),
            ..CutAttributes::default()
        };
        let first = self.made.cuts.len();
        self.cut(index, step, &hole, &places, &regions)?;
        let copies = regions.into_iter().zip(first..);
        let copies = copies.map(|((_, region), cut)| ShapeInstance {
            region,
            cut: Some(cut),
        });
        let copies: Vec<ShapeInstance> = copies.collect();
        if !copies.is_empty() {
            self.stage(index, Work::Shapes(Operation::Cut, copies));
        }
        Ok(())
    }

    /// Records edges that fit another part.
    fn mates(&mut self, shapes: &[Region]) {
        let shapes = self.on_side(shapes.to_vec());
        let contours = shapes.iter().flat_map(Region::contours);
        self.made.mating.extend(contours.cloned());
    }

    /// Shapes in the plate's own coordinates, flipped with it.
    fn on_side(&self, shapes: Vec<Region>) -> Vec<Region> {
        match self.side {
            Side::Drawn => shapes,
            Side::Flipped => shapes
                .iter()
                .map(|it| it.posed(&left_for_right()))
                .collect(),
        }
    }

    fn unjoined(&self, joint: &Joint, why: Refusal) -> Fault {
        let why = why.reworded(|why| format!("\"{}\" cannot be joined: {why}", joint.says));
        Fault::refused(why).at(&self.part.family.source, joint.span.clone())
    }

    fn stage(&mut self, step: usize, work: Work) {
        self.made.stages.push(Stage { step, work });
    }

    /// Where the copies of a step go on this side of a pair.
    fn places(&mut self, step: &Step, placing: &Placing) -> Result<Places, Fault> {
        let mut places = places(placing, &self.names)?;
        let frames = self.frames.len().max(1);
        self.copies += places.poses.len() * frames;
        if self.copies > limits::ALL_COPIES {
            let message = format!("this makes more than {} copies", limits::ALL_COPIES);
            let fault = Fault::refused(message).at(&step.place.source, step.place.span.clone());
            return Err(fault.remedy("use a smaller `count`"));
        }
        places.poses = self.framed(&places.poses, places.numbers);
        places.numbers *= frames as u32;
        places.pattern = places.pattern.filter(|_| frames == 1);
        Ok(places)
    }

    /// Copies of which there are so many at every place of the named shape, on this side of a pair.
    fn framed(&self, poses: &[(u32, Pose)], numbers: u32) -> Vec<(u32, Pose)> {
        let own = [Pose::IDENTITY];
        let frames = if self.frames.is_empty() {
            &own[..]
        } else {
            &self.frames
        };
        let framed = (0..).zip(frames).flat_map(|(before, frame)| {
            let each = poses.iter();
            each.map(move |(number, pose)| (before * numbers + number, pose.then(frame)))
        });
        let mut framed: Vec<(u32, Pose)> = framed.collect();
        if self.side == Side::Flipped {
            for (_, pose) in &mut framed {
                *pose = pose.then(&left_for_right());
            }
        }
        framed
    }

    /// A shape in its place; letters on the flipped side of a pair are flipped about their middle
    /// first, so that they can be read.
    fn posed(&self, shape: &Shape, region: &Region, pose: &Pose) -> Region {
        if self.side == Side::Flipped && matches!(shape, Shape::Text { .. }) {
            let across = 2.0 * region.bounds().centre().x;
            let back = left_for_right().then(&Pose::shifted(Vector::new(across, 0.0)));
            return region.posed(&back.then(pose));
        }
        region.posed(pose)
    }

    /// How many places a name had before, and makes it so many more.
    fn number(&mut self, title: &str, more: u32) -> u32 {
        let known = self.numbers.iter_mut().find(|(known, _)| known == title);
        let Some((_, count)) = known else {
            self.numbers.push((title.to_owned(), more));
            return 0;
        };
        let before = *count;
        *count += more;
        before
    }
}

fn circle_of(region: &Region) -> Option<Circle> {
    match region.faces.as_slice() {
        [face] if face.openings.is_empty() => face.outside.as_circle(),
        _ => None,
    }
}
