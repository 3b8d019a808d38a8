//! The control rules as properties, over random settings and random sequences of requests.

#[path = "control_properties/setpoints.rs"]
mod setpoints;
#[path = "control_properties/thermostat.rs"]
mod thermostat;
