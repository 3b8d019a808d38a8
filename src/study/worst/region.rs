//! Bounds over many rooms that a fit holds possible: what all but a twentieth of them keep.
//!
//! Each draw of a fit is a room of its own with a bound of its own, which is proved. The worst of
//! them after the twentieth that is worst has been left out is a bound for 95 of 100 such rooms; how
//! sure that is depends on how many were drawn (S. S. Wilks, Determination of sample sizes for setting
//! tolerance limits, Annals of Mathematical Statistics 12 (1941) 91-96).

use super::Reached;
use super::search::End;

/// One draw of so many is left out at each end.
const ONE_OF: usize = 20;

/// The bounds of a zone over draws.
#[derive(Clone, Debug, PartialEq)]
pub struct Region {
    /// Of every draw that is not left out.
    pub reached: Reached,
    /// The draws, by their places, that have its lowest and its highest.
    pub draws: [usize; 2],
}

/// The bounds of each zone over draws; `all` has those of every draw, zone by zone. Empty where there
/// are no draws.
///
/// ```
/// use setband::engine::ZoneIndex;
/// use setband::study::worst::{Reached, region};
///
/// let draw = |low: f64| Reached {
///     zone: ZoneIndex::new(0),
///     least: vec![20.0, low],
///     most: vec![20.0, 20.0],
///     starts: None,
/// };
/// // Of twenty draws the one that is worst is left out.
/// let all: Vec<Vec<Reached>> = (0..20).map(|it| vec![draw(f64::from(it))]).collect();
/// let region = region(&all);
/// assert_eq!(region[0].reached.lowest().0, 1.0);
/// assert_eq!(region[0].draws[0], 1);
/// ```
pub fn region(all: &[Vec<Reached>]) -> Vec<Region> {
    let Some(first) = all.first() else { return Vec::new() };
    (0..first.len()).filter_map(|zone| of_zone(all, zone)).collect()
}

fn of_zone(all: &[Vec<Reached>], zone: usize) -> Option<Region> {
    let [low, high] = End::BOTH.map(|end| kept(all, zone, end));
    let (lowest, highest) = (*low.first()?, *high.first()?);
    let mut reached = all[lowest][zone].clone();
    for draw in low {
        join(&mut reached.least, &all[draw][zone].least, f64::min);
    }
    reached.most.clone_from(&all[highest][zone].most);
    for draw in high {
        join(&mut reached.most, &all[draw][zone].most, f64::max);
    }
    Some(Region { reached, draws: [lowest, highest] })
}

/// The draws that are not left out, the worst first.
fn kept(all: &[Vec<Reached>], zone: usize, end: End) -> Vec<usize> {
    let bound = |draw: &usize| match end {
        End::Lowest => all[*draw][zone].lowest().0,
        End::Highest => -all[*draw][zone].highest().0,
    };
    let mut draws: Vec<usize> = (0..all.len()).collect();
    draws.sort_by(|one, other| bound(one).total_cmp(&bound(other)));
    draws.split_off(all.len() / ONE_OF)
}

fn join(course: &mut [f64], other: &[f64], worse: fn(f64, f64) -> f64) {
    for (air, other) in course.iter_mut().zip(other) {
        *air = worse(*air, *other);
    }
}
