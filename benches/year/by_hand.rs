//! One zone as one would write it down in an afternoon: the same physics and thermostat, straight
//! through, for one zone with a modulating plant of its own, no actions and no options.

use setband::building::{HeatGains, Network, ZonePropagator, operative};
use setband::control::{Mode, Occupancy};
use setband::engine::Model;
use setband::plant::UnitControl;
use setband::time::{DAY, Span};
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
    networks: [Network; 2],
    steps: [ZonePropagator; 2],
    gain: (Hours, f64),
    ventilation: Hours,
    occupied: Hours,
    setpoints: [[f64; 2]; 2],
    model: &'m Model,
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
            steps: networks.map(|network| ZonePropagator::new(&network, model.period.step())),
            networks,
            gain: (Hours::of(zone.gains[0].when), zone.gains[0].power),
            ventilation: Hours::of(zone.space.input().ventilation.expect("its ventilation").when),
            occupied: Hours::of(spans[0]),
            setpoints: [values(back), values((stored.heat(), stored.cool()))],
            model,
        }
    }

    fn outdoor(&self, second: f64) -> f64 {
        let hour = second / 3600.0;
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 8760")]
        let place = hour as usize;
        let low = self.readings[place];
        low + (hour - place as f64) * (self.readings[place + 1] - low)
    }
}

/// What the thermostat remembers.
#[derive(Default)]
struct Memory {
    body: Option<f64>,
    cooling: bool,
    calling: bool,
    ended: Option<i64>,
    served_until: [Option<i64>; 2],
    last_served: Option<bool>,
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
    let cop = capacities.map(|it| it.as_ref().expect("both").cop.at(20.0));
    let approach = 1.0 - f64::exp(-60.0 / zone.controls.sensor.lag.get() as f64);
    let (delay, min_off) = (settings.changeover_delay.get(), settings.min_off.get());
    assert!(zone.controls.start.mode == Mode::Auto, "the workload's mode");
    let mut memory = Memory::default();
    for step in 0..days * 1440 {
        let now = step * 60;
        let (second, day) = (now % DAY, now / DAY);
        // The period begins on a Wednesday.
        let workday = (day + 2) % 7 < 5;
        let occupied = plain.occupied.contain(workday, second);
        let [heat, cool] = plain.setpoints[usize::from(occupied)];

        let body = memory.body.map_or(nodes[0], |body| body + approach * (nodes[0] - body));
        memory.body = Some(body);
        let sensed = (body * 10.0 + 0.5 + 1e-9).floor() / 10.0;

        let starts = [
            sensed <= heat - settings.call_start.heating + 1e-9,
            sensed >= cool + settings.call_start.cooling - 1e-9,
        ];
        let ends = [
            sensed >= heat + settings.call_stop.heating - 1e-9,
            sensed <= cool - settings.call_stop.cooling + 1e-9,
        ];
        if memory.calling && ends[usize::from(memory.cooling)] {
            memory.calling = false;
            memory.ended = Some(now);
        }
        let side = usize::from(memory.cooling);
        if !memory.calling
            && !starts[side]
            && starts[1 - side]
            && memory.served_until[side].is_none_or(|end| now - end >= delay)
        {
            memory.cooling = !memory.cooling;
        }
        let side = usize::from(memory.cooling);
        if !memory.calling && starts[side] && memory.ended.is_none_or(|end| now - end >= min_off) {
            memory.calling = true;
            sums.starts += 1;
        }

        let (mut into_air, mut electric) = (0.0, 0.0);
        if memory.calling {
            let distance = if memory.cooling {
                sensed - cool + settings.call_stop.cooling
            } else {
                heat + settings.call_stop.heating - sensed
            };
            let given = rated[side] * (distance / throttling_range).min(1.0).max(turndown);
            into_air = if memory.cooling { -given } else { given } + zone.unit.fan;
            electric = given / cop[side] + zone.unit.fan;
            sums.heat[side] += given;
            sums.served += 1;
            memory.served_until[side] = Some(now + 60);
            if memory.last_served == Some(!memory.cooling) {
                sums.changeovers += 1;
            }
            memory.last_served = Some(memory.cooling);
        }
        sums.electric += electric;

        let middle = second + 30;
        let ventilated = usize::from(plain.ventilation.contain(workday, middle));
        let internal = if plain.gain.0.contain(workday, middle) { plain.gain.1 } else { 0.0 };
        let network = &plain.networks[ventilated];
        let gains = HeatGains { internal, solar: 0.0 };
        let flows = network.flows(plain.outdoor((now + 30) as f64), gains);

        sums.air += nodes[0];
        sums.lowest = sums.lowest.min(nodes[0]);
        sums.highest = sums.highest.max(nodes[0]);
        if occupied {
            let outdoor = plain.outdoor(now as f64);
            let surface = network.surface_temperature(*nodes, outdoor, flows.surface);
            let felt = operative(nodes[0], surface);
            let outside = (zone.comfort.low - felt).max(felt - zone.comfort.high);
            if outside > 0.0 {
                sums.outside += 1.0;
                sums.degrees += outside;
            }
        }

        *nodes = plain.steps[ventilated].advance(*nodes, flows.with_plant(into_air));
        sums.after[0] += nodes[0];
        sums.after[1] += nodes[1];
    }
}
