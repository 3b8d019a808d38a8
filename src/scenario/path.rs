//! Where a value stands in the structure of the file.

use std::fmt;

/// A way into the file, kept on the stack of the reader and written out only for a fault.
#[derive(Clone, Copy, Debug)]
pub(super) struct Path<'a> {
    parent: Option<&'a Path<'a>>,
    part: Part<'a>,
}

#[derive(Clone, Copy, Debug)]
enum Part<'a> {
    Root,
    Key(&'a str),
    Item(usize),
}

impl<'a> Path<'a> {
    pub(super) const ROOT: Path<'static> = Path { parent: None, part: Part::Root };

    pub(super) const fn key(&'a self, name: &'a str) -> Self {
        Self { parent: Some(self), part: Part::Key(name) }
    }

    pub(super) const fn item(&'a self, place: usize) -> Self {
        Self { parent: Some(self), part: Part::Item(place) }
    }
}

impl fmt::Display for Path<'_> {
    /// `zones.hall.controls.heat`, `actions[2].at`, items from 0.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let above = self.parent.filter(|parent| !matches!(parent.part, Part::Root));
        if let Some(parent) = above {
            parent.fmt(f)?;
        }
        match self.part {
            Part::Root => Ok(()),
            Part::Key(name) if above.is_some() => write!(f, ".{}", super::tree::shortened(name)),
            Part::Key(name) => f.write_str(&super::tree::shortened(name)),
            Part::Item(place) => write!(f, "[{place}]"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Path;

    #[test]
    fn paths_read_like_a_way_into_the_file() {
        let (actions, zones) = (Path::ROOT.key("actions"), Path::ROOT.key("zones"));
        let (action, zone) = (actions.item(2), zones.key("hall"));
        assert_eq!(action.key("at").to_string(), "actions[2].at");
        assert_eq!(zone.key("space").to_string(), "zones.hall.space");
        assert_eq!(Path::ROOT.to_string(), "");
    }
}
