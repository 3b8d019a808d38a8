//! What sun and sky send onto the faces of a building, month by month.

use jiff::Span;
use jiff::civil::Date;

use super::perez::SkyModel;
use super::site::Site;
use super::spell::{LitSpell, Spell};
use super::sun_path::SunPath;
use super::sunlight::Plane;
use crate::time::DAY;

/// Joules in a kilowatt-hour.
const KILOWATT_HOUR: f64 = 3.6e6;

/// A face of a building.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Face {
    /// A flat roof.
    Flat,
    /// A wall that looks north.
    North,
    /// A wall that looks east.
    East,
    /// A wall that looks south.
    South,
    /// A wall that looks west.
    West,
}

impl Face {
    /// All of them.
    pub const ALL: [Self; 5] = [Self::Flat, Self::North, Self::East, Self::South, Self::West];

    /// What people call it.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Flat => "horizontal",
            Self::North => "north",
            Self::East => "east",
            Self::South => "south",
            Self::West => "west",
        }
    }

    /// The plane.
    pub fn plane(self) -> Plane {
        match self {
            Self::Flat => Plane::new(0.0, 0.0),
            Self::North => Plane::new(0.0, 90.0),
            Self::East => Plane::new(90.0, 90.0),
            Self::South => Plane::new(180.0, 90.0),
            Self::West => Plane::new(270.0, 90.0),
        }
    }
}

/// The sums of one calendar month.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MonthOfLight {
    /// Its first day that the file has.
    pub first: Date,
    /// By face, in the order of [`Face::ALL`], kWh/m2.
    pub faces: [f64; Face::ALL.len()],
}

/// The sums of every month of some radiation, which counts from midnight of a day, at a site and
/// below a sky whose brightness is spread like this. `None` where the site is not on the globe.
pub fn light_by_month(
    first: Date,
    spells: &[Spell],
    site: Site,
    sky: SkyModel,
) -> Option<Vec<MonthOfLight>> {
    let planes = Face::ALL.map(Face::plane);
    let day = |second: f64| libm::floor(second / DAY as f64);
    let days = spells.last().map_or(1.0, |spell| day(spell.to) + 1.0);
    #[expect(clippy::cast_possible_truncation, reason = "days of a file")]
    let path = SunPath::new(site, first, days as i64)?.under(sky);
    let mut months: Vec<MonthOfLight> = Vec::new();
    for spell in spells {
        #[expect(clippy::cast_possible_truncation, reason = "days of a file")]
        let ahead = Span::new().days(day(f64::midpoint(spell.from, spell.to)) as i64);
        let date = first.saturating_add(ahead);
        let other = |month: &MonthOfLight| month.first.first_of_month() != date.first_of_month();
        if months.last().is_none_or(other) {
            months.push(MonthOfLight { first: date, faces: [0.0; Face::ALL.len()] });
        }
        let light = LitSpell::of(spell, &path).sunlight;
        let seconds = spell.to - spell.from;
        if let Some(month) = months.last_mut() {
            for (sum, plane) in month.faces.iter_mut().zip(&planes) {
                *sum += light.on(plane).total() * seconds / KILOWATT_HOUR;
            }
        }
    }
    Some(months)
}
