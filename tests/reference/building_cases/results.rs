//! The cases' years.

use std::collections::BTreeMap;
use std::fs;
use std::io::Read;
use std::path::Path;
use std::sync::LazyLock;

use flate2::read::GzDecoder;
use setband::engine::Model;
use setband::scenario::load;
use setband::study::{Keep, simulate};
use tempfile::TempDir;

use super::cases::Case;
use super::published::Quantity;

/// A typical year of Greensboro, North Carolina: see `tests/reference/data/README.md`.
const WEATHER: &str = "greensboro.csv";

static FOLDER: LazyLock<TempDir> = LazyLock::new(|| {
    let folder = tempfile::tempdir().expect("a folder");
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/greensboro_tmy3.csv.gz");
    let mut text = String::new();
    let file = fs::File::open(path).expect("the compressed file");
    GzDecoder::new(file).read_to_string(&mut text).expect("a text");
    fs::write(folder.path().join(WEATHER), text).expect("written");
    folder
});

/// What a year comes to.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Results {
    /// In megawatt-hours.
    heating: f64,
    /// In megawatt-hours.
    cooling: f64,
    /// Largest hour, kW.
    peak_heating: f64,
    /// Largest hour, kW.
    peak_cooling: f64,
    /// Air, degrees C.
    warmest: f64,
    coldest: f64,
    mean: f64,
}

impl Results {
    pub(crate) fn of(&self, quantity: Quantity) -> f64 {
        match quantity {
            Quantity::Heating => self.heating,
            Quantity::Cooling => self.cooling,
            Quantity::PeakHeating => self.peak_heating,
            Quantity::PeakCooling => self.peak_cooling,
            Quantity::Warmest => self.warmest,
            Quantity::Coldest => self.coldest,
            Quantity::Mean => self.mean,
        }
    }
}

/// The model of a case, read from its scenario file.
pub(crate) fn model(case: Case) -> Model {
    let path = FOLDER.path().join(format!("{}.yaml", case.number()));
    fs::write(&path, case.scenario(WEATHER)).expect("written");
    match load(&path) {
        Ok(study) => study.base,
        Err(faults) => panic!("{}: {faults}", case.number()),
    }
}

fn year(case: Case) -> Results {
    let finished = simulate(&model(case), Keep::Steps);
    let (energy, temperature) =
        (&finished.summary.energy, &finished.summary.zones[0].1.temperature);
    let peak =
        |sign: f64| finished.rows.iter().map(|row| sign * row.heat_w).fold(0.0, f64::max) / 1000.0;
    Results {
        heating: energy.heat_delivered_kwh / 1000.0,
        cooling: energy.heat_removed_kwh / 1000.0,
        peak_heating: peak(1.0),
        peak_cooling: peak(-1.0),
        warmest: temperature.max,
        coldest: temperature.min,
        mean: temperature.mean,
    }
}

/// All cases, each simulated once.
pub(crate) fn all() -> &'static BTreeMap<Case, Results> {
    static ALL: LazyLock<BTreeMap<Case, Results>> =
        LazyLock::new(|| Case::ALL.into_iter().map(|case| (case, year(case))).collect());
    &ALL
}
