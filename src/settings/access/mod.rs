//! How settings that hang together are read from a zone and written to it.

pub(super) mod absence;
pub(super) mod locks;
pub(super) mod sensing;
pub(super) mod setpoints;
pub(super) mod sharing;
pub(super) mod unit;

use crate::time::Seconds;

/// Timers are tried at twice their time, and at least so much more.
const LEAST_TIME: Seconds = Seconds::minutes(10);

/// Another length of time that shows.
pub(crate) fn longer(time: Seconds) -> Seconds {
    Seconds::new(time.get() + time.get().max(LEAST_TIME.get()))
}

/// A setting of a zone that is a field of its own: its name, what it governs, the field, and the
/// kind of value.
macro_rules! zone_field {
    ($name:literal, $governs:expr, $($field:ident).+ : $kind:ident) => {
        $crate::settings::Setting::of_zone(
            $name,
            $governs,
            |zone| $crate::settings::Value::from(zone.$($field).+),
            |zone, to| {
                zone.$($field).+ = to.$kind()?;
                Some(())
            },
        )
    };
}
pub(super) use zone_field;

/// A temperature or a difference of the setback.
macro_rules! setback_field {
    ($name:literal, $field:ident) => {
        $crate::settings::Setting::of_zone(
            $name,
            $crate::settings::Governs::Absence,
            |zone| {
                zone.controls.setback.map_or($crate::settings::Value::Nothing, |setback| {
                    setpoints::degrees(zone, setback.$field)
                })
            },
            |zone, to| {
                let ticks = setpoints::ticks(zone, to)?;
                zone.controls.setback.as_mut()?.$field = ticks;
                Some(())
            },
        )
        .line("Setback")
    };
}
pub(super) use setback_field;
