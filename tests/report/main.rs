//! What people are shown: charts, texts, workbooks, records of settings, the command line.

mod charts_whole;
mod cli;
mod compare_charts;
mod held;
mod memory;
mod program;
mod promises;
mod report_chart;
mod report_fake;
mod report_text;
mod rows;
mod settings_record;
mod workbook;
