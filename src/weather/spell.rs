//! Measured radiation: means over spells of time, and the sun that they came from.

use super::erbs::diffuse_fraction;
use super::sun_path::SunPath;
use super::sunlight::{SunPosition, Sunlight};

/// Mean radiation over a spell, W/m2.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Light {
    /// What comes from the sun, at right angles to its rays, and from the sky, on the horizontal.
    Split {
        /// From the sun.
        beam: f64,
        /// From the sky.
        diffuse: f64,
    },
    /// Both together on the horizontal.
    Global(f64),
    /// Both together and what comes from the sky, on the horizontal.
    GlobalAndDiffuse {
        /// From sun and sky.
        global: f64,
        /// From the sky.
        diffuse: f64,
    },
    /// Both together on the horizontal, and what comes from the sun, at right angles to its rays.
    GlobalAndBeam {
        /// From sun and sky.
        global: f64,
        /// From the sun.
        beam: f64,
    },
}

impl Light {
    /// No light at all.
    pub const NONE: Self = Self::Split { beam: 0.0, diffuse: 0.0 };

    fn is_dark(self) -> bool {
        match self {
            Self::Split { beam, diffuse } => beam == 0.0 && diffuse == 0.0,
            Self::Global(global)
            | Self::GlobalAndDiffuse { global, .. }
            | Self::GlobalAndBeam { global, .. } => global == 0.0,
        }
    }
}

/// A spell of time with its mean radiation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spell {
    /// When it begins, seconds after midnight of the period's first day.
    pub from: f64,
    /// When it ends.
    pub to: f64,
    /// Its mean radiation.
    pub light: Light,
}

/// What sun and sky send through one spell: the same at each of its instants, so that the spell's
/// energy is the measured one. The sun stands where it is in the middle of that part of the spell
/// in which it is up.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LitSpell {
    from: f64,
    to: f64,
    /// What sun and sky send.
    pub sunlight: Sunlight,
}

impl LitSpell {
    /// The spell around an instant, among spells in the order of time; beyond their ends the
    /// nearest one goes on.
    pub fn around(second: f64, spells: &[Spell], path: &SunPath) -> Self {
        let next = spells.partition_point(|spell| spell.to <= second);
        let place = next.min(spells.len().saturating_sub(1));
        spells.get(place).map_or(
            Self { from: f64::NEG_INFINITY, to: f64::INFINITY, sunlight: Sunlight::NONE },
            |spell| Self {
                from: if place == 0 { f64::NEG_INFINITY } else { spell.from },
                to: if next > place { f64::INFINITY } else { spell.to },
                sunlight: sunlight(spell, path),
            },
        )
    }

    /// What sun and sky send through a spell.
    pub(super) fn of(spell: &Spell, path: &SunPath) -> Self {
        Self { from: spell.from, to: spell.to, sunlight: sunlight(spell, path) }
    }

    /// Whether an instant lies in it; its start does, its end does not.
    pub fn contains(&self, second: f64) -> bool {
        self.from <= second && second < self.to
    }
}

fn sunlight(spell: &Spell, path: &SunPath) -> Sunlight {
    if spell.light.is_dark() {
        return Sunlight::NONE;
    }
    let sun = Sun::in_spell(spell, path);
    let (beam, diffuse) = match spell.light {
        Light::Split { beam, diffuse } => (beam, diffuse),
        Light::Global(global) => sun.split(global, path.outside_atmosphere(spell.from)),
        Light::GlobalAndDiffuse { global, diffuse } => {
            let beam = sun.beam(global - diffuse, path.outside_atmosphere(spell.from));
            (beam, global - beam * sun.up())
        }
        Light::GlobalAndBeam { global, beam } => (beam, (global - beam * sun.up()).max(0.0)),
    };
    path.spread(Sunlight::new(sun.position, beam, diffuse), f64::midpoint(spell.from, spell.to))
}

/// The sun during a spell.
struct Sun {
    /// Where it stands in the middle of the time in which it is up; on the horizon where it is
    /// not up at all, since light that was measured has come from somewhere.
    position: SunPosition,
    /// Part of the spell in which it is up.
    part_up: f64,
}

impl Sun {
    /// Sine of its altitude.
    fn up(&self) -> f64 {
        libm::sin(self.position.altitude.to_radians())
    }

    /// The beam that brings so much to the horizontal, W/m2: no brighter than the sun outside the
    /// atmosphere, since low suns would make it so.
    fn beam(&self, on_ground: f64, outside: f64) -> f64 {
        let up = self.up();
        if up <= 0.0 { 0.0 } else { (on_ground.max(0.0) / up).min(outside * self.part_up) }
    }

    fn in_spell(spell: &Spell, path: &SunPath) -> Self {
        let length = spell.to - spell.from;
        let middle = path.position(f64::midpoint(spell.from, spell.to));
        // The sun's altitude changes by 15 degrees an hour at most.
        if middle.altitude > 0.5 * length * 15.0 / 3600.0 {
            return Self { position: middle, part_up: 1.0 };
        }
        let altitude = |second| path.position(second).altitude;
        let (before, after) = (altitude(spell.from), altitude(spell.to));
        let crossing = before / (before - after);
        let (from, to) = match (before > 0.0, after > 0.0) {
            (true, true) => (0.0, 1.0),
            (false, true) => (crossing, 1.0),
            (true, false) => (0.0, crossing),
            (false, false) => {
                let position = SunPosition { altitude: middle.altitude.max(0.0), ..middle };
                return Self { position, part_up: if middle.altitude > 0.0 { 1.0 } else { 0.0 } };
            }
        };
        let found = path.position(spell.from + length * f64::midpoint(from, to));
        let position = SunPosition { altitude: found.altitude.max(0.0), ..found };
        Self { position, part_up: to - from }
    }

    /// Beam and diffuse part of global radiation. What would make the beam too bright comes from
    /// the sky, so that the sum stays as measured.
    fn split(&self, global: f64, outside: f64) -> (f64, f64) {
        let most = outside * self.up() * self.part_up;
        if most <= 0.0 {
            return (0.0, global);
        }
        let beam = self.beam(global * (1.0 - diffuse_fraction(global / most)), outside);
        (beam, global - beam * self.up())
    }
}

#[cfg(test)]
mod tests {
    use super::super::site::Site;
    use super::super::sunlight::Plane;
    use super::*;
    use approx::assert_abs_diff_eq;
    use jiff::civil::date;

    /// Of sums of a few hundred W/m2.
    const ROUNDING: f64 = 1e-9;

    fn path() -> SunPath {
        let site = Site { latitude: 45.0, longitude: 15.0, utc_offset: 1.0 };
        SunPath::new(site, date(2025, 6, 21), 1).expect("a site on the globe")
    }

    fn hour(hour: f64, light: Light) -> Spell {
        Spell { from: (hour - 1.0) * 3600.0, to: hour * 3600.0, light }
    }

    #[test]
    fn a_split_keeps_what_falls_on_the_ground_at_every_hour() {
        for at in 1..=24 {
            for global in [3.0, 90.0, 400.0, 950.0] {
                let spells = [hour(f64::from(at), Light::Global(global))];
                let lit = LitSpell::around(spells[0].from, &spells, &path());
                let ground = lit.sunlight.on(&Plane::new(0.0, 0.0));
                assert_abs_diff_eq!(ground.total(), global, epsilon = ROUNDING);
                assert!(
                    lit.sunlight.beam <= 1413.0 && lit.sunlight.diffuse >= 0.0,
                    "{at} {global}"
                );
            }
        }
    }

    #[test]
    fn at_midnight_all_light_comes_from_the_sky() {
        let spells = [hour(1.0, Light::Global(5.0))];
        let lit = LitSpell::around(0.0, &spells, &path());
        assert_eq!((lit.sunlight.beam, lit.sunlight.diffuse), (0.0, 5.0));
    }

    #[test]
    fn the_sun_of_a_sunrise_hour_is_up() {
        // On 21 June the sun rises about 4:13 solar time at 45 degrees north.
        let spells = [hour(5.0, Light::Split { beam: 50.0, diffuse: 10.0 })];
        let east =
            LitSpell::around(4.0 * 3600.0, &spells, &path()).sunlight.on(&Plane::new(90.0, 90.0));
        assert!(east.beam > 35.0 && east.beam < 50.0, "{east:?}");
        let ground =
            LitSpell::around(4.0 * 3600.0, &spells, &path()).sunlight.on(&Plane::new(0.0, 0.0));
        assert!(ground.beam > 0.0 && ground.beam < 8.0, "{ground:?}");
    }

    #[test]
    fn spells_are_found_in_any_order_and_held_beyond_their_ends() {
        let split = |beam| Light::Split { beam, diffuse: 0.0 };
        let spells = [hour(11.0, split(100.0)), hour(12.0, split(200.0)), hour(13.0, split(300.0))];
        for (at, beam) in
            [(9.0, 100.0), (10.5, 100.0), (11.0, 200.0), (12.99, 300.0), (23.0, 300.0)]
        {
            let lit = LitSpell::around(at * 3600.0, &spells, &path());
            assert!(lit.contains(at * 3600.0));
            assert_eq!(lit.sunlight.beam, beam, "{at}");
        }
        assert!(!LitSpell::around(11.0 * 3600.0, &spells, &path()).contains(12.0 * 3600.0));
        assert_eq!(LitSpell::around(0.0, &[], &path()).sunlight, Sunlight::NONE);
    }
}
