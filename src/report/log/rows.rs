//! The log in the columns of `steps.csv`, as far as they are known.

use std::io;

use crate::engine::Model;
use crate::log::{LogTime, Running, Sample};
use crate::report::csv::{Fields, STEP_COLUMNS};

/// One row a time and zone; what was not recorded is left empty. `zones` are the samples of each
/// zone of the log with its name, all at the same times.
///
/// # Errors
/// None in memory.
pub fn log_csv(model: &Model, zones: &[(&str, &[Sample])]) -> io::Result<Vec<u8>> {
    let mut fields = Fields::new(Vec::new());
    fields.record(&crate::report::csv::with_clock(model, &STEP_COLUMNS))?;
    let times = zones.iter().map(|(_, samples)| samples.len()).max().unwrap_or(0);
    for place in 0..times {
        for (zone, samples) in zones {
            if let Some(sample) = samples.get(place) {
                row(&mut fields, model, zone, sample)?;
            }
        }
    }
    fields.finish()
}

/// Local standard time as it stands in files.
fn stamp(at: LogTime) -> String {
    let second = at.second_of_day();
    format!("{}T{:02}:{:02}:{:02}", at.date(), second / 3600, second / 60 % 60, second % 60)
}

fn row(fields: &mut Fields<Vec<u8>>, model: &Model, zone: &str, sample: &Sample) -> io::Result<()> {
    let number = |fields: &mut Fields<Vec<u8>>, value: Option<f64>| match value {
        // Sums and conversions leave digits that no recorder had.
        Some(value) => fields.number(libm::round(value * 1e6) / 1e6),
        None => fields.text(""),
    };
    fields.text(&stamp(sample.at))?;
    if model.period.has_daylight_saving() {
        let midnight = LogTime::midnight(model.period.first());
        let shown = model.period.on_clocks(crate::time::Instant::new(sample.at - midnight));
        fields.text(&stamp(midnight + shown.get()))?;
    }
    fields.text(zone)?;
    number(fields, sample.outdoor)?;
    number(fields, sample.temperature)?;
    number(fields, None)?;
    number(fields, None)?;
    number(fields, sample.heat)?;
    number(fields, sample.cool)?;
    fields.text(sample.mode.map_or("", crate::control::Mode::name))?;
    fields.text(sample.power.map_or("", crate::control::Power::name))?;
    let direction = match sample.running {
        Some(Running::In(direction)) => direction.name(),
        _ => "",
    };
    fields.text(direction)?;
    fields.text("")?;
    fields.text(sample.running.map_or("", Running::name))?;
    fields.text("")?;
    fields.text("")?;
    number(fields, sample.electric_w)?;
    fields.end()
}
