//! One zone as one would write it down in an afternoon: the same physics and thermostat, straight
//! through, for one zone with a modulating plant of its own, no actions and no options.

use setband::building::{HeatGains, Network, ZonePropagator, operative};
use setband::control::{Mode, Occupancy};
use setband::engine::Model;
use setband::plant::UnitControl;
use setband::time::Span;
use setband::weather::Weather;

/// What both ways of writing it must agree on.
#[derive(Debug)]
pub(crate) struct Figures {
    pub(crate) heat: f64,
    pub(crate) cold: f64,
    pub(crate) electric: f64,
    pub(crate) outside_hours: f64,
    pub(crate) starts: u64,
    pub(crate) changeovers: u64,
    pub(crate) mean: f64,
}

/// Monday to Friday between two seconds of the day.
#[derive(Clone, Copy)]
struct Hours {
    from: i64,
    to: i64,
}

impl Hours {
    fn of(span: Span) -> Self {
        Self { from: span.from().get(), to: span.to().get() }
    }

    fn contain(self, workday: bool, second: i64) -> bool {
        workday && self.from <= second && second < self.to
    }
}

/// What the loop needs of the model.
struct Plain<'m> {
    readings: Vec<f64>,
    rooms: [Room; 2],
    gain: (Hours, f64),
    ventilation: Hours,
    occupied: Hours,
    setpoints: [[f64; 2]; 2],
    model: &'m Model,
}

/// A room without and with ventilation: everything that happens to it in a step is linear.
#[derive(Clone, Copy)]
struct Room {
    step: ZonePropagator,
    /// Flows into air and mass and at the surfaces, W, for a degree outdoors and for a watt of gains.
    by_outdoor: [f64; 3],
    by_gain: [f64; 3],
    /// The surfaces' temperature for a degree of air, mass and outdoor air and for a watt at them.
    surface: [f64; 4],
}

impl Room {
    fn of(network: &Network, step: ZonePropagator) -> Self {
        let flows = |outdoor: f64, internal: f64| {
            let flows = network.flows(outdoor, HeatGains { internal, solar: 0.0 });
            [flows.air, flows.mass, flows.surface]
        };
        let surface =
            |air, mass, outdoor, gain| network.surface_temperature([air, mass], outdoor, gain);
        Self {
            step,
            by_outdoor: flows(1.0, 0.0),
            by_gain: flows(0.0, 1.0),
            surface: [
                surface(1.0, 0.0, 0.0, 0.0),
                surface(0.0, 1.0, 0.0, 0.0),
                surface(0.0, 0.0, 1.0, 0.0),
                surface(0.0, 0.0, 0.0, 1.0),
            ],
        }
    }
}

impl<'m> Plain<'m> {
    fn of(model: &'m Model) -> Self {
        let zone = &model.zones[0];
        let Weather::Readings(readings) = &model.weather else { panic!("the workload's weather") };
        let Occupancy::Schedule(spans) = &zone.controls.occupancy else { panic!("its schedule") };
        let networks = [false, true].map(|ventilated| Network::new(&zone.space, ventilated));
        let (grid, stored) = (zone.controls.settings.grid, &zone.controls.start.setpoints);
        let back = zone.controls.setback.expect("its setback").working(stored);
        let values = |pair: (_, _)| [grid.value(pair.0), grid.value(pair.1)];
        Self {
            readings: readings.iter().map(|reading| reading.temperature).collect(),
            rooms: networks.map(|it| Room::of(&it, ZonePropagator::new(&it, model.period.step()))),
            gain: (Hours::of(zone.gains[0].when), zone.gains[0].power),
            ventilation: Hours::of(zone.space.input().ventilation.expect("its ventilation").when),
            occupied: Hours::of(spans[0]),
            setpoints: [values(back), values((stored.heat(), stored.cool()))],
            model,
        }
    }
}

/// Longer ago than any timer runs, s.
const LONG_AGO: i64 = -1_000_000_000;

/// What the thermostat remembers; times in s.
struct Memory {
    body: Option<f64>,
    cooling: bool,
    calling: bool,
    ended: i64,
    served_until: [i64; 2],
    last_served: Option<bool>,
}

impl Memory {
    const START: Self = Self {
        body: None,
        cooling: false,
        calling: false,
        ended: LONG_AGO,
        served_until: [LONG_AGO; 2],
        last_served: None,
    };
}

/// The year, after the warm-up.
pub(crate) fn year(model: &Model) -> Figures {
    let plain = Plain::of(model);
    let mut nodes = [f64::midpoint(plain.setpoints[1][0], plain.setpoints[1][1]); 2];
    let mut before = warm_up(&plain, &mut nodes);
    for _ in 1..60 {
        let mean = warm_up(&plain, &mut nodes);
        let repeats = (0..2).all(|node| f64::abs(mean[node] - before[node]) <= 0.01);
        before = mean;
        if repeats {
            break;
        }
    }
    let mut sums = Sums::default();
    days(&plain, model.period.days(), &mut nodes, &mut sums);
    let kwh = 60.0 / 3.6e6;
    Figures {
        heat: sums.heat[0] * kwh,
        cold: sums.heat[1] * kwh,
        electric: sums.electric * kwh,
        outside_hours: sums.outside / 60.0,
        starts: sums.starts,
        changeovers: sums.changeovers,
        mean: sums.air / (365.0 * 1440.0),
    }
}

fn warm_up(plain: &Plain<'_>, nodes: &mut [f64; 2]) -> [f64; 2] {
    let mut sums = Sums::default();
    days(plain, 1, nodes, &mut sums);
    sums.after.map(|sum| sum / 1440.0)
}

#[derive(Default)]
struct Sums {
    heat: [f64; 2],
    electric: f64,
    outside: f64,
    degrees: f64,
    served: u64,
    lowest: f64,
    highest: f64,
    starts: u64,
    changeovers: u64,
    air: f64,
    after: [f64; 2],
}

#[allow(clippy::too_many_lines, reason = "straight through is the point of it")]
fn days(plain: &Plain<'_>, days: i64, nodes: &mut [f64; 2], sums: &mut Sums) {
    let zone = &plain.model.zones[0];
    let settings = &zone.controls.thermostat;
    let UnitControl::Modulating { turndown, throttling_range, .. } = zone.unit.control else {
        panic!("the workload's plant")
    };
    let capacities = [&zone.unit.heating, &zone.unit.cooling];
    let rated = capacities.map(|it| it.as_ref().expect("both").rated);
    let watt = capacities.map(|it| 1.0 / it.as_ref().expect("both").cop.at(20.0));
    let approach = 1.0 - f64::exp(-60.0 / zone.controls.sensor.lag.get() as f64);
    let (delay, min_off) = (settings.changeover_delay.get(), settings.min_off.get());
    let (start, stop) = (settings.call_start, settings.call_stop);
    let band = (zone.comfort.low, zone.comfort.high);
    assert!(zone.controls.start.mode == Mode::Auto, "the workload's mode");
    let mut memory = Memory::START;
    let [mut air, mut mass] = *nodes;
    for (hour, pair) in (0..24 * days).zip(plain.readings.windows(2)) {
        // The period begins on a Wednesday.
        let workday = (hour / 24 + 2) % 7 < 5;
        let (low, a_minute) = (pair[0], (pair[1] - pair[0]) / 60.0);
        for minute in 0..60_i32 {
            let second = hour % 24 * 3600 + 60 * i64::from(minute);
            let now = hour * 3600 + 60 * i64::from(minute);
            let occupied = plain.occupied.contain(workday, second);
            let [heat, cool] = plain.setpoints[usize::from(occupied)];

            let body = memory.body.map_or(air, |body| body + approach * (air - body));
            memory.body = Some(body);
            let sensed = (body * 10.0 + 0.5 + 1e-9).floor() / 10.0;

            let starts =
                [sensed <= heat - start.heating + 1e-9, sensed >= cool + start.cooling - 1e-9];
            let ends = [sensed >= heat + stop.heating - 1e-9, sensed <= cool - stop.cooling + 1e-9];
            if memory.calling && ends[usize::from(memory.cooling)] {
                memory.calling = false;
                memory.ended = now;
            }
            let side = usize::from(memory.cooling);
            if !memory.calling
                && !starts[side]
                && starts[1 - side]
                && now - memory.served_until[side] >= delay
            {
                memory.cooling = !memory.cooling;
            }
            let side = usize::from(memory.cooling);
            if !memory.calling && starts[side] && now - memory.ended >= min_off {
                memory.calling = true;
                sums.starts += 1;
            }

            let (mut into_air, mut electric) = (0.0, 0.0);
            if memory.calling {
                let distance = if memory.cooling {
                    sensed - cool + stop.cooling
                } else {
                    heat + stop.heating - sensed
                };
                let given = rated[side] * (distance / throttling_range).min(1.0).max(turndown);
                into_air = if memory.cooling { -given } else { given } + zone.unit.fan;
                electric = given * watt[side] + zone.unit.fan;
                sums.heat[side] += given;
                sums.served += 1;
                memory.served_until[side] = now + 60;
                if memory.last_served == Some(!memory.cooling) {
                    sums.changeovers += 1;
                }
                memory.last_served = Some(memory.cooling);
            }
            sums.electric += electric;

            let ventilated = plain.ventilation.contain(workday, second + 30);
            let gains = if plain.gain.0.contain(workday, second + 30) { plain.gain.1 } else { 0.0 };
            let room = &plain.rooms[usize::from(ventilated)];
            let outdoor = low + a_minute * (f64::from(minute) + 0.5);
            let flow = |node: usize| room.by_outdoor[node] * outdoor + room.by_gain[node] * gains;

            sums.air += air;
            sums.lowest = sums.lowest.min(air);
            sums.highest = sums.highest.max(air);
            if occupied {
                let outdoor = low + a_minute * f64::from(minute);
                let by = &room.surface;
                let surface = by[0] * air + by[1] * mass + by[2] * outdoor + by[3] * flow(2);
                let felt = operative(air, surface);
                let outside = (band.0 - felt).max(felt - band.1);
                if outside > 0.0 {
                    sums.outside += 1.0;
                    sums.degrees += outside;
                }
            }

            let flows = [flow(0) + into_air, flow(1)];
            [air, mass] = room.step.advance([air, mass], flows);
            sums.after[0] += air;
            sums.after[1] += mass;
        }
    }
    *nodes = [air, mass];
}
