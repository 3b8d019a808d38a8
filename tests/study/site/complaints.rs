//! `why` on days that were made so that one thing is the cause: from the run itself, and from a log of
//! it in which the governing sensor is the zone's temperature and a thermometer in the room another.

use std::fmt::Write as _;

use setband::engine::{Model, StepRow, ZoneIndex};
use setband::log::LogTime;
use setband::scenario::{Override, Template, read_beside};
use setband::study::replay::Rerun;
use setband::study::why::{Answer, CODES, Felt, Remedy, Scene, remedies, why};
use setband::study::{Keep, simulate};
use setband::time::{DAY, Instant};

use super::maker::read;

/// A day with a complaint.
#[derive(Clone, Copy)]
struct Day {
    /// The cause that is to be found first.
    code: &'static str,
    zone: &'static str,
    /// Minutes after midnight.
    at: i64,
    felt: Felt,
    /// Keys of the controls, of the unit, and the rest of the file.
    controls: &'static str,
    unit: &'static str,
    rest: &'static str,
}

const WINTER: &str = "weather: {design_day: {high: 2, range: 8}}\n";

/// A room of a library on a winter's day, whom nothing ails.
const SOUND: Day = Day {
    code: "within_band",
    zone: "snug",
    at: 14 * 60,
    felt: Felt::Cold,
    controls: "heat: 21, cool: 25, min_deadband: 2",
    unit: "heating: 6 kW, cooling: 5 kW",
    rest: "",
};

impl Day {
    fn text(&self) -> String {
        if self.zone != "snug" {
            return self.rest.to_owned();
        }
        let weather = if self.rest.contains("weather:") { "" } else { WINTER };
        format!(
            "title: Made\nperiod: {{from: 2025-01-13}}\n{weather}zones:\n  snug:\n    label: Snug\n    space: \
             {{floor: 60 m2, mass: light}}\n    unit: {{{}}}\n    controls: {{{}}}\n    comfort: {{band: \
             [19, 26]}}\n{}",
            self.unit, self.controls, self.rest
        )
    }

    fn zone_in(&self, model: &Model) -> ZoneIndex {
        let place = model.zones.iter().position(|zone| zone.id == self.zone);
        ZoneIndex::new(place.expect("the file has the zone"))
    }

    fn moment(&self, model: &Model) -> LogTime {
        LogTime::midnight(model.period.first()) + self.at * 60
    }

    fn of_run(&self) -> Answer {
        let model = read(&self.text(), b"");
        let run = simulate(&model, Keep::Steps);
        let (zone, at) = (self.zone_in(&model), self.moment(&model));
        let scene = Scene::of_run(&model, (&run.rows, &run.ledger), zone, at).expect("it covers");
        why(&scene, self.felt).expect("it covers that")
    }

    /// The same from what a recorder would have of that run.
    fn of_log(&self) -> Answer {
        let model = read(&self.text(), b"");
        let run = simulate(&model, Keep::Steps);
        let text = format!("{}{}", self.text(), block(&model));
        let log = recorded(&model, &run.rows);
        let model = read(&text, log.as_bytes());
        let site = model.log.clone().expect("there is one");
        let (zone, at) = (self.zone_in(&model), self.moment(&model));
        let scene = Scene::of_log(&model, &site, zone, at).expect("it covers");
        why(&scene, self.felt).expect("it covers that")
    }

    fn remedies(&self) -> (Vec<Remedy>, usize) {
        let model = read(&self.text(), b"");
        let template = self.template();
        let at = Instant::new(self.at * 60);
        let causes = self.of_run().causes;
        remedies(&template, &model, (self.zone_in(&model), at), self.felt, &causes, None)
    }

    fn template(&self) -> Template {
        let open = |_: &str| Err(String::new());
        Template::read(&self.text(), "made.yaml", Box::new(open), None).expect("it is read")
    }

    /// What is felt at the moment with other values.
    fn felt_with(&self, changes: &[(String, String)]) -> f64 {
        let all: Vec<Override> =
            changes.iter().map(|(path, to)| Override::new(path, to).expect("a value")).collect();
        let model = self.template().model(&all).expect("the file takes it");
        let zone = self.zone_in(&model);
        let rows = simulate(&model, Keep::Steps).rows;
        let then = rows.iter().rfind(|row| row.zone == zone && row.at.get() <= self.at * 60);
        then.expect("a row").operative
    }
}

/// A `log` block for all zones.
fn block(model: &Model) -> String {
    let mut out = "log:\n  file: day.csv\n  outdoor: out\n  zones:\n".to_owned();
    for zone in &model.zones {
        let id = &zone.id;
        let _ = writeln!(
            out,
            "    {id}: {{temperature: {id}_air, others: {{table: {id}_room}}, heat: {id}_h, cool: {id}_c, \
             mode: {id}_mode, power: {id}_power, running: {id}_run, occupied: {{column: {id}_there, \
             values: {{1: yes, 0: no}}}}}}"
        );
    }
    out
}

fn recorded(model: &Model, rows: &[StepRow]) -> String {
    let ids: Vec<&str> = model.zones.iter().map(|zone| zone.id.as_str()).collect();
    let points = ["air", "room", "h", "c", "mode", "power", "run", "there"];
    let names: Vec<String> =
        ids.iter().flat_map(|id| points.map(|point| format!("{id}_{point}"))).collect();
    let mut out = format!("time,out,{}\n", names.join(","));
    let midnight = LogTime::midnight(model.period.first());
    for step in rows.chunks(ids.len()) {
        let _ = write!(out, "{},{:.1}", midnight + step[0].at.get(), step[0].outdoor);
        for row in step {
            let _ = write!(
                out,
                ",{:.2},{:.2},{},{},{},{},{},{}",
                row.sensed,
                row.temperature,
                row.heat,
                row.cool,
                row.mode.name(),
                row.power.name(),
                row.served.map_or("none", setband::control::Direction::name),
                u8::from(row.occupied)
            );
        }
        out.push('\n');
    }
    out
}

const YARD: &str = "title: Yard
period: {from: 2025-04-08}
weather: {design_day: {high: 14, range: 9}}
outdoor_unit:
  mode_policy: owner
  owner: kiln
  heating: [{outdoor: -8, capacity: 9 kW, cop: 2.4}, {outdoor: 8, capacity: 12 kW, cop: 3.7}]
  cooling: [{outdoor: 20, capacity: 12 kW, cop: 5.2}, {outdoor: 35, capacity: 10 kW, cop: 3.6}]
zones:
  kiln:
    label: Kiln room
    space: {floor: 90 m2, height: 3.5 m}
    gains: {from: \"06:30\", to: \"15:30\", power: 3300 W}
    unit: {heating: 5 kW, cooling: 5 kW}
    controls: {heat: 19, cool: 22, min_deadband: 2}
  desk:
    label: Desk
    space: {floor: 40 m2}
    unit: {heating: 3 kW, cooling: 3 kW}
    controls: {heat: 20.5, cool: 24, min_deadband: 2}
    comfort: {band: [19.5, 25]}
";

/// Each code with a day in which it is the cause.
fn days() -> Vec<Day> {
    let by = |code: &'static str, controls: &'static str| Day { code, controls, ..SOUND };
    vec![
        SOUND,
        Day {
            rest: "actions:\n  - {at: \"09:00\", zone: snug, by: porter, power: off}\n",
            code: "power_off",
            ..SOUND
        },
        Day {
            rest: "actions:\n  - {at: \"09:00\", zone: snug, by: porter, mode: cool}\n",
            code: "mode",
            ..SOUND
        },
        by("setpoint", "heat: 17, cool: 25, min_deadband: 2"),
        Day {
            rest: "actions:\n  - {at: \"09:00\", zone: snug, by: night porter, press: cooler, times: 4}\n  \
                   - {at: \"09:10\", zone: snug, by: night porter, press: cooler, times: 4}\n",
            code: "moved_by",
            ..SOUND
        },
        by(
            "limit",
            "heat: 18, cool: 25, min_deadband: 2, limits: {heat: [15, 18], cool: [20, 28]}",
        ),
        by("deadband", "heat: 18, cool: 21, min_deadband: 3, on_conflict: hold"),
        by(
            "unoccupied",
            "heat: 21, cool: 25, min_deadband: 2, occupancy: {from: \"06:00\", to: \"09:00\"}, setback: \
             {heat: 5}",
        ),
        Day {
            code: "recovery",
            at: 8 * 60 + 40,
            controls: "heat: 21, cool: 25, min_deadband: 2, occupancy: {from: \"08:00\", to: \
                       \"18:00\"}, setback: {heat: 6}",
            unit: "heating: 3 kW, cooling: 5 kW",
            ..SOUND
        },
        Day { code: "group_direction", zone: "desk", at: 12 * 60, rest: YARD, ..SOUND },
        Day { code: "capacity", at: 7 * 60, unit: "heating: 600 W, cooling: 5 kW", ..SOUND },
        Day {
            code: "rest",
            at: 2 * 60,
            unit: "heating: 9 kW, cooling: 5 kW, control: staged, min_off: 90 min",
            ..SOUND
        },
        by(
            "sensor",
            "heat: 20, cool: 25, min_deadband: 2, sensor: {place: return_air, stratification: {heating: \
             3, cooling: 0}}",
        ),
        by("outdoor_limit", "heat: 21, cool: 25, min_deadband: 2, outdoor_limits: {heat_below: 0}"),
        Day {
            code: "setpoint",
            felt: Felt::Hot,
            controls: "heat: 20, cool: 29, min_deadband: 2",
            rest: "    gains: {from: \"08:00\", to: \"18:00\", power: 3500 W}\nweather: {design_day: \
                   {high: 33, range: 10}}\n",
            ..SOUND
        },
        Day {
            code: "outdoor_limit",
            felt: Felt::Hot,
            controls: "heat: 20, cool: 24, min_deadband: 2, outdoor_limits: {cool_above: 12}",
            rest: "    gains: {from: \"08:00\", to: \"18:00\", power: 2000 W}\nweather: {design_day: \
                   {high: 10, range: 5}}\n",
            ..SOUND
        },
    ]
}

/// Moves the rest time to a moment at which the unit rests although it is called for.
fn aimed(day: Day) -> Day {
    if day.code != "rest" {
        return day;
    }
    let model = read(&day.text(), b"");
    let rows = simulate(&model, Keep::Steps).rows;
    let called = |row: &&StepRow| row.served.is_none() && row.sensed < row.heat - 0.6;
    let row = rows.iter().filter(|row| row.at.get() > 3600).find(called).expect("it rests");
    Day { at: row.at.get() / 60, ..day }
}

fn codes(answer: &Answer) -> Vec<&str> {
    answer.causes.iter().map(|cause| cause.code).collect()
}

#[test]
fn every_code_has_a_day_in_which_it_is_found_first() {
    for code in CODES {
        assert!(days().iter().any(|day| day.code == code), "{code}");
    }
    for day in days().into_iter().map(aimed) {
        let of_run = day.of_run();
        assert_eq!(of_run.causes[0].code, day.code, "run: {of_run:#?}");
        let of_log = day.of_log();
        assert_eq!(of_log.causes[0].code, day.code, "log: {of_log:#?}");
        for answer in [of_run, of_log] {
            let model = read(&day.text(), b"");
            assert!(answer.causes.iter().all(|it| it.since <= day.moment(&model)), "{answer:?}");
            assert!(answer.answer.contains("because"), "{answer:?}");
            assert!(!answer.causes[0].reading.is_empty(), "{answer:?}");
        }
    }
}

#[test]
fn since_says_when_it_began_and_who_did_it() {
    let find = |code: &str| days().into_iter().find(|day| day.code == code).expect("there is one");
    let moved = find("moved_by").of_run();
    assert_eq!(moved.causes[0].since.to_string(), "2025-01-13 09:00");
    assert!(
        moved.answer.contains("night porter had moved its heat setpoint from 21 to 17"),
        "{moved:?}"
    );
    // A log does not tell who it was.
    let logged = find("moved_by").of_log();
    assert!(
        logged.answer.contains("somebody had moved its heat setpoint from 21 to 17"),
        "{logged:?}"
    );
    let off = find("power_off").of_log();
    assert_eq!(off.causes[0].since.to_string(), "2025-01-13 09:00");
    let yard = find("group_direction").of_run();
    assert!(yard.answer.contains("Kiln room"), "{}", yard.answer);
}

#[test]
fn a_day_with_two_causes_has_both_in_the_order_in_which_they_decide() {
    let off = "actions:\n  - {at: \"08:00\", zone: snug, by: porter, power: off}\n  - {at: \"09:00\", zone: \
               snug, by: porter, mode: cool}\n";
    let day = Day { rest: off, ..SOUND };
    for answer in [day.of_run(), day.of_log()] {
        assert_eq!(codes(&answer)[..2], ["power_off", "mode"], "{answer:#?}");
    }
    // A unit that is too weak, and a sensor that flatters it.
    let day = Day {
        at: 7 * 60,
        unit: "heating: 600 W, cooling: 5 kW",
        controls: "heat: 21, cool: 25, min_deadband: 2, sensor: {place: return_air, stratification: \
                   {heating: 3, cooling: 0}}",
        ..SOUND
    };
    for answer in [day.of_run(), day.of_log()] {
        assert_eq!(codes(&answer), ["capacity", "sensor"], "{answer:#?}");
    }
    // A setpoint that somebody lowered, in a room whose sensor reads too much.
    let day = Day {
        rest: "actions:\n  - {at: \"09:00\", zone: snug, by: porter, heat: 17}\n",
        controls: "heat: 21, cool: 25, min_deadband: 2, sensor: {offset: 2}",
        ..SOUND
    };
    assert_eq!(codes(&day.of_run()), ["moved_by", "sensor"]);
}

#[test]
fn a_room_that_has_not_recovered_yet_is_cold_for_what_was_before() {
    let day = Day {
        rest: "actions:\n  - {at: \"00:30\", zone: snug, by: porter, power: off}\n  - {at: \"08:00\", zone: \
               snug, by: porter, power: on}\n",
        at: 8 * 60 + 8,
        unit: "heating: 3 kW, cooling: 5 kW",
        ..SOUND
    };
    for answer in [day.of_run(), day.of_log()] {
        assert_eq!(answer.causes[0].code, "power_off", "{answer:#?}");
        assert_eq!(
            answer.causes[0].until.map(|it| it.to_string()).as_deref(),
            Some("2025-01-13 08:00")
        );
        assert!(answer.answer.contains("until 2025-01-13 08:00"), "{}", answer.answer);
    }
    // An owner that stands in `cool` is no follower: its own mode is why.
    let text = YARD
        .replace("owner: kiln\n", "owner: desk\n")
        .replace("controls: {heat: 20.5", "controls: {mode: cool, heat: 20.5");
    let day = Day { zone: "desk", at: 7 * 60, rest: Box::leak(text.into_boxed_str()), ..SOUND };
    assert_eq!(day.of_run().causes[0].code, "mode");
}

#[test]
fn nothing_is_found_where_nothing_is_wrong() {
    for felt in [Felt::Cold, Felt::Hot] {
        let day = Day { felt, ..SOUND };
        let answer = day.of_run();
        assert_eq!(codes(&answer), ["within_band"], "{answer:#?}");
        assert!(answer.answer.contains("radiant"), "{}", answer.answer);
        assert_eq!(day.remedies(), (Vec::new(), 0));
    }
}

#[test]
fn a_call_that_nothing_answers_is_no_day_on_which_nothing_is_wrong() {
    // The log of a unit that is broken: called for, and not running.
    let text = SOUND.text();
    let model = read(&text, b"");
    let mut rows = simulate(&model, Keep::Steps).rows;
    for row in &mut rows {
        (row.sensed, row.temperature, row.served) = (15.0, 15.0, None);
    }
    let model = read(&format!("{text}{}", block(&model)), recorded(&model, &rows).as_bytes());
    let site = model.log.clone().expect("there is one");
    let at = SOUND.moment(&model);
    let scene = Scene::of_log(&model, &site, ZoneIndex::new(0), at).expect("it covers");
    let answer = why(&scene, Felt::Cold).expect("it covers that");
    assert_eq!(codes(&answer), ["capacity"], "{answer:#?}");
    assert!(answer.answer.contains("gave nothing"), "{}", answer.answer);
}

#[test]
fn remedies_do_what_they_claim() {
    for day in days().into_iter().map(aimed).filter(|day| day.code != "within_band") {
        let (helped, tried) = day.remedies();
        assert!(!helped.is_empty(), "{}: none of {tried} helped", day.code);
        assert!(helped.len() <= 3 && tried >= helped.len(), "{}", day.code);
        let without = day.felt_with(&[]);
        for remedy in &helped {
            let by = day.felt_with(&remedy.changes) - without;
            assert!((by - remedy.differences.temperature).abs() < 1e-9, "{}: {remedy:?}", day.code);
            let relief = by * if day.felt == Felt::Cold { 1.0 } else { -1.0 };
            assert!(relief >= 0.2, "{}: {remedy:?}", day.code);
        }
    }
}

/// What somebody did at site is in the log and not in the file: remedies are tried over the log's days, in
/// which it is done again, and do at site what they claim.
#[test]
fn remedies_from_a_log_follow_what_was_asked_for_at_site() {
    let find = |code: &str| days().into_iter().find(|day| day.code == code).expect("there is one");
    for (code, helps) in
        [("moved_by", "limits.heat"), ("mode", "locked_modes"), ("power_off", "low_limit")]
    {
        let site_day = find(code);
        let log = recorded(
            &read(&site_day.text(), b""),
            &simulate(&read(&site_day.text(), b""), Keep::Steps).rows,
        );
        let settings = Day { rest: "", ..site_day };
        let text = settings.text() + &block(&read(&settings.text(), b""));
        let model = read(&text, log.as_bytes());
        let site = model.log.clone().expect("there is one");
        let (zone, at) = (settings.zone_in(&model), Instant::new(settings.at * 60));
        let scene = Scene::of_log(&model, &site, zone, settings.moment(&model)).expect("it covers");
        let answer = why(&scene, settings.felt).expect("it covers that");
        assert_eq!(answer.causes[0].code, code);
        let open = move |_: &str| Ok(log.clone());
        let template =
            Template::read(&text, "made.yaml", Box::new(open), None).expect("it is read");
        let tried = |rerun: Option<&Rerun>| {
            remedies(&template, &model, (zone, at), settings.felt, &answer.causes, rerun).0
        };
        let rerun = Rerun::of(&model, &site).expect("the log has the day");
        assert!(rerun.requests(at) >= 1, "{code}");
        let path = format!("zones.snug.controls.{helps}");
        let with = |all: &[Remedy]| {
            all.iter().find(|it| it.changes.iter().any(|(own, _)| *own == path)).cloned()
        };
        // On the file's days nobody did it, so nothing helps against it.
        assert_eq!(with(&tried(None)), None, "{code}");
        let remedy = with(&tried(Some(&rerun))).unwrap_or_else(|| panic!("{code}: {path}"));
        let at_site = site_day.felt_with(&remedy.changes) - site_day.felt_with(&[]);
        let claimed = remedy.differences.temperature;
        assert!(claimed >= 0.5, "{code}: {remedy:?}");
        assert!((claimed - at_site).abs() < 0.2, "{code}: {claimed} claimed, {at_site} at site");
    }
}

/// The moment lies outside what was recorded, or in an hour of which nothing is known.
#[test]
fn of_a_time_that_the_log_does_not_cover_nothing_is_said() {
    let model = read(&SOUND.text(), b"");
    let rows = simulate(&model, Keep::Steps).rows;
    let morning: Vec<StepRow> = rows.iter().filter(|row| row.at.get() < DAY / 3).copied().collect();
    let text = format!("{}{}", SOUND.text(), block(&model));
    let log = recorded(&model, &morning);
    let study = read_beside(&text, "made.yaml", &|_| Ok(log.clone().into_bytes()));
    let model = study.unwrap_or_else(|it| panic!("{it}")).base;
    let site = model.log.clone().expect("there is one");
    let midnight = LogTime::midnight(model.period.first());
    let scene = |at: i64| Scene::of_log(&model, &site, ZoneIndex::new(0), midnight + at);
    assert!(scene(DAY / 3 - 60).is_some());
    assert!(scene(DAY / 2).is_none());
    assert!(scene(-60).is_none());
}
