//! `measure`: caliper readings to dimensions.

mod circle;

use super::args::{MeasureArgs, MeasureCommand};
use super::screen::Screen;
use crate::fault::Outcome;

pub(super) fn run(options: &MeasureArgs, screen: &Screen) -> Outcome<u8> {
    match &options.command {
        MeasureCommand::Chord(args) => circle::chord(args, screen),
        MeasureCommand::Points(args) => circle::points(args, screen),
        MeasureCommand::Rise(args) => circle::rise(args, screen),
    }
}
