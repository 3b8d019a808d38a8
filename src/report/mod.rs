//! From results to bytes and text: CSV, JSON, terminal text and charts.
//!
//! Everything here returns strings or bytes, or writes rows to a writer that the caller gives;
//! nothing opens a file or prints.
//!
//! ```
//! use setband::{Scenario, report};
//!
//! let scenario = Scenario::parse(
//!     "period: {from: 2025-04-16}
//! weather: {design_day: {high: 18, range: 11}}
//! zones:
//!   hall: {space: {floor: 60 m2}, unit: {heating: 4 kW, cooling: 4 kW}, controls: {heat: 20, cool: 24}}
//! ",
//! )?;
//! let run = scenario.run()?;
//! let csv = report::ledger_csv(run.model(), run.as_run().ledger)?;
//! assert!(csv.starts_with(b"time,zone,controller,by,role,request,outcome"));
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
#[cfg(feature = "pages")]
pub mod chart;

mod audit;
mod cautions;
mod compare;
mod content;
mod csv;
mod defaults;
mod events;
mod explanation;
mod fares;
mod figures;
mod findings;
mod fit;
#[cfg(feature = "pages")]
mod handover;
mod headline;
mod highlights;
#[cfg(feature = "pages")]
mod html;
mod infer;
mod json;
mod log;
mod owners;
#[cfg(feature = "cli")]
mod parquet;
mod reach;
mod reference;
mod register;
mod render;
mod replay;
mod review;
mod run;
mod seasons;
mod settings;
mod settings_table;
mod sheet;
mod sweep;
mod terminal;
mod weather;
mod why;
#[cfg(feature = "cli")]
mod workbook;
mod worst;

#[cfg(feature = "pages")]
pub use audit::audit_html;
pub use audit::{Audited, audit_json, audit_text};
pub use cautions::cautions;
pub use compare::{comparison_csv, comparison_json, comparison_text, knee_sentence};
pub use content::Tone;
pub use csv::{StepsWriter, ledger_csv, steps_csv};
pub use defaults::{defaults_json, defaults_text};
pub use events::{reason_words, request_in_full, request_in_short, request_words};
pub use explanation::{explanation_json, explanation_text};
pub use fares::{Fares, worst_answer, worst_first};
#[cfg(feature = "cli")]
pub(crate) use figures::{one_digit, three_figures, times, unit_sign};
pub use findings::{findings_json, findings_text};
#[cfg(feature = "pages")]
pub use fit::fit_html;
pub use fit::{Fitted, fit_json, fit_text, why_not};
#[cfg(feature = "pages")]
pub use handover::{Told, for_people, handover_page};
pub use headline::headline;
#[cfg(feature = "pages")]
pub use html::{PageFault, ReadOut, comparison_html, run_html, run_html_with};
pub use infer::{infer_answer, infer_json, infer_text, table_faults};
pub use json::summary_json;
pub use log::{Logged, Surveyed, log_csv, log_json, log_text, survey_json, survey_text};
pub use owners::{owners_json, owners_text};
#[cfg(feature = "cli")]
pub use parquet::StepsParquet;
pub use reach::{Reached, reach_json, reach_text};
#[cfg(feature = "pages")]
pub use reference::{REFERENCE_CSS, reference_page};
pub use reference::{reference_index, reference_json, reference_text};
#[cfg(feature = "pages")]
pub use register::register_page;
pub use register::{REGISTER_COLUMNS, Registered, register_csv, register_json, register_text};
pub use render::text::Style;
#[cfg(feature = "pages")]
pub use replay::replay_html;
pub use replay::{Beside, BesideRow, Replayed, replay_json, replay_text};
pub use review::{review_answer, review_json, review_text, review_value};
pub use run::Run;
pub use seasons::{lock_calendar_csv, month_zones_csv, months_csv, mornings_csv};
pub use settings::{Setting, SettingsBlock, assumptions, settings_record};
#[cfg(feature = "cli")]
pub use settings_table::settings_workbook;
pub use settings_table::{
    SHEETS, cell_faults, changes_json, changes_text, differences_json, differences_text,
    settings_csv, settings_json,
};
#[cfg(feature = "pages")]
pub use sheet::sheet_page;
pub use sheet::{COLUMNS, SheetPlan, Sheeted, sheet_csv, sheet_json, sheet_text};
#[cfg(feature = "cli")]
pub use sweep::cases_parquet;
pub use sweep::{cases_csv, sweep_answer, sweep_json, sweep_text};
pub use terminal::run_text;
pub use weather::{Climate, weather_json, weather_text};
pub use why::{AnswerFrom, Explained, why_json, why_text};
#[cfg(feature = "cli")]
pub use workbook::{WorkbookFault, comparison_workbook, run_workbook};
pub use worst::{Worst, ZoneWorst, worst_cautions, worst_json, worst_sentences, worst_text};
