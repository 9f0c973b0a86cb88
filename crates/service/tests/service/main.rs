//! The service as its clients meet it: the real program on a real database, called over gRPC. One program of tests, so
//! that it is linked once; a module for each noun and each promise.

mod crews;
mod deadlines;
mod descriptors;
mod ending;
mod estimates;
mod every_method;
mod first_start;
mod jobs;
mod labour_constants;
mod labour_rates;
mod limits;
mod materials;
mod mix_trials;
mod mixes;
mod numbers;
mod paging;
mod prices;
mod regions;
mod renewals;
mod rule_packs;
mod sites;
mod soil_tests;
mod straw_clay;
mod stream;
mod support;
mod systems;
mod tls;
mod transport;
mod trial_mixes;
mod writing;
