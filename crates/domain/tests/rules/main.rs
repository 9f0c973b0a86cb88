//! The rules of the middle, as tables worked by hand and as laws that hold for all walls, mixes and prices.

mod build_up;
mod estimate;
mod faults;
mod laws;
mod mix;
mod resource_faults;
mod sample;
mod takeoff;
mod work;
