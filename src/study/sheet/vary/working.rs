//! Calls, timers, the sensor and what works while nobody is there, changed.

use super::{List, longer};
use crate::control::{
    Display, LowLimit, Occupancy, OptimumStart, SensorPlace, Setback, Ticks, ZoneControls,
};
use crate::engine::Zone;
use crate::time::Seconds;
use crate::units::TemperatureUnit;

/// A low limit where there is none, degrees C: common practice, no source.
const FROST: f64 = 5.0;
/// After this a zone goes off that does not by itself.
const HALF_A_DAY: Seconds = Seconds::hours(12);
/// A setting that is left out.
const NONE: &str = "none";

impl List<'_> {
    pub(super) fn thermostat(&mut self, at: usize, zone: &Zone) {
        let thermostat = zone.controls.thermostat;
        let step = zone.controls.settings.grid.step();
        let start = thermostat.call_start + step;
        self.zone(at, "controls.call_start", start.to_string(), |zone| {
            zone.controls.thermostat.call_start = start;
        });
        let stop = thermostat.call_stop + step;
        self.zone(at, "controls.call_stop", stop.to_string(), |zone| {
            zone.controls.thermostat.call_stop = stop;
        });
        let delay = longer(thermostat.changeover_delay);
        self.zone(at, "controls.changeover_delay", delay.to_string(), |zone| {
            zone.controls.thermostat.changeover_delay = delay;
        });
        let on = longer(thermostat.min_on);
        self.zone(at, "unit.min_on", on.to_string(), |zone| zone.controls.thermostat.min_on = on);
        let off = longer(thermostat.min_off);
        self.zone(at, "unit.min_off", off.to_string(), |zone| {
            zone.controls.thermostat.min_off = off;
        });
        self.by_itself(at, zone);
    }

    /// What a zone does without a key.
    fn by_itself(&mut self, at: usize, zone: &Zone) {
        let unit = zone.controls.settings.grid.unit();
        let frost = LowLimit { below: unit.from_celsius(FROST), until: unit.from_celsius(FROST) };
        let limit = zone.controls.low_limit.unwrap_or(frost);
        let (below, until) = (limit.below + 1.0, limit.until + 1.0);
        self.zone(at, "controls.low_limit", below.to_string(), |zone| {
            zone.controls.low_limit = Some(LowLimit { below, until });
        });
        let after = zone.controls.auto_off.map_or(HALF_A_DAY, longer);
        self.zone(at, "controls.auto_off", after.to_string(), |zone| {
            zone.controls.auto_off = Some(after);
        });
        if zone.controls.low_limit.is_some() {
            self.zone(at, "controls.low_limit", NONE.into(), |zone| zone.controls.low_limit = None);
        }
        if zone.controls.auto_off.is_some() {
            self.zone(at, "controls.auto_off", NONE.into(), |zone| zone.controls.auto_off = None);
        }
    }

    pub(super) fn sensing(&mut self, at: usize, zone: &Zone) {
        let sensor = zone.controls.sensor;
        let offset = sensor.offset + zone.controls.settings.grid.step();
        self.zone(at, "controls.sensor.offset", offset.to_string(), |zone| {
            zone.controls.sensor.offset = offset;
        });
        let lag = longer(sensor.lag);
        self.zone(at, "controls.sensor.lag", lag.to_string(), |zone| {
            zone.controls.sensor.lag = lag;
        });
        let resolution = if sensor.resolution > 0.0 { 2.0 * sensor.resolution } else { 1.0 };
        self.zone(at, "controls.sensor.resolution", resolution.to_string(), |zone| {
            zone.controls.sensor.resolution = resolution;
        });
        let (place, other) = match sensor.place {
            SensorPlace::Room => {
                ("return_air", SensorPlace::ReturnAir { heating: 1.0, cooling: 0.0 })
            }
            SensorPlace::ReturnAir { .. } | SensorPlace::Controllers { .. } => {
                ("room", SensorPlace::Room)
            }
        };
        self.zone(at, "controls.sensor.place", place.into(), |zone| {
            zone.controls.sensor.place = other;
        });
        if let SensorPlace::ReturnAir { heating, cooling } = sensor.place {
            let warmer = heating + 1.0;
            self.zone(at, "controls.sensor.stratification", warmer.to_string(), |zone| {
                zone.controls.sensor.place = SensorPlace::ReturnAir { heating: warmer, cooling };
            });
        }
        let stored = zone.controls.settings.grid.unit();
        let other = match stored {
            TemperatureUnit::Celsius => TemperatureUnit::Fahrenheit,
            TemperatureUnit::Fahrenheit => TemperatureUnit::Celsius,
        };
        let shown = if zone.controls.settings.display.is_some() { stored } else { other };
        self.zone(at, "controls.shown_unit", shown.letter().into(), |zone| {
            zone.controls.settings.display = Display::new(stored, shown);
        });
    }

    pub(super) fn absence(&mut self, at: usize, zone: &Zone) {
        self.presence(at, zone);
        let grid = zone.controls.settings.grid;
        let Some(setback) = zone.controls.setback else { return };
        self.zone(at, "controls.setback", NONE.into(), |zone| zone.controls.setback = None);
        let show = |ticks: Ticks| grid.value(ticks).to_string();
        let heat = setback.heat + Ticks::ONE;
        self.zone(at, "controls.setback.heat", show(heat), |zone| {
            zone.controls.setback = Some(Setback { heat, ..setback });
        });
        let cool = setback.cool + Ticks::ONE;
        self.zone(at, "controls.setback.cool", show(cool), |zone| {
            zone.controls.setback = Some(Setback { cool, ..setback });
        });
        let heat_low = setback.heat_low + Ticks::ONE;
        self.zone(at, "controls.setback.heat_low", show(heat_low), |zone| {
            zone.controls.setback = Some(Setback { heat_low, ..setback });
        });
        let cool_high = setback.cool_high - Ticks::ONE;
        self.zone(at, "controls.setback.cool_high", show(cool_high), |zone| {
            zone.controls.setback = Some(Setback { cool_high, ..setback });
        });
        let time = longer(zone.controls.override_time);
        self.zone(at, "controls.setback.override_time", time.to_string(), |zone| {
            zone.controls.override_time = time;
        });
    }

    /// How the zone knows whether somebody is there.
    fn presence(&mut self, at: usize, zone: &Zone) {
        let other = match &zone.controls.occupancy {
            Occupancy::Always | Occupancy::People => return,
            Occupancy::Sensor { hold } => Occupancy::Sensor { hold: longer(*hold) },
            Occupancy::Schedule(spans) => {
                let start = zone.controls.optimum_start.map_or(Seconds::ZERO, |it| it.most);
                let most = longer(start);
                self.zone(at, "controls.occupancy.optimum_start", most.to_string(), |zone| {
                    zone.controls.optimum_start = Some(OptimumStart { most });
                });
                Occupancy::Schedule(spans.iter().skip(1).copied().collect())
            }
        };
        self.zone(at, "controls.occupancy", "other times".into(), |zone| {
            zone.controls.occupancy = other;
        });
    }
}

/// A setting that is added to controls has to be changed here, too: without that this does not
/// build. The start value that stands for nothing changes nothing.
pub(super) const fn every_setting_is_known(controls: &ZoneControls) {
    let ZoneControls {
        settings: _,
        start: _,
        direction: _,
        thermostat: _,
        low_limit: _,
        auto_off: _,
        sensor: _,
        occupancy: _,
        setback: _,
        optimum_start: _,
        override_time: _,
        ignored_start: _,
    } = controls;
}
