//! The trade-off between energy, discomfort and changeovers.

use super::rank::{Meets, Ranking, Scored};
use crate::measures::FIGURES;

/// The keys of the figures that are traded against each other, each better small.
pub const FRONT: [&str; 3] = ["total_kwh", "degree_hours_outside_band", "changeovers"];

/// A setting that no other betters in one figure without being worse in another.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Front {
    /// Its place in the ranking.
    pub place: usize,
    /// Its means, in the order of [`FRONT`].
    pub means: [f64; 3],
    /// How many other settings have the very same means.
    pub alike: usize,
}

/// The means of a setting in the order of [`FRONT`].
pub fn means(scored: &Scored) -> [f64; 3] {
    FRONT.map(|key| {
        let place = FIGURES.iter().position(|figure| figure.key == key);
        place.and_then(|place| scored.mean(place)).unwrap_or(f64::INFINITY)
    })
}

/// The front among the settings that keep the bounds, or among all where none does; by energy.
pub fn front(ranking: &Ranking) -> Vec<Front> {
    let anything = ranking.keeping == 0;
    let all: Vec<(usize, [f64; 3])> = ranking
        .settings
        .iter()
        .enumerate()
        .filter(|(_, it)| anything || it.meets != Meets::No)
        .map(|(place, it)| (place, means(it)))
        .collect();
    // Sorted by the first figure, whatever betters a point stands before it.
    let mut sorted = all;
    sorted.sort_by(|one, two| {
        let figures = one.1.iter().zip(&two.1).map(|(one, two)| one.total_cmp(two));
        figures.fold(std::cmp::Ordering::Equal, std::cmp::Ordering::then).then(one.0.cmp(&two.0))
    });
    let mut front: Vec<Front> = Vec::new();
    for (place, means) in sorted {
        if let Some(same) = front.iter_mut().find(|it| it.means == means) {
            same.alike += 1;
            continue;
        }
        let bettered =
            front.iter().any(|it| it.means.iter().zip(&means).all(|(other, own)| other <= own));
        if !bettered {
            front.push(Front { place, means, alike: 0 });
        }
    }
    front
}

#[cfg(test)]
mod tests {
    use super::super::estimate::estimate;
    use super::*;

    fn ranking(points: &[[f64; 3]]) -> Ranking {
        let settings: Vec<Scored> = points
            .iter()
            .enumerate()
            .map(|(setting, point)| {
                let value = |figure: &crate::measures::Figure| {
                    let place = FRONT.iter().position(|key| *key == figure.key);
                    place.and_then(|place| estimate(&[point[place]]))
                };
                let figures = FIGURES.iter().map(value).collect();
                Scored { setting, figures, meets: Meets::Throughout }
            })
            .collect();
        Ranking { keeping: settings.len(), behind: vec![None; settings.len()], settings }
    }

    #[test]
    fn the_front_holds_what_nothing_betters() {
        let points = [
            [3.0, 1.0, 2.0],
            [1.0, 5.0, 2.0],
            [2.0, 5.0, 2.0],
            [2.0, 6.0, 0.0],
            [1.0, 5.0, 2.0],
            [4.0, 1.0, 2.0],
        ];
        let front = front(&ranking(&points));
        let found: Vec<(usize, usize)> = front.iter().map(|it| (it.place, it.alike)).collect();
        assert_eq!(found, [(1, 1), (3, 0), (0, 0)]);
    }
}
