//! Where a value stands in the structure of the file: `zones.hall.controls.heat`,
//! `actions[2].at`, items from 0.

use std::fmt;

/// One step of a path.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Step<'p> {
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
pub(super) struct Steps<'p> {
    rest: Option<&'p str>,
}

impl<'p> Steps<'p> {
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

impl<'p> Iterator for Steps<'p> {
    type Item = Step<'p>;

    fn next(&mut self) -> Option<Step<'p>> {
        let rest = self.rest?;
        let item = rest.strip_prefix('[').and_then(|inner| inner.split_once(']'));
        let item = item.and_then(|(number, after)| Some((number.parse().ok()?, after)));
        let (step, after) = if let Some((number, after)) = item {
            (Step::Item(number), after)
        } else {
            let ends = |&(at, letter): &(usize, char)| letter == '.' || (letter == '[' && at > 0);
            let end = rest.char_indices().find(ends).map_or(rest.len(), |(at, _)| at);
            let (key, after) = rest.split_at(end);
            (if key == "*" { Step::Every } else { Step::Key(key) }, after)
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
    use super::{Path, Step, Steps};

    #[test]
    fn a_written_path_has_steps() {
        let steps = |path| Steps::of(path).collect::<Vec<_>>();
        assert_eq!(
            steps("zones.*.controllers[1].keys"),
            [
                Step::Key("zones"),
                Step::Every,
                Step::Key("controllers"),
                Step::Item(1),
                Step::Key("keys"),
            ]
        );
        assert_eq!(steps(""), [Step::Key("")]);
        assert_eq!(steps("a..b"), [Step::Key("a"), Step::Key(""), Step::Key("b")]);
        assert_eq!(steps("a."), [Step::Key("a"), Step::Key("")]);
        assert_eq!(steps("a[x].b"), [Step::Key("a"), Step::Key("[x]"), Step::Key("b")]);
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
