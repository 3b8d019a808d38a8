//! What of a zone is fitted, what is believed of it beforehand, and how badly a choice explains the log.
//!
//! The measure is minus the logarithm of the likelihood of the filter, less that of weak priors.
//! Seen over several hours it is that of free runs: the errors of runs that the filter starts, with
//! all their correlations, have the density that is the product of the filter's one-step densities.
//! What goes wrong with one-step errors under feedback (Lin, Middelkoop and Barooah, American Control
//! Conference 2012) is that what nobody sees is taken for fresh in each step. So the model has a slow
//! heat besides, whose size and time constant are fitted with the rest.
//!
//! The plain squares of free runs of 6 h and 24 h, begun each hour by the filter, were tried beside it on
//! single days of an office. A day has too few such runs to tell its mass from heat that changes by the
//! hour: rooms became far heavier than the file's, and days with other setpoints were missed by more.

use super::inputs::Inputs;
use super::state_space::Noise;
use super::unexplained::{HeatKind, Known, System, first_noise};
use crate::building::{AIR, Space, SpaceInput};
use crate::study::matrix;
use crate::time::Seconds;

/// A size of the room.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Size {
    /// Conductance to outdoors by `opaque` and `infiltration` together, W/K.
    Loss,
    /// Heat capacity of air and furnishings, J/K.
    Air,
    /// Heat capacity of the mass, J/K.
    Mass,
    /// Effective area of the mass, which couples it to the air, m2.
    Coupling,
}

impl Size {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Loss, Self::Air, Self::Mass, Self::Coupling];
}

/// The sizes of a room that may be fitted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Room([f64; 4]);

/// The heat capacity of the mass where a room has one capacity, J/K: the least that a file may have.
pub(super) const NO_MASS: f64 = 1e3;

/// Conductance of the opaque envelope where the file has no loss to scale, W/(m2 K) of floor.
const SOME_LOSS: f64 = 0.5;

impl Room {
    /// Those of a space.
    pub fn of(space: &Space) -> Self {
        let input = space.input();
        Self([loss(input), input.air_capacity, input.mass_capacity, input.mass_area])
    }

    /// One of them.
    pub const fn get(&self, size: Size) -> f64 {
        self.0[size as usize]
    }

    /// The same with one of them changed.
    #[must_use]
    pub const fn with(mut self, size: Size, value: f64) -> Self {
        self.0[size as usize] = value;
        self
    }

    /// A space with these sizes; `None` where there can be none.
    pub fn space(&self, base: &Space) -> Option<Space> {
        let input = base.input();
        let scale = self.get(Size::Loss) / loss(input);
        let (opaque, infiltration) = if has_loss(input) {
            (input.opaque * scale, input.infiltration * scale)
        } else {
            (self.get(Size::Loss), 0.0)
        };
        let sized = SpaceInput {
            opaque,
            infiltration,
            air_capacity: self.get(Size::Air),
            mass_capacity: self.get(Size::Mass),
            mass_area: self.get(Size::Coupling),
            ..*input
        };
        Space::new(sized).ok()
    }
}

fn has_loss(input: &SpaceInput) -> bool {
    input.opaque > 0.0 || input.infiltration > 0.0
}

fn loss(input: &SpaceInput) -> f64 {
    if !has_loss(input) {
        return SOME_LOSS * input.floor;
    }
    input.opaque + AIR * input.infiltration * input.floor * input.height / 3600.0
}

/// Which gain.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum GainOf {
    /// An entry of the zone's `gains`, by its place: W.
    Entry(usize),
    /// Always there: W.
    Rest,
    /// For each person: W.
    Person,
    /// While somebody is there: W.
    Occupied,
    /// The sun through the windows, as a part of what the file has.
    Sun,
    /// The unit at a stage below its last, as a part of what the file has.
    Stage(usize),
}

/// A number that may be told.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum What {
    Size(Size),
    Gain(GainOf),
}

impl What {
    /// Which gain it is, if it is one.
    pub(super) const fn gain(self) -> Option<GainOf> {
        match self {
            Self::Gain(of) => Some(of),
            Self::Size(_) => None,
        }
    }
}

/// A gain that may be fitted.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Gain {
    pub of: GainOf,
    /// How many units of it, step by step.
    pub course: Vec<f64>,
    /// What it is believed to be beforehand,
    pub middle: f64,
    /// and the standard deviation of that.
    pub deviation: f64,
}

impl Gain {
    fn kind(&self) -> HeatKind {
        match self.of {
            GainOf::Sun => HeatKind::Solar,
            GainOf::Stage(_) => HeatKind::Plant,
            GainOf::Entry(_) | GainOf::Rest | GainOf::Person | GainOf::Occupied => {
                HeatKind::Internal
            }
        }
    }
}

/// A zone that is fitted.
#[derive(Clone, Debug)]
pub(super) struct Problem<'a> {
    pub inputs: &'a Inputs,
    pub base: &'a Space,
    pub lag: Seconds,
    /// Sizes that are fitted; the others stay as `room` has them.
    pub free: Vec<Size>,
    pub room: Room,
    /// Gains that are fitted, or held by a narrow belief.
    pub gains: Vec<Gain>,
    /// Heat that is known.
    pub known: Known,
    /// What is believed of the room beforehand: the file's.
    pub believed: Room,
    pub first: Noise,
}

/// What is left of a belief's width where a gain is held.
const HELD: f64 = 1e-4;

/// How many numbers say what is not known.
pub(super) const NOISES: usize = 4;

/// A choice with what follows from it.
#[derive(Clone, Debug)]
pub(super) struct Choice {
    pub noise: Noise,
    pub room: Room,
    pub space: Space,
    pub gains: Vec<f64>,
    /// The root of the gains' precision.
    pub root: Vec<Vec<f64>>,
    /// Half the deviance, with what the beliefs add.
    pub value: f64,
    /// The logarithm of the likelihood alone.
    pub log_likelihood: f64,
    pub readings: usize,
}

/// Time constants of homes in their first hours: mean 18.7 h, from 53,085 homes (Lawrence Berkeley
/// National Laboratory). Their deviation is 9 h; other buildings are believed to differ by a factor of
/// e (assumed).
const TIME_CONSTANT: f64 = 18.7 * 3600.0;

/// Standard deviations of the logarithms of sizes (assumed, weak): loss, air, mass, area. The area of the
/// mass is known best: ISO 13790:2008, table 12 has 2.5 to 3.5 m2 for each m2 of floor, light to heavy, and
/// a carpet or a suspended ceiling (0.15 m2 K/W or so on top of 0.11) leaves about half of what passes.
const SPREAD: [f64; 4] = [1.0, 0.8, 1.0, 0.5];

impl Problem<'_> {
    /// The gains as the filter takes them.
    pub(super) fn columns(&self) -> Vec<(HeatKind, &[f64])> {
        self.gains.iter().map(|it| (it.kind(), &it.course[..])).collect()
    }

    /// Where the search begins.
    pub(super) fn start(&self) -> Vec<f64> {
        let first = &self.first;
        let slow = first.slow_time.get() as f64;
        let mut at: Vec<f64> =
            [first.reading, first.heat, first.slow, slow].map(libm::log).to_vec();
        at.extend(self.free.iter().map(|size| libm::log(self.room.get(*size))));
        at
    }

    /// The numbers of a choice, as far as they are searched for.
    pub(super) fn at(&self, choice: &Choice) -> Vec<f64> {
        let Noise { reading, heat, slow, slow_time } = choice.noise;
        let mut at = [reading, heat, slow, slow_time.get() as f64].map(libm::log).to_vec();
        at.extend(self.free.iter().map(|size| libm::log(choice.room.get(*size))));
        at
    }

    pub(super) fn noise(at: &[f64]) -> Noise {
        let of = |place: usize| libm::exp(at[place].clamp(-25.0, 25.0));
        #[expect(clippy::cast_possible_truncation, reason = "seconds of some days")]
        let slow_time = Seconds::new(of(3).clamp(300.0, 3e6) as i64);
        Noise { reading: of(0), heat: of(1), slow: of(2), slow_time }
    }

    /// The room of a choice.
    pub(super) fn room_at(&self, at: &[f64]) -> Room {
        let sizes = self.free.iter().zip(&at[NOISES..]);
        sizes.fold(self.room, |room, (size, at)| room.with(*size, libm::exp(*at)))
    }

    /// What follows from a choice; `None` where there is no such room.
    pub(super) fn choose(&self, at: &[f64]) -> Option<Choice> {
        let (noise, room) = (Self::noise(at), self.room_at(at));
        let space = room.space(self.base)?;
        let system = System { inputs: self.inputs, zone: &space, lag: self.lag };
        let sums = system.sums(noise, &self.known, &self.columns());
        let count = self.gains.len();
        let precision = |row: usize| self.gains[row].deviation.powi(-2);
        let quadratic = matrix::from_fn(count, |row, column| {
            sums.quadratic[row][column] + if row == column { precision(row) } else { 0.0 }
        });
        let right: Vec<f64> = (0..count)
            .map(|row| sums.linear[row] + precision(row) * self.gains[row].middle)
            .collect();
        let root = matrix::root(&quadratic)?;
        let gains = matrix::solve(&root, &right);
        let deviance = sums.deviance(&gains);
        let off = self.gains.iter().zip(&gains);
        let beliefs: f64 = off.map(|(it, at)| ((at - it.middle) / it.deviation).powi(2)).sum();
        let value = 0.5 * (deviance + beliefs + self.unbelieved(at, &room));
        value.is_finite().then_some(Choice {
            noise,
            room,
            space,
            gains,
            root,
            value,
            log_likelihood: -0.5 * deviance,
            readings: sums.readings,
        })
    }

    /// The value of a choice; infinite where there is no such room.
    pub(super) fn value(&self, at: &[f64]) -> f64 {
        self.choose(at).map_or(f64::INFINITY, |it| it.value)
    }

    /// How far a choice lies from what is believed of it, as a square.
    fn unbelieved(&self, at: &[f64], room: &Room) -> f64 {
        let start = [self.first.reading, self.first.heat, self.first.slow].map(libm::log);
        let noises: f64 =
            at[..3].iter().zip(start).map(|(at, middle)| ((at - middle) / 3.0).powi(2)).sum();
        let slow = at[3] - libm::log(self.first.slow_time.get() as f64);
        noises + slow * slow + self.unlike(room)
    }

    fn unlike(&self, room: &Room) -> f64 {
        let sizes: f64 = self
            .free
            .iter()
            .map(|size| {
                let off = libm::log(room.get(*size) / self.believed.get(*size));
                (off / SPREAD[*size as usize]).powi(2)
            })
            .sum();
        let timed = [Size::Loss, Size::Air, Size::Mass].iter().any(|it| self.free.contains(it));
        if !timed {
            return sizes;
        }
        let capacity = room.get(Size::Air) + room.get(Size::Mass);
        let loss = room.get(Size::Loss) + self.base.input().windows;
        sizes + libm::log(capacity / loss / TIME_CONSTANT).powi(2)
    }

    /// The same with these numbers put back to what is believed of them.
    pub(super) fn leaving(&self, numbers: &[What]) -> Self {
        numbers.iter().fold(self.clone(), |left, what| match *what {
            What::Size(size) => left.holding(size, left.believed.get(size)),
            What::Gain(of) => {
                let place = left.gains.iter().position(|it| it.of == of);
                place.map_or(left.clone(), |it| left.holding_gain(it, left.gains[it].middle))
            }
        })
    }

    /// The same with these sizes free, and with gains that were left to their belief as wide as that
    /// again.
    pub(super) fn freeing(&self, sizes: Vec<Size>, gains: &[GainOf]) -> Self {
        let mut wide = Self { free: sizes, ..self.clone() };
        for gain in wide.gains.iter_mut().filter(|it| gains.contains(&it.of)) {
            gain.deviation /= HELD;
        }
        wide
    }

    /// The same with a size held at a value.
    pub(super) fn holding(&self, size: Size, value: f64) -> Self {
        let free = self.free.iter().copied().filter(|it| *it != size).collect();
        Self { free, room: self.room.with(size, value), ..self.clone() }
    }

    /// The same with a gain held at a value.
    pub(super) fn holding_gain(&self, place: usize, value: f64) -> Self {
        let mut held = self.clone();
        let gain = &mut held.gains[place];
        gain.middle = value;
        gain.deviation *= HELD;
        held
    }

    /// What is believed of a free size beforehand: the standard deviation of its logarithm.
    pub(super) const fn spread(size: Size) -> f64 {
        SPREAD[size as usize]
    }
}

/// The problem of a zone with nothing free yet.
pub(super) fn problem<'a>(
    inputs: &'a Inputs,
    zone: &'a crate::engine::Zone,
    gains: Vec<Gain>,
) -> Problem<'a> {
    let is_free = |of: GainOf| gains.iter().any(|it| it.of == of);
    let plant: Vec<f64> = (0..inputs.plant.by_stage.len())
        .map(|stage| f64::from(u8::from(!is_free(GainOf::Stage(stage)))))
        .collect();
    let mut internal = vec![0.0; inputs.grid.count];
    for (place, (entry, course)) in zone.gains.iter().zip(&inputs.scheduled).enumerate() {
        if !is_free(GainOf::Entry(place)) {
            internal.iter_mut().zip(course).for_each(|(sum, part)| *sum += entry.power * part);
        }
    }
    let solar =
        if is_free(GainOf::Sun) { vec![0.0; inputs.grid.count] } else { inputs.solar.clone() };
    let room = Room::of(&zone.space);
    Problem {
        inputs,
        base: &zone.space,
        lag: zone.controls.sensor.lag,
        free: Vec::new(),
        room,
        gains,
        known: Known { internal, solar, plant: inputs.plant.total(&plant) },
        believed: room,
        first: first_noise(inputs, &zone.space),
    }
}
