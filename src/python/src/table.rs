//! Columns in Arrow's memory layout, handed over without a copy by the `PyCapsule` interface.

use std::sync::Arc;

use arrow_array::ffi_stream::FFI_ArrowArrayStream;
use arrow_array::{ArrayRef, RecordBatch, RecordBatchIterator, TimestampMillisecondArray};
use arrow_schema::ffi::FFI_ArrowSchema;
use pyo3::prelude::*;
use pyo3::types::{PyCapsule, PyDict};

use crate::error;

/// Columns in Arrow's memory layout.
#[pyclass(frozen, module = "setband")]
#[derive(Debug)]
pub(crate) struct Table {
    batch: RecordBatch,
}

impl Table {
    /// A table of named columns of the same length.
    pub(crate) fn new(columns: Vec<(String, ArrayRef, bool)>) -> PyResult<Self> {
        let batch = RecordBatch::try_from_iter_with_nullable(columns);
        Ok(Self { batch: batch.map_err(|fault| error::run_error(&fault))? })
    }
}

#[pymethods]
impl Table {
    /// The names of the columns.
    #[getter]
    fn column_names(&self) -> Vec<String> {
        self.batch.schema().fields().iter().map(|field| field.name().clone()).collect()
    }

    /// How many rows.
    #[getter]
    fn num_rows(&self) -> usize {
        self.batch.num_rows()
    }

    fn __len__(&self) -> usize {
        self.batch.num_rows()
    }

    /// The table as a stream of Arrow's C interface.
    #[pyo3(signature = (requested_schema=None))]
    fn __arrow_c_stream__<'py>(
        &self,
        py: Python<'py>,
        requested_schema: Option<Bound<'py, PyAny>>,
    ) -> PyResult<Bound<'py, PyCapsule>> {
        // Another schema is a wish, which the interface lets a producer pass over.
        drop(requested_schema);
        let batches = vec![Ok(self.batch.clone())];
        let reader = RecordBatchIterator::new(batches, self.batch.schema());
        let stream = FFI_ArrowArrayStream::new(Box::new(reader));
        PyCapsule::new_with_value(py, stream, c"arrow_array_stream")
    }

    /// The schema by Arrow's C interface.
    fn __arrow_c_schema__<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyCapsule>> {
        let schema = FFI_ArrowSchema::try_from(self.batch.schema().as_ref())
            .map_err(|fault| error::run_error(&fault))?;
        PyCapsule::new_with_value(py, schema, c"arrow_schema")
    }

    /// The same as a `pyarrow.Table`, without a copy.
    fn to_pyarrow<'py>(slf: &Bound<'py, Self>) -> PyResult<Bound<'py, PyAny>> {
        slf.py().import("pyarrow")?.call_method1("table", (slf,))
    }

    /// The same as a `pandas.DataFrame`: with pandas' own columns, or, with `arrow=True`, with columns that
    /// stay in Arrow's layout, without a copy.
    #[pyo3(signature = (*, arrow=false))]
    fn to_pandas<'py>(slf: &Bound<'py, Self>, arrow: bool) -> PyResult<Bound<'py, PyAny>> {
        let options = PyDict::new(slf.py());
        if arrow {
            let of_arrow = slf.py().import("pandas")?.getattr("ArrowDtype")?;
            options.set_item("types_mapper", of_arrow)?;
        }
        Self::to_pyarrow(slf)?.call_method("to_pandas", (), Some(&options))
    }

    /// The same as a `polars.DataFrame`, without a copy.
    fn to_polars<'py>(slf: &Bound<'py, Self>) -> PyResult<Bound<'py, PyAny>> {
        slf.py().import("polars")?.call_method1("DataFrame", (slf,))
    }

    fn __repr__(&self) -> String {
        let names = self.column_names().join(", ");
        format!("<setband.Table of {} rows: {names}>", self.batch.num_rows())
    }
}

/// Times from seconds since 1970, local standard time.
pub(crate) fn stamps(seconds: impl Iterator<Item = i64>) -> TimestampMillisecondArray {
    TimestampMillisecondArray::from_iter_values(seconds.map(|it| it * 1000))
}

/// A column that is never empty.
pub(crate) fn column(
    name: &str,
    values: impl arrow_array::Array + 'static,
) -> (String, ArrayRef, bool) {
    (name.to_owned(), Arc::new(values), false)
}

/// A column with places that may be empty.
pub(crate) fn sparse(
    name: &str,
    values: impl arrow_array::Array + 'static,
) -> (String, ArrayRef, bool) {
    (name.to_owned(), Arc::new(values), true)
}
