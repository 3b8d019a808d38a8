//! What a sweep is to do: which settings, how many draws of each, and how its cases are counted.

use serde::{Deserialize, Serialize};

use super::super::chance::Chance;
use super::values::{NoValues, Values};
use crate::scenario::ValueGrid;

/// More cases than this do not fit into memory when they are put side by side.
pub const MOST_CASES: usize = 1_000_000;

/// Streams of random numbers below this are for settings, those from here on for draws.
const STREAMS_OF_DRAWS: u64 = 1 << 32;

/// A path into the file and the values that it takes.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Axis {
    /// The path, as in a variant; or `zones.*.band`.
    pub path: String,
    /// Its values.
    pub values: Values,
    /// What values the key can have: those by chance are put on the nearest.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub grid: Option<ValueGrid>,
    /// How many values of a range with a step lay between these, and were put on the nearest.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub moved: usize,
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "serde hands out references")]
const fn is_zero(count: &usize) -> bool {
    *count == 0
}

impl Axis {
    /// Reads `PATH=VALUES`.
    ///
    /// # Errors
    /// There is no path, or there are no values.
    pub fn parse(text: &str) -> Result<Self, NoValues> {
        let (path, values) = text.split_once('=').ok_or_else(|| NoValues {
            what: format!("`{text}` has no `=`"),
            help: "write a path, `=` and its values, as `zones.*.band=0..4:0.5`".into(),
        })?;
        let values = Values::parse(values)?;
        Ok(Self { path: path.trim().to_owned(), values, grid: None, moved: 0 })
    }

    /// The same with the values that its key can have. A list is left as it is written; the values
    /// of a range with a step (`is_stepped`) are put on the nearest, each once.
    #[must_use]
    pub fn on(mut self, grid: Option<ValueGrid>, is_stepped: bool) -> Self {
        self.grid = grid;
        if let (Some(grid), Values::List(all), true) = (grid, &mut self.values, is_stepped) {
            self.moved = all.iter().filter(|text| !grid.has(text)).count();
            if self.moved > 0 {
                let mut kept: Vec<String> = Vec::new();
                for text in all.drain(..) {
                    let put =
                        if grid.has(&text) { text } else { grid.nearest(&text).unwrap_or(text) };
                    if !kept.contains(&put) {
                        kept.push(put);
                    }
                }
                *all = kept;
            }
        }
        self
    }

    /// The value below which lies the part `part` (0 to 1) of all values, as the key can have it.
    pub fn quantile(&self, part: f64) -> String {
        let value = self.values.quantile(part);
        match (self.grid, &self.values) {
            (Some(grid), Values::Range { .. } | Values::Normal { .. }) => {
                grid.nearest(&value).unwrap_or(value)
            }
            _ => value,
        }
    }

    /// Values that stand for all: see [`Values::samples`].
    pub fn samples(&self) -> Vec<String> {
        match self.values {
            Values::List(_) | Values::Rows(_) => self.values.samples(),
            Values::Range { .. } | Values::Normal { .. } => {
                [0.05, 0.5, 0.95].into_iter().map(|part| self.quantile(part)).collect()
            }
        }
    }
}

/// How settings are taken from the values of their paths.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Sampling {
    /// Every combination.
    Grid,
    /// So many, each value by chance.
    Random(usize),
    /// So many, each path cut into as many equal parts with one value from each part: a Latin
    /// hypercube (`McKay`, Beckman and Conover 1979).
    Latin(usize),
}

/// What a sweep is to do. A case is a setting with a draw.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct SweepPlan {
    /// The paths that make a setting.
    pub axes: Vec<Axis>,
    /// How settings are taken from them.
    pub sampling: Sampling,
    /// The paths whose values differ from draw to draw, and are the same for every setting.
    pub varied: Vec<Axis>,
    /// How many draws each setting has.
    pub draws: usize,
    /// The seed of the first draw; each later draw has the next one.
    pub seed: u64,
}

/// Why a plan cannot be carried out.
#[derive(Clone, Debug, PartialEq)]
pub enum PlanFault {
    /// No draws.
    NoDraws,
    /// No samples.
    NoSamples,
    /// The same path twice.
    Twice(String),
    /// The seed among the paths: draws have seeds of their own, which would stand over it.
    Seed,
    /// A grid over a range without a step.
    NoStep(String),
    /// More than [`MOST_CASES`] cases; how many, as far as an `f64` knows.
    TooMany(f64),
}

impl SweepPlan {
    /// Checks a plan.
    ///
    /// # Errors
    /// It cannot be carried out.
    pub fn check(&self) -> Result<(), PlanFault> {
        if self.draws == 0 {
            return Err(PlanFault::NoDraws);
        }
        if matches!(self.sampling, Sampling::Random(0) | Sampling::Latin(0)) {
            return Err(PlanFault::NoSamples);
        }
        let paths: Vec<&str> =
            self.axes.iter().chain(&self.varied).map(|axis| axis.path.as_str()).collect();
        for (place, path) in paths.iter().enumerate() {
            if paths[..place].contains(path) {
                return Err(PlanFault::Twice((*path).to_owned()));
            }
        }
        if paths.contains(&"seed") {
            return Err(PlanFault::Seed);
        }
        if self.sampling == Sampling::Grid
            && let Some(axis) = self.axes.iter().find(|axis| axis.values.count().is_none())
        {
            return Err(PlanFault::NoStep(axis.path.clone()));
        }
        let cases = self.settings_wanted() * self.draws as f64;
        if cases > MOST_CASES as f64 { Err(PlanFault::TooMany(cases)) } else { Ok(()) }
    }

    fn settings_wanted(&self) -> f64 {
        match self.sampling {
            Sampling::Grid => {
                let counts = self.axes.iter().map(|axis| axis.values.count().unwrap_or(1) as f64);
                counts.product()
            }
            Sampling::Random(count) | Sampling::Latin(count) => count as f64,
        }
    }

    /// How many settings there are.
    pub fn settings(&self) -> usize {
        match self.sampling {
            Sampling::Grid => {
                self.axes.iter().map(|axis| axis.values.count().unwrap_or(1)).product()
            }
            Sampling::Random(count) | Sampling::Latin(count) => count,
        }
    }

    /// How many cases there are.
    pub fn cases(&self) -> usize {
        self.settings() * self.draws
    }

    /// The settings: for each the values of the axes, in their order. The last axis of a grid
    /// changes fastest.
    pub fn all_settings(&self) -> Vec<Vec<String>> {
        match self.sampling {
            Sampling::Grid => (0..self.settings()).map(|place| self.of_grid(place)).collect(),
            Sampling::Random(count) => {
                let by_chance = |_, chance: &mut Chance| chance.part();
                self.sampled(count, by_chance)
            }
            Sampling::Latin(count) => self.latin(count),
        }
    }

    fn of_grid(&self, place: usize) -> Vec<String> {
        let mut rest = place;
        let mut values: Vec<String> = Vec::new();
        for axis in self.axes.iter().rev() {
            let count = axis.values.count().unwrap_or(1);
            values.push(axis.values.at(rest % count));
            rest /= count;
        }
        values.reverse();
        values
    }

    fn sampled(
        &self,
        count: usize,
        mut part: impl FnMut(usize, &mut Chance) -> f64,
    ) -> Vec<Vec<String>> {
        let mut settings = vec![Vec::with_capacity(self.axes.len()); count];
        for (axis, stream) in self.axes.iter().zip(0..) {
            let mut chance = Chance::new(self.seed, stream);
            for (place, setting) in settings.iter_mut().enumerate() {
                setting.push(axis.quantile(part(place, &mut chance)));
            }
        }
        settings
    }

    fn latin(&self, count: usize) -> Vec<Vec<String>> {
        let mut settings = vec![Vec::with_capacity(self.axes.len()); count];
        for (axis, stream) in self.axes.iter().zip(0..) {
            let mut chance = Chance::new(self.seed, stream);
            let mut parts: Vec<usize> = (0..count).collect();
            for place in (1..count).rev() {
                parts.swap(place, chance.below(place + 1));
            }
            for (setting, part) in settings.iter_mut().zip(parts) {
                let part = (part as f64 + chance.part()) / count as f64;
                setting.push(axis.quantile(part));
            }
        }
        settings
    }

    /// What a draw gives the varied paths, in their order: the same for every setting.
    pub fn varied_values(&self, draw: usize) -> Vec<String> {
        let streams = STREAMS_OF_DRAWS..;
        let value = |(axis, stream): (&Axis, u64)| {
            if let Values::Rows(all) = &axis.values {
                return axis.values.at(draw % all.len().max(1));
            }
            let mut chance = Chance::at(self.seed, stream, draw as u64);
            axis.quantile(chance.part())
        };
        self.varied.iter().zip(streams).map(value).collect()
    }

    /// The seed of a draw.
    pub const fn seed_of(&self, draw: usize) -> u64 {
        self.seed.wrapping_add(draw as u64)
    }

    /// The setting and the draw of a case.
    pub const fn split(&self, case: usize) -> (usize, usize) {
        (case / self.draws, case % self.draws)
    }

    /// The case of a setting and a draw.
    pub const fn case(&self, setting: usize, draw: usize) -> usize {
        setting * self.draws + draw
    }
}

/// A share of a study: number `number` of `of`, from 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Share {
    /// Which, from 1.
    pub number: usize,
    /// Of how many.
    pub of: usize,
}

impl Share {
    /// All of a study.
    pub const WHOLE: Self = Self { number: 1, of: 1 };

    /// Reads `3/16`.
    pub fn parse(text: &str) -> Option<Self> {
        let (number, of) = text.split_once('/')?;
        let part = Self { number: number.trim().parse().ok()?, of: of.trim().parse().ok()? };
        (1..=part.of).contains(&part.number).then_some(part)
    }

    /// Its cases: parts are as equal as whole cases allow, and no case is in two of them.
    pub fn cases(self, all: usize) -> std::ops::Range<usize> {
        let end = |number: usize| {
            let end = all as u128 * number as u128 / self.of as u128;
            usize::try_from(end).unwrap_or(all)
        };
        end(self.number - 1)..end(self.number)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plan(axes: &[&str], sampling: Sampling, draws: usize) -> SweepPlan {
        let axes = axes.iter().map(|text| Axis::parse(text).expect("an axis")).collect();
        SweepPlan { axes, sampling, varied: Vec::new(), draws, seed: 1 }
    }

    #[test]
    fn a_grid_has_every_combination_once() {
        let plan = plan(&["a=0..1:1", "b=[x, y, z]"], Sampling::Grid, 2);
        assert_eq!((plan.settings(), plan.cases()), (6, 12));
        let all = plan.all_settings();
        assert_eq!(all[0], ["0", "x"]);
        assert_eq!(all[1], ["0", "y"]);
        assert_eq!(all[5], ["1", "z"]);
        assert_eq!(plan.split(plan.case(4, 1)), (4, 1));
    }

    #[test]
    fn plans_that_cannot_be_carried_out_say_so() {
        let fault = |axes: &[&str], sampling, draws| plan(axes, sampling, draws).check();
        assert_eq!(fault(&["a=1"], Sampling::Grid, 0), Err(PlanFault::NoDraws));
        assert_eq!(fault(&["a=1..2"], Sampling::Latin(0), 1), Err(PlanFault::NoSamples));
        assert_eq!(fault(&["a=1..2"], Sampling::Grid, 1), Err(PlanFault::NoStep("a".into())));
        assert_eq!(fault(&["a=1", "a=2"], Sampling::Grid, 1), Err(PlanFault::Twice("a".into())));
        assert_eq!(fault(&["seed=1..9:1"], Sampling::Grid, 1), Err(PlanFault::Seed));
        let huge = ["a=0..999:1", "b=0..999:1", "c=0..999:1"];
        assert_eq!(fault(&huge, Sampling::Grid, 1), Err(PlanFault::TooMany(1e9)));
        assert_eq!(fault(&huge, Sampling::Random(10), 1), Ok(()));
    }

    #[test]
    fn a_latin_sample_has_one_value_in_each_part_of_each_path() {
        let plan = plan(&["a=0..10", "b=[p, q]"], Sampling::Latin(10), 1);
        let all = plan.all_settings();
        let mut firsts: Vec<f64> = all.iter().map(|it| it[0].parse().expect("a number")).collect();
        firsts.sort_by(f64::total_cmp);
        for (place, value) in (0..10).zip(firsts) {
            assert!((f64::from(place)..=f64::from(place + 1)).contains(&value), "{value}");
        }
        assert_eq!(all.iter().filter(|it| it[1] == "p").count(), 5);
        assert_eq!(all, plan.all_settings());
    }

    #[test]
    fn draws_have_values_of_their_own_whatever_the_setting() {
        let mut plan = plan(&["a=0..3:1"], Sampling::Grid, 50);
        plan.varied = vec![Axis::parse("zones.hall.sensor=-1..1").expect("an axis")];
        let values: Vec<Vec<String>> = (0..50).map(|draw| plan.varied_values(draw)).collect();
        assert!(values.windows(2).all(|pair| pair[0] != pair[1]));
        assert_eq!(values[17], plan.varied_values(17));
    }

    /// Rows of a table go together, whatever the seed.
    #[test]
    fn rows_come_one_a_draw() {
        let mut plan = plan(&["a=0..3:1"], Sampling::Grid, 3);
        let rows = |path: &str, values: [&str; 3]| Axis {
            path: path.into(),
            values: Values::Rows(values.map(String::from).to_vec()),
            grid: None,
            moved: 0,
        };
        plan.varied = vec![rows("b", ["1 W", "5 W", "2 W"]), rows("c", ["9", "7", "8"])];
        let all: Vec<Vec<String>> = (0..3).map(|draw| plan.varied_values(draw)).collect();
        assert_eq!(all, [["1 W", "9"], ["5 W", "7"], ["2 W", "8"]]);
        assert_eq!(plan.varied[0].samples(), ["1 W", "5 W", "2 W"]);
    }

    #[test]
    fn values_are_put_on_those_that_the_key_can_have() {
        let grid = Some(ValueGrid::Multiples(0.5));
        let axis = |text: &str| Axis::parse(text).expect("an axis");
        let stepped = axis("zones.*.band=0..4:0.25").on(grid, true);
        assert_eq!((stepped.values.count(), stepped.moved), (Some(9), 8));
        let listed = axis("zones.*.band=[1, 1.25]").on(grid, false);
        assert_eq!((listed.values.count(), listed.moved), (Some(2), 0));
        let lag = axis("zones.*.controls.sensor.lag=0..10 min").on(Some(ValueGrid::Seconds), false);
        let mut plan = plan(&["a=1"], Sampling::Grid, 50);
        plan.varied = vec![lag];
        for draw in 0..50 {
            let value = plan.varied_values(draw).remove(0);
            assert!(ValueGrid::Seconds.has(&value) && value.ends_with(" s"), "{value}");
        }
    }

    #[test]
    fn parts_hold_every_case_once() {
        for (all, of) in [(17, 4), (3, 8), (1000, 16), (0, 2)] {
            let mut next = 0;
            for number in 1..=of {
                let cases = Share { number, of }.cases(all);
                assert_eq!(cases.start, next);
                next = cases.end;
            }
            assert_eq!(next, all);
        }
        assert_eq!(Share::parse("3/16"), Some(Share { number: 3, of: 16 }));
        for wrong in ["0/4", "5/4", "3", "a/b", "1/0"] {
            assert_eq!(Share::parse(wrong), None, "{wrong}");
        }
    }
}
