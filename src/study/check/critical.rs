//! Rooms whose contents depend on their climate.

use crate::engine::Zone;

/// Rooms that need a system of their own, as their names give them away: common practice, no
/// source.
const NAMES: [&str; 6] = ["server", "data room", "pharmac", "laborator", "comms room", "vaccine"];

/// Whether a zone's name or label sounds like a room whose contents depend on its climate.
pub fn is_critical_room(zone: &Zone) -> bool {
    let names = format!("{} {}", zone.label, zone.id.replace(['_', '-'], " ")).to_lowercase();
    NAMES.iter().any(|name| names.contains(name))
}
