//! Runs that try to pass what `worst` has proved.

use setband::control::{ControllerIndex, Role};
use setband::engine::{Action, Doing, StepRow, ZoneIndex, run};
use setband::scenario::read;
use setband::study::EachRow;
use setband::study::worst::{Limits, Question, bound};
use setband::time::{Instant, Seconds};

use super::cases::Case;
use super::draw::campaign;

/// Whatever the rooms, plants, controls, locks, groups, weather, gains and presses: no step of the
/// run lies outside the bounds.
#[test]
fn no_run_passes_the_bounds() {
    campaign("runs against bounds", 4, |draw| {
        let seed = (0..8).fold(0, |seed: u64, _| seed << 8 | draw.below(256) as u64);
        let case = Case::new(seed);
        let none = |_: &str| Err("no files".to_owned());
        let mut model = read(&case.text, "case.yaml", &none).expect("cases are right").base;
        let celsius = |value: f64| model.unit.to_celsius(value);
        let question = Question {
            limits: Limits {
                coldest: celsius(case.outdoors.0) - 0.01,
                hottest: celsius(case.outdoors.1) + 0.01,
            },
            lasts: Seconds::hours(24),
            any_window: false,
            outage: case.outage.map(|hours| Seconds::hours(i64::from(hours))),
            from: case.from.map(celsius),
        };
        let Ok(reached) = bound(&model, &question) else { return };
        if let Some(lasts) = question.outage {
            let at = Instant::new(i64::try_from(seed % 20).unwrap_or(0) * 3600);
            let place = model.actions.partition_point(|action| action.at <= at);
            let failure = Action {
                at,
                place: None,
                zone: ZoneIndex::new(0),
                controller: ControllerIndex::new(0),
                by: std::sync::Arc::from("the grid"),
                role: Role::Technician,
                what: Doing::PowerFailure(lasts),
            };
            model.actions.insert(place, failure);
        }
        run(
            &model,
            &mut EachRow(|row: &StepRow| {
                let step = row.at.get() / model.period.step().get();
                let step = usize::try_from(step).expect("in time");
                let zone = &reached[row.zone.get()];
                let air = model.unit.to_celsius(row.temperature);
                let inside = zone.least[step] - 1e-9 <= air && air <= zone.most[step] + 1e-9;
                assert!(inside, "seed {seed}, step {step}: {air}\n{}", case.text);
            }),
        );
    });
}
