//! Claims about what is stored, as people type them: `cool - heat >= 3`.
//!
//! ```text
//! claim      = part { "or" part }
//! part       = piece { "and" piece }
//! piece      = "not" piece | comparison | "(" claim ")"
//! comparison = sum ( ">=" | "<=" | ">" | "<" | "=" | "!=" ) sum
//!            | "mode" ( "=" | "!=" ) ( "heat" | "cool" | "auto" | "dry" | "fan" )
//!            | "power" ( "=" | "!=" ) ( "on" | "off" )
//! sum        = term { ( "+" | "-" ) term }
//! term       = number | "-" term | "heat" | "cool" | "(" sum ")"
//! ```
//! `heat` and `cool` are the stored setpoints, numbers are in the unit of the file. `==` is `=`.

use std::fmt;

use super::modes::{Mode, Power};
use super::ranges::Side;
use super::request::Stored;
use super::ticks::Grid;

/// Comparisons forgive this much for rounding, degrees.
const ROUNDING: f64 = 1e-9;
/// Longer claims are refused.
const LONGEST: usize = 1000;
/// Deeper brackets are refused.
const DEEPEST: usize = 40;

/// A claim that can be held against a state.
#[derive(Clone, Debug, PartialEq)]
pub struct Claim {
    text: String,
    tree: Tree,
}

/// Why a text is no claim.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ClaimFault {
    /// Where, in characters from 1.
    pub column: usize,
    /// What is wanted there.
    pub wanted: &'static str,
}

impl fmt::Display for ClaimFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "at character {}: {} is wanted", self.column, self.wanted)
    }
}

#[derive(Clone, Debug, PartialEq)]
enum Tree {
    Either(Box<Tree>, Box<Tree>),
    Both(Box<Tree>, Box<Tree>),
    Not(Box<Tree>),
    Compare(Sum, Relation, Sum),
    Mode(Mode),
    Power(Power),
}

/// A sum as what it is made of: so many times heat, so many times cool, and a number.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Sum {
    heat: f64,
    cool: f64,
    number: f64,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Relation {
    AtLeast,
    AtMost,
    Above,
    Below,
    Equal,
    Other,
}

impl Claim {
    /// Reads a claim.
    ///
    /// # Errors
    /// Says where the text stops making sense, and what is wanted there.
    pub fn parse(text: &str) -> Result<Self, ClaimFault> {
        if text.len() > LONGEST {
            return Err(ClaimFault { column: LONGEST, wanted: "the end (claims are short)" });
        }
        let mut reader = Reader { tokens: tokens(text)?, at: 0, depth: 0 };
        let tree = reader.claim()?;
        reader.end()?;
        Ok(Self { text: text.trim().to_owned(), tree })
    }

    /// The claim as it was typed.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// Whether it holds in a state.
    pub fn holds(&self, grid: Grid, stored: &Stored) -> bool {
        let pair = &stored.setpoints;
        let values = [grid.value(pair.get(Side::Heat)), grid.value(pair.get(Side::Cool))];
        self.tree.holds(values, stored)
    }
}

impl Tree {
    fn holds(&self, values: [f64; 2], stored: &Stored) -> bool {
        match self {
            Self::Either(one, other) => one.holds(values, stored) || other.holds(values, stored),
            Self::Both(one, other) => one.holds(values, stored) && other.holds(values, stored),
            Self::Not(inner) => !inner.holds(values, stored),
            Self::Mode(mode) => stored.mode == *mode,
            Self::Power(power) => stored.power == *power,
            Self::Compare(left, comparison, right) => {
                let difference = left.value(values) - right.value(values);
                match comparison {
                    Relation::AtLeast => difference >= -ROUNDING,
                    Relation::AtMost => difference <= ROUNDING,
                    Relation::Above => difference > ROUNDING,
                    Relation::Below => difference < -ROUNDING,
                    Relation::Equal => difference.abs() <= ROUNDING,
                    Relation::Other => difference.abs() > ROUNDING,
                }
            }
        }
    }
}

impl Sum {
    const fn number(number: f64) -> Self {
        Self { heat: 0.0, cool: 0.0, number }
    }

    fn plus(self, other: Self, sign: f64) -> Self {
        Self {
            heat: self.heat + sign * other.heat,
            cool: self.cool + sign * other.cool,
            number: self.number + sign * other.number,
        }
    }

    fn value(self, [heat, cool]: [f64; 2]) -> f64 {
        self.heat * heat + self.cool * cool + self.number
    }
}

#[derive(Clone, Debug, PartialEq)]
enum Token {
    Word(String),
    Number(f64),
    Sign(&'static str),
}

const SIGNS: [&str; 11] = [">=", "<=", "==", "!=", ">", "<", "=", "+", "-", "(", ")"];

/// The tokens of a text, each with its column.
fn tokens(text: &str) -> Result<Vec<(Token, usize)>, ClaimFault> {
    let mut found = Vec::new();
    let mut rest = text;
    loop {
        rest = rest.trim_start();
        let column = text.chars().count() - rest.chars().count() + 1;
        let Some(first) = rest.chars().next() else { break };
        let length = |fits: fn(char) -> bool| rest.find(|c| !fits(c)).unwrap_or(rest.len());
        let (token, taken) = if let Some(sign) = SIGNS.iter().find(|sign| rest.starts_with(**sign))
        {
            (Token::Sign(sign), sign.len())
        } else if first.is_ascii_digit() || first == '.' {
            let taken = length(|c| c.is_ascii_digit() || c == '.');
            let number = rest[..taken].parse();
            (Token::Number(number.map_err(|_| ClaimFault { column, wanted: "a number" })?), taken)
        } else if first.is_ascii_alphabetic() {
            let taken = length(|c| c.is_ascii_alphabetic() || c == '_');
            (Token::Word(rest[..taken].to_lowercase()), taken)
        } else {
            return Err(ClaimFault { column, wanted: "heat, cool, mode, power or a number" });
        };
        found.push((token, column));
        rest = &rest[taken..];
    }
    found.push((Token::Word(String::new()), text.chars().count() + 1));
    Ok(found)
}

struct Reader {
    /// Ends with an empty word.
    tokens: Vec<(Token, usize)>,
    at: usize,
    depth: usize,
}

impl Reader {
    fn fault<T>(&self, wanted: &'static str) -> Result<T, ClaimFault> {
        let column = self.tokens.get(self.at).map_or(1, |(_, column)| *column);
        Err(ClaimFault { column, wanted })
    }

    fn token(&self) -> Option<&Token> {
        self.tokens.get(self.at).map(|(token, _)| token)
    }

    fn take_word(&mut self, word: &str) -> bool {
        let found = matches!(self.token(), Some(Token::Word(here)) if here == word);
        self.at += usize::from(found);
        found
    }

    fn take_sign(&mut self, sign: &str) -> bool {
        let found = matches!(self.token(), Some(Token::Sign(here)) if *here == sign);
        self.at += usize::from(found);
        found
    }

    fn end(&self) -> Result<(), ClaimFault> {
        match self.token() {
            Some(Token::Word(word)) if word.is_empty() => Ok(()),
            _ => self.fault("`and`, `or` or the end"),
        }
    }

    fn claim(&mut self) -> Result<Tree, ClaimFault> {
        let mut tree = self.part()?;
        while self.take_word("or") {
            tree = Tree::Either(Box::new(tree), Box::new(self.part()?));
        }
        Ok(tree)
    }

    fn part(&mut self) -> Result<Tree, ClaimFault> {
        let mut tree = self.piece()?;
        while self.take_word("and") {
            tree = Tree::Both(Box::new(tree), Box::new(self.piece()?));
        }
        Ok(tree)
    }

    fn piece(&mut self) -> Result<Tree, ClaimFault> {
        self.depth += 1;
        if self.depth > DEEPEST {
            return self.fault("fewer brackets");
        }
        let tree = self.piece_within();
        self.depth -= 1;
        tree
    }

    fn piece_within(&mut self) -> Result<Tree, ClaimFault> {
        if self.take_word("not") {
            return Ok(Tree::Not(Box::new(self.piece()?)));
        }
        if self.take_word("mode") {
            let same = self.equality()?;
            let mode = self.word_of(&Mode::ALL, Mode::name, "heat, cool, auto, dry or fan")?;
            return Ok(unless(same, Tree::Mode(mode)));
        }
        if self.take_word("power") {
            let same = self.equality()?;
            let power = self.word_of(&[Power::On, Power::Off], Power::name, "on or off")?;
            return Ok(unless(same, Tree::Power(power)));
        }
        // A bracket may hold a sum or a claim: what follows tells.
        let (at, depth) = (self.at, self.depth);
        match self.comparison() {
            Ok(tree) => Ok(tree),
            Err(fault) => {
                (self.at, self.depth) = (at, depth);
                if !self.take_sign("(") {
                    return Err(fault);
                }
                let tree = self.claim()?;
                if self.take_sign(")") { Ok(tree) } else { self.fault("`)`") }
            }
        }
    }

    fn comparison(&mut self) -> Result<Tree, ClaimFault> {
        let left = self.sum()?;
        let comparisons = [
            (">=", Relation::AtLeast),
            ("<=", Relation::AtMost),
            (">", Relation::Above),
            ("<", Relation::Below),
            ("==", Relation::Equal),
            ("=", Relation::Equal),
            ("!=", Relation::Other),
        ];
        let found = comparisons.into_iter().find(|(sign, _)| self.take_sign(sign));
        match found {
            Some((_, comparison)) => Ok(Tree::Compare(left, comparison, self.sum()?)),
            None => self.fault("a comparison such as >="),
        }
    }

    fn sum(&mut self) -> Result<Sum, ClaimFault> {
        let mut sum = self.term()?;
        loop {
            let sign = match (self.take_sign("+"), self.take_sign("-")) {
                (true, _) => 1.0,
                (_, true) => -1.0,
                _ => return Ok(sum),
            };
            sum = sum.plus(self.term()?, sign);
        }
    }

    fn term(&mut self) -> Result<Sum, ClaimFault> {
        self.depth += 1;
        if self.depth > DEEPEST {
            return self.fault("fewer brackets");
        }
        let term = self.term_within();
        self.depth -= 1;
        term
    }

    fn term_within(&mut self) -> Result<Sum, ClaimFault> {
        if let Some(Token::Number(number)) = self.token() {
            let number = *number;
            self.at += 1;
            return Ok(Sum::number(number));
        }
        if self.take_word("heat") {
            return Ok(Sum { heat: 1.0, ..Sum::number(0.0) });
        }
        if self.take_word("cool") {
            return Ok(Sum { cool: 1.0, ..Sum::number(0.0) });
        }
        if self.take_sign("-") {
            return Ok(Sum::number(0.0).plus(self.term()?, -1.0));
        }
        if self.take_sign("(") {
            let sum = self.sum()?;
            return if self.take_sign(")") { Ok(sum) } else { self.fault("`)`") };
        }
        self.fault("heat, cool, mode, power or a number")
    }

    /// `=` or `!=`: whether it is the former.
    fn equality(&mut self) -> Result<bool, ClaimFault> {
        if self.take_sign("=") || self.take_sign("==") {
            return Ok(true);
        }
        if self.take_sign("!=") { Ok(false) } else { self.fault("= or !=") }
    }

    fn word_of<T: Copy>(
        &mut self,
        all: &[T],
        name: impl Fn(T) -> &'static str,
        wanted: &'static str,
    ) -> Result<T, ClaimFault> {
        let found = all.iter().copied().find(|one| self.take_word(name(*one)));
        found.map_or_else(|| self.fault(wanted), Ok)
    }
}

fn unless(same: bool, tree: Tree) -> Tree {
    if same { tree } else { Tree::Not(Box::new(tree)) }
}

#[cfg(test)]
mod tests;
