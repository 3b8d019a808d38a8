//! Runs of weeks and a year: what is kept, what is streamed, what is told by month and morning.

mod calendar;
mod days;
mod mornings;
mod seasons;
mod streaming;
