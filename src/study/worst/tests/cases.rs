//! Random scenarios: rooms, plants, controls, locks, groups, weather, gains and presses, as text.
//! The same seed gives the same text.

use std::fmt::Write;
use std::sync::Arc;

use super::{
    Action, ControllerIndex, Doing, Instant, Limits, Model, Question, Role, Seconds, ZoneIndex,
};

/// A scenario and the range of outdoor air that it stays within, in its own unit.
#[derive(Clone, Debug)]
pub(super) struct Case {
    /// The file.
    pub(super) text: String,
    /// Never colder, never hotter than this.
    pub(super) outdoors: (f64, f64),
    /// Where every zone starts, where the question says so.
    pub(super) from: Option<f64>,
    /// When the supply fails, once, and for so many hours.
    pub(super) outage: Option<(Instant, i64)>,
}

/// Draws without a library, so that the same seed gives the same case everywhere: Steele, Lea and
/// Flood, Fast splittable pseudorandom number generators, OOPSLA 2014 (`SplitMix64`).
struct Draws {
    common: u64,
    /// What is rare has draws of its own, so that what is common stays as it was.
    rare: u64,
}

fn mixed(state: &mut u64) -> u64 {
    *state = state.wrapping_add(0x9e37_79b9_7f4a_7c15);
    let mut z = *state;
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}

impl Draws {
    fn new(seed: u64) -> Self {
        Self { common: seed, rare: seed ^ 0x5851_f42d_4c95_7f2d }
    }

    fn next(&mut self) -> u64 {
        mixed(&mut self.common)
    }

    fn rarely(&mut self, percent: u64) -> bool {
        mixed(&mut self.rare) % 100 < percent
    }

    fn below(&mut self, most: u64) -> u64 {
        self.next() % most
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        let part = (self.next() >> 11) as f64 / (1_u64 << 53) as f64;
        low + part * (high - low)
    }

    fn whole(&mut self, low: i64, high: i64) -> i64 {
        low + i64::try_from(self.below(u64::try_from(high - low + 1).unwrap_or(1))).unwrap_or(0)
    }

    fn is(&mut self, percent: u64) -> bool {
        self.below(100) < percent
    }

    fn one<'a>(&mut self, of: &[&'a str]) -> &'a str {
        of[usize::try_from(self.below(of.len() as u64)).unwrap_or(0)]
    }
}

/// A temperature of the file, given in C.
fn in_unit(fahrenheit: bool, celsius: f64) -> f64 {
    if fahrenheit { (celsius * 1.8 + 32.0).round() } else { celsius }
}

impl Case {
    /// The case of a seed.
    pub(super) fn new(seed: u64) -> Self {
        let draws = &mut Draws::new(seed);
        let fahrenheit = draws.is(15);
        let zones = [1, 1, 1, 2, 2, 3][usize::try_from(draws.below(6)).unwrap_or(0)];
        let step = [60, 60, 120, 300][usize::try_from(draws.below(4)).unwrap_or(0)];
        let (low, high) = (draws.whole(-20, 12) as f64, draws.whole(14, 38) as f64);
        let outdoors = (in_unit(fahrenheit, low), in_unit(fahrenheit, high));
        let from = draws.is(20).then(|| in_unit(fahrenheit, draws.whole(5, 30) as f64));
        let mut text = String::new();
        let unit = if fahrenheit { "F" } else { "C" };
        let _ = writeln!(text, "temperature: {unit}");
        let _ = writeln!(
            text,
            "period: {{from: 2025-01-1{}, days: 1, step: {step} s}}",
            draws.below(9)
        );
        let hours = hours(draws, outdoors);
        let site = if draws.is(30) {
            ", site: {latitude: 40, longitude: 10, utc_offset: 1}, sky: clear"
        } else {
            ""
        };
        let _ = writeln!(text, "weather: {{hours: [{hours}]{site}}}");
        let grouped = zones > 1 && draws.is(70) || draws.is(10);
        let single = !draws.is(25);
        if grouped {
            outdoor_unit(draws, fahrenheit, zones, single, &mut text);
        }
        text.push_str("zones:\n");
        for zone in 0..zones {
            zone_text(draws, fahrenheit, zone, zones, site.is_empty(), from, grouped, &mut text);
        }
        let outage = draws.is(15).then(|| i64::try_from(draws.below(4) + 1).unwrap_or(1));
        let at = Instant::new(i64::try_from(seed % 20).unwrap_or(0) * 3600);
        let outage = outage.map(|hours| (at, hours));
        actions(draws, fahrenheit, zones, &mut text);
        Self { text, outdoors, from, outage }
    }

    /// What is asked: a day within the range of the case's hours.
    pub(super) fn question(&self, model: &Model) -> Question {
        let celsius = |value: f64| model.unit.to_celsius(value);
        Question {
            limits: Limits {
                coldest: celsius(self.outdoors.0) - 0.01,
                hottest: celsius(self.outdoors.1) + 0.01,
            },
            lasts: Seconds::hours(24),
            any_window: false,
            outage: self.outage.map(|(_, hours)| Seconds::hours(hours)),
            from: self.from.map(celsius),
        }
    }

    /// Lets the supply fail in a run, where the case has it so.
    pub(super) fn fail(&self, model: &mut Model) {
        let Some((at, hours)) = self.outage else { return };
        let place = model.actions.partition_point(|action| action.at <= at);
        let failure = Action {
            at,
            place: None,
            zone: ZoneIndex::new(0),
            controller: ControllerIndex::new(0),
            by: Arc::from("the grid"),
            role: Role::Technician,
            what: Doing::PowerFailure(Seconds::hours(hours)),
        };
        model.actions.insert(place, failure);
    }
}

/// Mostly at an end of the range, for hours.
fn hours(draws: &mut Draws, (low, high): (f64, f64)) -> String {
    let mut value = low;
    let style = draws.below(4);
    let all = (0..24).map(|hour| {
        value = match style {
            0 => low,
            1 => high,
            2 if hour % 6 != 0 => value,
            _ if draws.is(50) => low,
            _ if draws.is(50) => high,
            _ => draws.between(low, high),
        };
        format!("{value:.2}")
    });
    all.collect::<Vec<_>>().join(", ")
}

fn outdoor_unit(
    draws: &mut Draws,
    fahrenheit: bool,
    zones: usize,
    single: bool,
    text: &mut String,
) {
    let policy = draws.one(&["owner", "owner", "first_call", "majority", "largest_error"]);
    let capacity = draws.between(2.0, 14.0);
    let t = |celsius: f64| in_unit(fahrenheit, celsius);
    let _ = writeln!(text, "outdoor_unit:");
    let _ = writeln!(text, "  simultaneous: {}", !single);
    if single {
        let _ = writeln!(text, "  mode_policy: {policy}");
        if policy == "owner" {
            let _ = writeln!(text, "  owner: z{}", draws.below(zones as u64));
            let _ = writeln!(text, "  owner_off: {}", draws.one(&["hold", "stop"]));
        }
        let _ = writeln!(text, "  reversal_time: {} min", draws.below(5));
    }
    let _ = writeln!(
        text,
        "  heating: [{{outdoor: {}, capacity: {:.1} kW, cop: 2.4}}, {{outdoor: {}, capacity: {:.1} kW, cop: 3.5}}]",
        t(-10.0),
        capacity * 0.7,
        t(8.0),
        capacity
    );
    let _ = writeln!(
        text,
        "  cooling: [{{outdoor: {}, capacity: {:.1} kW, cop: 3.5}}]",
        t(35.0),
        capacity * 0.9
    );
    let _ = writeln!(text, "  min_off: {} min", draws.below(6));
    let _ = writeln!(text, "  lowest_output: {}", draws.one(&["0", "0.15", "0.3"]));
    if draws.is(20) {
        let _ = writeln!(text, "  heating_lockout: {}", t(-15.0));
    }
}

#[expect(clippy::too_many_arguments, reason = "all that a zone's text depends on")]
fn zone_text(
    draws: &mut Draws,
    fahrenheit: bool,
    zone: usize,
    zones: usize,
    dark: bool,
    from: Option<f64>,
    grouped: bool,
    text: &mut String,
) {
    let floor = draws.whole(20, 120);
    let mass = draws.one(&["very_light", "light", "medium", "heavy"]);
    let _ = writeln!(text, "  z{zone}:");
    let _ = writeln!(text, "    space:");
    let _ = writeln!(text, "      floor: {floor} m2");
    let _ = writeln!(text, "      mass: {mass}");
    let _ = writeln!(text, "      opaque: {:.1} W/K", draws.between(0.2, 1.2) * floor as f64);
    let _ = writeln!(text, "      infiltration: {:.2} /h", draws.between(0.0, 1.0));
    if draws.is(30) {
        let _ = writeln!(
            text,
            "      ventilation: {{rate: {floor} L/s, from: \"07:00\", to: \"19:00\"}}"
        );
    }
    if !dark && draws.is(60) {
        let shade = draws.one(&[
            "",
            ", shade: {factor: 0.3, when: occupied}",
            ", shade: {factor: 0.3, above: 200 W/m2}",
        ]);
        let _ = writeln!(
            text,
            "      windows: [{{area: {} m2, u: 1.4, g: 0.5, facing: south{shade}}}]",
            floor / 8
        );
    }
    if draws.rarely(15) {
        text.push_str("      open_window: 3 /h\n");
    }
    if zone + 1 < zones && draws.is(70) {
        let _ = writeln!(text, "      neighbours: {{z{}: {} W/K}}", zone + 1, draws.whole(5, 80));
    }
    if let Some(from) = from {
        let _ = writeln!(text, "      start: {from}");
    }
    if draws.is(60) {
        let _ = writeln!(
            text,
            "    gains: {{from: \"{:02}:00\", to: \"{:02}:00\", power: {} W}}",
            draws.below(12),
            12 + draws.below(11),
            draws.whole(1, 40) * floor
        );
    }
    unit_text(draws, fahrenheit, floor, grouped, text);
    controls(draws, fahrenheit, grouped, text);
}

fn unit_text(draws: &mut Draws, fahrenheit: bool, floor: i64, grouped: bool, text: &mut String) {
    let kinds: &[&str] = if grouped {
        &["staged", "modulating"]
    } else {
        &["staged", "modulating", "modulating", "ideal"]
    };
    let kind = draws.one(kinds);
    let _ = writeln!(text, "    unit:");
    let power = draws.between(0.02, 0.15) * floor as f64;
    let _ = writeln!(text, "      heating: {power:.2} kW");
    if draws.is(15) {
        let _ = writeln!(text, "      modes: [heat, fan]");
    } else {
        let _ = writeln!(text, "      cooling: {:.2} kW", power * 0.8);
    }
    let _ = writeln!(text, "      fan: {} W", draws.below(3) * 60);
    let _ = writeln!(text, "      control: {kind}");
    if kind == "modulating" {
        let range = draws.one(if fahrenheit { &["2", "4"] } else { &["1", "2", "0.5"] });
        let _ = writeln!(text, "      turndown: {}", draws.one(&["0.1", "0.25", "0.5"]));
        let _ = writeln!(text, "      throttling_range: {range}");
        if draws.rarely(15) {
            text.push_str("      integral_time: 25 min\n");
        }
        if draws.rarely(15) {
            text.push_str("      reach_lowest: 10 min\n");
        }
    }
    if kind == "staged" && draws.rarely(25) {
        text.push_str("      stages: [0.4, 0.7, 1]\n");
    }
    if kind != "ideal" {
        let _ = writeln!(text, "      min_on: {} min", draws.one(&["0", "0", "5", "12"]));
        let _ = writeln!(text, "      min_off: {} min", draws.one(&["0", "3", "8", "20"]));
    }
    if draws.is(15) {
        let _ = writeln!(text, "      fan_run: continuous");
    } else if draws.rarely(15) {
        text.push_str("      fan_run: {sample: 15 min, for: 2 min}\n");
    }
}

fn controls(draws: &mut Draws, fahrenheit: bool, grouped: bool, text: &mut String) {
    let t = |celsius: f64| in_unit(fahrenheit, celsius);
    let heat = draws.whole(16, 22) as f64;
    let gap = draws.whole(2, 5) as f64;
    let heating_only = text.contains("modes: [heat, fan]")
        && text.rsplit("  z").next().is_some_and(|zone| zone.contains("modes: [heat, fan]"));
    let _ = writeln!(text, "    controls:");
    let _ = writeln!(text, "      heat: {}", t(heat));
    let _ = writeln!(text, "      cool: {}", t(heat + gap));
    if draws.is(70) {
        let _ = writeln!(
            text,
            "      limits: {{heat: [{}, {}], cool: [{}, {}]}}",
            t(heat - draws.below(5) as f64),
            t(heat + 2.0),
            t(heat + gap - 1.0),
            t(heat + gap + draws.below(5) as f64)
        );
    }
    let mode = if heating_only { "heat" } else { draws.one(&["heat", "auto", "auto", "cool"]) };
    let _ = writeln!(text, "      mode: {mode}");
    let _ = writeln!(text, "      direction: {}", draws.one(&["heating", "cooling"]));
    let _ = writeln!(
        text,
        "      on_conflict: {}",
        draws.one(&["push", "push", "hold", "push_and_return"])
    );
    let _ = writeln!(text, "      call_start: {}", draws.one(&["0.3", "0.5", "1"]));
    let _ = writeln!(text, "      call_stop: {}", draws.one(&["0", "0.5"]));
    if !grouped {
        let _ = writeln!(text, "      changeover_delay: {} min", draws.one(&["0", "10", "30"]));
    }
    let keys = draws.one(&[
        "",
        "power",
        "power, mode",
        "setpoint, power, mode",
        "setpoint, power, mode",
        "mode",
    ]);
    let in_force = draws.is(90);
    let second = draws.is(20);
    let place = match draws.below(5) {
        0 => "place: return_air, ",
        1 => "place: desk, ",
        _ => "",
    };
    let _ = writeln!(
        text,
        "      sensor: {{{place}lag: {} min, offset: {}, resolution: {}}}",
        draws.one(&["0", "3", "6"]),
        draws.one(&["0", "0", "1.5", "-2"]),
        draws.one(&["0", "0.1", "0.5"])
    );
    let offset = draws.one(&["0", "1", "-1"]);
    let _ = writeln!(text, "      controllers:");
    let lock = format!("key_locks: {{keys: [{keys}], in_force: {in_force}}}");
    let _ = writeln!(text, "        - {{id: desk, primary: true, offset: {offset}, {lock}}}");
    if second {
        let _ = writeln!(text, "        - {{id: door, {lock}}}");
    }
    if draws.is(25) {
        let _ = writeln!(text, "      low_limit: {}", t(draws.whole(5, 14) as f64));
    }
    if draws.is(15) {
        let _ = writeln!(text, "      auto_off: {} h", draws.whole(1, 9));
    }
    if draws.rarely(15) {
        let [below, above] = [t(16.0), t(14.0)];
        let _ = writeln!(
            text,
            "      outdoor_limits: {{heat_below: {below}, cool_above: {above}, hysteresis: 1}}"
        );
    }
    if draws.rarely(15) {
        let does = if draws.rarely(50) { "off" } else { "setback" };
        let _ = writeln!(text, "      window_contact: {{acts_after: 3 min, does: {does}}}");
    }
    if draws.rarely(15) {
        let (heat, cool) = (t(heat), t(heat + gap));
        let _ = writeln!(text, "      return_at: [\"12:00\", \"18:00\"]");
        let _ = writeln!(text, "      return_to: {{heat: {heat}, cool: {cool}}}");
    }
    if draws.is(40) {
        let _ = writeln!(text, "      occupancy: {{from: \"08:00\", to: \"18:00\"}}");
        let _ = writeln!(
            text,
            "      setback: {{heat: {}, cool: {}, override_time: 2 h}}",
            draws.whole(1, 5),
            draws.whole(1, 5)
        );
    }
}

fn actions(draws: &mut Draws, fahrenheit: bool, zones: usize, text: &mut String) {
    let count = draws.below(14);
    if count == 0 {
        return;
    }
    text.push_str("actions:\n");
    for _ in 0..count {
        let (hour, minute, zone) = (draws.below(24), draws.below(60), draws.below(zones as u64));
        let what = match draws.below(8) {
            0 => "power: off".to_owned(),
            1 => "power: on".to_owned(),
            2 => format!("mode: {}", draws.one(&["heat", "cool", "auto", "fan"])),
            3 => format!("heat: {}", in_unit(fahrenheit, draws.whole(8, 28) as f64)),
            4 => format!("cool: {}", in_unit(fahrenheit, draws.whole(15, 34) as f64)),
            5 => format!("press: {}", draws.one(&["mode", "power"])),
            _ => format!(
                "press: {}, times: {}",
                draws.one(&["warmer", "cooler"]),
                draws.below(9) + 1
            ),
        };
        let opens = draws.rarely(10);
        let what = match (opens, opens && draws.rarely(70)) {
            (true, true) => "window: open".to_owned(),
            (true, false) => "window: closed".to_owned(),
            (false, _) => what,
        };
        let role = if draws.is(10) { ", role: schedule" } else { "" };
        let _ = writeln!(
            text,
            "  - {{at: \"{hour:02}:{minute:02}\", zone: z{zone}, by: somebody, {what}{role}}}"
        );
    }
}
