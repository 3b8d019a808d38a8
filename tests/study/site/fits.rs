//! `fit` on made logs: runs of ours whose rooms are known, recorded with noise and rounding.

use std::fmt::Write as _;

use setband::engine::{Model, ZoneIndex};
use setband::log::LogTime;
use setband::study::fit::{Options, Parameter, Structure, ZoneFit, fit_zone};
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
    days: u32,
}

impl Truth {
    fn of(seed: u64, kind: Kind) -> Self {
        let mut dice = Dice(seed);
        let own = Self {
            loss: dice.between(60.0, 140.0).round(),
            air: dice.between(500.0, 1200.0).round(),
            mass: dice.between(4000.0, 12_000.0).round(),
            area: dice.between(100.0, 180.0).round(),
            gain: dice.between(300.0, 1500.0).round(),
            high: dice.pick(&[3.0, 6.0, 9.0]),
            days: kind.days,
        };
        if kind.one_capacity { Self { air: 4.0 * own.air, mass: 1.0, ..own } } else { own }
    }

    fn scenario(&self, more: &str) -> String {
        format!(
            "temperature: C\nperiod: {{from: 2025-01-13, days: {}}}\nweather: {{design_day: {{high: {}, \
             range: 9}}}}\nzones:\n  hall:\n    space: {{floor: 60 m2, opaque: {} W/K, air_capacity: {} \
             kJ/K, mass_capacity: {} kJ/K, mass_area: {} m2}}\n    gains: {{from: \"08:00\", to: \
             \"17:00\", power: {} W}}\n    unit: {{heating: 6 kW, cooling: 6 kW, control: staged, cop: {{heating: {COP}}}, min_off: \
             3 min}}\n    controls: {{heat: 21, cool: 26, occupancy: {{from: \"07:00\", to: \"18:00\"}}, \
             setback: {{heat: 4, cool: 4}}, call_start: 0.4, call_stop: 0.2, sensor: {{lag: 0 s}}}}\n{more}",
            self.days, self.high, self.loss, self.air, self.mass, self.area, self.gain
        )
    }

    /// What a recorder makes of a run, a row each minute.
    fn log(&self, seed: u64, kind: Kind) -> String {
        let model = read(&self.scenario(""), b"");
        let mut dice = Dice(seed ^ 0x51);
        let mut text = "time,out,air,h,run,watts\n".to_owned();
        for row in simulate(&model, Keep::Steps).rows {
            let at = LogTime::midnight(model.period.first()) + row.at.get();
            // Twelve even numbers have variance 1.
            let noise: f64 = (0..12).map(|_| dice.part()).sum::<f64>() - 6.0;
            let air = ((row.sensed + 0.03 * noise) / kind.resolution).round() * kind.resolution;
            let watts = row.electric_w * (1.0 + 0.005 * noise);
            let run = row.served.map_or("none", setband::control::Direction::name);
            let _ =
                writeln!(text, "{at},{:.2},{air:.1},{},{run},{watts:.1}", row.outdoor, row.heat);
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

const LOG_WITH_POWER: &str = "log: {file: day.csv, outdoor: out, electricity: watts, zones: {hall: {temperature: \
                              air, heat: h, running: run}}}\n";
const COP: f64 = 3.2;

fn fitted(model: &Model, options: &Options) -> ZoneFit {
    let site = model.log.clone().expect("there is one");
    fit_zone(model, &site, ZoneIndex::new(0), options).expect("it can be fitted")
}

fn of<'a>(fit: &'a ZoneFit, key: &str) -> &'a Parameter {
    fit.parameters.iter().find(|it| it.key == key).unwrap_or_else(|| panic!("no {key}"))
}

/// How a room is made and recorded.
#[derive(Clone, Copy, Debug)]
struct Kind {
    one_capacity: bool,
    electricity: bool,
    resolution: f64,
    days: u32,
}

impl Kind {
    /// Every combination comes once in sixteen rounds; the fortnights are in the second eight.
    fn of(round: u64) -> Self {
        let bit = |place: u64| round >> place & 1 == 1;
        Self {
            one_capacity: bit(0),
            electricity: bit(1),
            resolution: if bit(2) { 0.5 } else { 0.1 },
            days: if bit(3) { 14 } else { 1 },
        }
    }
}

/// How many of the intervals hold what was put in, and how many there are, key by key.
#[derive(Debug, Default)]
struct Count(std::collections::BTreeMap<&'static str, (u32, u32)>);

impl Count {
    fn add(&mut self, key: &'static str, fit: &ZoneFit, put_in: f64) {
        let Some((low, high)) = of(fit, key).interval else { return };
        assert!(high > low && low > 0.0, "{key}: {low} to {high}");
        let entry = self.0.entry(key).or_default();
        entry.0 += u32::from((low..=high).contains(&put_in));
        entry.1 += 1;
    }

    fn whole(&self) -> (u32, u32) {
        self.0.values().fold((0, 0), |sum, it| (sum.0 + it.0, sum.1 + it.1))
    }
}

/// Intervals hold what was put in. A round is another room; the campaign (`SETBAND_ROUNDS=160`) counts
/// them for every way of recording.
#[test]
fn intervals_of_made_logs_hold_the_truth() {
    let rounds = std::env::var("SETBAND_ROUNDS").ok().and_then(|it| it.parse().ok()).unwrap_or(2);
    let mut counts: [Count; 2] = Default::default();
    for round in 0..rounds {
        let kind = Kind::of(round);
        let truth = Truth::of(round + 21, kind);
        // The coupling stays as the file has it, so that a round stays short.
        let free = ["loss", "air", "mass", "gains", "power"]
            .map(|name| setband::study::fit::Freed::of(name).expect("it can be fitted"));
        let guess = Truth { area: truth.area, ..truth.guess() };
        let log = if kind.electricity { LOG_WITH_POWER } else { LOG };
        let model = read(&guess.scenario(log), truth.log(round + 21, kind).as_bytes());
        let options = Options { free: free.to_vec(), draws: 5, ..Options::default() };
        let fit = fitted(&model, &options);
        assert_eq!(fit.draws.rows.len(), 5);
        let count = &mut counts[usize::from(kind.one_capacity)];
        let single = fit.structure.0 == Structure::OneCapacity;
        if single == kind.one_capacity {
            count.add("loss", &fit, truth.loss);
            count.add("air_capacity", &fit, truth.air);
        }
        if !single && !kind.one_capacity {
            count.add("mass_capacity", &fit, truth.mass);
        }
        if kind.electricity {
            count.add("cop_heating", &fit, COP);
        }
    }
    let (held, all) =
        counts.iter().map(Count::whole).fold((0, 0), |sum, it| (sum.0 + it.0, sum.1 + it.1));
    assert!(
        all >= 2 && held * 100 >= all * 60,
        "{held} of {all} intervals hold the truth: {counts:?}"
    );
}
