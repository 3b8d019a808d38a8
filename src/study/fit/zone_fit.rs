//! A zone fitted to its log, from beginning to end.

use super::changes::{Change, Form};
use super::cycles::are_blurred;
use super::draws::Draws;
use super::electricity::{Electricity, electricity};
use super::finished::{Finished, by_hour, means, slow};
use super::fitting::{Fitting, Tells};
use super::gains::{gains, stages};
use super::inputs::{Inputs, NoInputs};
use super::measure::{RunError, Whiteness};
use super::options::{Freed, Options};
use super::parameter::{Parameter, parameters};
use super::problem::{GainOf, Size, problem};
use super::search::{Found, Structure, leave_what_is_not_told, structure, with_best_lag};
use super::state_space::Noise;
use super::thresholds::{Threshold, thresholds};
use super::unexplained::{System, known};
use crate::engine::{Model, Zone, ZoneIndex};
use crate::log::SiteLog;
use crate::study::audit::Course;
use crate::time::Seconds;

/// So many steps are fitted at most; a longer log is put on longer steps.
const MOST_STEPS: usize = 12_000;
/// Fewer steps than this are no log to fit.
const LEAST_STEPS: usize = 24;

/// How the filter sees the log one step ahead.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OneStep {
    /// Logarithm of the likelihood.
    pub log_likelihood: f64,
    /// Root mean square of the innovations, K.
    pub innovation: f64,
    /// Whether they have a pattern in time; `None` where there are too few.
    pub whiteness: Option<Whiteness>,
    /// How many readings there were.
    pub readings: usize,
}

/// A zone fitted to its log. Temperatures in degrees C.
#[derive(Clone, Debug)]
pub struct ZoneFit {
    /// Its name in the file,
    pub id: String,
    /// and what people call it.
    pub label: String,
    /// Its place.
    pub zone: ZoneIndex,
    /// What acts on it.
    pub inputs: Inputs,
    /// One capacity or two, with twice the logarithm of the ratio of their likelihoods.
    pub structure: (Structure, Option<f64>),
    /// What was fitted, or could not be.
    pub parameters: Vec<Parameter>,
    /// What is not known.
    pub noise: Noise,
    /// One step ahead.
    pub one_step: OneStep,
    /// Free runs.
    pub errors: Vec<RunError>,
    /// Whether they lie in the time that was held out; else in the whole log.
    pub errors_are_held_out: bool,
    /// So much at the end was held out.
    pub held_out: Seconds,
    /// What its unit draws.
    pub electricity: Option<Electricity>,
    /// Where its calls begin and end.
    pub thresholds: Vec<Threshold>,
    /// Heat by the hour that no log explains, W.
    pub by_hour: Option<[f64; 24]>,
    /// Whether the plant runs and rests in spells that its rows are too coarse for.
    pub rows_are_coarse: bool,
    /// Runs that begin with each day from the smoothed state, at the start of each step.
    pub modelled: Vec<f64>,
    /// Heat that the fitted file does not explain, W by step.
    pub unexplained: Vec<f64>,
    /// Mean error of those runs by hour of the day, K: measured less modelled.
    pub residuals: [Option<f64>; 24],
    /// What it changes in the file.
    pub changes: Vec<Change>,
    /// Draws of the same.
    pub draws: Draws,
    /// The time after which it is held against persistence, h.
    pub horizon: u32,
}

impl ZoneFit {
    /// The error of free runs of some hours.
    pub fn error(&self, hours: u32) -> Option<&RunError> {
        self.errors.iter().find(|it| it.hours == hours)
    }

    /// Whether it does better than that the last reading holds; `None` where no run is so long.
    pub fn explains(&self) -> Option<bool> {
        self.error(self.horizon).map(|it| it.model < it.persistence)
    }
}

/// Why a zone was not fitted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NoFit {
    /// Nothing to fit it to.
    Inputs(NoInputs),
    /// Too few readings.
    TooShort(String),
    /// No room that can be explains the log.
    NoRoom(String),
}

/// The zones of a model of which a log has something, in file order.
pub fn logged_zones(model: &Model, site: &SiteLog) -> Vec<ZoneIndex> {
    let logged = |id: &str| site.source.mapping.zones.iter().any(|it| it.zone == id);
    let all = (0..model.zones.len()).map(ZoneIndex::new);
    all.filter(|zone| logged(&model.zones[zone.get()].id)).collect()
}

/// Fits zones one after the other: those that could be fitted, and why the others could not. `go_on`
/// hears before each how many are done, and of how many; `None` once it does not want to.
pub fn fit_zones(
    model: &Model,
    site: &SiteLog,
    zones: &[ZoneIndex],
    options: &Options,
    go_on: &mut dyn FnMut(usize, usize) -> bool,
) -> Option<(Vec<ZoneFit>, Vec<NoFit>)> {
    let (mut fitted, mut left_out) = (Vec::new(), Vec::new());
    for (done, zone) in zones.iter().enumerate() {
        if !go_on(done, zones.len()) {
            return None;
        }
        match fit_zone(model, site, *zone, options) {
            Ok(fit) => fitted.push(fit),
            Err(why) => left_out.push(why),
        }
    }
    Some((fitted, left_out))
}

/// Fits a zone of a model to its log.
///
/// # Errors
/// See [`NoFit`].
pub fn fit_zone(
    model: &Model,
    site: &SiteLog,
    index: ZoneIndex,
    options: &Options,
) -> Result<ZoneFit, NoFit> {
    let zone = &model.zones[index.get()];
    let too_short = || NoFit::TooShort(zone.id.clone());
    let grid = Inputs::grid(model, site, index, MOST_STEPS)
        .ok_or_else(|| NoFit::Inputs(NoInputs::NoTemperature(zone.id.clone())))?;
    let inputs = Inputs::of(model, site, index, grid).map_err(NoFit::Inputs)?;
    if grid.count < LEAST_STEPS || inputs.readings.at.iter().flatten().count() < 4 {
        return Err(too_short());
    }
    let held_out = options.held_out(grid.step.get() * i64::try_from(grid.count).unwrap_or(0));
    let kept = grid.count - usize::try_from(held_out.get() / grid.step.get()).unwrap_or(0);
    let before = inputs.until(kept.max(LEAST_STEPS));
    let no_room = || NoFit::NoRoom(zone.id.clone());
    let trained = Fitting::of(&before, zone, options).ok_or_else(no_room)?;
    let courses = Course::of_log(model, site);
    let power = options.frees(Freed::Power);
    let power = power.then(|| electricity(model, index.get(), courses.len(), &inputs)).flatten();
    let calls = options.frees(Freed::Thresholds);
    let calls = courses.iter().find(|it| it.place == index.get() && calls).map(thresholds);
    let besides = Besides { electricity: power, thresholds: calls.unwrap_or_default() };
    let judged = trained.finish(&before, &inputs, zone, &besides);
    let errors = judged.errors(&inputs, kept..grid.count);
    let errors_are_held_out = errors.iter().any(|it| it.hours >= options.horizon);
    // What was held out has done its duty.
    let whole =
        if kept < grid.count { trained.on(&inputs, zone).ok_or_else(no_room)? } else { trained };
    let last = whole.finish(&inputs, &inputs, zone, &besides);
    let errors = if errors_are_held_out { errors } else { last.errors(&inputs, 0..grid.count) };
    let tells = Tells { model, zone: index.get(), options };
    Ok(whole.answer(&inputs, &tells, &last, (errors, errors_are_held_out, held_out)))
}

/// What was found besides the room.
struct Besides {
    electricity: Option<Electricity>,
    thresholds: Vec<Threshold>,
}

/// Whether nothing in a log sets the scale of a size: of the loss without the plant's heat or the air
/// outdoors, of what stores heat where the temperature stands still.
fn without_scale(inputs: &Inputs, size: Size) -> bool {
    match size {
        Size::Loss => !(inputs.outdoor_is_logged && inputs.plant.ever_ran),
        Size::Air | Size::Mass | Size::Coupling => inputs.readings.stand_still(),
    }
}

impl<'a> Fitting<'a> {
    fn of(inputs: &'a Inputs, zone: &'a Zone, options: &Options) -> Option<Self> {
        let mut all = Vec::new();
        if options.frees(Freed::Gains) {
            all.extend(gains(inputs, zone).into_iter().filter(|it| it.of != GainOf::Sun));
        }
        if options.frees(Freed::Sun) {
            all.extend(gains(inputs, zone).into_iter().filter(|it| it.of == GainOf::Sun));
        }
        if options.frees(Freed::Stages) {
            all.extend(stages(inputs));
        }
        let mut problem = problem(inputs, zone, all);
        let freed = Size::ALL.into_iter().filter(|size| options.frees(Freed::Size(*size)));
        let (scaleless, free) = freed.partition(|size| without_scale(inputs, *size));
        problem.free = free;
        if options.frees(Freed::Lag) && !problem.free.is_empty() {
            problem = with_best_lag(problem);
        }
        let (kind, found, ratio) = structure(&problem)?;
        let (found, spread, sizes, gains) = leave_what_is_not_told(found);
        Some(Self { found, spread, structure: (kind, ratio), untold: (sizes, gains), scaleless })
    }

    /// The same choice of what is fitted, on more of the log.
    fn on<'b>(&self, inputs: &'b Inputs, zone: &'b Zone) -> Option<Fitting<'b>> {
        let own = &self.found.problem;
        let mut again = gains(inputs, zone);
        again.extend(stages(inputs));
        let mut problem = problem(inputs, zone, {
            again.retain(|it| own.gains.iter().any(|other| other.of == it.of));
            again
        });
        for gain in &mut problem.gains {
            if let Some(other) = own.gains.iter().find(|it| it.of == gain.of) {
                (gain.middle, gain.deviation) = (other.middle, other.deviation);
            }
        }
        problem.free.clone_from(&own.free);
        (problem.room, problem.believed, problem.lag) = (own.room, own.believed, own.lag);
        let found = Found::on_from(problem, &self.found.at, Some(self.found.inverse.clone()), 40)?;
        let spread = found.spread();
        Some(Fitting {
            found,
            spread,
            structure: self.structure,
            untold: self.untold.clone(),
            scaleless: self.scaleless.clone(),
        })
    }

    /// The zone with what was fitted: what no log explains by the hour, and all of it followed again.
    fn finish(&self, before: &Inputs, whole: &Inputs, zone: &Zone, besides: &Besides) -> Finished {
        let numbers = self.numbers(besides.electricity.as_ref());
        let found = &self.found;
        let slow = slow(&found.problem, &found.choice, &found.choice.gains);
        let by_hour = by_hour(before, &slow, zone);
        let told = |of: GainOf| self.found.problem.gains.iter().any(|it| it.of == of);
        let mean = |course: &Option<Vec<f64>>, counts: bool| {
            let course = course.as_ref().filter(|_| counts);
            course.map_or([0.0; 24], |it| means(before, it).map(|it| it.unwrap_or(0.0)))
        };
        let form = Form {
            sizes: self.sizes(),
            by_hour,
            people: mean(&before.people, told(GainOf::Person)),
            occupied: mean(&before.occupied, told(GainOf::Occupied)),
            electricity: besides.electricity.clone(),
            thresholds: besides.thresholds.clone(),
            entries: told(GainOf::Entry(0)),
            lag: self.found.problem.lag,
        };
        let space = numbers.room.space(&zone.space).unwrap_or(zone.space);
        let mut fitted = Zone { space, gains: form.gains(zone, &numbers), ..zone.clone() };
        fitted.controls.sensor.lag = form.lag;
        let mut inputs = whole.clone();
        inputs.scheduled = fitted.gains.iter().map(|it| inputs.schedule(it)).collect();
        let mut heat = known(&inputs, &fitted);
        let factors: Vec<f64> = (0..inputs.plant.by_stage.len())
            .map(|stage| numbers.gain(GainOf::Stage(stage)).unwrap_or(1.0))
            .collect();
        heat.plant = inputs.plant.total(&factors);
        if let Some(sun) = numbers.gain(GainOf::Sun) {
            heat.solar.iter_mut().for_each(|it| *it *= sun);
        }
        let system = System { inputs: &inputs, zone: &fitted.space, lag: form.lag };
        let noise = system.likely_noise(&heat, self.found.choice.noise.slow_time);
        Finished { numbers, form, zone: fitted, known: heat, noise }
    }

    fn answer(
        &self,
        inputs: &Inputs,
        tells: &Tells,
        last: &Finished,
        (errors, errors_are_held_out, held_out): (Vec<RunError>, bool, Seconds),
    ) -> ZoneFit {
        let zone = &tells.model.zones[tells.zone];
        let adds = last.form.added(&last.numbers).iter().any(|it| *it > 0.5);
        let changes = last.form.changes(tells.model, tells.zone, &last.numbers, adds);
        let parameters = parameters(self, &last.form, tells);
        let draws = self.draws(&last.form, tells, adds);
        let run = last.run(inputs);
        ZoneFit {
            id: zone.id.clone(),
            label: zone.label.clone(),
            zone: ZoneIndex::new(tells.zone),
            structure: self.structure,
            noise: last.noise,
            one_step: OneStep {
                log_likelihood: self.found.choice.log_likelihood,
                innovation: run.innovation,
                whiteness: run.whiteness,
                readings: self.found.choice.readings,
            },
            errors,
            errors_are_held_out,
            held_out,
            changes: super::parameter::remarked(changes, &parameters),
            parameters,
            electricity: last.form.electricity.clone(),
            thresholds: last.form.thresholds.clone(),
            by_hour: last.form.by_hour,
            rows_are_coarse: are_blurred(&inputs.plant.ran),
            modelled: run.modelled,
            unexplained: run.unexplained,
            residuals: run.residuals,
            draws,
            horizon: tells.options.horizon,
            inputs: inputs.clone(),
        }
    }
}
