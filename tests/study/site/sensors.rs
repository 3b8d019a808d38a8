//! Which of two sensors governs: found in random weeks, whichever of them is mapped, and not said where
//! nothing tells.
#![expect(clippy::print_stderr, reason = "how many of a hundred were found is worth reading")]
#![expect(clippy::cast_possible_truncation, reason = "a few rounds")]

use setband::study::audit::{Audit, LogFinding, Weight};

use super::audits::rounds;
use super::kinds::has;
use super::maker::{Case, Dice, LOG, Reading, audited};

/// A case with a second sensor in the column `far`; audited with each of the two as the zone's.
fn both(seed: u64, second: impl Fn(&mut Dice, &Case, &[Reading]) -> Vec<f64>) -> [Audit; 2] {
    let case = Case { resolution: 0.1, ..Case::random(seed, 4) };
    let mut log = case.record(&case.rows());
    let far = second(&mut Dice(seed ^ 0x3C), &case, &log.readings);
    log.more.push(("far", far.iter().map(|it| format!("{it:.1}")).collect()));
    [("air", "far"), ("far", "air")].map(|(own, other)| {
        let with = format!("temperature: {own}, others: {{second: {other}}}");
        audited(&case, &LOG.replace("temperature: air", &with), &log)
    })
}

/// A sensor in the return air, or behind a shelf: late, and off by what the unit does and the spot has.
fn elsewhere(dice: &mut Dice, case: &Case, readings: &[Reading]) -> Vec<f64> {
    let degree = if case.fahrenheit { 1.8 } else { 1.0 };
    let late = dice.between(12.0, 40.0);
    let (off, warmed) = (dice.between(-1.0, 1.0) * degree, dice.between(0.0, 1.5) * degree);
    let part = f64::from(case.every) / late;
    // Draughts, sun and people come and go about it.
    let (hourly, wander) = (f64::from(case.every) / 60.0, dice.between(0.3, 0.6) * degree);
    let mut value = readings[0].sensed;
    let mut stir = 0.0;
    readings
        .iter()
        .map(|it| {
            value += (it.sensed - value) * part.min(1.0);
            let by_unit = match it.running {
                "heating" => warmed,
                "cooling" => -warmed,
                _ => 0.0,
            };
            stir += wander * (2.0 * hourly).sqrt() * dice.normal() - hourly * stir;
            value + off + by_unit + stir + 0.05 * degree * dice.normal()
        })
        .collect()
}

fn finding(audit: &Audit) -> &LogFinding {
    has(audit, "governing_sensor").expect("two sensors are mapped")
}

/// In 95 of 100 the governing one is told, and it is said to be the mapped one where it is.
#[test]
fn the_governing_sensor_is_told_whichever_is_mapped() {
    let (mut missed, mut wrong) = (Vec::new(), Vec::new());
    for seed in 0..rounds() {
        for audit in both(seed * 6151 + 3, elsewhere) {
            let found = finding(&audit);
            match found.values["governs"].as_str() {
                Some("air") => {
                    let told = ["evidence", "certain"].iter().any(|it| found.message.contains(it));
                    assert!(told, "{}", found.message);
                }
                Some(_) => wrong.push(found.message.clone()),
                None => missed.push(found.message.clone()),
            }
        }
    }
    let most = (rounds() as usize / 10).max(1);
    eprintln!(
        "governing_sensor: of {} {} not told, {} told wrongly",
        2 * rounds(),
        missed.len(),
        wrong.len()
    );
    assert!(missed.len() <= most, "{missed:#?}");
    assert!(wrong.len() <= most, "{wrong:#?}");
}

/// Two sensors side by side: whichever governs, nothing in the log tells.
#[test]
fn of_two_sensors_side_by_side_it_is_said_that_they_cannot_be_told_apart() {
    let mut wrong = Vec::new();
    for seed in 0..rounds() {
        let beside = |dice: &mut Dice, case: &Case, all: &[Reading]| -> Vec<f64> {
            all.iter().map(|it| it.sensed + case.noise * dice.normal()).collect()
        };
        for audit in both(seed * 6151 + 3, beside) {
            let found = finding(&audit);
            if found.values["governs"].is_null() {
                assert_eq!(found.weight, Weight::Note);
                assert!(found.message.contains("can't be told apart"), "{}", found.message);
                assert!(found.message.contains("alike with a probability"), "{}", found.message);
            } else {
                wrong.push(found.message.clone());
            }
        }
    }
    eprintln!("governing_sensor: of {} alike {} told apart", 2 * rounds(), wrong.len());
    assert!(wrong.len() <= (rounds() as usize / 10).max(1), "{wrong:#?}");
}
