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
mod handover;
mod headline;
mod highlights;
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

pub use audit::{Audited, audit_html, audit_json, audit_text};
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
pub use fit::{Fitted, fit_html, fit_json, fit_text, why_not};
pub use handover::{Told, for_people, handover_page};
pub use headline::headline;
pub use html::{PageFault, ReadOut, comparison_html, run_html};
pub use infer::{infer_answer, infer_json, infer_text, table_faults};
pub use json::summary_json;
pub use log::{Logged, Surveyed, log_csv, log_json, log_text, survey_json, survey_text};
pub use owners::{owners_json, owners_text};
#[cfg(feature = "cli")]
pub use parquet::StepsParquet;
pub use reach::{Reached, reach_json, reach_text};
pub use reference::{
    REFERENCE_CSS, reference_index, reference_json, reference_page, reference_text,
};
pub use register::{
    REGISTER_COLUMNS, Registered, register_csv, register_json, register_page, register_text,
};
pub use render::text::Style;
pub use replay::{Beside, BesideRow, Replayed, replay_html, replay_json, replay_text};
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
pub use sheet::{COLUMNS, SheetPlan, Sheeted, sheet_csv, sheet_json, sheet_page, sheet_text};
#[cfg(feature = "cli")]
pub use sweep::cases_parquet;
pub use sweep::{cases_csv, sweep_answer, sweep_json, sweep_text};
pub use terminal::run_text;
pub use weather::{Climate, weather_json, weather_text};
pub use why::{AnswerFrom, Explained, why_json, why_text};
#[cfg(feature = "cli")]
pub use workbook::{WorkbookFault, comparison_workbook, run_workbook};
pub use worst::{Worst, ZoneWorst, worst_cautions, worst_json, worst_sentences, worst_text};
