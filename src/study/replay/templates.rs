//! The file and its variants, ready for draws of what was fitted.

use super::Days;
use crate::engine::Model;
use crate::scenario::{Override, Rejected, Template};
use crate::study::fit::draws::Draws;

/// So many draws of what was fitted are taken where nobody says.
pub const USUAL_DRAWS: usize = 100;

/// The file and its variants, ready for other values.
#[derive(Debug)]
pub struct Templates {
    /// The file as written.
    pub logged: Template,
    /// What is held against it, by name.
    pub variants: Vec<(String, Template)>,
}

impl Templates {
    /// The file with those of its variants that are wanted: the ones that are named, or all. Where
    /// the requests of another log are followed (`of_other`), which is another question than variants,
    /// none but those that are named.
    ///
    /// # Errors
    /// Those of `template`, which reads a variant.
    pub fn new<'n, E>(
        logged: Template,
        variants: impl Iterator<Item = &'n str>,
        named: &[impl AsRef<str>],
        of_other: bool,
        template: impl Fn(&str) -> Result<Template, E>,
    ) -> Result<Self, E> {
        let all = named.is_empty() && !of_other;
        let is_wanted = |name: &&str| all || named.iter().any(|it| it.as_ref() == *name);
        let read = |name: &str| Ok((name.to_owned(), template(name)?));
        let variants = variants.filter(is_wanted).map(read).collect::<Result<_, E>>()?;
        Ok(Self { logged, variants })
    }

    /// The days with these changes, each but where a variant sets its path itself.
    ///
    /// # Errors
    /// See [`Template::model`].
    pub fn days(&self, changes: &[Override]) -> Result<Days, Rejected> {
        let model = |template: &Template| -> Result<Model, Rejected> {
            let own: Vec<Override> = changes
                .iter()
                .filter(|change| !template.is_set_by_variant(change.path()))
                .cloned()
                .collect();
            template.model(&own)
        };
        let variant = |(name, template): &(String, Template)| Ok((name.clone(), model(template)?));
        Ok(Days {
            logged: model(&self.logged)?,
            variants: self.variants.iter().map(variant).collect::<Result<_, Rejected>>()?,
        })
    }

    /// The days of a draw; `changes` are made in all of them and go before it.
    ///
    /// # Errors
    /// Why the draw does not fit the file, in words.
    pub fn drawn(
        &self,
        draws: &Draws,
        number: usize,
        changes: &[Override],
    ) -> Result<Days, String> {
        let mut all = draws.changes(number)?;
        all.extend_from_slice(changes);
        self.days(&all).map_err(|rejected| rejected.to_string())
    }
}
