//! What acts on a room acts in every day alike, in the warm-up days and in the first day after.

use setband::scenario::read;
use setband::study::{Finished, Keep, simulate};

/// Nothing but a gain that comes and goes: no plant, no air change, no windows.
const ROOM: &str = "
period: {from: 2025-04-16, days: 1}
weather: {hours: [10, 10, 10, 10, 10, 10, 10, 10, 10, 10, 10, 10,
                  10, 10, 10, 10, 10, 10, 10, 10, 10, 10, 10, 10]}
zones:
  room:
    space: {floor: 20 m2, opaque: 50 W/K}
    gains: {from: \"09:00\", to: \"17:00\", power: 1000 W}
    unit: {heating: 3 kW, cooling: 3 kW}
    controls: {heat: 20, cool: 24, power: off}
";

/// In the periodic state all heat of a day leaves from the mass to outdoors in that day, so the
/// mass is warmer than outdoors by the mean gain over Hem on average: a closed form. The network
/// is that of ISO 13790:2008, clause 12.2.2: 1/Hem = 1/Hop - 1/Hms, Hms = 9.1 Am; Table 12:
/// Am = 2.5 Af for the class medium.
#[test]
fn gains_of_the_day_act_after_the_warm_up() {
    let no_companions = |_: &str| Err("none".to_owned());
    let study = read(ROOM, "room.yaml", &no_companions).expect("the text is right");
    let Finished { rows, summary, .. } = simulate(&study.base, Keep::Steps);
    assert!(summary.period.warmup_days >= 2);
    let mean = rows.iter().map(|row| row.mass_temperature).sum::<f64>() / rows.len() as f64;
    let mass_to_surface = 9.1 * 2.5 * 20.0;
    let mass_to_outdoors = 1.0 / (1.0 / 50.0 - 1.0 / mass_to_surface);
    let expected = 10.0 + 1000.0 * 8.0 / 24.0 / mass_to_outdoors;
    // Warm-up stops once daily means repeat within 0.01 K; with a time constant of 1.2 days the
    // rest of the way is a few hundredths.
    assert!((mean - expected).abs() < 0.05, "{mean} instead of {expected}");
}
