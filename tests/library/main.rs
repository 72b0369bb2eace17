//! The library from outside: each stage against published values, handbooks and independent engines.

mod bolted;
mod check_limits;
mod crowded_sheets;
mod cut;
mod datum;
mod drawings_read;
mod dxf_read_back;
mod expressions;
mod families;
mod governing;
mod holding;
mod holding_by_hand;
mod hostile;
mod kernel_fuzz;
mod kernel_hard_contacts;
mod kernel_regressions;
mod last_look;
mod lint;
mod measure;
mod necks;
mod nest_arcs;
mod nest_left;
mod nest_place;
mod nest_shelves;
mod picture_pixels;
mod random_plates;
mod recipe;
mod recipe_families;
mod recovery;
mod redrill;
mod remedies;
mod report_figures;
mod shelf_at_random;
mod svg_pictures;
mod trade_any_input;
mod trade_published;

#[path = "../support/mod.rs"]
mod support;
mod svg_read;
