//! Where a zone's heat goes, and whether a run's heat adds up.

use super::network::{HeatGains, Network};

/// Mean heat flows of a zone over a step, W. Gains and plant count into the zone, the rest out of
/// it.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct ZoneHeat {
    /// In: people, lights and machines.
    pub internal: f64,
    /// In: the sun.
    pub solar: f64,
    /// In: plant and fan; negative while cooling.
    pub plant: f64,
    /// Out: with the air that is changed.
    pub ventilation: f64,
    /// Out: through the windows, with the gains that leave through them at once.
    pub windows: f64,
    /// Out: through the opaque envelope.
    pub opaque: f64,
    /// Out: to neighbours.
    pub neighbours: f64,
}

impl ZoneHeat {
    /// The flows of a step from the mean air and mass temperature over it. `neighbours` is what
    /// goes to other zones: see [`Coupling::heat`](super::Coupling::heat) at mean temperatures.
    pub fn over_step(
        network: &Network,
        mean: [f64; 2],
        outdoor: f64,
        gains: HeatGains,
        plant: f64,
        neighbours: f64,
    ) -> Self {
        let surface_gain = network.flows(outdoor, gains).surface;
        // The surface temperature is linear in the states, so its mean is that of their means.
        let surface = network.surface_temperature(mean, outdoor, surface_gain);
        Self {
            internal: gains.internal,
            solar: gains.solar,
            plant,
            ventilation: network.ventilation * (mean[0] - outdoor),
            windows: network.windows * (surface - outdoor) + network.lost_gain(gains),
            opaque: network.mass_to_outdoors * (mean[1] - outdoor),
            neighbours,
        }
    }

    /// Heat into the zone.
    pub fn into_zone(&self) -> f64 {
        self.internal + self.solar + self.plant
    }

    /// Heat out of the zone.
    pub fn out_of_zone(&self) -> f64 {
        self.ventilation + self.windows + self.opaque + self.neighbours
    }

    /// All flows, each counted positive.
    fn moved(&self) -> f64 {
        let parts = [
            self.internal,
            self.solar,
            self.plant,
            self.ventilation,
            self.windows,
            self.opaque,
            self.neighbours,
        ];
        parts.iter().map(|part| part.abs()).sum()
    }
}

/// Adds up a run's heat, J.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Balance {
    heat_in: f64,
    heat_out: f64,
    stored: f64,
    moved: f64,
}

impl Balance {
    /// Adds a zone's step of so many seconds, in which the heat stored in it changed from
    /// `before` to `after`: see [`Network::stored`].
    pub fn add(&mut self, heat: &ZoneHeat, seconds: f64, before: f64, after: f64) {
        self.heat_in += heat.into_zone() * seconds;
        self.heat_out += heat.out_of_zone() * seconds;
        self.moved += heat.moved() * seconds;
        self.stored += after - before;
    }

    /// Heat in.
    pub fn heat_in(&self) -> f64 {
        self.heat_in
    }

    /// Heat out.
    pub fn heat_out(&self) -> f64 {
        self.heat_out
    }

    /// Change of stored heat.
    pub fn stored(&self) -> f64 {
        self.stored
    }

    /// All heat moved, each flow counted positive.
    pub fn moved(&self) -> f64 {
        self.moved
    }

    /// In minus out minus change of stored heat, as a part of all heat moved; zero where nothing
    /// moved and nothing changed.
    pub fn residual(&self) -> f64 {
        let missing = (self.heat_in - self.heat_out - self.stored).abs();
        if missing == 0.0 { 0.0 } else { missing / self.moved }
    }
}
