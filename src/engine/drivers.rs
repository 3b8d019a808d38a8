//! What acts on the zones from outside, worked out for a chunk of steps ahead: weather and
//! gains, those of people included, at the middle of each step, as heat flows at the nodes.

use std::sync::Arc;

use super::model::{Model, Zone};
use super::plan::{PerHeat, Plan};
use super::shared::{Shared, renew};
use crate::building::{
    HeatGains, SunnyWall, Window, internal_gain, is_ventilated, latent_gain, switch_times,
};
use crate::control::Occupancy;
use crate::plant::{Cop, power_per_heat};
use crate::time::{ClockTime, DAY, Instant, Span};
use crate::weather::{Course, LitSpell, Sunlight};

/// How many steps are worked out at once: enough to pay for the call, few enough to stay near. Some
/// hours of minutes, since much changes at full hours.
const CHUNK: usize = 240;

/// What acts on the zones over the steps of one chunk.
#[derive(Clone, Debug)]
pub(super) struct Drivers<'m> {
    course: Course<'m>,
    /// The step that was sought last, and its place in the chunk.
    at: Instant,
    place: usize,
    filled: usize,
    outdoors: Arc<Outdoors>,
    /// The spell of measured radiation that was read last.
    lit: Option<LitSpell>,
    /// Zone by zone, `CHUNK` steps each.
    zones: Arc<Vec<ZoneDriver>>,
    schedules: Vec<Schedule>,
    /// Pressure of water vapour outdoors, Pa, where the file and not the weather gives it.
    steady_vapour: Option<f64>,
    /// Whether people give off heat: not on warm-up days.
    with_people: bool,
    /// Where other cases have the same outdoors, and the same in their zones.
    shared_outdoors: Option<Shared<Outdoors>>,
    shared_zones: Option<Shared<Vec<ZoneDriver>>>,
}

/// What is outdoors over a chunk.
#[derive(Clone, Debug)]
struct Outdoors {
    air: Vec<OutdoorAir>,
    /// What sun and sky send at the middle of each step; empty where no window lets it in.
    sunlight: Vec<Sunlight>,
    /// Electric power of a compressor for a watt of heat at the middle of each step, curve by curve of
    /// the plan, `CHUNK` steps each.
    per_heat: Vec<f64>,
}

/// Electric power of a compressor for a watt of heat, step by step from one on.
#[derive(Clone, Copy, Debug)]
pub(super) enum PowerCourse<'s> {
    /// The same in all.
    Constant(f64),
    /// Each step its own.
    Steps(&'s [f64]),
}

impl PowerCourse<'_> {
    /// In a step; past the last that is known, in that.
    #[inline(always)]
    pub(super) fn at(&self, step: usize) -> f64 {
        match self {
            Self::Constant(value) => *value,
            Self::Steps(steps) => steps[step.min(steps.len() - 1)],
        }
    }

    /// Whether another is the same.
    pub(super) fn is_like(&self, other: &Self) -> bool {
        match (self, other) {
            (Self::Constant(one), Self::Constant(other)) => one == other,
            (Self::Steps(one), Self::Steps(other)) => std::ptr::eq(*one, *other),
            _ => false,
        }
    }
}

/// Outdoor air around one step; temperatures in degrees C.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct OutdoorAir {
    /// At its start.
    pub at_start: f64,
    /// At its middle.
    pub at_middle: f64,
    /// Pressure of water vapour at its start, Pa, where weather or file say so.
    pub vapour: Option<f64>,
}

/// What acts on one zone over one step.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct ZoneDriver {
    /// Heat from people, machines and the sun, W.
    pub gains: HeatGains,
    /// For how many of the steps worked out from here on they stay so.
    pub steady: usize,
    /// Whether scheduled ventilation runs.
    pub ventilated: bool,
    /// For how many of the steps worked out from here on it stays so.
    alike: usize,
    /// Heat that people and processes give off as water vapour, W.
    pub latent: f64,
}

/// A zone's gains and ventilation, which only change at a few clock times.
#[derive(Clone, Debug)]
struct Schedule {
    switch_times: Vec<ClockTime>,
    /// From when to when what is written here holds. Warm-up goes back in time.
    valid: std::ops::Range<Instant>,
    gain: f64,
    latent: f64,
    ventilated: bool,
    /// Whether somebody is there by the zone's own schedule.
    occupied: bool,
}

impl<'m> Drivers<'m> {
    /// Nothing worked out yet.
    pub(super) fn new(plan: &Plan<'m>) -> Self {
        let schedule = |zone: &Zone| Schedule {
            switch_times: switch_times(&zone.space, &zone.gains, presence(zone)),
            valid: Instant::START..Instant::START,
            gain: 0.0,
            latent: 0.0,
            ventilated: false,
            occupied: true,
        };
        Self {
            course: Course::new(&plan.model.weather, plan.model.period.first()),
            at: Instant::START,
            place: 0,
            filled: 0,
            outdoors: Arc::new(Outdoors {
                air: vec![OutdoorAir::default(); CHUNK],
                sunlight: plan.sun.iter().flat_map(|_| [Sunlight::NONE; CHUNK]).collect(),
                per_heat: vec![0.0; CHUNK * plan.curves.len()],
            }),
            lit: None,
            zones: Arc::new(vec![ZoneDriver::default(); CHUNK * plan.zones.len()]),
            schedules: plan.model.zones.iter().map(schedule).collect(),
            steady_vapour: plan.model.humidity.vapour_by_dew_point(),
            with_people: true,
            shared_outdoors: None,
            shared_zones: None,
        }
    }

    /// Works out together with another case what both have in common.
    pub(super) fn share(&mut self, plan: &Plan<'_>, other: &mut Drivers<'_>, others: &Plan<'_>) {
        if !outdoors_are_alike(plan, others) {
            return;
        }
        let outdoors = other.shared_outdoors.get_or_insert_with(Shared::new);
        self.shared_outdoors = Some(outdoors.clone());
        if zones_are_alike(plan.model, others.model) {
            let zones = other.shared_zones.get_or_insert_with(Shared::new);
            self.shared_zones = Some(zones.clone());
        }
    }

    /// Whether it has another case with the same outdoors already.
    pub(super) fn has_company(&self) -> bool {
        self.shared_outdoors.is_some()
    }

    /// Whether people give off heat from now on. What was worked out is forgotten.
    pub(super) fn count_people(&mut self, with_people: bool) {
        self.with_people = with_people;
        self.filled = 0;
        for schedule in &mut self.schedules {
            schedule.valid = Instant::START..Instant::START;
        }
    }

    /// Makes sure that the step at `now` is worked out, and tells its place in the chunk.
    pub(super) fn seek(&mut self, plan: &Plan<'_>, now: Instant) -> usize {
        let steps = (now.get() - self.at.get()) / plan.model.period.step().get();
        let place = usize::try_from(steps).ok().map(|ahead| self.place + ahead);
        if let Some(place) = place.filter(|place| *place < self.filled) {
            self.place = place;
        } else {
            self.fill(plan, now);
            self.place = 0;
        }
        self.at = now;
        self.place
    }

    /// How many of the steps from a place on are worked out and have the same ventilation in
    /// every zone.
    pub(super) fn alike(&self, place: usize) -> usize {
        let zones = self.zones.chunks_exact(CHUNK);
        zones.map(|zone| zone[place].alike).min().unwrap_or(self.filled - place)
    }

    /// What acts on a zone, and the outdoor air, from a place on.
    pub(super) fn from(&self, zone: usize, place: usize) -> (&[ZoneDriver], &[OutdoorAir]) {
        let zone = &self.zones[zone * CHUNK..][..CHUNK];
        (&zone[place..self.filled], &self.outdoors.air[place..self.filled])
    }

    /// Electric power of a compressor for a watt of heat, from a place on.
    pub(super) fn power_from(&self, of: PerHeat, place: usize) -> PowerCourse<'_> {
        match of {
            PerHeat::Constant(value) => PowerCourse::Constant(value),
            PerHeat::Curve(curve) => {
                let steps = &self.outdoors.per_heat[curve * CHUNK..][..CHUNK];
                PowerCourse::Steps(&steps[place..self.filled])
            }
        }
    }

    /// Outdoor air from a place on.
    pub(super) fn air_from(&self, place: usize) -> &[OutdoorAir] {
        &self.outdoors.air[place..self.filled]
    }

    /// Outdoor air around the step at a place.
    pub(super) fn outdoor(&self, place: usize) -> OutdoorAir {
        self.outdoors.air[place]
    }

    /// What acts on a zone over the step at a place.
    pub(super) fn zone(&self, zone: usize, place: usize) -> &ZoneDriver {
        &self.zones[zone * CHUNK + place]
    }

    fn fill(&mut self, plan: &Plan<'_>, from: Instant) {
        let step = plan.model.period.step().get();
        let left_today = (DAY - from.second_of_day()) / step;
        self.filled = CHUNK.min(usize::try_from(left_today).unwrap_or(CHUNK));
        let Self { outdoors, zones, course, lit, schedules, filled, .. } = self;
        renew(outdoors, self.shared_outdoors.as_ref(), (from, false), |outdoors| {
            outdoors.fill(plan, from, *filled, course, self.steady_vapour);
            if let Some(sun) = &plan.sun {
                for (at, light) in (0_i64..).zip(&mut outdoors.sunlight[..*filled]) {
                    let start = (from.get() + at * step) as f64;
                    *light = sun.light(start + step as f64 / 2.0, lit);
                }
            }
        });
        renew(zones, self.shared_zones.as_ref(), (from, self.with_people), |zones| {
            for (zone, schedule) in schedules.iter_mut().enumerate() {
                let drivers = &mut zones[zone * CHUNK..][..*filled];
                schedule.fill(plan, zone, from, self.with_people, outdoors, drivers);
            }
        });
    }
}

/// Whether two plans have the same weather at the same times, and want the same of it.
fn outdoors_are_alike(one: &Plan<'_>, other: &Plan<'_>) -> bool {
    let curves = one.curves == other.curves;
    let (one, other) = (one.model, other.model);
    curves
        && one.period == other.period
        && one.weather.is_like(&other.weather)
        && one.site == other.site
        && one.sky == other.sky
        && one.humidity == other.humidity
        // Light is worked out where it comes in somewhere.
        && one.zones.iter().map(lit).eq(other.zones.iter().map(lit))
}

/// What of a zone the sun shines on.
fn lit(zone: &Zone) -> (&[Window], &[SunnyWall]) {
    (&zone.windows, &zone.walls)
}

/// The spans in which somebody is there, where a shade goes by them.
fn presence(zone: &Zone) -> &[Span] {
    let by_presence = |window: &Window| window.shade.is_some_and(|shade| shade.when_occupied);
    match &zone.controls.occupancy {
        Occupancy::Schedule(spans) if zone.windows.iter().any(by_presence) => spans,
        _ => &[],
    }
}

/// When scheduled ventilation runs.
fn ventilation(zone: &Zone) -> Option<Span> {
    zone.space.input().ventilation.map(|it| it.when)
}

/// Whether, under the same weather, the same acts on the zones of two models.
fn zones_are_alike(one: &Model, other: &Model) -> bool {
    let alike = |(one, other): (&Zone, &Zone)| {
        one.id == other.id
            && ventilation(one) == ventilation(other)
            && one.gains == other.gains
            && presence(one) == presence(other)
    };
    // The same people come and go as they did, where chance is the same.
    let same_people =
        one.people == other.people && (one.people.is_empty() || one.seed == other.seed);
    same_people
        && one.zones.len() == other.zones.len()
        && one.zones.iter().zip(&other.zones).all(alike)
}

/// The electric power for a watt of heat in each step.
fn fill_power(cop: &Cop, air: &[OutdoorAir], steps: &mut [f64]) {
    for (step, air) in steps.iter_mut().zip(air) {
        *step = power_per_heat(cop.at(air.at_middle));
    }
}

impl Outdoors {
    fn fill(
        &mut self,
        plan: &Plan<'_>,
        from: Instant,
        filled: usize,
        course: &mut Course<'_>,
        steady_vapour: Option<f64>,
    ) {
        let step = plan.model.period.step().get() as f64;
        let mut temperatures = [0.0; 2 * CHUNK];
        let temperatures = &mut temperatures[..2 * filled];
        course.outdoors(from.get() as f64, step / 2.0, temperatures);
        for (air, around) in self.air.iter_mut().zip(temperatures.chunks_exact(2)) {
            let vapour = steady_vapour;
            *air = OutdoorAir { at_start: around[0], at_middle: around[1], vapour };
        }
        for (cop, steps) in plan.curves.iter().zip(self.per_heat.chunks_exact_mut(CHUNK)) {
            fill_power(cop, &self.air[..filled], steps);
        }
        if course.has_vapour() {
            for (at, air) in self.air[..filled].iter_mut().enumerate() {
                let start = from.get() as f64 + at as f64 * step;
                air.vapour = course.vapour(start).or(steady_vapour);
            }
        }
    }
}

impl Schedule {
    #[expect(clippy::cast_possible_wrap, reason = "a chunk is short")]
    fn fill(
        &mut self,
        plan: &Plan<'_>,
        zone: usize,
        from: Instant,
        with_people: bool,
        outdoors: &Outdoors,
        drivers: &mut [ZoneDriver],
    ) {
        let step = plan.model.period.step();
        let middle = |at: usize| from.get() + at as i64 * step.get() + step.get() / 2;
        let sun = plan.sun.as_ref();
        let mut done = 0;
        while done < drivers.len() {
            let begun = done;
            self.look_up(plan, zone, Instant::new(middle(begun)), with_people);
            let (ventilated, latent) = (self.ventilated, self.latent);
            let until = self.valid.end.get();
            let valid = |place: usize| place == begun || middle(place) < until;
            let left = drivers.iter_mut().enumerate().skip(begun);
            for (place, driver) in left.take_while(|(place, _)| valid(*place)) {
                let light = sun.zip(outdoors.sunlight.get(place));
                let solar = light.map_or(0.0, |(sun, light)| sun.gain(zone, light, self.occupied));
                let gains = HeatGains { internal: self.gain, solar };
                *driver = ZoneDriver { gains, steady: 1, ventilated, alike: 1, latent };
                done = place + 1;
            }
        }
        for at in (1..drivers.len()).rev() {
            if drivers[at - 1].ventilated == drivers[at].ventilated {
                drivers[at - 1].alike = drivers[at].alike + 1;
            }
            if drivers[at - 1].gains == drivers[at].gains {
                drivers[at - 1].steady = drivers[at].steady + 1;
            }
        }
    }

    fn look_up(&mut self, plan: &Plan<'_>, zone: usize, at: Instant, with_people: bool) {
        if self.valid.contains(&at) {
            return;
        }
        let crowd = Some(&plan.crowds[zone]).filter(|crowd| with_people && !crowd.is_empty());
        let (model, zone) = (plan.model, &plan.model.zones[zone]);
        self.gain = internal_gain(&zone.gains, &model.period, at);
        self.latent = latent_gain(&zone.gains, &model.period, at);
        self.ventilated = is_ventilated(&zone.space, &model.period, at);
        let spans = presence(zone);
        self.occupied =
            spans.is_empty() || spans.iter().any(|span| span.contains(&model.period, at));
        self.valid = at..model.period.next_on_clocks(at, self.switch_times.iter().copied());
        if let Some(crowd) = crowd {
            let heat = crowd.heat(at);
            self.gain += heat.sensible;
            self.latent += heat.latent;
            let changes = crowd.next_change(at).unwrap_or(self.valid.end);
            self.valid.end = self.valid.end.min(changes);
        }
    }
}
