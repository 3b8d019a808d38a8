//! Campaigns: inputs that nobody means well, at every door, with what must hold whatever comes.
//!
//! Not part of `cargo test`: `cargo test --test hostile` runs them with a seed of the day, which a
//! failure prints. `SETBAND_SEED=N` runs that one again; `SETBAND_ROUNDS=N` says how many inputs each
//! campaign tries.

#[path = "../served/client.rs"]
mod client;
mod draw;
mod invariants;
mod journal;
mod scenario;
#[path = "../served/mod.rs"]
mod served;
mod server;
mod table;
mod weather;
mod worst;
