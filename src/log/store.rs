//! Readings of points on their way from rows to series.

use std::sync::Arc;

use super::clock::LogTime;
use super::mapping::Running;
use super::points::{Cell, Kind};
use super::series::{Axis, Held, Series};
use crate::control::{Mode, Power};

/// Readings of one point as they come.
#[derive(Clone, Debug)]
pub(super) enum Store {
    Numbers(Vec<f64>),
    Modes(Vec<Option<Mode>>),
    Powers(Vec<Option<Power>>),
    Runs(Vec<Option<Running>>),
    Presence(Vec<Option<bool>>),
    Words(Vec<Option<String>>),
}

impl Store {
    pub(super) fn of(kind: &Kind<'_>) -> Self {
        match kind {
            Kind::Temperature | Kind::Number => Self::Numbers(Vec::new()),
            Kind::Mode(_) => Self::Modes(Vec::new()),
            Kind::Power(_) => Self::Powers(Vec::new()),
            Kind::Running(_) => Self::Runs(Vec::new()),
            Kind::Occupied(_) => Self::Presence(Vec::new()),
            Kind::Words => Self::Words(Vec::new()),
        }
    }

    /// Adds a cell of the point's own kind, or nothing.
    pub(super) fn push(&mut self, cell: Cell) {
        match self {
            Self::Numbers(all) => all.push(if let Cell::Number(it) = cell { it } else { f64::NAN }),
            Self::Modes(all) => all.push(if let Cell::Mode(it) = cell { Some(it) } else { None }),
            Self::Powers(all) => all.push(if let Cell::Power(it) = cell { Some(it) } else { None }),
            Self::Runs(all) => all.push(if let Cell::Running(it) = cell { Some(it) } else { None }),
            Self::Presence(all) => {
                all.push(if let Cell::Occupied(it) = cell { Some(it) } else { None });
            }
            Self::Words(all) => all.push(if let Cell::Words(it) = cell { Some(it) } else { None }),
        }
    }

    fn numbers(self) -> Option<Vec<f64>> {
        if let Self::Numbers(all) = self { Some(all) } else { None }
    }

    pub(super) fn modes(self) -> Option<Vec<Option<Mode>>> {
        if let Self::Modes(all) = self { Some(all) } else { None }
    }

    pub(super) fn powers(self) -> Option<Vec<Option<Power>>> {
        if let Self::Powers(all) = self { Some(all) } else { None }
    }

    pub(super) fn runs(self) -> Option<Vec<Option<Running>>> {
        if let Self::Runs(all) = self { Some(all) } else { None }
    }

    pub(super) fn presence(self) -> Option<Vec<Option<bool>>> {
        if let Self::Presence(all) = self { Some(all) } else { None }
    }

    fn texts(self) -> Option<Vec<Option<String>>> {
        if let Self::Words(all) = self { Some(all) } else { None }
    }
}

/// The points of a log, taken in the order in which they are listed.
pub(super) struct Taken {
    stores: std::vec::IntoIter<(Option<Store>, Arc<Axis>)>,
}

impl Taken {
    pub(super) fn new(stores: Vec<(Option<Store>, Arc<Axis>)>) -> Self {
        Self { stores: stores.into_iter() }
    }

    /// The next point, where it is mapped and of this kind.
    fn next<T>(&mut self, values: impl Fn(Store) -> Option<T>) -> Option<(Arc<Axis>, T)> {
        let (store, axis) = self.stores.next()?;
        Some((axis, values(store?)?))
    }

    /// The next point as numbers.
    pub(super) fn series(&mut self) -> Option<Series> {
        self.next(Store::numbers).map(|(axis, values)| Series::new(axis, values))
    }

    /// The next point as what holds until the next row.
    pub(super) fn held<T: Copy + PartialEq>(
        &mut self,
        values: impl Fn(Store) -> Option<Vec<Option<T>>>,
    ) -> Option<Held<T>> {
        self.next(values).map(|(axis, values)| Held::new(axis, values))
    }

    /// The next point as words, each with its time and line.
    pub(super) fn words(&mut self) -> Vec<(LogTime, u32, String)> {
        let Some((axis, values)) = self.next(Store::texts) else { return Vec::new() };
        let rows = axis.at.iter().zip(&axis.line).zip(values);
        rows.filter_map(|((at, line), words)| Some((*at, *line, words?))).collect()
    }
}
