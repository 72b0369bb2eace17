//! The program as a builder runs it: what it writes, what it says, and its exit codes.

mod agreement;
mod at_the_table;
mod command_line;
mod datum;
mod drawing;
mod drawn_plates;
mod foreign_drawings;
mod holes;
mod interrupt;
mod kerf;
mod limits;
mod messages;
mod nest_remnant;
mod nothing_lost;
mod ours_and_theirs;
mod page;
mod paper;
mod picture_ids;
mod plain_plates;
mod program_read_back;
mod readme;
mod report_page;
mod same_bytes;
mod screens;
mod scribing;
mod strange_names;
mod words_shown;
mod workshop;

#[path = "../support/mod.rs"]
mod support;
