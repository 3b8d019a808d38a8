//! The ratchet: presses push the other side out of the way, where it stays once they are taken back.
//!
//! Two setpoints that a deadband keeps apart move together when one of them is asked for and stands in
//! the other's way. When that is taken back the pushed side comes back with it, or it stays: then the
//! push was *left behind*. So what is counted is what each push led to, and not how far apart the two
//! stand, which people change in other ways as well.

use super::changes::{Event, Maker};
use super::course::Course;
use super::{LogFinding, Seen, Weight, figure, shown};

/// So many pushes have to be left behind, on at least so many days.
const LEAST_LEFT: usize = 3;
const LEAST_DAYS: usize = 2;
/// So many steps has the pair to have drifted in the end.
const LEAST_STEPS: f64 = 2.0;
const NOTHING: f64 = 1e-6;

/// Pushes that are open: how far cool stands pushed up by heat, and heat down by cool.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct Open {
    cool_up: f64,
    heat_down: f64,
}

/// What came of one change.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Came {
    Pushed,
    TakenBack,
    LeftBehind,
    Nothing,
}

impl Open {
    /// Goes on by the move of both sides.
    fn go_on(&mut self, heat: f64, cool: f64) -> Came {
        let alone = |one: f64, other: f64| one.abs() > NOTHING && other.abs() <= NOTHING;
        if heat < -NOTHING && self.cool_up > NOTHING {
            if alone(heat, cool) {
                self.cool_up = 0.0;
                return Came::LeftBehind;
            }
            if cool < -NOTHING {
                self.cool_up = (self.cool_up + cool).max(0.0);
                return Came::TakenBack;
            }
        }
        if cool > NOTHING && self.heat_down > NOTHING {
            if alone(cool, heat) {
                self.heat_down = 0.0;
                return Came::LeftBehind;
            }
            if heat > NOTHING {
                self.heat_down = (self.heat_down - heat).max(0.0);
                return Came::TakenBack;
            }
        }
        if heat > NOTHING && cool > NOTHING {
            self.cool_up += cool;
            Came::Pushed
        } else if heat < -NOTHING && cool < -NOTHING {
            self.heat_down -= heat;
            Came::Pushed
        } else {
            // Who moves the pushed side by itself asks for what it then is.
            if alone(cool, heat) {
                self.cool_up = 0.0;
            }
            if alone(heat, cool) {
                self.heat_down = 0.0;
            }
            Came::Nothing
        }
    }
}

/// Heat and cool as they stand.
type Pair = (f64, f64);

fn is_same(one: Pair, other: Pair) -> bool {
    (one.0 - other.0).abs() <= NOTHING && (one.1 - other.1).abs() <= NOTHING
}

/// Both sides drift from day to day, by hand.
pub(super) fn ratchet(course: &Course, events: &[Event]) -> Option<LogFinding> {
    let step = course.zone.controls.settings.grid.step();
    let (mut open, mut pushes, mut by_minute) = (Open::default(), 0, 0);
    let mut seen = Seen::default();
    let mut days: Vec<jiff::civil::Date> = Vec::new();
    // Pairs of setpoints: where the drift began and has led, before a push, and after the last change.
    let [mut first, mut after, mut before_push, mut last]: [Option<Pair>; 4] = [None; 4];
    for event in events {
        let was = event.heat.0.zip(event.cool.0);
        // What moved in a gap is not known.
        if last.is_some_and(|last| was.is_none_or(|was| !is_same(was, last))) {
            open = Open::default();
        }
        last = event.heat.1.zip(event.cool.1);
        let (heat, cool) = event.moved();
        match event.maker {
            // A setback moves both and puts both back.
            Maker::Occupancy => {}
            // A clock that sets temperatures asks for both sides as they then are.
            Maker::Clock if event.set || heat * cool < 0.0 => open = Open::default(),
            // Steps at the same minute each day: a habit, or a clock that steps.
            Maker::Clock | Maker::Hand => match open.go_on(heat, cool) {
                Came::Pushed => {
                    pushes += 1;
                    before_push = was;
                }
                Came::LeftBehind => {
                    by_minute += usize::from(event.maker == Maker::Clock);
                    seen.add(course, event.place, event.place + 1);
                    days.push(event.at.date());
                    first = first.or(before_push);
                    after = last;
                }
                Came::TakenBack | Came::Nothing => {}
            },
        }
    }
    days.dedup();
    let ((heat_first, cool_first), (heat_last, cool_last)) = first.zip(after)?;
    let gaps = [cool_first - heat_first, cool_last - heat_last];
    let drift = (heat_last - heat_first).abs() + (cool_last - cool_first).abs();
    let drifted = drift >= LEAST_STEPS * step - NOTHING;
    if seen.count() < LEAST_LEFT || days.len() < LEAST_DAYS || !drifted {
        return None;
    }
    let message = format!(
        "Of {pushes} requests that pushed the other setpoint out of the way {} left it there when they \
         were taken back, on {} days: so heat and cool drifted from {} and {} to {} and {}.{}",
        seen.count(),
        days.len(),
        shown(heat_first),
        shown(cool_first),
        shown(heat_last),
        shown(cool_last),
        whose(by_minute)
    );
    let remedy = "put the setpoints back at night by a schedule, narrow the limits, or let the pushed \
                  side return (`on_conflict: push_and_return`)";
    let left = seen.count();
    let found = seen.finding(course, "ratchet", Weight::Warning, message, remedy)?;
    let found =
        found.with("pushes", pushes).with("left_behind", left).with("at_same_minute", by_minute);
    Some(found.with("gap_first", figure(gaps[0])).with("gap_last", figure(gaps[1])))
}

/// Who may have taken back what comes at the same minute each day.
fn whose(by_minute: usize) -> String {
    match by_minute {
        0 => String::new(),
        1 => " One of them came at a minute of the day at which others came as well: somebody's habit, or a \
              clock that moves setpoints by steps; the log can't tell which."
            .into(),
        count => format!(
            " {count} of them came at the same minute of several days: somebody's habit, or a clock that \
             moves setpoints by steps; the log can't tell which."
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn came(moves: &[(f64, f64)]) -> Vec<Came> {
        let mut open = Open::default();
        moves.iter().map(|(heat, cool)| open.go_on(*heat, *cool)).collect()
    }

    #[test]
    fn a_push_is_left_behind_or_comes_back_with_what_pushed_it() {
        use Came::{LeftBehind, Nothing, Pushed, TakenBack};
        // Heat up against cool and back down: alone, or with cool.
        assert_eq!(came(&[(1.0, 1.0), (-1.0, 0.0)]), [Pushed, LeftBehind]);
        assert_eq!(came(&[(1.0, 1.0), (-1.0, -1.0)]), [Pushed, TakenBack]);
        // The same the other way round.
        assert_eq!(came(&[(-1.0, -1.0), (0.0, 1.0)]), [Pushed, LeftBehind]);
        assert_eq!(came(&[(-1.0, -1.0), (1.0, 1.0)]), [Pushed, TakenBack]);
        // Two pushes that come back in one, after which heat moves by itself.
        let back = [(1.0, 0.5), (1.0, 1.0), (-2.0, -1.5), (-1.0, 0.0)];
        assert_eq!(came(&back), [Pushed, Pushed, TakenBack, Nothing]);
        // Somebody asks for cool in between: it is where it was asked to be.
        assert_eq!(came(&[(1.0, 1.0), (0.0, 0.5), (-1.0, 0.0)]), [Pushed, Nothing, Nothing]);
        // Nobody pushed.
        assert_eq!(came(&[(1.0, 0.0), (-1.0, 0.0), (0.0, 1.0)]), [Nothing; 3]);
    }
}
