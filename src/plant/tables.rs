//! Tables of a plant's data: linear between their points, held beyond the ends.

/// Capacity and COP at one outdoor temperature.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CapacityPoint {
    /// Outdoor air, degrees C.
    pub outdoor: f64,
    /// Capacity, W.
    pub capacity: f64,
    /// Coefficient of performance at full load.
    pub cop: f64,
}

/// Capacity and COP against outdoor temperature.
#[derive(Clone, Debug, PartialEq)]
pub struct CapacityTable(Vec<CapacityPoint>);

impl CapacityTable {
    /// A table of at least one point in rising order of temperature; `None` for anything else.
    pub fn new(points: Vec<CapacityPoint>) -> Option<Self> {
        let rising = points.windows(2).all(|pair| pair[0].outdoor < pair[1].outdoor);
        (rising && !points.is_empty()).then_some(Self(points))
    }

    /// The points.
    pub fn points(&self) -> &[CapacityPoint] {
        &self.0
    }

    /// The largest capacity of the table, W.
    pub fn largest_capacity(&self) -> f64 {
        self.0.iter().map(|point| point.capacity).fold(0.0, f64::max)
    }

    /// Capacity in W and COP at an outdoor temperature in degrees C.
    pub fn at(&self, outdoor: f64) -> (f64, f64) {
        let place = Place::find(self.0.iter().map(|point| point.outdoor), outdoor);
        let (low, high) = (self.0[place.low], self.0[place.high]);
        (place.between(low.capacity, high.capacity), place.between(low.cop, high.cop))
    }
}

/// A quantity against another, such as a COP factor against a load ratio or a COP against outdoor
/// temperature.
#[derive(Clone, Debug, PartialEq)]
pub struct Curve(Vec<(f64, f64)>);

/// COP factor of a modulating plant against its load ratio.
pub type PartLoadTable = Curve;

impl Curve {
    /// A curve of at least one pair, in rising order of its first numbers; `None` for anything else.
    pub fn new(pairs: Vec<(f64, f64)>) -> Option<Self> {
        let rising = pairs.windows(2).all(|two| two[0].0 < two[1].0);
        (rising && !pairs.is_empty()).then_some(Self(pairs))
    }

    /// Its pairs, in rising order of their first numbers.
    pub fn pairs(&self) -> &[(f64, f64)] {
        &self.0
    }

    /// The quantity where the other has a value.
    pub fn at(&self, value: f64) -> f64 {
        let place = Place::find(self.0.iter().map(|pair| pair.0), value);
        place.between(self.0[place.low].1, self.0[place.high].1)
    }
}

/// Where a value lies among rising points.
struct Place {
    low: usize,
    high: usize,
    part: f64,
}

impl Place {
    fn find(points: impl Iterator<Item = f64>, value: f64) -> Self {
        let mut below: Option<(usize, f64)> = None;
        for (at, point) in points.enumerate() {
            if value <= point {
                return match below {
                    Some((low, start)) => {
                        Self { low, high: at, part: (value - start) / (point - start) }
                    }
                    None => Self { low: at, high: at, part: 0.0 },
                };
            }
            below = Some((at, point));
        }
        let last = below.map_or(0, |(at, _)| at);
        Self { low: last, high: last, part: 0.0 }
    }

    /// Exactly `low` where both ends are the same, so that a constant table adds no rounding.
    fn between(&self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.part
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn tables_are_linear_between_points_and_held_beyond() {
        let point = |outdoor, capacity, cop| CapacityPoint { outdoor, capacity, cop };
        let table = CapacityTable::new(vec![point(-10.0, 6e3, 2.0), point(10.0, 1e4, 4.0)]);
        let table = table.expect("rising");
        assert_eq!(table.at(-20.0), (6e3, 2.0));
        assert_eq!(table.at(30.0), (1e4, 4.0));
        let (capacity, cop) = table.at(5.0);
        assert_relative_eq!(capacity, 9e3);
        assert_relative_eq!(cop, 3.5);
    }

    #[test]
    fn tables_must_rise() {
        let point = |outdoor| CapacityPoint { outdoor, capacity: 1.0, cop: 1.0 };
        assert!(CapacityTable::new(vec![]).is_none());
        assert!(CapacityTable::new(vec![point(1.0), point(1.0)]).is_none());
        assert!(PartLoadTable::new(vec![(0.5, 0.9), (0.2, 0.8)]).is_none());
    }
}
