//! Runs that try to pass what `worst` has proved.

#[path = "../../src/study/worst/tests/cases.rs"]
mod cases;
#[path = "../shipped/mod.rs"]
mod shipped;

mod varied;

use setband::control::{ControllerIndex, Role};
use setband::engine::{Action, Doing, Model, StepRow, ZoneIndex, run};
use setband::scenario::read;
use setband::study::EachRow;
use setband::study::worst::{End, Limits, Question, Reached, Source, bound, find};
use setband::time::{Instant, Seconds};

use super::draw::campaign;
use cases::Case;

/// A bound costs as much as a few hundred runs: so many are held against each.
const RUNS: usize = 100;

/// Whatever the rooms, plants, controls, locks, groups, weather, gains and presses: no step of any
/// run lies outside the bounds. No case is refused.
#[test]
fn no_run_passes_the_bounds() {
    campaign("bounds against 100 runs each", 2, |draw| {
        let seed = (0..8).fold(0, |seed: u64, _| seed << 8 | draw.below(256) as u64);
        let case = Case::new(seed);
        let none = |_: &str| Err("no files".to_owned());
        let mut model = read(&case.text, "case.yaml", &none).expect("cases are right").base;
        let question = case.question(&model);
        let reached = match bound(&model, &question) {
            Ok(reached) => reached,
            Err(refusal) => panic!("seed {seed} is refused: {refusal}\n{}", case.text),
        };
        for number in 0..RUNS {
            let mut other = varied::varied(draw, number, &model, &question, &reached);
            case.fail(&mut other);
            let about = || format!("seed {seed}, run {number}: {:?}\n{}", other.actions, case.text);
            assert_within(&other, &reached, about);
        }
        case.fail(&mut model);
        assert_within(&model, &reached, || format!("seed {seed}, as written\n{}", case.text));
    });
}

fn assert_within(model: &Model, reached: &[Reached], about: impl Fn() -> String) {
    let length = model.period.step().get();
    let mut look = |row: &StepRow| {
        let step = usize::try_from(row.at.get() / length).expect("in time");
        let zone = &reached[row.zone.get()];
        let air = model.unit.to_celsius(row.temperature);
        let inside = zone.least[step] - 1e-9 <= air && air <= zone.most[step] + 1e-9;
        assert!(inside, "{air} at step {step} of zone {:?}; {}", row.zone, about());
    };
    run(model, &mut EachRow(&mut look));
}

/// Between the bound and the worst found, over a day of shipped scenarios: how near the bound is.
/// `SETBAND_GAPS=72` takes all scenarios over so many hours, which takes minutes with optimisation,
/// and prints a table.
#[test]
#[expect(clippy::print_stderr, reason = "the table of gaps is what whoever asks for it wants")]
fn gaps_of_shipped_scenarios_are_told() {
    let all = std::env::var("SETBAND_GAPS").ok().and_then(|hours| hours.parse().ok());
    let stems = match all {
        Some(_) => shipped::stems(),
        None => vec!["creeping_display".to_owned()],
    };
    let mut gaps = Vec::new();
    for stem in stems {
        let study = shipped::study(&stem);
        let model = &shipped::model(&study, None);
        let question = Question {
            limits: Limits::of_weather(model),
            lasts: Seconds::hours(all.unwrap_or(12)),
            any_window: false,
            outage: None,
            from: None,
        };
        let reached = match bound(model, &question) {
            Ok(reached) => reached,
            Err(refusal) => {
                eprintln!("{stem}: {refusal}");
                continue;
            }
        };
        let beside = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios");
        let open = |name: &str| std::fs::read(beside.join(name)).map_err(|fault| fault.to_string());
        let source = Source { text: study.text(), name: &stem, variant: None, open: &open };
        let [low, high] = End::BOTH.map(|end| find(&source, model, &question, &reached, end));
        for zone in &reached {
            let place = zone.zone.get();
            let bounds = (zone.lowest().0, zone.highest().0);
            let air = |found: &[Option<setband::study::worst::Found>]| {
                found[place].as_ref().map_or(f64::NAN, |found| found.air)
            };
            let (lowest, highest) = (air(&low), air(&high));
            assert!(!lowest.is_nan() && !highest.is_nan(), "{stem}: no run could be written");
            assert!(bounds.0 <= lowest + 1e-9 && highest <= bounds.1 + 1e-9, "{stem}: {zone:?}");
            eprintln!(
                "{stem:28} {:16} {:7.2} {lowest:7.2} {:5.2}   {highest:7.2} {:7.2} {:5.2}",
                model.zones[place].id,
                bounds.0,
                lowest - bounds.0,
                bounds.1,
                bounds.1 - highest
            );
            gaps.extend([lowest - bounds.0, bounds.1 - highest]);
        }
    }
    gaps.sort_by(f64::total_cmp);
    eprintln!("in the middle {:.2} K, at most {:.2} K", gaps[gaps.len() / 2], gaps[gaps.len() - 1]);
}
