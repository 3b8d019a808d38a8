//! Mutated weather files.

use std::fmt::Write as _;

use jiff::civil::date;
use setband::time::{Period, Seconds};
use setband::units::TemperatureUnit;
use setband::weather::{Course, Fill, Gap, Stamp, WeatherFile};

use super::draw::campaign;

fn readings() -> String {
    let mut text = String::from("time,temperature,humidity,radiation\n");
    for hour in 0..72 {
        let (day, of_day) = (hour / 24 + 1, hour % 24);
        let air = 5.0 + f64::from(of_day % 12);
        let sun = if (8..18).contains(&of_day) { 300 } else { 0 };
        let _ = writeln!(text, "2025-04-0{day}T{of_day:02}:00,{air},60,{sun}");
    }
    text
}

fn typical() -> String {
    let mut text = String::from(
        "1,\"Town\",XX,1.0,50.0,10.0,100\nDate (MM/DD/YYYY),Time (HH:MM),GHI (W/m^2),Dry-bulb (C),RHum \
         (%)\n",
    );
    for hour in 0..8760 {
        let date = date(2025, 1, 1).saturating_add(jiff::Span::new().days(hour / 24));
        let stamp = format!("{:02}/{:02}/2025,{:02}:00", date.month(), date.day(), hour % 24 + 1);
        let _ = writeln!(text, "{stamp},{},{},50", hour % 24 * 10, hour % 20);
    }
    text
}

/// Whatever the text: faults with their line, or weather that is a number at every instant and has
/// no long gap that nobody asked to fill.
#[test]
fn mutated_weather_is_a_fault_or_weather() {
    let (readings, typical) = (readings(), typical());
    let all = [readings.as_bytes(), typical.as_bytes()];
    campaign("mutated weather files", 8000, |draw| {
        let text = if draw.chance(95) { all[0] } else { all[1] };
        let Ok(text) = String::from_utf8(draw.mutated(text, &all)) else { return };
        let lines = text.split('\n').count();
        match WeatherFile::read(&text, TemperatureUnit::Celsius) {
            Err(faults) => {
                assert!(faults.count() > 0);
                for fault in faults.as_slice() {
                    assert!(fault.line >= 1 && fault.line <= lines, "{fault:?}");
                    assert!(!fault.what.is_empty() && !fault.remedy.is_empty(), "{fault:?}");
                }
            }
            Ok(WeatherFile::Logged(logged)) => {
                let first = date(2025, 4, 1);
                let period = Period::new(first, 2, Seconds::minutes(10)).expect("a period");
                let fill = *draw.one(&[None, Some(Fill::Hold), Some(Fill::Straight)]);
                let stamp = *draw.one(&Stamp::ALL);
                let Ok(weather) = logged.weather(&period, None, stamp, fill) else { return };
                let mut course = Course::new(&weather, first);
                for second in (0..2 * 86_400).step_by(600) {
                    assert!(course.outdoor(f64::from(second)).is_finite());
                }
                let gaps = weather.record().map_or(&[][..], |record| &record.gaps);
                assert!(fill.is_some() || !gaps.iter().any(Gap::is_long), "{gaps:?}");
            }
            Ok(_) => {}
        }
    });
}
