//! The air of a place: where the piece is made, or where it will live.
//!
//! Given as temperature and humidity, from which follows the moisture that wood comes to in that
//! air (Hailwood and Horrobin, Wood Handbook equation 4-5), or as that moisture itself. The
//! equation stands for wood in general and for air that stays the same for months.

use rondure_wood::equilibrium_moisture;

use crate::reader::Section;

/// The air of a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Air {
    /// Temperature, degrees Celsius, and relative humidity, percent; none where the moisture itself
    /// is given.
    pub climate: Option<(f64, f64)>,
    /// Moisture that wood comes to there, percent of its dry weight.
    pub moisture: f64,
}

/// Temperature of a lived-in room, degrees Celsius, where only the humidity is given; the moisture
/// hardly depends on it. Common practice, no source.
const USUAL_TEMPERATURE: f64 = 20.0;
/// Humidity of a lived-in room, percent, where only the temperature is given. Common practice, no
/// source.
const USUAL_HUMIDITY: f64 = 50.0;

/// Reads a place that a plan may leave out. A moisture, which can be measured, stands before the one
/// that follows from the air.
pub(super) fn read_air(section: Section<'_>) -> Option<Air> {
    // The equation is checked over these ranges.
    let temperature = section.temperature("temperature", -1.0..=54.0).maybe();
    let humidity = section.percent("humidity", 5.0..=90.0).maybe();
    let moisture = section.percent("moisture", 1.0..=30.0).maybe();
    section.finish();
    let climate = (temperature.is_some() || humidity.is_some()).then(|| {
        (
            temperature.unwrap_or(USUAL_TEMPERATURE),
            humidity.unwrap_or(USUAL_HUMIDITY),
        )
    });
    let follows =
        climate.and_then(|(celsius, humidity)| equilibrium_moisture(celsius, humidity).ok());
    Some(Air {
        climate,
        moisture: moisture.or(follows)?,
    })
}
