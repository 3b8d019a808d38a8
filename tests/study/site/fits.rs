//! `fit` on made logs: runs of ours whose rooms are known, recorded with noise and rounding.

use std::fmt::Write as _;

use setband::engine::{Model, ZoneIndex};
use setband::study::fit::{Options, Parameter, ZoneFit, fit_zone};
use setband::study::{Keep, simulate};

use super::maker::{Dice, read};

/// A room that is known.
struct Truth {
    loss: f64,
    air: f64,
    mass: f64,
    area: f64,
    gain: f64,
    high: f64,
}

impl Truth {
    fn of(seed: u64) -> Self {
        let mut dice = Dice(seed);
        Self {
            loss: dice.between(60.0, 140.0).round(),
            air: dice.between(500.0, 1200.0).round(),
            mass: dice.between(4000.0, 12_000.0).round(),
            area: dice.between(100.0, 180.0).round(),
            gain: dice.between(300.0, 1500.0).round(),
            high: dice.pick(&[3.0, 6.0, 9.0]),
        }
    }

    fn scenario(&self, more: &str) -> String {
        format!(
            "temperature: C\nperiod: {{from: 2025-01-13, days: 1}}\nweather: {{design_day: {{high: {}, \
             range: 9}}}}\nzones:\n  hall:\n    space: {{floor: 60 m2, opaque: {} W/K, air_capacity: {} \
             kJ/K, mass_capacity: {} kJ/K, mass_area: {} m2}}\n    gains: {{from: \"08:00\", to: \
             \"17:00\", power: {} W}}\n    unit: {{heating: 6 kW, cooling: 6 kW, control: staged, min_off: \
             3 min}}\n    controls: {{heat: 21, cool: 26, occupancy: {{from: \"07:00\", to: \"18:00\"}}, \
             setback: {{heat: 4, cool: 4}}, call_start: 0.4, call_stop: 0.2, sensor: {{lag: 0 s}}}}\n{more}",
            self.high, self.loss, self.air, self.mass, self.area, self.gain
        )
    }

    /// What a recorder makes of a run, a row each minute, to a tenth.
    fn log(&self, seed: u64) -> String {
        let model = read(&self.scenario(""), b"");
        let mut dice = Dice(seed ^ 0x51);
        let mut text = "time,out,air,h,run\n".to_owned();
        for row in simulate(&model, Keep::Steps).rows {
            let (hour, minute) = (row.at.get() / 3600, row.at.get() / 60 % 60);
            // Twelve even numbers have variance 1.
            let noise: f64 = (0..12).map(|_| dice.part()).sum::<f64>() - 6.0;
            let air = row.sensed + 0.03 * noise;
            let run = row.served.map_or("none", setband::control::Direction::name);
            let _ = writeln!(
                text,
                "2025-01-13 {hour:02}:{minute:02},{:.2},{:.1},{},{run}",
                row.outdoor, air, row.heat
            );
        }
        text
    }

    /// What the file has before it is fitted.
    fn guess(&self) -> Self {
        Self { loss: 80.0, air: 600.0, mass: 9900.0, area: 150.0, gain: 800.0, ..*self }
    }
}

const LOG: &str = "log: {file: day.csv, outdoor: out, zones: {hall: {temperature: air, heat: h, running: \
                   run}}}\n";

fn fitted(model: &Model, options: &Options) -> ZoneFit {
    let site = model.log.clone().expect("there is one");
    fit_zone(model, &site, ZoneIndex::new(0), options).expect("it can be fitted")
}

fn of<'a>(fit: &'a ZoneFit, key: &str) -> &'a Parameter {
    fit.parameters.iter().find(|it| it.key == key).unwrap_or_else(|| panic!("no {key}"))
}

/// Intervals hold what was put in. The campaign (`SETBAND_ROUNDS=100`) counts them.
#[test]
fn intervals_of_made_logs_hold_the_truth() {
    let rounds = std::env::var("SETBAND_ROUNDS").ok().and_then(|it| it.parse().ok()).unwrap_or(1);
    let (mut held, mut all) = (0_u32, 0_u32);
    for seed in 21..21 + rounds {
        let truth = Truth::of(seed);
        // The coupling stays as the file has it, so that a round stays short.
        let free = ["loss", "air", "mass", "gains"]
            .map(|name| setband::study::fit::Freed::of(name).expect("it can be fitted"));
        let guess = Truth { area: truth.area, ..truth.guess() };
        let model = read(&guess.scenario(LOG), truth.log(seed).as_bytes());
        let fit = fitted(&model, &Options { free: free.to_vec(), draws: 5, ..Options::default() });
        for (key, put_in) in
            [("loss", truth.loss), ("air_capacity", truth.air), ("mass_capacity", truth.mass)]
        {
            let parameter = of(&fit, key);
            let (low, high) =
                parameter.interval.unwrap_or_else(|| panic!("{seed} {key}: not told"));
            assert!(high > low && low > 0.0, "{seed} {key}");
            // A tenth off would be another room.
            assert!(
                (parameter.value / put_in - 1.0).abs() < 0.1,
                "{seed} {key}: {}",
                parameter.value
            );
            held += u32::from((low..=high).contains(&put_in));
            all += 1;
        }
        assert_eq!(fit.draws.rows.len(), 5);
    }
    assert!(held * 100 >= all * 60, "{held} of {all} intervals hold the truth");
}
