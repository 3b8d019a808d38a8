//! Adds up what one zone's plant does.

/// Sums of mean power over steps, W; what has a direction is by direction.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct EnergyTally {
    pub(super) compressor: [f64; 2],
    pub(super) fan: f64,
    pub(super) backup: f64,
    pub(super) standby: f64,
    pub(super) moved: [f64; 2],
}

impl EnergyTally {
    /// Adds another zone's.
    pub(super) fn add_all(&mut self, other: &Self) {
        for direction in 0..2 {
            self.compressor[direction] += other.compressor[direction];
            self.moved[direction] += other.moved[direction];
        }
        self.fan += other.fan;
        self.backup += other.backup;
        self.standby += other.standby;
    }
}
