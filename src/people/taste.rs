//! What people prefer and how they vote: what was measured in offices, and what a file says of one.

/// How somebody votes on the scale of ISO 7730, from -3 (cold) to 3 (hot).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sensation {
    /// Here the mean vote is nought, degrees C.
    pub neutral: f64,
    /// How much a vote rises with a kelvin, 1/K.
    pub per_kelvin: f64,
    /// Standard deviation of votes at one temperature.
    pub spread: f64,
    /// What part of that goes with what is preferred, 0 to 1: who votes warm mostly wants it
    /// cooler.
    pub shared: f64,
}

/// What somebody prefers, and how far from it they want a change.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Taste {
    /// The operative temperature they like best, degrees C.
    pub prefers: f64,
    /// Standard deviation of that from one person to the next, K.
    pub spread: f64,
    /// Standard deviation of it from one hour to the next in the same person, K.
    pub varies: f64,
    /// So far from it they want no change, K.
    pub tolerance: f64,
    /// How they vote; by the distance from what they prefer where it is not given.
    pub sensation: Option<Sensation>,
}

impl Taste {
    /// People of air-conditioned offices as they were measured: the share that wants it warmer and
    /// the one that wants it cooler follow a normal distribution of what is preferred, with a
    /// tolerance on either side; votes follow a line with a spread. Fitted (probit regression, by
    /// us) to votes of the ASHRAE Global Thermal Comfort Database II, version 2.1 (Foldvary Licina
    /// and others, Building and Environment 142, 2018, 502-512), 20 to 28 degrees C, with the
    /// clothing and activity that people had: 0.9 clo at 20 C, 0.6 at 26 C, 1.2 met. A test holds
    /// them to the table. How much of the spread is one person's from hour to hour, and how much
    /// lies between people, the votes do not tell: common practice, no source. So with `shared`.
    pub const USUAL: Self = Self {
        prefers: 23.0,
        spread: 1.5,
        varies: 4.0,
        tolerance: 3.2,
        sensation: Some(Sensation { neutral: 24.3, per_kelvin: 0.24, spread: 1.07, shared: 0.6 }),
    };
}
