//! The columns of a CSV of readings, and what stands in its rows.

use jiff::civil::DateTime;

use super::LoggedRow;
use crate::units::{TemperatureUnit, parse_number};
use crate::weather::fault::FileFaults;
use crate::weather::fields::{Row, shown};
use crate::weather::quantity::{COLDEST, Quantity, WARMEST};
use crate::weather::spell::Light;
use crate::weather::vapour::{of_dew_point, of_humidity};

/// The columns there may be.
const KNOWN: [&str; 8] =
    ["time", "temperature", "humidity", "dew_point", "radiation", "beam", "diffuse", "wind"];

/// Where the columns stand.
pub(super) struct Columns {
    count: usize,
    pub(super) time: usize,
    /// In the order of [`Quantity::ALL`].
    places: [Option<usize>; Quantity::ALL.len()],
}

impl Columns {
    pub(super) fn find(header: &Row, faults: &mut FileFaults) -> Option<Self> {
        for (place, name) in header.fields().enumerate() {
            let twice = header.fields().position(|it| it == name) != Some(place);
            if !KNOWN.contains(&name) {
                let what = format!("the weather file has the column `{}`", shown(name));
                let remedy = format!("known are {} and {}", KNOWN[..7].join(", "), KNOWN[7]);
                faults.add(|| header.fault(place, what, &remedy));
            } else if twice {
                let what = format!("the weather file has the column `{name}` twice");
                faults.add(|| header.fault(place, what, "keep one"));
            }
        }
        let find = |name: &str| header.fields().position(|field| field == name);
        let mut needed = |name: &str| {
            let place = find(name);
            if place.is_none() {
                let what = format!("the weather file has no column `{name}`");
                let remedy = "its first line must be `time,temperature`, and may have `humidity` or \
                              `dew_point`, `radiation`, `beam`, `diffuse` and `wind` as well";
                faults.add(|| header.fault(0, what, remedy));
            }
            place
        };
        let (time, temperature) = (needed("time"), needed("temperature"));
        let places = Quantity::ALL.map(|quantity| find(column(quantity)));
        let at = |quantity: Quantity| places[quantity as usize];
        let (beam, diffuse) = (at(Quantity::Beam), at(Quantity::Diffuse));
        if at(Quantity::Global).is_none()
            && let (Some(alone), None) | (None, Some(alone)) = (beam, diffuse)
        {
            let what = format!("`{}` alone does not say what falls on a wall", header.field(alone));
            let remedy = "give two of radiation, beam and diffuse, or radiation alone";
            faults.add(|| header.fault(alone, what, remedy));
        }
        temperature?;
        Some(Self { count: header.len(), time: time?, places })
    }

    pub(super) fn place(&self, quantity: Quantity) -> Option<usize> {
        self.places[quantity as usize]
    }

    /// Reads a row; `None` where it is wrong.
    pub(super) fn read(
        &self,
        row: &Row,
        unit: TemperatureUnit,
        faults: &mut FileFaults,
    ) -> Option<LoggedRow> {
        if row.len() != self.count {
            let what = format!("this row has {} columns, and the header {}", row.len(), self.count);
            faults
                .add(|| row.fault(row.len(), what, "each row needs as many columns as the header"));
            return None;
        }
        let time = time(row.field(self.time));
        if time.is_none() {
            let what = format!("`{}` is no time", shown(row.field(self.time)));
            faults.add(|| row.fault(self.time, what, "write it like 2025-04-16T08:00"));
        }
        let mut whole = true;
        let mut values = [None; Quantity::ALL.len()];
        for (quantity, value) in Quantity::ALL.into_iter().zip(&mut values) {
            let Some(place) = self.place(quantity) else { continue };
            let found = match quantity {
                Quantity::DryBulb | Quantity::DewPoint => temperature(row.field(place), unit),
                _ => plain(row.field(place), quantity),
            };
            match found {
                Ok(found) => *value = Some(found),
                Err((what, remedy)) => {
                    whole = false;
                    faults.add(|| row.fault(place, what, &remedy));
                }
            }
        }
        let of = |quantity: Quantity| values[quantity as usize];
        let temperature = of(Quantity::DryBulb).filter(|_| whole)?;
        let vapour = match (of(Quantity::Humidity), of(Quantity::DewPoint)) {
            (Some(percent), _) => of_humidity(temperature, percent),
            (None, Some(dew_point)) => of_dew_point(temperature, dew_point),
            (None, None) => 0.0,
        };
        Some(LoggedRow {
            line: row.line,
            time: time?,
            temperature,
            vapour,
            light: light(&values),
            values,
        })
    }
}

/// A quantity's column.
const fn column(quantity: Quantity) -> &'static str {
    match quantity {
        Quantity::Global => "radiation",
        Quantity::Beam => "beam",
        Quantity::Diffuse => "diffuse",
        Quantity::DryBulb => "temperature",
        Quantity::DewPoint => "dew_point",
        Quantity::Humidity => "humidity",
        Quantity::Wind => "wind",
    }
}

/// The radiation of a row.
fn light(values: &[Option<f64>; Quantity::ALL.len()]) -> Light {
    let of = |quantity: Quantity| values[quantity as usize];
    match (of(Quantity::Global), of(Quantity::Beam), of(Quantity::Diffuse)) {
        (_, Some(beam), Some(diffuse)) => Light::Split { beam, diffuse },
        (Some(global), Some(beam), None) => Light::GlobalAndBeam { global, beam },
        (Some(global), None, Some(diffuse)) => Light::GlobalAndDiffuse { global, diffuse },
        (Some(global), None, None) => Light::Global(global),
        (None, ..) => Light::NONE,
    }
}

/// A value of a column other than a temperature, or what is wrong and what would be right.
fn plain(text: &str, quantity: Quantity) -> Result<f64, (String, String)> {
    let what = match quantity.read(text) {
        Ok(Some(value)) => return Ok(value),
        Ok(None) => format!("the {} is missing", quantity.name()),
        Err(what) => what,
    };
    Err((what, quantity.remedy()))
}

fn time(text: &str) -> Option<DateTime> {
    let plain = |byte: u8| byte.is_ascii_digit() || matches!(byte, b'-' | b':' | b'T' | b' ');
    if !matches!(text.len(), 16 | 19) || !text.bytes().all(plain) {
        return None;
    }
    text.parse().ok()
}

/// A temperature in degrees C, or what is wrong and what would be right.
fn temperature(text: &str, unit: TemperatureUnit) -> Result<f64, (String, String)> {
    let letter = unit.letter();
    let Some(number) = parse_number(text) else {
        let what = format!("`{}` is no temperature", shown(text));
        return Err((what, format!("write a plain number, in {letter}")));
    };
    let celsius = unit.to_celsius(number);
    if (COLDEST..=WARMEST).contains(&celsius) {
        return Ok(celsius);
    }
    let (low, high) = (unit.from_celsius(COLDEST), unit.from_celsius(WARMEST));
    let what = format!("{} {letter} is no outdoor temperature", shown(text));
    Err((what, format!("accepted is {low:.0} to {high:.0} {letter}")))
}
