//! What the boxes are made of, from their layers.

use std::sync::LazyLock;

use serde_json::Value;

use super::cases::Heaviness;

/// The published inputs.
static INPUTS: LazyLock<Value> = LazyLock::new(|| {
    serde_json::from_str(include_str!("data/bestest_inputs.json")).expect("data/ holds valid JSON")
});

/// A number of the published inputs.
pub(crate) fn input(pointer: &str) -> f64 {
    let number = INPUTS.pointer(pointer).and_then(Value::as_f64);
    number.unwrap_or_else(|| panic!("the inputs have a number at {pointer}"))
}

/// One of walls, roof and floor.
struct Part {
    /// m2.
    area: f64,
    /// W/(m2 K).
    transmittance: f64,
    /// Heat capacity inside of the insulation, J/(m2 K).
    capacity: f64,
}

impl Part {
    /// From its layers, inside first. The floor lies on something that exchanges no more heat with
    /// it than its insulation lets through: it has no resistance outside.
    fn of(construction: &str, part: &str, area: f64) -> Self {
        let layers = INPUTS.pointer(&format!("/constructions/{construction}/{part}"));
        let layers = layers.and_then(Value::as_array).expect("the construction has that part");
        let of = |layer: &Value, name: &str| layer[name].as_f64().expect("a number");
        let inside = 1.0 / input("/surface_coeffs/h_int_combined");
        let outside = match part {
            "floor" => 0.0,
            _ => 1.0 / input("/surface_coeffs/h_ext_combined"),
        };
        let through = layers.iter().map(|it| of(it, "thickness_m") / of(it, "k_W_mK"));
        let resistance = inside + through.sum::<f64>() + outside;
        let lining = &layers[0];
        let capacity = ["thickness_m", "density_kg_m3", "cp_J_kgK"];
        Self {
            area,
            transmittance: 1.0 / resistance,
            capacity: capacity.iter().map(|name| of(lining, name)).product(),
        }
    }

    fn conductance(&self) -> f64 {
        self.area * self.transmittance
    }
}

/// A box's walls, roof and floor.
pub(crate) struct Envelope {
    heaviness: Heaviness,
    walls: Part,
    roof: Part,
    floor: Part,
}

impl Envelope {
    pub(crate) fn of(heaviness: Heaviness) -> Self {
        let construction = match heaviness {
            Heaviness::Light => "low_mass",
            Heaviness::Heavy => "high_mass",
        };
        let floor = input("/geometry/floor_m2");
        Self {
            heaviness,
            walls: Part::of(construction, "wall", input("/geometry/opaque_wall_m2")),
            roof: Part::of(construction, "roof", floor),
            floor: Part::of(construction, "floor", floor),
        }
    }

    fn parts(&self) -> [&Part; 3] {
        [&self.walls, &self.roof, &self.floor]
    }

    /// Conductance of all opaque parts, W/K.
    pub(crate) fn opaque(&self) -> f64 {
        self.parts().iter().map(|part| part.conductance()).sum()
    }

    /// Heat capacity of the mass, J/K: ISO 13790:2008, 12.3.1.1, of the layers inside of the
    /// insulation.
    pub(crate) fn mass_capacity(&self) -> f64 {
        self.parts().iter().map(|part| part.area * part.capacity).sum()
    }

    /// Effective area of the mass, m2: ISO 13790:2008, 12.2.2, equation (65).
    pub(crate) fn mass_area(&self) -> f64 {
        let squares: f64 =
            self.parts().iter().map(|part| part.area * part.capacity * part.capacity).sum();
        self.mass_capacity() * self.mass_capacity() / squares
    }

    fn prefix(&self) -> &'static str {
        match self.heaviness {
            Heaviness::Light => "low",
            Heaviness::Heavy => "high",
        }
    }

    /// Ours and the published transmittance of each part, W/(m2 K).
    pub(crate) fn published_transmittances(&self) -> [(f64, f64); 3] {
        let at = |name: &str| input(&format!("/computed_U_W_m2K/{name}"));
        let named = |part: &str| at(&format!("{}_{part}", self.prefix()));
        [
            (self.walls.transmittance, named("wall")),
            (self.roof.transmittance, at("roof")),
            (self.floor.transmittance, named("floor")),
        ]
    }

    /// Ours and the published conductance of roof and of the window, W/K, whatever the heaviness.
    pub(crate) fn published_conductances(&self) -> [(f64, f64); 2] {
        let at = |name: &str| input(&format!("/computed_UA_W_K/{name}"));
        let window = super::cases::GLAZING * input("/window/U");
        [(self.roof.conductance(), at("roof")), (window, at("window"))]
    }

    /// The published loss of the whole box with its infiltration, W/K.
    pub(crate) fn published_loss(&self) -> f64 {
        input(&format!("/computed_UA_W_K/total_{}", self.prefix()))
    }
}
