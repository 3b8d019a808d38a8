//! The control rules as properties, over random settings and random sequences of requests.

mod setpoints;
mod thermostat;
