//! The rules of the middle, as tables worked by hand and as laws that hold for all walls, mixes and prices.

mod build_up;
mod coat;
mod estimate;
mod faults;
mod laws;
mod mix;
mod parts_sample;
mod resource_faults;
mod sample;
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
