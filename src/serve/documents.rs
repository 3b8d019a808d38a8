//! What a page hands over to be kept: the report of its day, and the test sheet for site.

use serde_json::Value;

use super::state::Asked;
use super::trouble::Trouble;
use crate::report::{self, Run, Sheeted};
use crate::scenario::Companions;
use crate::study::reach::MOST_STATES;
use crate::study::review::{Ran, review};
use crate::study::sheet::{Conditions, sheet};
use crate::study::{Finished, Keep, simulate};

/// The most zones of a sheet that a page waits for: trying each change of a setting grows with
/// their square.
const MOST_SHEET_ZONES: usize = 16;

/// The report of the scenario with its changes, one page.
pub(super) fn report_page(asked: &Asked, companions: &Companions) -> Result<String, Trouble> {
    let (_, study) = asked.study(companions)?;
    let keep = Keep::for_charts(&study.base);
    let Finished { summary, rows, ledger, halt } = simulate(&study.base, keep);
    Trouble::of_halt(halt, &study.base)?;
    let ran = Ran { summary: &summary, ledger: &ledger };
    let review = (!study.requirements.is_empty()).then(|| review(&study, MOST_STATES, Some(ran)));
    let model = keep.shown(study.base.clone());
    let run = Run { model: &model, rows: &rows, ledger: &ledger, summary: &summary };
    report::run_html(&run, review.as_ref()).map_err(Trouble::form)
}

/// What the specification in the file asks, reviewed with the changes.
pub(super) fn requirements(asked: &Asked, companions: &Companions) -> Result<Value, Trouble> {
    let (_, study) = asked.study(companions)?;
    Ok(report::review_value(&review(&study, MOST_STATES, None)))
}

/// The functional test sheet of the settings, one page.
pub(super) fn sheet_page(asked: &Asked, companions: &Companions) -> Result<String, Trouble> {
    let (_, study) = asked.study(companions)?;
    let model = &study.base;
    if model.zones.len() > MOST_SHEET_ZONES {
        return Err(Trouble::bad(format!(
            "a test sheet of more than {MOST_SHEET_ZONES} zones takes too long for a page; use \
             `setband sheet` on the downloaded scenario"
        )));
    }
    let sheet = sheet(model, Conditions::default())
        .ok_or_else(|| Trouble::bad("no room temperature lets anything be tested"))?;
    Ok(report::sheet_page(&Sheeted::whole(model, &sheet)))
}
