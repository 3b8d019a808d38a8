//! Where a value stands in the structure of the file: `zones.hall.controls.heat`,
//! `actions[2].at`, items from 0.

use std::fmt;

/// One step of a path.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum PathStep<'p> {
    /// Into a block.
    Key(&'p str),
    /// Into a list.
    Item(usize),
    /// `*`: into everything that stands there under a name or in a list.
    Every,
}

/// The steps of a path as it is written. A part that is no name is a key all the same: of one that
/// nothing has.
#[derive(Clone, Debug)]
pub(super) struct PathSteps<'p> {
    rest: Option<&'p str>,
}

impl<'p> PathSteps<'p> {
    pub(super) const fn of(path: &'p str) -> Self {
        Self { rest: Some(path) }
    }

    /// What is not walked yet, as written.
    pub(super) const fn rest(&self) -> &'p str {
        match self.rest {
            Some(rest) => rest,
            None => "",
        }
    }
}

impl<'p> Iterator for PathSteps<'p> {
    type Item = PathStep<'p>;

    fn next(&mut self) -> Option<PathStep<'p>> {
        let rest = self.rest?;
        let item = rest.strip_prefix('[').and_then(|inner| inner.split_once(']'));
        let item = item.and_then(|(number, after)| Some((number.parse().ok()?, after)));
        let (step, after) = if let Some((number, after)) = item {
            (PathStep::Item(number), after)
        } else {
            let ends = |&(at, letter): &(usize, char)| letter == '.' || (letter == '[' && at > 0);
            let end = rest.char_indices().find(ends).map_or(rest.len(), |(at, _)| at);
            let (key, after) = rest.split_at(end);
            (if key == "*" { PathStep::Every } else { PathStep::Key(key) }, after)
        };
        self.rest = match after {
            "" => None,
            after => Some(after.strip_prefix('.').unwrap_or(after)),
        };
        Some(step)
    }
}

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
            Part::Key(name) if above.is_some() => write!(f, ".{}", super::shown::shortened(name)),
            Part::Key(name) => f.write_str(&super::shown::shortened(name)),
            Part::Item(place) => write!(f, "[{place}]"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{Path, PathStep, PathSteps};

    #[test]
    fn a_written_path_has_steps() {
        let steps = |path| PathSteps::of(path).collect::<Vec<_>>();
        assert_eq!(
            steps("zones.*.controllers[1].keys"),
            [
                PathStep::Key("zones"),
                PathStep::Every,
                PathStep::Key("controllers"),
                PathStep::Item(1),
                PathStep::Key("keys"),
            ]
        );
        assert_eq!(steps(""), [PathStep::Key("")]);
        assert_eq!(steps("a..b"), [PathStep::Key("a"), PathStep::Key(""), PathStep::Key("b")]);
        assert_eq!(steps("a."), [PathStep::Key("a"), PathStep::Key("")]);
        assert_eq!(steps("a[x].b"), [PathStep::Key("a"), PathStep::Key("[x]"), PathStep::Key("b")]);
    }

    #[test]
    fn paths_read_like_a_way_into_the_file() {
        let (actions, zones) = (Path::ROOT.key("actions"), Path::ROOT.key("zones"));
        let (action, zone) = (actions.item(2), zones.key("hall"));
        assert_eq!(action.key("at").to_string(), "actions[2].at");
        assert_eq!(zone.key("space").to_string(), "zones.hall.space");
        assert_eq!(Path::ROOT.to_string(), "");
    }
}
