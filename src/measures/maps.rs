//! Pairs of ids and figures as maps in JSON, in their order.

use serde::{Serialize, Serializer};

pub(super) fn as_map<T: Serialize, S: Serializer>(
    all: &[(String, T)],
    to: S,
) -> Result<S::Ok, S::Error> {
    to.collect_map(all.iter().map(|(id, figures)| (id, figures)))
}
