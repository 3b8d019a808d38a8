//! Steps taken together to hours: for long charts, and for series that a spreadsheet can hold.

use crate::control::Direction;
use crate::engine::{Interval, StepRow, VALUES, ZoneInterval};
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

    /// The sums of the hour so far.
    pub(super) fn so_far(&self) -> [f64; VALUES] {
        // What is added to -0 stays as it is, -0 as well.
        self.sums.map_or([-0.0; VALUES], StepRow::values)
    }

    /// Adds the steps of an interval that goes no further than to the end of an hour, and gives the
    /// hour where it ends it: as if each had been added by itself. `sums` is what they were added to
    /// with [`Interval::add_values`].
    pub(super) fn add_interval(
        &mut self,
        interval: &Interval<'_>,
        zone: &ZoneInterval<'_>,
        sums: &[f64; VALUES],
    ) -> Option<StepRow> {
        let row = self.sums.get_or_insert_with(|| zone.row(0));
        row.values_mut().into_iter().zip(sums).for_each(|(value, sum)| *value = *sum);
        row.occupied |= zone.state().presence.is_occupied();
        row.starved |= zone.is_starved();
        self.count += u32::try_from(interval.steps()).unwrap_or(u32::MAX);
        let [called, served] = zone.called_and_served().map(u64::count_ones);
        self.called[zone.direction() as usize] += called;
        self.served[zone.direction() as usize] += served;
        let (end, step) = (interval.at(interval.steps()), interval.at(1).since(interval.from()));
        let ends = end.get() % HOUR.get() < step.get();
        if ends { self.end() } else { None }
    }

    fn end(&mut self) -> Option<StepRow> {
        let done = std::mem::take(self);
        let mut row = done.sums?;
        let count = f64::from(done.count);
        for value in row.values_mut() {
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
    for (sum, value) in sums.values_mut().into_iter().zip(row.values()) {
        *sum += value;
    }
    sums.humidity = sums.humidity.zip(row.humidity).map(|(sum, value)| sum + value);
    sums.occupied |= row.occupied;
    sums.starved |= row.starved;
}

/// How many steps of a length an hour has left from an instant on: at least one.
pub(super) fn steps_left(at: Instant, step: Seconds) -> usize {
    let left = HOUR.get() - at.get().rem_euclid(HOUR.get());
    usize::try_from((left + step.get() - 1) / step.get()).unwrap_or(1)
}

/// The hours of all zones, from rows ordered by time and then by zone; in that order, too.
pub fn hourly(rows: &[StepRow], zones: usize, step: Seconds) -> Vec<StepRow> {
    let mut tallies = vec![HourTally::default(); zones];
    let hours = rows.iter().filter_map(|row| tallies.get_mut(row.zone.get())?.add(row, step));
    hours.collect()
}
