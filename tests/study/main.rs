//! What is done with rules and runs: checked, compared, explored, inferred, swept, tried on site.

mod check;
mod compare;
mod filled;
mod handover;
mod infer;
mod library;
mod reach;
mod reference;
mod register;
mod review;
mod scenarios;
mod settings_command;
mod settings_table;
mod sheet;
#[path = "../shipped/mod.rs"]
mod shipped;
mod site;
#[path = "../sources/mod.rs"]
mod sources;
mod sweep;
mod worst;
mod wrong_settings;
