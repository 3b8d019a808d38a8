//! The sensor and the display.

use crate::control::{Direction, Display, Returns, SensorPlace, Ticks};
use crate::engine::Zone;
use crate::settings::Value;
use crate::units::{TemperatureUnit, parse_number};

/// The word for a sensor in the room.
pub(crate) const ROOM: &str = "room";
/// The word for a sensor in the return air.
pub(crate) const RETURN_AIR: &str = "return_air";
/// The word for the mean of the controllers' sensors.
pub(crate) const AVERAGE: &str = "average";
/// How much warmer the return air is while heating, unless the file says so: rule 9. In C.
pub(crate) const STRATIFICATION_C: &str = "2";
/// The same in F.
pub(crate) const STRATIFICATION_F: &str = "4";

/// Where the sensor sits.
pub(crate) fn place(zone: &Zone) -> Value {
    Value::word(match zone.controls.sensor.place {
        SensorPlace::Room => ROOM,
        SensorPlace::ReturnAir { .. } => RETURN_AIR,
        SensorPlace::Controllers { .. } => AVERAGE,
    })
}

/// Puts the sensor elsewhere, with the stratification that stands without a word of the file.
pub(crate) fn set_place(zone: &mut Zone, to: &Value) -> Option<()> {
    let Value::Word(word) = to else { return None };
    let controllers = &zone.controls.settings.controllers;
    zone.controls.sensor.place = match word.as_str() {
        ROOM => SensorPlace::Room,
        RETURN_AIR => {
            let heating = match zone.controls.settings.grid.unit() {
                TemperatureUnit::Celsius => STRATIFICATION_C,
                TemperatureUnit::Fahrenheit => STRATIFICATION_F,
            };
            SensorPlace::ReturnAir { heating: parse_number(heating)?, cooling: 0.0 }
        }
        AVERAGE => {
            let all = controllers.as_slice();
            let sum: f64 = all.iter().map(|controller| controller.offset).sum();
            SensorPlace::Controllers { offset: sum / all.len() as f64 }
        }
        id => {
            let at = controllers.find(id)?;
            SensorPlace::Controllers { offset: controllers.as_slice().get(at.get())?.offset }
        }
    };
    Some(())
}

/// The place to try instead.
pub(crate) fn other_place(zone: &Zone) -> Vec<Value> {
    let other = match zone.controls.sensor.place {
        SensorPlace::Room => RETURN_AIR,
        SensorPlace::ReturnAir { .. } | SensorPlace::Controllers { .. } => ROOM,
    };
    vec![Value::word(other)]
}

/// How much warmer the return air is in a direction.
pub(crate) fn stratification(zone: &Zone, direction: Direction) -> Value {
    match (zone.controls.sensor.place, direction) {
        (SensorPlace::ReturnAir { heating, .. }, Direction::Heating) => Value::Number(heating),
        (SensorPlace::ReturnAir { cooling, .. }, Direction::Cooling) => Value::Number(cooling),
        _ => Value::Nothing,
    }
}

/// Writes how much warmer the return air is in a direction.
pub(crate) fn set_stratification(zone: &mut Zone, direction: Direction, to: &Value) -> Option<()> {
    let SensorPlace::ReturnAir { heating, cooling } = &mut zone.controls.sensor.place else {
        return None;
    };
    *match direction {
        Direction::Heating => heating,
        Direction::Cooling => cooling,
    } = to.number()?;
    Some(())
}

/// A degree more of it to try.
pub(crate) fn warmer(zone: &Zone, direction: Direction) -> Vec<Value> {
    let more = |by: f64| Value::Number(by + 1.0);
    stratification(zone, direction).number().map(more).into_iter().collect()
}

/// The unit that is shown.
pub(crate) fn shown_unit(zone: &Zone) -> Value {
    let settings = &zone.controls.settings;
    let shown = settings.display.map_or(settings.grid.unit(), |display| display.grid().unit());
    Value::word(shown.letter())
}

/// Writes the unit that is shown.
pub(crate) fn set_shown_unit(zone: &mut Zone, to: &Value) -> Option<()> {
    let both = [TemperatureUnit::Celsius, TemperatureUnit::Fahrenheit];
    let settings = &mut zone.controls.settings;
    settings.display = Display::new(settings.grid.unit(), to.pick(&both, TemperatureUnit::letter)?);
    Some(())
}

/// A zone whose setpoints go back otherwise: not at all, or a step further.
pub(crate) fn other_returns(zone: &Zone, _: usize) -> Vec<(String, Zone)> {
    let Some(returns) = &zone.controls.returns else { return Vec::new() };
    let with = |words: &str, returns: Option<Returns>| {
        let mut zone = zone.clone();
        zone.controls.returns = returns;
        (words.to_owned(), zone)
    };
    let more = |to: Option<Ticks>| to.map(|to| to + Ticks::ONE);
    let further = Returns { heat: more(returns.heat), cool: more(returns.cool), ..returns.clone() };
    vec![with("none", None), with("a step higher", Some(further))]
}

/// The times at which stored setpoints go back.
pub(crate) fn return_times(zone: &Zone) -> Vec<String> {
    let returns = zone.controls.returns.iter();
    returns.flat_map(|it| &it.at).map(ToString::to_string).collect()
}

/// The times at which stored setpoints go back, and to what: `12:00 18:00 to 21 and 24`.
pub(crate) fn returns(zone: &Zone) -> Value {
    let Some(returns) = &zone.controls.returns else { return Value::Nothing };
    let grid = zone.controls.settings.grid;
    let times: Vec<String> = returns.at.iter().map(ToString::to_string).collect();
    let to: Vec<String> = returns
        .to()
        .into_iter()
        .map(|(side, ticks)| format!("{} {}", side.name(), grid.show(ticks)))
        .collect();
    Value::Word(format!("{}: {}", times.join(", "), to.join(", ")))
}
