//! The journal of a sweep: one checked line for each finished case, so that a sweep that was
//! broken off, however it happened, goes on where it stopped.

use std::collections::BTreeMap;
use std::sync::Arc;

use serde::{Deserialize, Serialize};

use super::cases::{About, CaseOutcome, ImplausibleZone};
use super::goal::Goal;
use super::plan::{Share, SweepPlan};
use crate::measures::FIGURES;

/// What the first line says: everything that the results need besides the cases.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Header {
    /// The program's version.
    pub version: String,
    /// What tells this study from every other: file, companions, plan, version.
    pub fingerprint: String,
    /// What to do.
    pub plan: SweepPlan,
    /// About the file.
    pub about: About,
    /// Which share of it this is.
    pub part: Share,
    /// What is asked of it.
    pub goal: Goal,
    /// The keys of the figures, in their order.
    pub figures: Vec<String>,
}

impl Header {
    /// The header of a share of a study of files with these texts.
    pub fn new(
        texts: &[Arc<str>],
        plan: &SweepPlan,
        about: &About,
        part: Share,
        goal: &Goal,
    ) -> Self {
        let version = env!("CARGO_PKG_VERSION").to_owned();
        let figures: Vec<String> = FIGURES.iter().map(|figure| figure.key.to_owned()).collect();
        let mut check = Check::default();
        for text in texts {
            check.add(text.as_bytes());
        }
        // `Debug` of plain data is stable within a version, and the version is in it, too.
        check.add(format!("{version} {figures:?} {plan:?} {about:?}").as_bytes());
        let fingerprint = check.words();
        let (plan, about, goal) = (plan.clone(), about.clone(), goal.clone());
        Self { version, fingerprint, plan, about, part, goal, figures }
    }
}

/// A journal, read.
#[derive(Clone, Debug)]
pub struct Journal {
    /// Its first line.
    pub header: Header,
    /// The cases that are done.
    pub cases: BTreeMap<usize, CaseOutcome>,
    /// The lines that are damaged, from 1; their cases have to be run again.
    pub damaged: Vec<usize>,
}

/// Why a file is not taken for a journal.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NoJournal {
    /// Its first line is none of a journal, or damaged, or one of another version.
    Header,
    /// Two whole lines say different things of one case.
    Contradiction {
        /// Which case.
        case: usize,
        /// The lines, from 1.
        lines: [usize; 2],
    },
}

/// FNV-1a of 64 bits: against accidents, not against malice.
#[derive(Clone, Copy, Debug)]
struct Check(u64);

impl Default for Check {
    fn default() -> Self {
        Self(0xcbf2_9ce4_8422_2325)
    }
}

impl Check {
    fn add(&mut self, bytes: &[u8]) {
        for byte in bytes {
            self.0 = (self.0 ^ u64::from(*byte)).wrapping_mul(0x0000_0100_0000_01b3);
        }
        // So that two texts do not read like one.
        self.0 = (self.0 ^ 0xff).wrapping_mul(0x0000_0100_0000_01b3);
    }

    fn words(self) -> String {
        format!("{:016x}", self.0)
    }
}

fn checked(payload: &str) -> String {
    let mut check = Check::default();
    check.add(payload.as_bytes());
    format!("{payload} {}\n", check.words())
}

fn payload(line: &str) -> Option<&str> {
    let (payload, check) = line.rsplit_once(' ')?;
    (checked(payload) == format!("{payload} {check}\n")).then_some(payload)
}

impl Header {
    /// The first line.
    ///
    /// # Errors
    /// Whatever the serializer refuses; the types give it no reason to.
    pub fn line(&self) -> Result<String, serde_json::Error> {
        Ok(checked(&format!("sweep {}", serde_json::to_string(self)?)))
    }
}

/// What parts the figures of a case from air that is hardly that of a building.
const BEYOND: &str = " beyond ";

/// The line of a finished case: its figures bit by bit.
pub fn line_of(case: usize, outcome: &CaseOutcome) -> String {
    let text = match outcome {
        CaseOutcome::Ran { figures, implausible } => {
            let bits = figures.iter().map(|figure| format!(" {:x}", figure.to_bits()));
            let far = implausible.as_ref().map_or_else(String::new, |it| {
                let zone = serde_json::Value::from(&*it.zone);
                format!("{BEYOND}{:x} {zone}", it.air.to_bits())
            });
            format!("ran {case}{}{far}", bits.collect::<String>())
        }
        // A JSON text has no line breaks.
        CaseOutcome::Unfit(why) => format!("unfit {case} {}", serde_json::Value::from(&**why)),
    };
    checked(&text)
}

/// Reads a journal. Damaged lines are left out and told.
///
/// # Errors
/// It is none, or contradicts itself.
pub fn read_journal(bytes: &[u8]) -> Result<Journal, NoJournal> {
    let mut lines = (1..).zip(bytes.split(|byte| *byte == b'\n'));
    let first = lines.next().and_then(|(_, line)| payload(str::from_utf8(line).ok()?));
    let header = first.and_then(|first| first.strip_prefix("sweep "));
    let header: Option<Header> = header.and_then(|header| serde_json::from_str(header).ok());
    let header = header.ok_or(NoJournal::Header)?;
    let (mut found, mut damaged) = (BTreeMap::new(), Vec::new());
    for (number, line) in lines.filter(|(_, line)| !line.is_empty()) {
        let whole = str::from_utf8(line).ok().and_then(payload);
        let Some((case, outcome)) = whole.and_then(|it| case_of(it, header.figures.len())) else {
            damaged.push(number);
            continue;
        };
        let (before, known) = found.entry(case).or_insert_with(|| (number, outcome.clone()));
        if !known.is_same(&outcome) {
            return Err(NoJournal::Contradiction { case, lines: [*before, number] });
        }
    }
    let cases = found.into_iter().map(|(case, (_, outcome))| (case, outcome)).collect();
    Ok(Journal { header, cases, damaged })
}

fn case_of(payload: &str, figures: usize) -> Option<(usize, CaseOutcome)> {
    let (kind, rest) = payload.split_once(' ')?;
    let (case, rest) = rest.split_once(' ')?;
    let case: usize = case.parse().ok()?;
    match kind {
        "ran" => {
            let bits = |text: &str| u64::from_str_radix(text, 16).ok().map(f64::from_bits);
            let (own, far) = match rest.split_once(BEYOND) {
                Some((own, far)) => (own, Some(far)),
                None => (rest, None),
            };
            let all: Box<[f64]> = own.split(' ').map(bits).collect::<Option<_>>()?;
            let fits = all.len() == figures;
            let zone = |far: &str| -> Option<ImplausibleZone> {
                let (air, zone) = far.split_once(' ')?;
                let zone: String = serde_json::from_str(zone).ok()?;
                Some(ImplausibleZone { zone: zone.into(), air: bits(air)? })
            };
            let implausible = match far {
                Some(far) => Some(zone(far)?),
                None => None,
            };
            let ran = CaseOutcome::Ran { figures: all, implausible };
            fits.then_some((case, ran))
        }
        "unfit" => {
            let why: String = serde_json::from_str(rest).ok()?;
            Some((case, CaseOutcome::Unfit(why.into())))
        }
        _ => None,
    }
}

#[cfg(test)]
impl Header {
    /// That of a sweep of eleven bands in a hall, two draws each.
    pub(crate) fn sample(seed: u64) -> Self {
        use super::goal::Sense;
        use super::plan::{Axis, Sampling};
        let axes = vec![Axis::parse("zones.*.band=0..2:0.2").expect("an axis")];
        let plan = SweepPlan { axes, sampling: Sampling::Grid, varied: vec![], draws: 2, seed };
        let about = About {
            title: "A hall".into(),
            variant: None,
            fahrenheit: false,
            currency: String::new(),
            days: 1,
            zones: 1,
            people: 0,
            shared_demand: None,
        };
        let goal = Goal::new("total_kwh", Sense::Minimise, &[], &[]).expect("a goal");
        Self::new(&[Arc::from("text")], &plan, &about, Share::WHOLE, &goal)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn header() -> Header {
        Header::sample(1)
    }

    #[test]
    fn a_journal_is_read_as_it_was_written() {
        let figures: Box<[f64]> =
            (0..FIGURES.len()).map(|place| if place == 3 { f64::NAN } else { 0.1 }).collect();
        let far = ImplausibleZone { zone: "hall \"beyond \" all".into(), air: 131.5 };
        let ran = CaseOutcome::Ran { figures: figures.clone(), implausible: Some(far) };
        let tame = CaseOutcome::ran(figures);
        let unfit = CaseOutcome::Unfit("zones.hall: a \"range\" is empty".into());
        let text = header().line().expect("plain")
            + &line_of(4, &ran)
            + &line_of(5, &unfit)
            + &line_of(6, &tame);
        let journal = read_journal(text.as_bytes()).expect("a journal");
        assert_eq!((journal.header, journal.damaged), (header(), Vec::new()));
        assert!(journal.cases[&4].is_same(&ran) && journal.cases[&5].is_same(&unfit));
        assert!(journal.cases[&6].is_same(&tame) && !tame.is_same(&ran));
    }

    #[test]
    fn damaged_lines_are_left_out_and_counted() {
        let ran = CaseOutcome::ran(vec![1.5; FIGURES.len()]);
        let (first, line) = (header().line().expect("plain"), line_of(0, &ran));
        let torn = format!("{first}{line}{}", &line_of(1, &ran)[..40]);
        let journal = read_journal(torn.as_bytes()).expect("a journal");
        assert_eq!((journal.cases.len(), journal.damaged), (1, vec![3]));
        // What goes on after a torn line begins a line of its own.
        let healed = format!("{torn}\n{}", line_of(2, &ran));
        let journal = read_journal(healed.as_bytes()).expect("a journal");
        assert_eq!((journal.cases.len(), journal.damaged), (2, vec![3]));
        let flipped = format!("{first}{}", line.replacen('3', "4", 1));
        assert_eq!(read_journal(flipped.as_bytes()).expect("a journal").cases.len(), 0);
    }

    /// One byte anywhere, whatever it becomes: the other lines are kept, and a header that is not
    /// whole is told and never taken for an empty file.
    #[test]
    fn one_damaged_byte_costs_one_line_at_most() {
        let ran = CaseOutcome::ran(vec![1.5; FIGURES.len()]);
        let first = header().line().expect("plain");
        let text = first.clone() + &line_of(0, &ran) + &line_of(1, &ran) + &line_of(2, &ran);
        for at in 0..text.len() {
            for byte in [0xff, b'x', text.as_bytes()[at] ^ 1] {
                let mut bytes = text.clone().into_bytes();
                let was = std::mem::replace(&mut bytes[at], byte);
                let read = read_journal(&bytes);
                if was == byte {
                    assert!(read.is_ok());
                } else if at < first.len() {
                    assert_eq!(read.err(), Some(NoJournal::Header), "byte {at}");
                } else {
                    let journal = read.expect("the header is whole");
                    // A line break that is lost takes two lines with it.
                    let lost = if was == b'\n' && at + 1 < text.len() { 2 } else { 1 };
                    let kept = if was == b'\n' && at + 1 == text.len() { 2 } else { 3 - lost };
                    assert_eq!(journal.cases.len(), kept, "byte {at}");
                    assert!(!journal.damaged.is_empty(), "byte {at}");
                }
            }
        }
    }

    #[test]
    fn what_is_no_journal_or_contradicts_itself_is_told() {
        assert_eq!(read_journal(b"something else").err(), Some(NoJournal::Header));
        assert_eq!(read_journal(b"").err(), Some(NoJournal::Header));
        let [one, other] = [1.5, 2.5].map(|it| CaseOutcome::ran(vec![it; FIGURES.len()]));
        let first = header().line().expect("plain");
        let twice = first.clone() + &line_of(4, &one) + &line_of(4, &one);
        assert_eq!(read_journal(twice.as_bytes()).expect("the same twice").cases.len(), 1);
        let both = twice + &line_of(4, &other);
        let expected = NoJournal::Contradiction { case: 4, lines: [2, 4] };
        assert_eq!(read_journal(both.as_bytes()).err(), Some(expected));
    }

    #[test]
    fn the_fingerprint_tells_studies_apart() {
        let one = header();
        let other = Header::new(
            &[Arc::from("tex"), Arc::from("t")],
            &one.plan,
            &one.about,
            one.part,
            &one.goal,
        );
        assert_ne!(one.fingerprint, other.fingerprint);
        let part = Share { number: 2, of: 3 };
        let share = Header::new(&[Arc::from("text")], &one.plan, &one.about, part, &one.goal);
        assert_eq!(one.fingerprint, share.fingerprint);
    }
}
