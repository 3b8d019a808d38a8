//! The sun's way over the site, and what it brings into the zones.

use super::model::{Model, Zone};
use crate::building::{Facing, Shade, Window, angle_modifier, diffuse_modifier};
use crate::time::DAY;
use crate::weather::{ClearSky, Irradiance, LitSpell, Plane, Spell, SunPath, Sunlight};

/// The sun's way over the site, and what of each zone it shines on.
#[derive(Clone, Debug)]
pub(super) struct SunPlan<'m> {
    path: SunPath,
    /// Whether the same day's sun shines every day.
    repeats: bool,
    source: Source<'m>,
    /// Zone by zone.
    zones: Vec<Lit>,
}

/// What is known about the light.
#[derive(Clone, Copy, Debug)]
enum Source<'m> {
    /// That of a clear sky.
    Clear(ClearSky),
    /// What was measured, or follows from monthly means.
    Spells(&'m [Spell]),
}

/// What of a zone the sun shines on.
#[derive(Clone, Debug)]
struct Lit {
    panes: Vec<Pane>,
    /// Planes of walls, with the heat that a watt on a m2 of them brings in, m2.
    walls: Vec<(Plane, f64)>,
}

/// A window.
#[derive(Clone, Copy, Debug)]
struct Pane {
    plane: Plane,
    /// Glass times solar factor, m2.
    aperture: f64,
    /// Whether less passes at a slant.
    slant: bool,
    shade: Option<Shade>,
}

impl Pane {
    fn of(window: &Window) -> Self {
        Self {
            plane: plane(window.facing),
            aperture: window.aperture(),
            slant: window.slant,
            shade: window.shade,
        }
    }

    /// Heat that comes in, W.
    fn gain(&self, light: &Sunlight, occupied: bool) -> f64 {
        let on = light.on(&self.plane);
        let Irradiance { beam, circumsolar, sky, ground, cos_incidence } = on;
        let passed = if self.slant {
            (beam + circumsolar) * angle_modifier(cos_incidence)
                + (sky + ground) * diffuse_modifier()
        } else {
            on.total()
        };
        let shade = self.shade.filter(|shade| shade.is_drawn(on.total(), occupied));
        self.aperture * passed * shade.map_or(1.0, |shade| shade.factor)
    }
}

/// What a clear sky's sun, or that of the weather, brings into the zones of a model at any time.
#[derive(Clone, Debug)]
pub struct SunOver<'m>(SunPlan<'m>);

impl<'m> SunOver<'m> {
    /// `None` where no sun comes in anywhere, or nobody knows where the building stands.
    pub fn new(model: &'m Model) -> Option<Self> {
        SunPlan::new(model).map(Self)
    }

    /// Heat that comes into each zone through its windows and walls at a second after midnight of the
    /// first day, W, while nobody is there.
    pub fn gains(&self, second: f64) -> Vec<f64> {
        let light = self.0.light(second, &mut None);
        (0..self.0.zones.len()).map(|zone| self.0.gain(zone, &light, false)).collect()
    }
}

fn plane(facing: Facing) -> Plane {
    Plane::new(facing.azimuth, facing.tilt)
}

impl Lit {
    fn of(zone: &Zone) -> Self {
        Self {
            panes: zone.windows.iter().map(Pane::of).collect(),
            walls: zone.walls.iter().map(|wall| (plane(wall.facing), wall.gain_area())).collect(),
        }
    }
}

impl<'m> SunPlan<'m> {
    /// `None` where no sun comes in anywhere, or nobody knows where the building stands.
    pub(super) fn new(model: &'m Model) -> Option<Self> {
        let lets_in = |zone: &Zone| {
            zone.windows.iter().any(|it| it.aperture() > 0.0)
                || zone.walls.iter().any(|it| it.gain_area() > 0.0)
        };
        let site = model.site.filter(|_| model.zones.iter().any(lets_in))?;
        let record = model.weather.record();
        let sun_of = record.and_then(|record| record.sun_of);
        let path = match sun_of {
            Some(date) => model.almanac.sun_path(site, date, 1),
            None => model.almanac.sun_path(site, model.period.first(), model.period.days()),
        };
        let sky = &model.sky;
        let measured = record.and_then(|record| record.light.as_deref());
        let spells = measured.or(sky.monthly.as_ref().map(|it| &***it));
        let clear = Source::Clear(sky.clear.unwrap_or_default());
        Some(Self {
            path: path?.under(sky.model),
            repeats: sun_of.is_some(),
            source: spells.map_or(clear, Source::Spells),
            zones: model.zones.iter().map(Lit::of).collect(),
        })
    }

    /// What sun and sky send at a second after midnight of the first day.
    /// `lit` is the spell of radiation that was read last.
    pub(super) fn light(&self, second: f64, lit: &mut Option<LitSpell>) -> Sunlight {
        let second = if self.repeats { second.rem_euclid(DAY as f64) } else { second };
        match (self.source, *lit) {
            (Source::Clear(sky), _) => self.path.sunlight(sky, second),
            (Source::Spells(_), Some(lit)) if lit.contains(second) => lit.sunlight,
            (Source::Spells(spells), _) => {
                lit.insert(LitSpell::around(second, spells, &self.path)).sunlight
            }
        }
    }

    /// Heat that the sun brings into a zone through its windows and walls, W.
    pub(super) fn gain(&self, zone: usize, light: &Sunlight, occupied: bool) -> f64 {
        let lit = &self.zones[zone];
        let panes = lit.panes.iter().map(|pane| pane.gain(light, occupied)).sum::<f64>();
        let walls = lit.walls.iter().map(|(plane, area)| area * light.on(plane).total());
        panes + walls.sum::<f64>()
    }
}
