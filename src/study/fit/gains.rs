//! Gains that a log can tell of, with what is believed of them beforehand.

use super::inputs::Inputs;
use super::problem::{Gain, GainOf};
use crate::engine::Zone;

/// Gains that a log can tell of, with what is believed of them beforehand.
pub(super) fn gains(inputs: &Inputs, zone: &Zone) -> Vec<Gain> {
    let floor = zone.space.input().floor;
    let count = inputs.grid.count;
    let mut gains = Vec::new();
    let mut always = false;
    for (place, (entry, course)) in zone.gains.iter().zip(&inputs.scheduled).enumerate() {
        always |= course.iter().all(|it| *it > 0.0);
        let deviation = (0.7 * entry.power).max(5.0 * floor);
        gains.push(Gain {
            of: GainOf::Entry(place),
            course: course.clone(),
            middle: entry.power,
            deviation,
        });
    }
    if !always {
        let deviation = 5.0 * floor;
        gains.push(Gain { of: GainOf::Rest, course: vec![1.0; count], middle: 0.0, deviation });
    }
    // Sensible heat of a person at office work: ISO 7730 has 126 W in all at 1.2 met, of which about
    // 75 W are sensible (ASHRAE Handbook of Fundamentals, chapter 18, from memory).
    if let Some(course) = &inputs.people {
        gains.push(Gain {
            of: GainOf::Person,
            course: course.clone(),
            middle: 75.0,
            deviation: 40.0,
        });
    } else if let Some(course) = &inputs.occupied {
        let deviation = 8.0 * floor;
        gains.push(Gain {
            of: GainOf::Occupied,
            course: course.clone(),
            middle: 8.0 * floor,
            deviation,
        });
    }
    if inputs.solar.iter().any(|it| *it > 0.0) {
        let course = inputs.solar.clone();
        gains.push(Gain { of: GainOf::Sun, course, middle: 1.0, deviation: 0.6 });
    }
    gains
}

/// The stages below the last that ran whose heat can be told beside it.
pub(super) fn stages(inputs: &Inputs) -> Vec<Gain> {
    let ran = |stage: &Vec<f64>| stage.iter().filter(|heat| **heat != 0.0).count() > 5;
    let used: Vec<usize> = (0..inputs.plant.by_stage.len())
        .filter(|stage| ran(&inputs.plant.by_stage[*stage]))
        .collect();
    let Some((_, lower)) = used.split_last() else { return Vec::new() };
    lower
        .iter()
        .map(|stage| Gain {
            of: GainOf::Stage(*stage),
            course: inputs.plant.by_stage[*stage].clone(),
            middle: 1.0,
            deviation: 0.25,
        })
        .collect()
}
