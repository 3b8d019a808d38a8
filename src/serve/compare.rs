//! The pinned state and the present one, or another variant, held against each other.

use serde::{Deserialize, Serialize};

use super::figures::{PageFigure, figures};
use super::state::Asked;
use super::trouble::Trouble;
use crate::report::chart::{differences_svg, overlay_svg};
use crate::report::{Run, comparison_html};
use crate::scenario::Companions;
use crate::study::{Comparison, Contender, compare_files, default_threads};

/// What is compared.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Compared {
    asked: Asked,
    /// Against which variant of the file instead of the pinned state; empty for the file as written.
    #[serde(default)]
    variant: Option<String>,
    width: u32,
}

/// What came of it.
#[derive(Clone, Debug, Serialize)]
pub(super) struct Sides {
    /// What both are called, the one to compare with first.
    pub(super) names: [String; 2],
    pub(super) before: Vec<PageFigure>,
    pub(super) after: Vec<PageFigure>,
    /// Both on one axis.
    pub(super) overlay: String,
    /// What differs, as bars.
    pub(super) differences: String,
}

impl Compared {
    /// The present state against its pin.
    pub(super) const fn with_pin(asked: Asked, width: u32) -> Self {
        Self { asked, variant: None, width }
    }
}

/// Both sides with their charts.
pub(super) fn sides(compared: &Compared, companions: &Companions) -> Result<Sides, Trouble> {
    let comparison = comparison(compared, companions)?;
    let (base, other) = (&comparison.base, comparison.variants.first());
    let other = other.ok_or_else(|| Trouble::form("nothing was compared"))?;
    Ok(Sides {
        names: [base.spoken(), other.spoken()],
        before: figures(&Run::of(base)),
        after: figures(&Run::of(other)),
        overlay: overlay_svg(&comparison, compared.width).map_err(Trouble::form)?,
        differences: differences_svg(&comparison, compared.width).map_err(Trouble::form)?,
    })
}

/// The comparison as a page to be kept.
pub(super) fn page(compared: &Compared, companions: &Companions) -> Result<String, Trouble> {
    comparison_html(&comparison(compared, companions)?).map_err(Trouble::form)
}

fn comparison(compared: &Compared, companions: &Companions) -> Result<Comparison, Trouble> {
    let (_, present) = compared.asked.study(companions)?;
    let other = match &compared.variant {
        Some(variant) => Some((compared.asked.variant_as_written(variant), variant.as_str())),
        None => compared.asked.pinned().map(|pinned| (pinned, "pinned")),
    };
    let (other, name) = other.ok_or_else(|| Trouble::bad("nothing is pinned to compare with"))?;
    let name = if name.is_empty() { "as written" } else { name };
    let (_, base) = other.study(companions)?;
    let base = (name.to_owned(), base.base);
    let present = vec![("present".to_owned(), Ok(present.base))];
    let comparison = compare_files(base, present, default_threads());
    for contender in comparison.all() {
        let Contender { finished, model, .. } = contender;
        Trouble::of_halt(finished.halt, model)?;
    }
    Ok(comparison)
}
