//! Sun and sky onto the faces of a building against a general solar library, over a year of hours.

use std::io::Read;

use approx::assert_relative_eq;
use flate2::read::GzDecoder;
use serde::Deserialize;
use setband::units::TemperatureUnit;
use setband::weather::{Face, SkyModel, Stamp, WeatherFile, light_by_month};

use super::sheet::rows;

/// A typical year of Buffalo, NY, in the EPW layout; `data/README.md` has its source.
const FILE: &[u8] = include_bytes!("../data/buffalo_epw.gz");
/// Made by `data/buffalo_facades.py` with pvlib 0.16.1.
const SUMS: &str = include_str!("data/buffalo_facades.csv");
/// The sums of a year agree this closely. The library lifts the sun by refraction, which is none of
/// our model, and has another constant for the light outside the atmosphere.
const OVER_A_YEAR: f64 = 0.01;
/// Months of little light and low suns, in which refraction counts for more.
const OVER_A_MONTH: f64 = 0.02;

#[derive(Deserialize)]
struct Month {
    horizontal: f64,
    north: f64,
    east: f64,
    south: f64,
    west: f64,
    iso_horizontal: f64,
    iso_north: f64,
    iso_east: f64,
    iso_south: f64,
    iso_west: f64,
}

impl Month {
    fn faces(&self, sky: SkyModel) -> [f64; 5] {
        match sky {
            SkyModel::Anisotropic => {
                [self.horizontal, self.north, self.east, self.south, self.west]
            }
            SkyModel::Isotropic => {
                [self.iso_horizontal, self.iso_north, self.iso_east, self.iso_south, self.iso_west]
            }
        }
    }
}

#[test]
fn walls_and_roof_get_what_a_solar_library_says() {
    let mut text = String::new();
    GzDecoder::new(FILE).read_to_string(&mut text).expect("a text");
    let file = WeatherFile::read(&text, TemperatureUnit::Celsius).expect("a right file");
    let (first, spells) = file.light(Stamp::End).expect("radiation");
    let site = file.site().expect("the station's");
    let expected: Vec<Month> = rows(SUMS);
    for sky in [SkyModel::Anisotropic, SkyModel::Isotropic] {
        let found = light_by_month(first, &spells, site, sky).expect("a site on the globe");
        assert_eq!(found.len(), 12);
        for face in Face::ALL {
            let at = face as usize;
            let months = found.iter().zip(&expected);
            for (month, theirs) in months {
                let theirs = theirs.faces(sky)[at];
                assert_relative_eq!(month.faces[at], theirs, max_relative = OVER_A_MONTH);
            }
            let ours: f64 = found.iter().map(|month| month.faces[at]).sum();
            let theirs: f64 = expected.iter().map(|month| month.faces(sky)[at]).sum();
            assert_relative_eq!(ours, theirs, max_relative = OVER_A_YEAR);
        }
    }
}
