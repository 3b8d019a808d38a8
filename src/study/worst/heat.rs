//! What a plant may bring into a room's air over a step, against what its sensor reads.
//!
//! The heat of a proportional unit falls along straight lines as the reading rises. Between the
//! corners of those lines, and of all that holds them back, the least and the most heat are each
//! linear in the body's temperature.

use super::interval::Interval;
use super::reading::Reading;
use crate::direction::Direction;
use crate::plant::{IndoorUnit, Stages, UnitControl};
use crate::time::Seconds;

/// Beyond any temperature of a run, degrees C.
pub(super) const FAR: f64 = 1e4;

/// What a plant that others share does to one zone's heat. Powers in W.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Share {
    /// The least part of what it asks for that a zone can get.
    pub(super) least: f64,
    /// What asks for less than this may find the compressor resting.
    pub(super) little: f64,
    /// While it works ahead a zone may get so much, whatever it asks for.
    pub(super) burst: f64,
}

impl Share {
    /// A plant of its own gives what is asked for.
    pub(super) const OWN: Self = Self { least: 1.0, little: 0.0, burst: 0.0 };
}

/// One call, as far as its heat goes.
#[derive(Clone, Copy, Debug)]
pub(super) struct Service {
    /// In which direction.
    pub(super) direction: Direction,
    /// The working setpoints of that direction, in the file's unit.
    pub(super) setpoint: Interval,
    /// How far past the setpoint the call starts and ends, in the file's unit.
    pub(super) call_start: f64,
    pub(super) call_stop: f64,
    /// Whether the unit may be held at its turndown, and whether it may not.
    pub(super) dry: [bool; 2],
    /// The parts of its output that a unit can have reached since its start.
    pub(super) rise: Interval,
    /// What the plant makes of it.
    pub(super) share: Share,
    /// The fan's heat, W.
    pub(super) fan: f64,
}

/// Heat into the air, W, where the body lies in a range: at least and at most so much at 0 degrees C
/// of the body, and so much more per kelvin.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Piece {
    /// The range of the body, degrees C.
    pub(super) body: (f64, f64),
    pub(super) least: (f64, f64),
    pub(super) most: (f64, f64),
    /// Whether the compressor may go to rest after such a step.
    pub(super) may_rest: bool,
}

impl Piece {
    /// Heat between two values, whatever the sensor reads.
    pub(super) const fn anywhere(least: f64, most: f64) -> Self {
        Self { body: (-FAR, FAR), least: (least, 0.0), most: (most, 0.0), may_rest: false }
    }
}

/// Output as a part of the rated capacity.
#[derive(Clone, Debug)]
enum Output {
    /// Always so much.
    Held(f64),
    /// Along a line in the body's temperature, between a part and everything.
    Line { at_zero: f64, per_kelvin: f64, least: f64 },
    /// The first part, and each further one beyond its temperature of the body: below it where it
    /// heats.
    Stairs { first: f64, beyond: Vec<(f64, f64)>, heats: bool },
}

impl Output {
    /// Its linear form at and near a temperature of the body.
    fn near(&self, body: f64) -> (f64, f64) {
        match self {
            Self::Held(part) => (*part, 0.0),
            Self::Line { at_zero, per_kelvin, least } => {
                let value = at_zero + per_kelvin * body;
                if value >= 1.0 {
                    (1.0, 0.0)
                } else if value <= *least {
                    (*least, 0.0)
                } else {
                    (*at_zero, *per_kelvin)
                }
            }
            Self::Stairs { first, beyond, heats } => {
                let runs = |corner: f64| if *heats { body <= corner } else { body >= corner };
                let stages = beyond.iter().rev();
                let found = stages.copied().find(|(corner, _)| runs(*corner));
                (found.map_or(*first, |(_, part)| part), 0.0)
            }
        }
    }

    fn value(&self, body: f64) -> f64 {
        let (at_zero, per_kelvin) = self.near(body);
        at_zero + per_kelvin * body
    }

    /// Where it bends or jumps, or reaches one of some values.
    fn corners(&self, values: &[f64]) -> Vec<f64> {
        match self {
            Self::Held(_) => Vec::new(),
            Self::Line { at_zero, per_kelvin, least } => {
                let all = [*least, 1.0].into_iter().chain(values.iter().copied());
                all.map(|value| (value - at_zero) / per_kelvin).collect()
            }
            Self::Stairs { beyond, .. } => beyond.iter().map(|(corner, _)| *corner).collect(),
        }
    }
}

impl Service {
    /// The pieces of what a unit may bring while it serves this call.
    pub(super) fn pieces(&self, unit: &IndoorUnit, reading: &Reading) -> Vec<Piece> {
        let rated = unit.rated(self.direction);
        let [least, most] = self.outputs(unit, reading);
        let Share { little, burst, .. } = self.share;
        let mut corners = vec![-FAR, FAR];
        let values = if rated > 0.0 { vec![little / rated, burst / rated] } else { Vec::new() };
        for output in [&least, &most] {
            corners.extend(output.corners(&values));
        }
        corners.retain(|corner| corner.abs() <= FAR);
        corners.sort_by(f64::total_cmp);
        corners.dedup();
        let piece = |ends: &[f64]| {
            let middle = f64::midpoint(ends[0], ends[1]);
            let asked = rated * least.value(middle);
            let rests = asked < little;
            let part = if rests { 0.0 } else { self.share.least * self.rise.low() };
            let low = scaled(least.near(middle), rated * part);
            let high = if rated * most.value(middle) < burst {
                (burst * self.rise.high(), 0.0)
            } else {
                scaled(most.near(middle), rated * self.rise.high())
            };
            self.signed((ends[0], ends[1]), low, high, rests)
        };
        corners.windows(2).map(piece).collect()
    }

    /// What a unit may bring in a step in which its plant may give nothing, be it for a part of it.
    pub(super) fn interrupted(&self, unit: &IndoorUnit, reading: &Reading) -> Vec<Piece> {
        let mut pieces = self.pieces(unit, reading);
        for piece in &mut pieces {
            piece.may_rest = false;
            match self.direction {
                Direction::Heating => piece.least = (0.0, 0.0),
                Direction::Cooling => {
                    piece.most = (self.fan, 0.0);
                    // The fan may stand.
                    piece.least.0 -= self.fan;
                }
            }
        }
        pieces
    }

    /// Heat becomes cold where it cools.
    fn signed(&self, body: (f64, f64), low: (f64, f64), high: (f64, f64), may_rest: bool) -> Piece {
        let with_fan = |(at_zero, per_kelvin): (f64, f64)| (at_zero + self.fan, per_kelvin);
        let minus = |(at_zero, per_kelvin): (f64, f64)| (-at_zero, -per_kelvin);
        let (least, most) = match self.direction {
            Direction::Heating => (low, high),
            Direction::Cooling => (minus(high), minus(low)),
        };
        Piece { body, least: with_fan(least), most: with_fan(most), may_rest }
    }

    /// The least and the most that the unit may work at.
    fn outputs(&self, unit: &IndoorUnit, reading: &Reading) -> [Output; 2] {
        match unit.control {
            UnitControl::Ideal => [Output::Held(1.0), Output::Held(1.0)],
            UnitControl::Staged { stages } => {
                let most = if self.dry[1] { 1.0 } else { stages.share(0) };
                [self.stairs(&stages, reading), Output::Held(most)]
            }
            UnitControl::Modulating { turndown, throttling_range, integral_time } => {
                let sign = self.direction.sign();
                let line = |setpoint: f64, rounds: f64| Output::Line {
                    // sign is 1 heating: (setpoint + stop - reading) / range.
                    at_zero: (sign * (setpoint - reading.shift) + self.call_stop + rounds)
                        / throttling_range,
                    per_kelvin: -sign * reading.scale / throttling_range,
                    least: turndown,
                };
                let (near, far) = match self.direction {
                    Direction::Heating => (self.setpoint.low(), self.setpoint.high()),
                    Direction::Cooling => (self.setpoint.high(), self.setpoint.low()),
                };
                // What has been added up may be anything that leaves the output where it can be.
                let adds_up = integral_time.is_some();
                // For a while after a start the lowest output is above the turndown.
                let comes_down = unit.start_up.reach_lowest > Seconds::ZERO;
                let is_held = self.dry[0] || adds_up;
                let least =
                    if is_held { Output::Held(turndown) } else { line(near, -reading.rounds) };
                let most = match (self.dry[1], adds_up || comes_down) {
                    (false, false) => Output::Held(turndown),
                    (_, true) => Output::Held(1.0),
                    (true, false) => line(far, reading.rounds),
                };
                [least, most]
            }
        }
    }

    /// The least stage: the highest one whose condition holds for sure.
    fn stairs(&self, stages: &Stages, reading: &Reading) -> Output {
        if self.dry[0] || stages.count() == 1 {
            return Output::Held(stages.share(0));
        }
        let heats = self.direction == Direction::Heating;
        let corner = |stage: usize| {
            let outside = self.call_start + stage as f64 * stages.step() + reading.rounds;
            if heats {
                reading.body(self.setpoint.low() - outside)
            } else {
                reading.body(self.setpoint.high() + outside)
            }
        };
        let beyond = (1..stages.count()).map(|stage| (corner(stage), stages.share(stage)));
        Output::Stairs { first: stages.share(0), beyond: beyond.collect(), heats }
    }
}

fn scaled((at_zero, per_kelvin): (f64, f64), by: f64) -> (f64, f64) {
    (at_zero * by, per_kelvin * by)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plant::{Capacity, Coil, Drive, FanRun, StartUp};
    use approx::assert_relative_eq;

    fn unit(control: UnitControl) -> IndoorUnit {
        IndoorUnit {
            heating: Some(Capacity { rated: 4000.0, cop: 3.0.into() }),
            cooling: Some(Capacity { rated: 3000.0, cop: 3.0.into() }),
            fan: 50.0,
            fan_run: FanRun::Auto,
            control,
            start_up: StartUp::NONE,
            reversal_time: Seconds::ZERO,
            count: 1,
            coil: Coil::USUAL,
        }
    }

    fn heating() -> Service {
        Service {
            direction: Direction::Heating,
            setpoint: Interval::between(18.0, 20.0),
            call_start: 0.5,
            call_stop: 0.0,
            dry: [false, true],
            rise: Interval::exactly(1.0),
            share: Share::OWN,
            fan: 50.0,
        }
    }

    const ROOM: Reading =
        Reading { scale: 1.0, shift: 0.0, rounds: 0.0, approach: 1.0, stratification: [0.0; 2] };

    /// Least and most heat at a temperature of the body.
    fn at(pieces: &[Piece], body: f64) -> (f64, f64) {
        let piece = pieces.iter().find(|it| it.body.0 <= body && body <= it.body.1);
        let piece = piece.expect("pieces cover everything");
        let value = |line: (f64, f64)| line.0 + line.1 * body;
        (value(piece.least), value(piece.most))
    }

    #[test]
    fn proportional_heat_lies_between_that_of_the_lowest_and_the_highest_setpoint() {
        let control = UnitControl::proportional(0.25, 2.0);
        let pieces = heating().pieces(&unit(control), &ROOM);
        for body in [10.0, 16.2, 17.0, 17.6, 18.4, 19.3, 19.9, 25.0] {
            let (least, most) = at(&pieces, body);
            let expected = |setpoint: f64| {
                50.0 + 4000.0
                    * unit(control).output(
                        Drive { distance: setpoint - body, stage: 0 },
                        false,
                        0.25,
                    )
            };
            assert_relative_eq!(least, expected(18.0), max_relative = 1e-12);
            assert_relative_eq!(most, expected(20.0), max_relative = 1e-12);
        }
    }

    #[test]
    fn cold_is_heat_with_the_other_sign_and_dry_holds_it_at_the_turndown() {
        let control = UnitControl::proportional(0.25, 2.0);
        let cooling = Service {
            direction: Direction::Cooling,
            setpoint: Interval::between(24.0, 26.0),
            dry: [true, true],
            ..heating()
        };
        let pieces = cooling.pieces(&unit(control), &ROOM);
        assert_relative_eq!(at(&pieces, 30.0).0, 50.0 - 3000.0);
        assert_relative_eq!(at(&pieces, 30.0).1, 50.0 - 750.0);
        assert_relative_eq!(at(&pieces, 25.0).0, 50.0 - 1500.0);
    }

    #[test]
    fn a_shared_plant_may_rest_while_little_is_asked_for_and_works_ahead_before() {
        let control = UnitControl::proportional(0.0, 2.0);
        let share = Share { least: 0.5, little: 1000.0, burst: 1200.0 };
        let pieces = Service { share, ..heating() }.pieces(&unit(control), &ROOM);
        // At 17.6 the lowest setpoint asks for 800 W and the highest for 4000 W.
        assert_relative_eq!(at(&pieces, 17.6).0, 50.0);
        assert_relative_eq!(at(&pieces, 17.6).1, 4050.0);
        // At 17 it asks for 2000 W and gets half of it at least.
        assert_relative_eq!(at(&pieces, 17.0).0, 1050.0);
        assert_relative_eq!(at(&pieces, 19.9).1, 1250.0);
        assert!(pieces.iter().any(|piece| piece.may_rest));
    }
}
