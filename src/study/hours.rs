//! Steps taken together to hours: for long charts, and for series that a spreadsheet can hold.

use crate::control::Direction;
use crate::engine::StepRow;
use crate::time::{Instant, Seconds};

/// Length of an hour.
const HOUR: Seconds = Seconds::hours(1);

/// Adds the steps of one zone up to hours.
#[derive(Clone, Debug, Default)]
pub struct HourTally {
    /// The first row of the hour, with sums in place of its values.
    sums: Option<StepRow>,
    count: u32,
    served: [u32; 2],
    called: [u32; 2],
}

impl HourTally {
    /// Adds a step, and gives the hour that it ends. Temperatures, setpoints, heat and power of an
    /// hour are its means; mode, power and direction are those of its first step; it is served,
    /// called for, occupied or starved where any of its steps is.
    pub fn add(&mut self, row: &StepRow, step: Seconds) -> Option<StepRow> {
        match &mut self.sums {
            None => self.sums = Some(*row),
            Some(sums) => add_values(sums, row),
        }
        self.count += 1;
        for (counts, what) in [(&mut self.served, row.served), (&mut self.called, row.call)] {
            if let Some(direction) = what {
                counts[direction as usize] += 1;
            }
        }
        let ends = (row.at + step).get() % HOUR.get() < step.get();
        if ends { self.end() } else { None }
    }

    fn end(&mut self) -> Option<StepRow> {
        let done = std::mem::take(self);
        let mut row = done.sums?;
        let count = f64::from(done.count);
        for value in values(&mut row) {
            *value /= count;
        }
        row.humidity = row.humidity.map(|sum| sum / count);
        row.at = Instant::new(row.at.get() - row.at.get().rem_euclid(HOUR.get()));
        row.served = most(done.served);
        row.call = most(done.called);
        Some(row)
    }
}

fn most([heating, cooling]: [u32; 2]) -> Option<Direction> {
    match (heating, cooling) {
        (0, 0) => None,
        _ if heating >= cooling => Some(Direction::Heating),
        _ => Some(Direction::Cooling),
    }
}

fn add_values(sums: &mut StepRow, row: &StepRow) {
    let mut other = *row;
    for (sum, value) in values(sums).into_iter().zip(values(&mut other)) {
        *sum += *value;
    }
    sums.humidity = sums.humidity.zip(row.humidity).map(|(sum, value)| sum + value);
    sums.occupied |= row.occupied;
    sums.starved |= row.starved;
}

fn values(row: &mut StepRow) -> [&mut f64; 9] {
    [
        &mut row.outdoor,
        &mut row.temperature,
        &mut row.mass_temperature,
        &mut row.operative,
        &mut row.sensed,
        &mut row.heat,
        &mut row.cool,
        &mut row.heat_w,
        &mut row.electric_w,
    ]
}

/// The hours of all zones, from rows ordered by time and then by zone; in that order, too.
pub fn hourly(rows: &[StepRow], zones: usize, step: Seconds) -> Vec<StepRow> {
    let mut tallies = vec![HourTally::default(); zones];
    let hours = rows.iter().filter_map(|row| tallies.get_mut(row.zone.get())?.add(row, step));
    hours.collect()
}
