//! The program as it is run, against a stand-in for the server that answers by the contract with figures made up here.
//! What the real server answers is for the workspace's stories.
#![allow(clippy::unwrap_used)]

mod answers;
mod commerce;
mod faults;
mod help;
mod nouns;
mod program;
mod soil_work;
mod stand_in;
