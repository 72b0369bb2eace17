//! The recipe language from outside: what a recipe comes to, and what a mistake in one is told.

mod bad_input;
mod forms;
mod geometry;
mod job;
mod joints;
mod language;
mod left_out;
mod lists_and_tables;
mod sharing;
mod shown;
mod specks_and_margins;
mod workbench;
