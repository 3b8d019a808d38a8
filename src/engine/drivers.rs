//! What acts on the zones from outside, worked out for a stretch of steps ahead: weather and
//! gains, those of people included, at the middle of each step, as heat flows at the nodes.

use super::plan::Plan;
use crate::building::{
    HeatGains, ZoneFlows, internal_gain, is_ventilated, latent_gain, switch_times,
};
use crate::time::{ClockTime, DAY, Instant};
use crate::weather::{Course, LitSpell, Sunlight};

/// How many steps are worked out at once: enough to pay for the call, few enough to stay near.
const STRETCH: usize = 64;

/// What acts on the zones over the steps of one stretch.
#[derive(Clone, Debug)]
pub(super) struct Drivers<'m> {
    course: Course<'m>,
    /// The step that was sought last, and its place in the stretch.
    at: Instant,
    place: usize,
    filled: usize,
    outdoor: Vec<OutdoorAir>,
    /// What sun and sky send at the middle of each step; empty where no window lets it in.
    sunlight: Vec<Sunlight>,
    /// The spell of measured radiation that was read last.
    lit: Option<LitSpell>,
    /// Zone by zone, `STRETCH` steps each.
    zones: Vec<ZoneDriver>,
    schedules: Vec<Schedule>,
    /// Pressure of water vapour outdoors, Pa, where the file and not the weather gives it.
    steady_vapour: Option<f64>,
    /// Whether people give off heat: not on warm-up days.
    with_people: bool,
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
    /// Heat flows into the nodes, W.
    pub flows: ZoneFlows,
    /// Whether scheduled ventilation runs.
    pub ventilated: bool,
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
}

impl<'m> Drivers<'m> {
    /// Nothing worked out yet.
    pub(super) fn new(plan: &Plan<'m>) -> Self {
        let schedule = |zone: &super::model::Zone| Schedule {
            switch_times: switch_times(&zone.space, &zone.gains),
            valid: Instant::START..Instant::START,
            gain: 0.0,
            latent: 0.0,
            ventilated: false,
        };
        Self {
            course: Course::new(&plan.model.weather, plan.model.period.first()),
            at: Instant::START,
            place: 0,
            filled: 0,
            outdoor: vec![OutdoorAir::default(); STRETCH],
            sunlight: plan.sun.iter().flat_map(|_| [Sunlight::NONE; STRETCH]).collect(),
            lit: None,
            zones: vec![ZoneDriver::default(); STRETCH * plan.zones.len()],
            schedules: plan.model.zones.iter().map(schedule).collect(),
            steady_vapour: plan.model.humidity.vapour_by_dew_point(),
            with_people: true,
        }
    }

    /// Whether people give off heat from now on. What was worked out is forgotten.
    pub(super) fn count_people(&mut self, with_people: bool) {
        self.with_people = with_people;
        self.filled = 0;
        for schedule in &mut self.schedules {
            schedule.valid = Instant::START..Instant::START;
        }
    }

    /// Makes sure that the step at `now` is worked out, and tells its place in the stretch.
    pub(super) fn seek(&mut self, plan: &Plan<'_>, now: Instant) -> usize {
        let is_next = now == self.at + plan.model.period.step();
        if is_next && self.place + 1 < self.filled {
            self.place += 1;
        } else {
            self.fill(plan, now);
            self.place = 0;
        }
        self.at = now;
        self.place
    }

    /// Outdoor air around the step at a place.
    pub(super) fn outdoor(&self, place: usize) -> OutdoorAir {
        self.outdoor[place]
    }

    /// What acts on a zone over the step at a place.
    pub(super) fn zone(&self, zone: usize, place: usize) -> &ZoneDriver {
        &self.zones[zone * STRETCH + place]
    }

    fn fill(&mut self, plan: &Plan<'_>, from: Instant) {
        let step = plan.model.period.step().get();
        let left_today = (DAY - from.second_of_day()) / step;
        self.filled = STRETCH.min(usize::try_from(left_today).unwrap_or(STRETCH));
        let mut at_start = self.course.outdoor(from.get() as f64);
        for (at, air) in (0_i64..).zip(&mut self.outdoor[..self.filled]) {
            let start = (from.get() + at * step) as f64;
            let vapour = self.course.vapour(start).or(self.steady_vapour);
            let at_middle = self.course.outdoor(start + step as f64 / 2.0);
            *air = OutdoorAir { at_start, at_middle, vapour };
            at_start = self.course.outdoor(start + step as f64);
        }
        if let Some(sun) = &plan.sun {
            for (at, light) in (0_i64..).zip(&mut self.sunlight[..self.filled]) {
                let start = (from.get() + at * step) as f64;
                *light = sun.light(start + step as f64 / 2.0, &mut self.lit);
            }
        }
        for (zone, schedule) in self.schedules.iter_mut().enumerate() {
            let drivers = &mut self.zones[zone * STRETCH..][..self.filled];
            let mut middle = Instant::new(from.get() + step / 2);
            for (at, (driver, air)) in drivers.iter_mut().zip(&self.outdoor).enumerate() {
                schedule.look_up(plan, zone, middle, self.with_people);
                let light = plan.sun.as_ref().zip(self.sunlight.get(at));
                let solar = light.map_or(0.0, |(sun, light)| sun.gain(zone, light));
                let gains = HeatGains { internal: schedule.gain, solar };
                let network = &plan.zones[zone].networks[usize::from(schedule.ventilated)];
                let flows = network.flows(air.at_middle, gains);
                let Schedule { ventilated, latent, .. } = *schedule;
                *driver = ZoneDriver { flows, ventilated, latent };
                middle = middle + plan.model.period.step();
            }
        }
    }
}

impl Schedule {
    fn look_up(&mut self, plan: &Plan<'_>, zone: usize, at: Instant, with_people: bool) {
        if self.valid.contains(&at) {
            return;
        }
        let crowd = Some(&plan.crowds[zone]).filter(|crowd| with_people && !crowd.is_empty());
        let (model, zone) = (plan.model, &plan.model.zones[zone]);
        self.gain = internal_gain(&zone.gains, &model.period, at);
        self.latent = latent_gain(&zone.gains, &model.period, at);
        self.ventilated = is_ventilated(&zone.space, &model.period, at);
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
