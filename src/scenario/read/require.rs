//! Reading what a specification asks: every requirement asks one thing, of zones and variants that
//! the file has, in values that the thing can have.

use std::collections::HashSet;

use super::neighbours::unknown_zone;
use super::unit_of;
use crate::control::Claim;
use crate::scenario::conform::Checker;
use crate::scenario::fault::{Complaint, Sink};
use crate::scenario::fields::{Checked, Fields};
use crate::scenario::findings::KnownFinding;
use crate::scenario::keys::FILE;
use crate::scenario::near::nearest;
use crate::scenario::path::Path;
use crate::scenario::requirement::{Asked, Bounds, Must, Requirement, RunFigure};
use crate::scenario::shown::shortened;
use crate::scenario::tree::{Node, Value as Written};
use crate::settings::{self, Access, ENDS, Entry, Kind, Value};
use crate::units::{TemperatureUnit, parse_number};

/// More requirements are none that anybody reviews.
const MOST: usize = 1000;
/// What a requirement may ask; of these it has one.
const KINDS: [&str; 6] = ["setting", "claim", "figure", "finding", "log", "worst"];
/// Keys that belong to some of these alone.
const BELONG: [(&str, &[&str]); 8] = [
    ("of", &["figure"]),
    ("absent", &["finding"]),
    ("coldest", &["worst"]),
    ("hottest", &["worst"]),
    ("for", &["worst"]),
    ("equals", &["setting"]),
    ("at_least", &["setting", "figure", "worst"]),
    ("at_most", &["setting", "figure", "worst", "log"]),
];

/// Reads all requirements of a file; what is wrong with their keys was found before.
pub(in crate::scenario) fn requirements(
    root: &Node,
    variants: &[&str],
    sink: &Sink,
) -> Vec<Requirement> {
    let checker = Checker { unit: unit_of(root), sink, in_part: false };
    let file = Fields::new(checker, FILE, root, Path::ROOT);
    let mut reader = Reader { root, variants, all: Vec::new(), ids: HashSet::new(), count: 0 };
    file.each("require", |fields| reader.one(&fields));
    if reader.count > MOST {
        let message = format!("{} requirements are more than {MOST}", reader.count);
        file.fault("require", Complaint::new("too-large", message).help("let there be fewer"));
    }
    reader.all
}

struct Reader<'a> {
    root: &'a Node,
    variants: &'a [&'a str],
    all: Vec<Requirement>,
    ids: HashSet<String>,
    /// How many there are, readable or not.
    count: usize,
}

impl Reader<'_> {
    fn one(&mut self, fields: &Fields) {
        self.count += 1;
        if self.count > MOST {
            return;
        }
        let id = fields.text("id").unwrap_or_else(|| format!("R{}", self.count));
        if !self.ids.insert(id.clone()) {
            let message = format!("two requirements go by `{}`", shortened(&id));
            let twice = Complaint::new("same-name", message).help("give each an id of its own");
            fields.fault("id", twice);
        }
        let zones = self.zones(fields);
        let variant = self.variant(fields);
        let asked = asked(fields);
        let (Some(zones), Some(variant), Some(asked)) = (zones, variant, asked) else { return };
        self.all.push(Requirement {
            id,
            why: fields.text("why").unwrap_or_default(),
            zones,
            variant,
            path: fields.path.to_string(),
            asked,
        });
    }

    fn zones(&self, fields: &Fields) -> Option<Vec<String>> {
        let Some(node) = fields.node("zones") else { return Some(Vec::new()) };
        let known = self.root.get("zones").map_or(&[][..], Node::entries);
        let named: Vec<&Node> = match &node.value {
            Written::List(items) => items.iter().collect(),
            _ => vec![node],
        };
        if named.is_empty() {
            let none = Complaint::new("wrong-kind", "this list names no zone");
            fields.fault("zones", none.help("name a zone, or leave the key out for all"));
            return None;
        }
        let mut all = Vec::new();
        for node in named {
            let id = node.text()?;
            if !known.iter().any(|entry| &*entry.key == id) {
                let path = fields.path.key("zones");
                fields.checker.fault(node.place, &path, || unknown_zone(id, known));
                return None;
            }
            all.push(id.to_owned());
        }
        Some(all)
    }

    fn variant(&self, fields: &Fields) -> Checked<Option<String>> {
        let Some(name) = fields.node("variant").and_then(Node::text) else { return Some(None) };
        if self.variants.contains(&name) {
            return Some(Some(name.to_owned()));
        }
        let help = match nearest(name, self.variants.iter().copied()) {
            Some(near) => format!("the nearest is `{near}`"),
            None => "add it under `variants`, or leave the key out".into(),
        };
        let message = format!("the file has no variant `{}`", shortened(name));
        fields.fault("variant", Complaint::new("unknown-variant", message).help(help));
        None
    }
}

fn asked(fields: &Fields) -> Option<Asked> {
    let kinds: Vec<&str> = KINDS.into_iter().filter(|kind| fields.has(kind)).collect();
    let [kind] = kinds[..] else {
        fields.fault_here(wrong_count(&kinds));
        return None;
    };
    let mut astray = false;
    for (key, belongs) in BELONG {
        if fields.has(key) && !belongs.contains(&kind) {
            astray = true;
            let message = format!("`{key}` says nothing of a {kind}");
            let help = format!("it belongs to {}; take it out", belongs.join(", "));
            fields.fault(key, Complaint::new("contradiction", message).help(help));
        }
    }
    let asked = match kind {
        "setting" => setting(fields),
        "claim" => claim(fields),
        "figure" => figure(fields),
        "finding" => finding(fields),
        "log" => contradictions(fields),
        _ => worst(fields),
    };
    asked.filter(|_| !astray)
}

fn wrong_count(kinds: &[&str]) -> Complaint {
    let message = if kinds.is_empty() {
        "this requirement asks nothing".to_owned()
    } else {
        format!("this requirement asks {} things: {}", kinds.len(), kinds.join(", "))
    };
    Complaint::new("wrong-kind", message).help(format!("give one of {}", KINDS.join(", ")))
}

/// How the path of a setting of outdoor units begins, whatever they are called.
const OF_UNIT: &str = "outdoor_unit.";

/// The way to a setting from its zone, or from an outdoor unit.
fn whole_path(entry: &Entry) -> String {
    match entry.setting.access {
        Access::Group { .. } => format!("{OF_UNIT}{}", entry.key.path),
        Access::Zone { .. } | Access::Controller { .. } => entry.key.path.to_owned(),
    }
}

/// The setting that a name means, and of one with two ends which: by its whole path, or by the end
/// of the path where no other setting's path ends so.
fn setting_named(name: &str) -> Result<(Entry, Option<usize>), Complaint> {
    let (path, end) = match name.rsplit_once('.') {
        Some((path, last)) if ENDS.contains(&last) => {
            (path, ENDS.iter().position(|end| *end == last))
        }
        _ => (name, None),
    };
    let all = settings::of_zones().iter().chain(settings::of_groups());
    let all: Vec<(String, &Entry)> = all.map(|entry| (whole_path(entry), entry)).collect();
    let ends_so = |whole: &str| {
        let bare = whole.replace("[]", "");
        bare == path || bare.ends_with(&format!(".{path}"))
    };
    let exact = all.iter().find(|(whole, _)| whole == path);
    let found: Vec<&(String, &Entry)> =
        exact.map_or_else(|| all.iter().filter(|(it, _)| ends_so(it)).collect(), |it| vec![it]);
    let entry = match found[..] {
        [(_, only)] => **only,
        [] => {
            let near = nearest(name, all.iter().map(|(whole, _)| whole.as_str()));
            let near = near.unwrap_or_default();
            let message = format!("there is no setting `{}`", shortened(name));
            return Err(Complaint::new("unknown-key", message)
                .help(format!("the nearest is `{near}`; `setband schema` has them all")));
        }
        _ => {
            let paths: Vec<&str> = found.iter().map(|(whole, _)| whole.as_str()).collect();
            let message = format!("`{}` may be any of several settings", shortened(name));
            return Err(Complaint::new("unknown-key", message)
                .help(format!("write {}", paths.join(" or "))));
        }
    };
    let two_ends = entry.key.kind.exactly().is_some();
    if end.is_some() && !two_ends {
        let message = format!("`{}` has no `low` and `high`", entry.key.path);
        return Err(Complaint::new("unknown-key", message).help("leave the end out"));
    }
    Ok((entry, end))
}

fn setting(fields: &Fields) -> Option<Asked> {
    let (entry, end) = match setting_named(&fields.text("setting")?) {
        Ok(found) => found,
        Err(complaint) => {
            fields.fault("setting", complaint);
            return None;
        }
    };
    let unit = fields.checker.unit;
    let kind = match (entry.key.kind.exactly(), end) {
        (Some((_, inner)), Some(_)) => inner,
        _ => &entry.key.kind,
    };
    let bounded = fields.has("at_least") || fields.has("at_most");
    if bounded && kind.exactly().is_some() {
        let message = format!("`{}` has two ends", entry.key.path);
        let help = format!("write {0}.low or {0}.high", entry.key.path);
        fields.fault("setting", Complaint::new("unknown-key", message).help(help));
        return None;
    }
    let must = match (fields.has("equals"), bounded) {
        (true, false) => Must::Be(equal(fields, kind, unit)?),
        (false, true) => Must::Keep(bounds(fields, &|text| sized(text, kind, unit))?),
        (false, false) => {
            let message = "this requirement does not say how the setting must be";
            let complaint = Complaint::new("missing-key", message);
            fields.fault("setting", complaint.help("give at_least, at_most or equals"));
            return None;
        }
        (true, true) => {
            let message = "a setting is either equal to something or within bounds";
            let complaint = Complaint::new("contradiction", message);
            fields.fault("equals", complaint.help("leave out equals, or at_least and at_most"));
            return None;
        }
    };
    let of_group = matches!(entry.setting.access, Access::Group { .. });
    if of_group && fields.has("zones") {
        let complaint = Complaint::new("contradiction", "this setting is of outdoor units");
        fields.fault("zones", complaint.help("leave `zones` out"));
        return None;
    }
    Some(Asked::Setting { entry, end, must })
}

/// What a setting must be; a list is some words.
fn equal(fields: &Fields, kind: &Kind, unit: TemperatureUnit) -> Option<Value> {
    let text = match &fields.node("equals")?.value {
        Written::Scalar { text, .. } => text.to_string(),
        Written::List(items) => {
            let words: Vec<&str> = items.iter().filter_map(Node::text).collect();
            match kind {
                Kind::Exactly(..) => format!("[{}]", words.join(", ")),
                _ if words.is_empty() => Value::words([]).to_string(),
                _ => words.join(" "),
            }
        }
        Written::Block(_) => return None,
    };
    let text = match (kind, text.as_str()) {
        (Kind::OnOff, "true") => "on".into(),
        (Kind::OnOff, "false") => "off".into(),
        (Kind::YesNo, "on") => "true".into(),
        (Kind::YesNo, "off") => "false".into(),
        _ => text,
    };
    let value = Value::read(&text, kind, unit);
    if value.is_none() {
        fields.fault_with("equals", || not_of_kind(&text, kind));
    }
    value
}

fn not_of_kind(text: &str, kind: &Kind) -> Complaint {
    let message = format!("{} is wanted here, not `{}`", kind.describe(), shortened(text));
    let help = match kind.examples().join("` or `") {
        none if none.is_empty() => format!("give {}", kind.describe()),
        examples => format!("write it like `{examples}`"),
    };
    Complaint::new("wrong-kind", message).help(help)
}

/// The number that a text is for a setting: times in seconds, sizes in their SI unit.
fn sized(text: &str, kind: &Kind, unit: TemperatureUnit) -> Result<f64, Complaint> {
    let number = match Value::read(text, kind, unit) {
        Some(Value::Number(number)) => Some(number),
        #[expect(clippy::cast_precision_loss, reason = "times in files are within 2^53 seconds")]
        Some(Value::Time(time)) => Some(time.get() as f64),
        _ => None,
    };
    number.ok_or_else(|| match kind {
        Kind::Word(_) | Kind::Words(..) | Kind::YesNo | Kind::OnOff | Kind::Name => {
            let message = "this setting is no number, and has no least and most";
            Complaint::new("wrong-kind", message).help("write equals")
        }
        _ => not_of_kind(text, kind),
    })
}

/// A plain number.
fn plain(text: &str) -> Result<f64, Complaint> {
    parse_number(text).ok_or_else(|| {
        let message = format!("a number is wanted here, not `{}`", shortened(text));
        Complaint::new("wrong-kind", message).help("write it like `1`")
    })
}

fn bounds(fields: &Fields, read: &dyn Fn(&str) -> Result<f64, Complaint>) -> Option<Bounds> {
    let one = |key: &str| -> Checked<Option<f64>> {
        let Some(text) = fields.node(key).and_then(Node::text) else { return Some(None) };
        match read(text) {
            Ok(number) => Some(Some(number)),
            Err(complaint) => {
                fields.fault(key, complaint);
                None
            }
        }
    };
    let (least, most) = (one("at_least"), one("at_most"));
    let (least, most) = (least?, most?);
    let bounds = Bounds::new(least, most);
    if bounds.is_none() {
        let (code, message) = if least.is_some() {
            ("contradiction", "nothing lies between at_least and at_most")
        } else {
            ("missing-key", "this requirement has no bound")
        };
        let complaint = Complaint::new(code, message).help("give at_least, at_most, or both");
        if fields.has("at_least") {
            fields.fault("at_least", complaint);
        } else {
            fields.fault_here(complaint);
        }
    }
    bounds
}

fn claim(fields: &Fields) -> Option<Asked> {
    let text = fields.text("claim")?;
    match Claim::parse(&text) {
        Ok(claim) => Some(Asked::Claim(claim)),
        Err(fault) => {
            let message = format!("`{}` is no claim: {fault}", shortened(&text));
            let help = "write for example \"cool >= 23\" or \"cool - heat >= 3 and power = on\"";
            fields.fault("claim", Complaint::new("wrong-kind", message).help(help));
            None
        }
    }
}

fn figure(fields: &Fields) -> Option<Asked> {
    let figure = fields.pick("figure", &RunFigure::ALL, RunFigure::name)?;
    let of_all = fields.text("of")? == "all";
    let bounds = bounds(fields, &plain)?;
    if figure.is_of_all_alone() && !of_all {
        let message = format!("a run has {} of all zones together alone", figure.name());
        fields.fault("figure", Complaint::new("contradiction", message).help("write `of: all`"));
        return None;
    }
    if of_all && fields.has("zones") {
        let complaint = Complaint::new("contradiction", "a figure of all zones is of no one");
        fields.fault("zones", complaint.help("leave out `zones`, or `of: all`"));
        return None;
    }
    Some(Asked::Figure { figure, of_all, bounds })
}

fn finding(fields: &Fields) -> Option<Asked> {
    let written = fields.text("finding")?;
    let code = written.replace('_', "-");
    if fields.has("absent") && !fields.flag("absent")? {
        let complaint = Complaint::new("contradiction", "a finding can only be asked away");
        fields.fault("absent", complaint.help("write `absent: true`"));
        return None;
    }
    let known = KnownFinding::named(&code);
    if known.is_none() {
        let near = nearest(&code, KnownFinding::codes()).unwrap_or_default();
        let message = format!("`check` has no finding `{}`", shortened(&written));
        let help = format!("the nearest is `{near}`");
        fields.fault("finding", Complaint::new("unknown-word", message).help(help));
    }
    known.map(|known| Asked::FindingAbsent(known.code))
}

fn contradictions(fields: &Fields) -> Option<Asked> {
    let Some(text) = fields.node("at_most").and_then(Node::text) else {
        return Some(Asked::Contradictions(0));
    };
    let count = text.parse().ok();
    if count.is_none() {
        let message = format!("a whole number is wanted here, not `{}`", shortened(text));
        fields.fault("at_most", Complaint::new("wrong-kind", message).help("write it like `0`"));
    }
    count.map(Asked::Contradictions)
}

fn worst(fields: &Fields) -> Option<Asked> {
    let bounds = bounds(fields, &plain)?;
    let outdoors =
        [fields.optional("coldest", Fields::number)?, fields.optional("hottest", Fields::number)?];
    if let [Some(coldest), Some(hottest)] = outdoors
        && coldest > hottest
    {
        let complaint = Complaint::new("contradiction", "coldest lies above hottest");
        fields.fault("coldest", complaint.help("exchange the two"));
        return None;
    }
    let within = fields.optional("for", Fields::seconds)?;
    Some(Asked::Worst { bounds, outdoors, within })
}
