//! Standard effective temperature: ANSI/ASHRAE 55-2020, Normative Appendix D, the two-node model of
//! Gagge, Fobelets and Berglund (1986), A standard predictive index of human response to the thermal
//! environment, ASHRAE Transactions 92(2B), 709-731, with the standard's coefficients. One's own movement
//! stirs the air in the actual room as in the standard one; older listings leave it out of the actual
//! room, which makes 29.7 C of 26.0 C at 2 met and nothing different at rest.

use super::comfort::Surroundings;

/// One met, W/m2.
const MET: f64 = 58.2;
/// Surface of the body, m2, and its mass, kg.
const BODY_SURFACE: f64 = 1.8258;
const BODY_MASS: f64 = 69.9;
/// Heat capacity of the body, W h/(kg K).
const BODY_HEAT: f64 = 0.97;
/// Stefan and Boltzmann's constant, W/(m2 K4), and the part of the body's surface that radiates.
const RADIATION: f64 = 5.67e-8;
const RADIATING: f64 = 0.72;
/// Skin and core where nothing is regulated, degrees C, and blood through the skin, L/(h m2).
const SKIN: f64 = 33.7;
const CORE: f64 = 36.8;
const BLOOD: f64 = 6.3;
/// Evaporation goes with convection, K/torr.
const LEWIS: f64 = 2.2;
/// Minutes that people are followed.
const MINUTES: u32 = 60;

/// Pressure of saturated water vapour, torr: Appendix D.
fn saturated(celsius: f64) -> f64 {
    libm::exp(18.6686 - 4030.183 / (celsius + 235.0))
}

/// The temperature of a standard room (still air at 50 %, walls as warm as the air, clothing by the
/// activity) in which somebody would lose as much heat with the same skin, degrees C.
pub fn standard_effective_temperature(around: &Surroundings) -> f64 {
    let clothing = Clothing::of(around);
    let mut person = Person::new(around, &clothing);
    for _ in 0..MINUTES {
        person.minute(around, &clothing);
    }
    person.standard_temperature(around)
}

/// What lies between skin and air.
struct Clothing {
    /// m2 K/W.
    insulation: f64,
    /// Surface of the clothed over that of the bare body.
    area_factor: f64,
    /// How well water vapour passes.
    permeation: f64,
    /// Part of the skin that can be wet at most.
    wettest: f64,
    /// Convection, W/(m2 K).
    convection: f64,
    /// Vapour pressure in the air, torr.
    vapour: f64,
}

impl Clothing {
    fn of(around: &Surroundings) -> Self {
        let speed = around.air_speed.max(0.1);
        let (permeation, wettest) = if around.clo > 0.0 {
            (0.45, 0.59 * libm::pow(speed, -0.08))
        } else {
            (1.0, 0.38 * libm::pow(speed, -0.29))
        };
        Self {
            insulation: 0.155 * around.clo,
            area_factor: 1.0 + 0.15 * around.clo,
            permeation,
            wettest,
            convection: moving(around.met, 8.600_001 * libm::pow(speed, 0.53)),
            vapour: around.humidity / 100.0 * saturated(around.air),
        }
    }
}

/// Convection at a body that moves by itself as well, W/(m2 K).
fn moving(met: f64, forced: f64) -> f64 {
    let own = if met > 0.85 { 5.66 * libm::pow(met - 0.85, 0.39) } else { 0.0 };
    forced.max(3.0).max(own)
}

/// Skin and core, and what they lose.
struct Person {
    skin: f64,
    core: f64,
    /// Part of the body's mass that is skin.
    skin_part: f64,
    blood: f64,
    /// W/m2.
    metabolic: f64,
    breathing: f64,
    dry_loss: f64,
    wet_loss: f64,
    wettedness: f64,
    /// Radiation, W/(m2 K).
    radiation: f64,
}

impl Person {
    fn new(around: &Surroundings, clothing: &Clothing) -> Self {
        let metabolic = around.met * MET;
        let breathing = 0.0023 * metabolic * (44.0 - clothing.vapour)
            + 0.0014 * metabolic * (34.0 - around.air);
        Self {
            skin: SKIN,
            core: CORE,
            skin_part: 0.1,
            blood: BLOOD,
            metabolic,
            breathing,
            dry_loss: 0.0,
            wet_loss: 0.1 * around.met,
            wettedness: 0.0,
            radiation: 4.7,
        }
    }

    /// Goes through a minute.
    fn minute(&mut self, around: &Surroundings, clothing: &Clothing) {
        self.lose_dry_heat(around, clothing);
        let to_skin = (self.core - self.skin) * (5.28 + 1.163 * self.blood);
        let into_core = self.metabolic - to_skin - self.breathing;
        let into_skin = to_skin - self.dry_loss - self.wet_loss;
        let per_minute =
            |heat: f64, part: f64| heat * BODY_SURFACE / (BODY_HEAT * part * BODY_MASS * 60.0);
        self.skin += per_minute(into_skin, self.skin_part);
        self.core += per_minute(into_core, 1.0 - self.skin_part);
        self.regulate(around, clothing);
    }

    /// The clothing's surface finds its temperature.
    fn lose_dry_heat(&mut self, around: &Surroundings, clothing: &Clothing) {
        /// The standard stops here, K.
        const CLOSE: f64 = 0.01;
        let Clothing { insulation, area_factor, convection, .. } = *clothing;
        let mut radiation = self.radiation;
        let film = |radiation: f64| {
            let sum = radiation + convection;
            let felt = (radiation * around.mean_radiant + convection * around.air) / sum;
            (1.0 / (area_factor * sum), felt)
        };
        let surface =
            |(film, felt): (f64, f64)| (film * self.skin + insulation * felt) / (film + insulation);
        let mut now = surface(film(radiation));
        for _ in 0..150 {
            let kelvin = f64::midpoint(now, around.mean_radiant) + 273.15;
            radiation = 4.0 * RADIATING * RADIATION * kelvin * kelvin * kelvin;
            let next = surface(film(radiation));
            let moved = (next - now).abs();
            now = next;
            if moved <= CLOSE {
                break;
            }
        }
        let (film, felt) = film(radiation);
        self.radiation = radiation;
        self.dry_loss = (self.skin - felt) / (film + insulation);
    }

    /// Blood, sweat and shivering.
    fn regulate(&mut self, around: &Surroundings, clothing: &Clothing) {
        let (skin, core) = (self.skin - SKIN, self.core - CORE);
        let body = self.skin_part * skin + (1.0 - self.skin_part) * core;
        let neutral_shift = (self.skin_part - 0.1) * (SKIN - CORE);
        let warm_body = (body + neutral_shift).max(0.0);
        let (cold_skin, cold_core) = ((-skin).max(0.0), (-core).max(0.0));
        self.blood = ((BLOOD + 120.0 * core.max(0.0)) / (1.0 + 0.5 * cold_skin)).clamp(0.5, 90.0);
        let sweat = (170.0 * warm_body * libm::exp(skin.max(0.0) / 10.7)).min(500.0);
        self.evaporate(0.68 * sweat, clothing);
        self.metabolic = around.met * MET + 19.4 * cold_skin * cold_core;
        self.skin_part = 0.041_773_7 + 0.745_183_3 / (self.blood + 0.585_417);
    }

    /// What leaves as vapour, with sweat of so much heat, W/m2.
    fn evaporate(&mut self, sweat: f64, clothing: &Clothing) {
        let film = 1.0 / (LEWIS * clothing.area_factor * clothing.convection);
        let cloth = clothing.insulation / (LEWIS * clothing.permeation);
        let most = (saturated(self.skin) - clothing.vapour) / (film + cloth);
        let part = sweat / most;
        self.wettedness = 0.06 + 0.94 * part;
        let diffused = self.wettedness * most - sweat;
        self.wet_loss = sweat + diffused;
        if self.wettedness > clothing.wettest {
            self.wettedness = clothing.wettest;
            let part = clothing.wettest / 0.94;
            self.wet_loss = part * most + 0.06 * (1.0 - part) * most;
        }
        if most < 0.0 {
            (self.wet_loss, self.wettedness) = (0.0, clothing.wettest);
        }
    }

    /// The standard room in which the same skin loses the same heat.
    fn standard_temperature(&self, around: &Surroundings) -> f64 {
        let clo = 1.52 / (around.met + 0.6944) - 0.1835;
        let (insulation, area_factor) = (0.155 * clo, 1.0 + 0.25 * clo);
        let convection = moving(around.met, 3.0);
        let sum = convection + self.radiation;
        let efficiency = 1.0 / (1.0 + 0.155 * area_factor * sum * clo);
        let share = convection / sum;
        let permeation = 0.45 * share * (1.0 - efficiency) / (share - efficiency * 0.45);
        let dry = 1.0 / (1.0 / (area_factor * sum) + insulation);
        let film = 1.0 / (LEWIS * area_factor * convection);
        let wet = self.wettedness / (film + insulation / (LEWIS * permeation));
        let (loss, at_skin) = (self.dry_loss + self.wet_loss, saturated(self.skin));
        // What would be lost at a temperature beyond what is lost; it falls as that grows.
        let excess = |celsius: f64| {
            dry * (self.skin - celsius) + wet * (at_skin - 0.5 * saturated(celsius)) - loss
        };
        let (mut low, mut high) = (-150.0, 150.0);
        for _ in 0..60 {
            let middle = f64::midpoint(low, high);
            if excess(middle) > 0.0 { low = middle } else { high = middle }
        }
        f64::midpoint(low, high)
    }
}
