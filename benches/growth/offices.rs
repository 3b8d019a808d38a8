//! Offices as a file has them: hourly weather from a file, sensors with lag and resolution, gains,
//! setback, and as asked for an outdoor unit and people. Everything is invented.

use std::f64::consts::TAU;
use std::fmt::Write as _;

use setband::scenario::Template;

/// Which offices.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Offices {
    /// How many.
    pub(crate) zones: usize,
    /// Whether they share an outdoor unit, whose direction the first of them decides.
    pub(crate) grouped: bool,
    /// People in each.
    pub(crate) people: usize,
    /// Simulated from 1 January 2024 on.
    pub(crate) days: usize,
}

impl Offices {
    /// The scenario.
    pub(crate) fn text(&self) -> String {
        let mut text = format!(
            "period: {{from: 2024-01-01, days: {}}}\nweather: {{csv: year.csv, humidity: 50, site: \
             {{latitude: 46, longitude: 9, utc_offset: 1}}}}\nzones:\n",
            self.days
        );
        for zone in 0..self.zones {
            let (floor, gains) = (60 + zone % 40, 700 + 10 * (zone % 40));
            let heat = 20.0 + 0.5 * (zone % 4) as f64;
            let cool = 24.5 + 0.5 * (zone % 3) as f64;
            writeln!(
                text,
                "  room{zone}:\n    space: {{floor: {floor} m2, ventilation: {{rate: 90 m3/h, from: \
                 \"07:30\", to: \"18:00\"}}}}\n    gains: {{from: \"08:30\", to: \"17:30\", power: \
                 {gains} W}}\n    unit: {{heating: 4 kW, cooling: 4 kW, fan: 60 W, turndown: \
                 0.25}}\n    controls: {{heat: {heat}, cool: {cool}, sensor: {{lag: 4 min, \
                 resolution: 0.1}}, occupancy: {{from: \"08:00\", to: \"18:00\"}}, setback: {{heat: \
                 3, cool: 3}}}}"
            )
            .expect("a string takes everything");
        }
        self.add_outdoor_unit(&mut text);
        self.add_people(&mut text);
        text
    }

    fn add_outdoor_unit(&self, text: &mut String) {
        if !self.grouped {
            return;
        }
        let zones: Vec<String> = (0..self.zones).map(|zone| format!("room{zone}")).collect();
        let kw = |each: f64| each * self.zones as f64;
        writeln!(
            text,
            "outdoor_units:\n  roof:\n    zones: [{}]\n    owner: room0\n    standby: 60 W\n    \
             heating: [{{outdoor: -8, capacity: {:.1} kW, cop: 2.4}}, {{outdoor: 8, capacity: {:.1} \
             kW, cop: 3.6}}]\n    cooling: [{{outdoor: 20, capacity: {:.1} kW, cop: 5}}, {{outdoor: \
             35, capacity: {:.1} kW, cop: 3}}]",
            zones.join(", "),
            kw(2.2),
            kw(3.0),
            kw(3.2),
            kw(2.8)
        )
        .expect("a string takes everything");
    }

    fn add_people(&self, text: &mut String) {
        if self.people == 0 {
            return;
        }
        text.push_str("people:\n");
        for zone in 0..self.zones {
            for person in 0..self.people {
                let prefers = 21.5 + 0.3 * ((zone + person) % 4) as f64;
                writeln!(
                    text,
                    "  - {{zone: room{zone}, name: clerk {zone} {person}, prefers: {prefers}, \
                     tolerance: 1.5, patience: 20 min, present: {{from: \"08:30\", to: \"17:30\", \
                     days: [mon, tue, wed, thu, fri]}}, arrival_spread: 10 min, gains: 70 W}}"
                )
                .expect("a string takes everything");
            }
        }
    }

    /// The scenario, read as far as its values stay the same.
    pub(crate) fn template(&self) -> Template {
        let open = Box::new(|_: &str| Ok(weather()));
        Template::read(&self.text(), "offices.yaml", open, None).expect("a right file")
    }
}

/// A year by the hour and a day more: a yearly and a daily wave, and one of nine days between them.
fn weather() -> String {
    let mut text = "time,temperature,humidity,radiation\n".to_owned();
    let first = jiff::civil::date(2024, 1, 1).at(0, 0, 0, 0);
    for hour in 0..=8790_i32 {
        let wave = |hours: f64| ((f64::from(hour) - 4.0) * TAU / hours).cos();
        let temperature = 11.0 - 10.0 * wave(8784.0) - 4.5 * wave(24.0) + 4.0 * wave(216.0);
        let sun = (400.0 * -wave(24.0)).max(0.0);
        let at = first.saturating_add(jiff::Span::new().hours(hour));
        let at = at.strftime("%Y-%m-%dT%H:%M");
        writeln!(text, "{at},{temperature:.1},{:.0},{sun:.0}", 70.0 - 10.0 * wave(24.0))
            .expect("a string takes everything");
    }
    text
}
