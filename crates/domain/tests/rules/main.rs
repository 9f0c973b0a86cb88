//! The rules of the middle, as tables worked by hand and as laws that hold for all walls, mixes and prices.

mod build_up;
mod caution;
mod coat;
mod estimate;
mod faults;
mod floor;
mod ground;
mod laws;
mod mix;
mod openings;
mod oven;
mod parts_sample;
mod payment;
mod resource_faults;
mod sample;
mod stem_wall;
mod system_adobe;
mod system_balance;
mod system_orders;
mod system_rammed_earth;
mod system_sample;
mod system_straw_bale;
mod system_straw_clay;
mod system_wattle;
mod takeoff;
mod work;
