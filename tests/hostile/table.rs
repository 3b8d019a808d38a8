//! Mutated tables of readings taken at site, and mutated sheets.

use std::fs;
use std::path::Path;
use std::time::{Duration, Instant};

use setband::scenario::load;
use setband::study::infer::{infer, read_record};
use setband::study::sheet::{Conditions, sheet};

use super::draw::campaign;

const TABLE: &str = "\
# temperature = C
# zones.hall.controls.min_deadband = 2
line,zone,action,times,read_heat,read_cool,read_mode,read_power,read_running,read_refused
1,hall,look,,20,24,auto,on,none,no
2,hall,warmer,2,21,24,auto,on,none,no
3,hall,cooler,9,16.5,24,auto,on,none,no
4,hall,warmer,12,22,24,auto,on,heating,no
5,hall,mode,1,22,24,dry,on,none,no
6,hall,power,1,22,24,dry,off,none,no
";

fn sheet_of_the_reading_room() -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios/reading_room.yaml");
    let study = load(&path).expect("a scenario");
    let sheet = sheet(&study.base, Conditions::default()).expect("a sheet");
    let sheeted = setband::report::Sheeted::whole(&study.base, &sheet);
    String::from_utf8(setband::report::sheet_csv(&sheeted).expect("a table")).expect("text")
}

/// Whatever the table: faults with their line, or an answer within bounds.
#[test]
fn mutated_tables_are_faults_or_answered_in_bounded_time() {
    let sheet = sheet_of_the_reading_room();
    let all = [TABLE.as_bytes(), sheet.as_bytes()];
    campaign("mutated tables", 4000, |draw| {
        let text = if draw.chance(80) { all[0] } else { all[1] };
        let Ok(text) = String::from_utf8(draw.mutated(text, &all)) else { return };
        let begun = Instant::now();
        match read_record(&text) {
            Err(faults) => {
                assert!(faults.iter().all(|it| !it.what.is_empty() && !it.help.is_empty()));
            }
            Ok(record) => drop(infer(&record)),
        }
        // Built for tests it is some twenty times slower than it is for users.
        assert!(begun.elapsed() < Duration::from_secs(120), "{:?}\n{text}", begun.elapsed());
    });
    assert!(fs::metadata(env!("CARGO_MANIFEST_DIR")).is_ok());
}
