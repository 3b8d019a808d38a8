//! What a page hands over to be kept: the report of its day, and the test sheet for site.

use super::state::Asked;
use super::trouble::Trouble;
use crate::report::{self, Run, Sheeted};
use crate::scenario::Companions;
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
    let model = keep.shown(study.base);
    let run = Run { model: &model, rows: &rows, ledger: &ledger, summary: &summary };
    report::run_html(&run).map_err(Trouble::form)
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
    Ok(report::sheet_page(&Sheeted { model, sheet: &sheet }))
}
