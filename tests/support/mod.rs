//! What several tests share; each test program uses its own part of it.

#![allow(
    dead_code,
    unreachable_pub,
    reason = "each test program uses its own share"
)]

pub mod bench;
pub mod cart;
pub mod family_sets;
pub mod kernel_check;
pub mod nest_check;
pub mod random_plates;
