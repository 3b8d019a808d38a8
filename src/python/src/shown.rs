//! Charts and pages, which notebooks show.

use std::fs;
use std::path::PathBuf;

use pyo3::prelude::*;

/// A chart as SVG; a notebook shows it.
#[pyclass(frozen, module = "setband")]
#[derive(Debug)]
pub(crate) struct Chart {
    /// The SVG.
    #[pyo3(get)]
    svg: String,
}

impl Chart {
    pub(crate) const fn new(svg: String) -> Self {
        Self { svg }
    }
}

#[pymethods]
impl Chart {
    /// Writes it to a file.
    fn save(&self, path: PathBuf) -> PyResult<()> {
        Ok(fs::write(path, &self.svg)?)
    }

    fn _repr_svg_(&self) -> &str {
        &self.svg
    }

    fn __repr__(&self) -> String {
        format!("<setband.Chart of {} bytes>", self.svg.len())
    }
}

/// A page of HTML that needs no other file; a notebook shows it in a frame.
#[pyclass(frozen, module = "setband")]
#[derive(Debug)]
pub(crate) struct Page {
    /// The HTML.
    #[pyo3(get)]
    html: String,
}

impl Page {
    pub(crate) const fn new(html: String) -> Self {
        Self { html }
    }
}

#[pymethods]
impl Page {
    /// Writes it to a file.
    fn save(&self, path: PathBuf) -> PyResult<()> {
        Ok(fs::write(path, &self.html)?)
    }

    /// A frame keeps the page's styles and scripts to itself.
    fn _repr_html_(&self) -> String {
        let escaped = self.html.replace('&', "&amp;").replace('"', "&quot;");
        format!(
            "<iframe srcdoc=\"{escaped}\" style=\"width:100%;height:40rem;border:1px solid #999\" \
             title=\"setband report\"></iframe>"
        )
    }

    fn __repr__(&self) -> String {
        format!("<setband.Page of {} bytes>", self.html.len())
    }
}
