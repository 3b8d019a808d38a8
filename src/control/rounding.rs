//! What comparisons of temperatures forgive.

/// Comparisons of temperatures forgive this much for rounding, in degrees of the file's unit.
pub const ROUNDING: f64 = 1e-9;
