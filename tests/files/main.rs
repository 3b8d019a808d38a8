//! Files that are read and files that are written: scenarios, weather, the sources themselves, and
//! the bytes that come of the shipped scenarios.

mod architecture;
mod golden;
mod log_block;
mod pictures;
#[path = "../report/program/mod.rs"]
mod program;
mod scenario_edit;
mod scenario_faults;
mod scenario_files;
mod scenario_groups;
mod scenario_hostile;
mod scenario_places;
#[path = "../shipped/mod.rs"]
mod shipped;
mod site_log;
#[path = "../sources/mod.rs"]
mod sources;
mod supply_chain;
mod weather;
