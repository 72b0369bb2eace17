//! Cut paths from outside: where leads go, how tables are read, and the virtual cut, in which an
//! independent engine burns every path with a disc of the kerf and what is left must be the plates.

mod at_the_table;
mod burn;
mod heat;
mod kerf_piece;
mod leads;
mod nested;
mod shapes;
mod sheet;
mod table_file;
mod tabs;
mod virtual_cut;
