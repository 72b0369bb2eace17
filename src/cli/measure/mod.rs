//! `measure`: caliper readings to dimensions.

mod circle;
mod kerf;
mod outline;

use super::args::{MeasureArgs, MeasureCommand, ShelfArgs};
use super::screen::Screen;
use crate::fault::Outcome;

pub(super) fn run(options: &MeasureArgs, shelf: &ShelfArgs, screen: &Screen) -> Outcome<u8> {
    match &options.command {
        MeasureCommand::Chord(args) => circle::chord(args, screen),
        MeasureCommand::Points(args) => circle::points(args, screen),
        MeasureCommand::Rise(args) => circle::rise(args, screen),
        MeasureCommand::Outline(args) => outline::run(args, screen),
        MeasureCommand::Kerf(args) => kerf::run(args, shelf, screen),
    }
}
