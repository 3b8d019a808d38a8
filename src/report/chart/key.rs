//! The key of a chart of strips: what the looks mean, for those that occur.

use plotters::style::RGBColor;

use super::canvas::{Area, Canvas, Point, Stroke};
use super::palette::PAPER;
use super::scale::TimeAxis;
use super::series::Series;
use super::state::State;
use super::text::Type;
use super::{ChartFault, ribbon, shares};

/// One look and its word.
struct Item {
    state: State,
    word: &'static str,
    /// Width of the swatch and its gap; none where words are enough.
    swatch: f64,
    how: Type,
}

impl Item {
    fn new(state: State, em: f64, idle: RGBColor) -> Self {
        // What is blank or white needs no swatch, only words.
        let (word, swatch) = match state {
            State::Off => ("blank: off", 0.0),
            State::Idle if idle == PAPER => ("white: idle", 0.0),
            _ => (state.word(), em * 2.7),
        };
        Self { state, word, swatch, how: Type::new(em * 0.85, state.color()) }
    }

    /// Width with the gap to the next.
    fn width(&self, em: f64) -> f64 {
        self.swatch + self.how.width(self.word) + em * 1.4
    }
}

/// Draws the key in one line about the height `y`, from the axis on or, where that is too far,
/// so that it ends at `right`.
pub(super) fn draw(
    canvas: &mut Canvas,
    all: &[Series],
    time: TimeAxis,
    (right, y): Point,
    em: f64,
    idle: RGBColor,
) -> Result<(), ChartFault> {
    if time.is_long() {
        return shares::words(canvas, all, time, y, em);
    }
    let occurs =
        |state: &State| all.iter().any(|one| one.rows().iter().any(|row| one.state(row) == *state));
    let states: Vec<State> = State::ALL.into_iter().filter(occurs).collect();
    let items = |em| states.iter().map(|state| Item::new(*state, em, idle)).collect::<Vec<_>>();
    let whole: f64 = items(em).iter().map(|item| item.width(em)).sum();
    // On a narrow sheet the key grows smaller rather than running off it.
    let em = em * (right / whole).min(1.0);
    let mut x = time.left.min(right - whole).max(em * 0.5);
    let items = items(em);
    let (mut swatches, mut words) = (Vec::new(), Vec::new());
    for item in &items {
        if item.swatch > 0.0 {
            let (top, bottom) = (y - em * 0.45, y + em * 0.45);
            swatches.push((item.state, Area { left: x, top, right: x + em * 2.2, bottom }));
        }
        words.push((item.word, (x + item.swatch, y), item.how));
        x += item.width(em);
    }
    ribbon::paint(canvas, &swatches, idle)?;
    canvas.layer("ribbon-words", Stroke::Solid, |layer| {
        for (word, at, how) in words {
            layer.words(word, at, how);
        }
    })
}
