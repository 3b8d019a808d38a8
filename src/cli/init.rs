//! `setband init`: a scenario file to begin with.

use super::CommandOutput;
use super::args::InitArguments;
use super::failure::Failure;
use super::files::write_whole;
use super::options::UnitArgument;
use crate::scenario::starter;
use crate::units::TemperatureUnit;

pub(super) fn init(arguments: &InitArguments) -> Result<CommandOutput, Failure> {
    let text = starter(match arguments.temperature {
        UnitArgument::Celsius => TemperatureUnit::Celsius,
        UnitArgument::Fahrenheit => TemperatureUnit::Fahrenheit,
    });
    let Some(path) = arguments.path() else { return Ok(CommandOutput::with(text.to_owned())) };
    if path.exists() && !arguments.force {
        return Err(Failure::Call {
            what: format!("{} is there already", path.display()),
            help: "choose another name, or overwrite it with --force".into(),
        });
    }
    write_whole(path, text.as_bytes())?;
    let name = path.display();
    Ok(CommandOutput::with(format!("Wrote {name}. Change it, then: setband run {name}\n")))
}
