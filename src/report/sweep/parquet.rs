//! `cases.parquet`: the rows of `cases.csv`, by column. A path all of whose values are bare numbers
//! is a column of numbers, any other one of text.

use std::sync::Arc;

use parquet::basic::{Compression, ConvertedType, Repetition, Type as Physical};
use parquet::data_type::{ByteArray, ByteArrayType, DataType, DoubleType, Int64Type};
use parquet::errors::ParquetError;
use parquet::file::properties::WriterProperties;
use parquet::file::writer::{SerializedFileWriter, SerializedRowGroupWriter};
use parquet::schema::types::{Type, TypePtr};

use crate::measures::FIGURES;
use crate::study::sweep::{Axis, CaseOutcome, Results, Values};
use crate::units::parse_number;

/// Rows that are written together.
const ROWS_OF_GROUP: usize = 65_536;

/// The cases that are done, in their order.
///
/// # Errors
/// Whatever the encoder refuses; the columns give it no reason to.
pub fn cases_parquet(results: &Results) -> Result<Vec<u8>, ParquetError> {
    let rows: Vec<usize> =
        (0..results.plan.cases()).filter(|case| results.outcome(*case).is_some()).collect();
    let table = Table::new(results);
    let properties = WriterProperties::builder()
        .set_compression(Compression::SNAPPY)
        .set_created_by(concat!("setband ", env!("CARGO_PKG_VERSION")).to_owned());
    let properties = Arc::new(properties.build());
    let mut writer = SerializedFileWriter::new(Vec::new(), table.schema()?, properties)?;
    for chunk in rows.chunks(ROWS_OF_GROUP) {
        let mut group = writer.next_row_group()?;
        table.write(&mut group, chunk)?;
        group.close()?;
    }
    writer.into_inner()
}

struct Table<'a> {
    results: &'a Results,
    varied: Vec<Vec<String>>,
    /// Whether each path has numbers alone.
    numeric: Vec<bool>,
}

impl<'a> Table<'a> {
    fn new(results: &'a Results) -> Self {
        let plan = &results.plan;
        let varied = (0..plan.draws).map(|draw| plan.varied_values(draw)).collect();
        let numeric = plan.axes.iter().chain(&plan.varied).map(is_numeric).collect();
        Self { results, varied, numeric }
    }

    fn schema(&self) -> Result<TypePtr, ParquetError> {
        let plan = &self.results.plan;
        let mut fields = vec![
            column("case", Physical::INT64, Repetition::REQUIRED)?,
            column("draw", Physical::INT64, Repetition::REQUIRED)?,
            text("seed", Repetition::REQUIRED)?,
        ];
        for (axis, numeric) in plan.axes.iter().chain(&plan.varied).zip(&self.numeric) {
            fields.push(if *numeric {
                column(&axis.path, Physical::DOUBLE, Repetition::REQUIRED)?
            } else {
                text(&axis.path, Repetition::REQUIRED)?
            });
        }
        for figure in FIGURES {
            fields.push(column(figure.key, Physical::DOUBLE, Repetition::OPTIONAL)?);
        }
        fields.push(text("fault", Repetition::OPTIONAL)?);
        Ok(Arc::new(Type::group_type_builder("cases").with_fields(fields).build()?))
    }

    fn write(
        &self,
        group: &mut SerializedRowGroupWriter<'_, Vec<u8>>,
        rows: &[usize],
    ) -> Result<(), ParquetError> {
        let plan = &self.results.plan;
        let count = |number: usize| i64::try_from(number).unwrap_or(i64::MAX);
        let split = |case: &usize| plan.split(*case);
        required::<Int64Type>(group, &rows.iter().map(|case| count(*case)).collect::<Vec<_>>())?;
        required::<Int64Type>(
            group,
            &rows.iter().map(|case| count(split(case).1)).collect::<Vec<_>>(),
        )?;
        let seed = |case: &usize| bytes(&plan.seed_of(split(case).1).to_string());
        required::<ByteArrayType>(group, &rows.iter().map(seed).collect::<Vec<_>>())?;
        for (place, numeric) in self.numeric.iter().enumerate() {
            let value = |case: &usize| self.value(place, split(case));
            if *numeric {
                let number = |case: &usize| parse_number(value(case)).unwrap_or(f64::NAN);
                required::<DoubleType>(group, &rows.iter().map(number).collect::<Vec<_>>())?;
            } else {
                let text = |case: &usize| bytes(value(case));
                required::<ByteArrayType>(group, &rows.iter().map(text).collect::<Vec<_>>())?;
            }
        }
        for place in 0..FIGURES.len() {
            let figure = |case: &usize| self.results.outcome(*case)?.figure(place);
            optional::<DoubleType>(group, rows.iter().map(figure).collect())?;
        }
        let fault = |case: &usize| match self.results.outcome(*case) {
            Some(CaseOutcome::Unfit(why)) => Some(bytes(why)),
            _ => None,
        };
        optional::<ByteArrayType>(group, rows.iter().map(fault).collect())
    }

    fn value(&self, place: usize, (setting, draw): (usize, usize)) -> &str {
        let axes = self.results.plan.axes.len();
        if place < axes {
            &self.results.settings[setting][place]
        } else {
            &self.varied[draw][place - axes]
        }
    }
}

fn is_numeric(axis: &Axis) -> bool {
    match &axis.values {
        Values::List(all) | Values::Rows(all) => {
            all.iter().all(|text| parse_number(text).is_some())
        }
        Values::Range { unit, .. } | Values::Normal { unit, .. } => unit.is_empty(),
    }
}

fn column(name: &str, of: Physical, repetition: Repetition) -> Result<TypePtr, ParquetError> {
    Ok(Arc::new(Type::primitive_type_builder(name, of).with_repetition(repetition).build()?))
}

fn text(name: &str, repetition: Repetition) -> Result<TypePtr, ParquetError> {
    let builder = Type::primitive_type_builder(name, Physical::BYTE_ARRAY);
    let builder = builder.with_repetition(repetition).with_converted_type(ConvertedType::UTF8);
    Ok(Arc::new(builder.build()?))
}

fn bytes(text: &str) -> ByteArray {
    ByteArray::from(text)
}

fn required<T: DataType>(
    group: &mut SerializedRowGroupWriter<'_, Vec<u8>>,
    values: &[T::T],
) -> Result<(), ParquetError> {
    write::<T>(group, values, None)
}

fn optional<T: DataType>(
    group: &mut SerializedRowGroupWriter<'_, Vec<u8>>,
    values: Vec<Option<T::T>>,
) -> Result<(), ParquetError> {
    let levels: Vec<i16> = values.iter().map(|value| i16::from(value.is_some())).collect();
    let values: Vec<T::T> = values.into_iter().flatten().collect();
    write::<T>(group, &values, Some(&levels))
}

fn write<T: DataType>(
    group: &mut SerializedRowGroupWriter<'_, Vec<u8>>,
    values: &[T::T],
    levels: Option<&[i16]>,
) -> Result<(), ParquetError> {
    let next = group.next_column()?;
    let mut column = next.ok_or_else(|| ParquetError::General("a column too many".into()))?;
    column.typed::<T>().write_batch(values, levels, None)?;
    column.close()
}
