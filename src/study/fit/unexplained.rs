//! A zone as its file has it, followed through its log: the state at the start, and the heat that the
//! file does not explain.

use super::filter::{Column, Sums, Task};
use super::grid::Grid;
use super::inputs::{Inputs, NoInputs};
use super::minimise::{Effort, minimise};
use super::smoother::smooth;
use super::state_space::{AIR, MASS, Noise, SLOW, StateSpace};
use crate::building::{HeatGains, Network, Space};
use crate::engine::{Model, Zone, ZoneIndex};
use crate::log::SiteLog;
use crate::time::Seconds;

/// Readings are believed to within this at least, K: a hundredth of the usual step.
const LEAST_READING: f64 = 0.003;
/// What air and mass may be off before the first reading, K.
pub(super) const AT_START: [f64; 2] = [1.0, 3.0];
/// The time constant of what nothing explains, where nobody says (assumed: about half a working day).
pub const SLOW_TIME: Seconds = Seconds::hours(6);

/// A zone followed through its log.
#[derive(Clone, Debug, PartialEq)]
pub struct Followed {
    /// The steps.
    pub grid: Grid,
    /// Air and mass at the start of the first step, degrees C.
    pub start: [f64; 2],
    /// Heat into the air over each step that nothing in the file explains, W.
    pub unexplained: Vec<f64>,
    /// Air and mass at the start of each step by all readings, degrees C.
    pub states: Vec<[f64; 2]>,
    /// What it took to be unknown.
    pub noise: Noise,
}

/// Follows a zone of a model through its log over the steps of a grid. Without `noise` that which
/// explains the readings best is taken.
///
/// # Errors
/// See [`NoInputs`].
pub fn follow(
    model: &Model,
    site: &SiteLog,
    zone: ZoneIndex,
    grid: Grid,
    noise: Option<Noise>,
) -> Result<Followed, NoInputs> {
    let inputs = Inputs::of(model, site, zone, grid)?;
    Ok(follow_inputs(&inputs, &model.zones[zone.get()], noise))
}

/// The same with what acts on the zone at hand.
pub fn follow_inputs(inputs: &Inputs, zone: &Zone, noise: Option<Noise>) -> Followed {
    let lag = zone.controls.sensor.lag;
    let system = System { inputs, zone: &zone.space, lag };
    let known = known(inputs, zone);
    let noise = noise.unwrap_or_else(|| system.likely_noise(&known, SLOW_TIME));
    if lag.get() > 0 {
        ends::<4>(&system, noise, &known)
    } else {
        ends::<3>(&system, noise, &known)
    }
}

fn ends<const N: usize>(system: &System<'_>, noise: Noise, known: &Known) -> Followed {
    let task = system.task::<N>(noise, known, &[]);
    let smoothed = smooth(&task, &task.run());
    let states = smoothed.states.iter().map(|state| [state[AIR], state[MASS]]).collect();
    Followed {
        grid: system.inputs.grid,
        start: smoothed.states.first().map_or([20.0; 2], |state| [state[AIR], state[MASS]]),
        unexplained: smoothed.states.iter().map(|state| state[SLOW]).collect(),
        states,
        noise,
    }
}

/// Heat that is known, W by step.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Known {
    /// From people, lights and machines.
    pub internal: Vec<f64>,
    /// From the sun.
    pub solar: Vec<f64>,
    /// From the plant.
    pub plant: Vec<f64>,
}

/// What the file has of a zone's heat.
pub(super) fn known(inputs: &Inputs, zone: &Zone) -> Known {
    let mut internal = vec![0.0; inputs.grid.count];
    for (gain, there) in zone.gains.iter().zip(&inputs.scheduled) {
        internal.iter_mut().zip(there).for_each(|(sum, part)| *sum += gain.power * part);
    }
    let stages = inputs.plant.by_stage.len();
    Known { internal, solar: inputs.solar.clone(), plant: inputs.plant.total(&vec![1.0; stages]) }
}

/// A kind of heat whose size is not known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum HeatKind {
    /// From people, lights and machines.
    Internal,
    /// From the sun.
    Solar,
    /// From the plant.
    Plant,
}

/// A zone with its inputs.
#[derive(Clone, Copy, Debug)]
pub(super) struct System<'a> {
    pub inputs: &'a Inputs,
    pub zone: &'a Space,
    pub lag: Seconds,
}

impl System<'_> {
    /// What the filter works on, with columns of unknown heat.
    pub(super) fn task<'t, const N: usize>(
        &'t self,
        noise: Noise,
        known: &Known,
        columns: &[(HeatKind, &'t [f64])],
    ) -> Task<'t, N> {
        let inputs = self.inputs;
        let step = inputs.grid.step;
        let networks = [false, true].map(|it| inputs.network(self.zone, it));
        let approach = match self.lag.get() {
            0 => 1.0,
            lag => -libm::expm1(-(step.get() as f64) / lag as f64),
        };
        let reading = noise.reading.max(LEAST_READING);
        let noise = Noise { reading, ..noise };
        Task {
            steps: networks.map(|it| StateSpace::new(&it, step, &noise, approach)),
            step,
            noise,
            reading: &inputs.readings.at,
            ventilated: &inputs.ventilated,
            unsure: &inputs.plant.unsure,
            flows: flows(inputs, &networks, known),
            columns: columns
                .iter()
                .map(|(kind, course)| Column { flows: networks.map(|it| unit(&it, *kind)), course })
                .collect(),
            at_start: AT_START,
        }
    }

    /// The sums of the filter's run.
    pub(super) fn sums(&self, noise: Noise, known: &Known, columns: &[(HeatKind, &[f64])]) -> Sums {
        if self.lag.get() > 0 {
            self.task::<4>(noise, known, columns).sums()
        } else {
            self.task::<3>(noise, known, columns).sums()
        }
    }

    /// What must be unknown for the readings to be what they are: the greatest likelihood.
    pub(super) fn likely_noise(&self, known: &Known, slow_time: Seconds) -> Noise {
        let first = Noise { slow_time, ..first_noise(self.inputs, self.zone) };
        let mut deviance = |at: &[f64]| {
            let noise = noise_at(at, first.slow_time);
            0.5 * (self.sums(noise, known, &[]).deviance(&[]) + unlikely(at, &first))
        };
        let start = [first.reading, first.heat, first.slow].map(libm::log);
        noise_at(&minimise(&mut deviance, &start, None, Effort::closely(25)).at, first.slow_time)
    }
}

/// Where the search for what is not known begins.
pub(super) fn first_noise(inputs: &Inputs, space: &Space) -> Noise {
    let reading = (inputs.readings.resolution / 12.0_f64.sqrt()).max(0.02);
    let floor = space.input().floor;
    Noise { reading, heat: 0.3 * floor, slow: 3.0 * floor, slow_time: SLOW_TIME }
}

/// Noise from its logarithms.
pub(super) fn noise_at(at: &[f64], slow_time: Seconds) -> Noise {
    let of = |place: usize| libm::exp(at[place].clamp(-25.0, 25.0));
    Noise { reading: of(0), heat: of(1), slow: of(2), slow_time }
}

/// How far noise lies from what it may be, as a square: within a factor of 20 or so of where the search
/// begins, so that a log that says nothing of it leaves it there.
pub(super) fn unlikely(at: &[f64], first: &Noise) -> f64 {
    let middle = [first.reading, first.heat, first.slow].map(libm::log);
    let parts = at.iter().zip(middle).map(|(at, middle)| ((at - middle) / 3.0).powi(2));
    parts.sum()
}

/// One watt of a kind, into air and mass.
fn unit(network: &Network, kind: HeatKind) -> [f64; 2] {
    let flows = match kind {
        HeatKind::Internal => network.flows(0.0, HeatGains { internal: 1.0, solar: 0.0 }),
        HeatKind::Solar => network.flows(0.0, HeatGains { internal: 0.0, solar: 1.0 }),
        HeatKind::Plant => return [1.0, 0.0],
    };
    [flows.air, flows.mass]
}

fn flows(inputs: &Inputs, networks: &[Network; 2], known: &Known) -> Vec<[f64; 2]> {
    // The network is linear: one degree outdoors, one watt of each kind.
    let of = |network: &Network| {
        let outdoors = network.flows(1.0, HeatGains::default());
        let internal = unit(network, HeatKind::Internal);
        (([outdoors.air, outdoors.mass]), internal, unit(network, HeatKind::Solar))
    };
    let units = [of(&networks[0]), of(&networks[1])];
    (0..inputs.grid.count)
        .map(|at| {
            let (outdoors, internal, solar) = units[usize::from(inputs.ventilated[at])];
            let node = |node: usize| {
                outdoors[node] * inputs.outdoor[at]
                    + internal[node] * known.internal[at]
                    + solar[node] * known.solar[at]
            };
            [node(0) + known.plant[at] + inputs.from_neighbours[at], node(1)]
        })
        .collect()
}
