//! Charts: what must be in them, and that nothing in them is cut off or overlaps.

use std::sync::Arc;

use crate::report_fake::{Day, Wish, at, library, make, office, restless, zone};
use resvg::usvg::fontdb::Source;
use resvg::usvg::{Group, Node, Options, Tree};
use setband::control::{Key, LockableKey, Power, Request, Side};
use setband::engine::ZoneIndex;
use setband::report::chart::{ChartFault, StripsView, ZoneOrder, day_svg, group_svg, png};
use setband::time::Seconds;
use setband::units::TemperatureUnit::{Celsius, Fahrenheit};

/// The content of all layers of a name.
fn layer(svg: &str, name: &str) -> String {
    let head = format!("<g class=\"{name}\"");
    svg.split(&head).skip(1).filter_map(|rest| rest.split("</g>").next()).collect()
}

fn count(text: &str, what: &str) -> usize {
    text.matches(what).count()
}

/// Left, top, right and bottom of each text with its words, px, as the renderer places them.
fn texts(svg: &str) -> (Vec<([f32; 4], String)>, f32, f32) {
    let mut options = Options::default();
    let fonts = options.fontdb_mut();
    fonts.load_font_source(Source::Binary(Arc::new(dejavu::sans::regular())));
    fonts.load_font_source(Source::Binary(Arc::new(dejavu::sans::bold())));
    let tree = Tree::from_str(svg, &options).expect("well-formed");
    let mut found = Vec::new();
    collect(tree.root(), &mut found);
    (found, tree.size().width(), tree.size().height())
}

fn collect(group: &Group, found: &mut Vec<([f32; 4], String)>) {
    for node in group.children() {
        match node {
            Node::Group(inner) => collect(inner, found),
            Node::Text(text) => {
                let bounds = text.abs_bounding_box();
                let words = text.chunks().iter().map(|chunk| chunk.text().trim()).collect();
                found.push(([bounds.left(), bounds.top(), bounds.right(), bounds.bottom()], words));
            }
            Node::Path(_) | Node::Image(_) => {}
        }
    }
}

/// Fails where a text leaves the picture or touches another one.
fn assert_readable(svg: &str, what: &str) {
    let (texts, width, height) = texts(svg);
    assert!(texts.len() > 5, "{what}: hardly any text");
    for (place, (own, words)) in texts.iter().enumerate() {
        let inside = own[0] >= 0.0 && own[1] >= 0.0 && own[2] <= width && own[3] <= height;
        assert!(inside, "{what}: '{words}' is cut off: {own:?} of {width} x {height}");
        for (other, others) in &texts[place + 1..] {
            // Boxes have some air above and below the letters.
            let air = (own[3] - own[1]) * 0.2;
            let apart = own[2] <= other[0]
                || other[2] <= own[0]
                || own[3] - air <= other[1]
                || other[3] - air <= own[1];
            assert!(apart, "{what}: '{words}' overlaps '{others}': {own:?} {other:?}");
        }
    }
}

fn two_zones() -> Day {
    let zones = vec![
        zone("hall", "Hall", Fahrenheit, (68.0, 72.0), 2.0),
        zone("office", "Staff office with a long & <odd> name", Fahrenheit, (68.0, 74.0), 4.0),
    ];
    let asks = vec![(at(9, 0), 1, "clerk", Request::Setpoint(Side::Heat, 71.0))];
    make(Wish { unit: Fahrenheit, sensor_offset: 1.0, asks, ..Wish::new(zones) })
}

fn off_all_day() -> Day {
    make(Wish { asks: vec![(0, 0, "caretaker", Request::Power(Power::Off))], ..library() })
}

fn days(days: i64, minutes: i64) -> Day {
    make(Wish { days, step: Seconds::minutes(minutes), ..library() })
}

fn without_rows() -> Day {
    let mut day = make(library());
    day.rows.clear();
    day.ledger.clear();
    day
}

#[test]
fn every_word_of_every_kind_of_chart_can_be_read() {
    let cases = vec![
        ("day", make(library())),
        ("no requests", make(Wish { asks: Vec::new(), ..library() })),
        ("500 requests", make(restless(500))),
        ("off all day", off_all_day()),
        ("two zones in F", two_zones()),
        ("no rows", without_rows()),
        ("2 days", days(2, 5)),
        ("3 days", days(3, 5)),
        ("7 days", days(7, 10)),
        ("25 days", days(25, 10)),
        ("60 days", days(60, 30)),
        ("366 days", days(366, 60)),
        ("4 zones", make(office(4))),
        ("64 zones", make(office(64))),
        ("8 zones, 10 days", make(Wish { days: 10, step: Seconds::minutes(10), ..office(8) })),
        ("5 zones, 366 days", make(Wish { days: 366, step: Seconds::hours(1), ..office(5) })),
    ];
    for (what, day) in &cases {
        for width in [480, 800, 1200, 2000] {
            let svg = day_svg(&day.run(), width).expect("drawn");
            assert_readable(&svg, &format!("{what}, {width} px"));
        }
    }
}

#[test]
fn each_request_has_its_mark_and_its_look() {
    let mut wish = library();
    let locked = &mut wish.zones[0].controls.settings;
    locked.key_locks = vec![setband::control::KeyLocks::new(&[LockableKey::Power], true)];
    wish.asks = vec![
        (at(8, 0), 0, "desk", Request::Setpoint(Side::Heat, 19.0)),
        (at(9, 0), 0, "desk", Request::Setpoint(Side::Heat, 21.5)),
        (at(12, 0), 0, "desk", Request::Setpoint(Side::Cool, 30.0)),
        (at(15, 0), 0, "desk", Request::Press(Key::Power)),
    ];
    let svg = day_svg(&make(wish).run(), 1000).expect("drawn");
    let marks = layer(&svg, "requests");
    // One shape each, and half a shape more for the limited one.
    assert_eq!(count(&marks, "<polygon"), 5);
    // A white ground and an outline each, and a bar for the refused one.
    assert_eq!(count(&marks, "<polyline"), 9);
    // Two are filled in the colour of the heat edge, one is half filled in that of the cool edge.
    assert_eq!(count(&marks, "fill=\"#D55E00\""), 2);
    assert_eq!(count(&marks, "fill=\"#0072B2\""), 1);
    assert_eq!(count(&marks, "fill=\"#FFFFFF\""), 2);
    assert_eq!(count(&layer(&svg, "links"), "<polyline"), 1, "one push, one link");
}

#[test]
fn five_hundred_requests_do_not_swell_the_picture() {
    let svg = day_svg(&make(restless(500)).run(), 1000).expect("drawn");
    assert!(count(&layer(&svg, "requests"), "<polygon") > 400);
    assert!(svg.len() < 400_000, "{} bytes", svg.len());
}

#[test]
fn a_year_stays_small() {
    let year = day_svg(&days(366, 10).run(), 1000).expect("drawn").len();
    assert!(year < 200_000, "{year} bytes");
}

#[test]
fn cooling_is_hatched_and_heating_is_solid() {
    let svg = day_svg(&make(library()).run(), 1000).expect("drawn");
    let (heating, cooling) = (layer(&svg, "heating"), layer(&svg, "cooling"));
    assert!(heating.contains("<rect") && !heating.contains("<polyline"));
    let hatch = cooling.split("<polyline").max_by_key(|part| part.len()).expect("a hatch");
    assert!(count(hatch, ",") > 50, "a hatch is one line with many corners");
    let winter = make(Wish { outdoor: -8.0, gains: 0.0, asks: Vec::new(), ..library() });
    let svg = day_svg(&winter.run(), 1000).expect("drawn");
    assert!(layer(&svg, "cooling").is_empty());
}

#[test]
fn the_figures_at_the_ends_are_those_of_the_summary() {
    let day = make(library());
    let svg = day_svg(&day.run(), 1000).expect("drawn");
    let totals = layer(&svg, "totals");
    assert!(totals.contains("2 changeovers"), "{totals}");
    assert_eq!(day.summary.zones[0].1.changeovers, 2);
    assert_eq!(count(&layer(&svg, "changeovers"), "<polyline"), 4, "a tick and its ground each");
    assert!(totals.contains(&format!("{:.2} kWh", day.summary.energy.total_kwh)), "{totals}");
}

#[test]
fn power_off_all_day_leaves_the_ribbon_blank() {
    let svg = day_svg(&off_all_day().run(), 1000).expect("drawn");
    for name in ["idle", "heating", "cooling", "waiting", "changeovers"] {
        assert!(layer(&svg, name).is_empty(), "{name}");
    }
    assert!(layer(&svg, "ribbon-words").contains("off"));
}

#[test]
fn night_is_shaded_only_where_the_site_is_known() {
    let svg = |site| {
        let day = make(Wish { site, ..library() });
        day_svg(&day.run(), 1000).expect("drawn")
    };
    assert!(layer(&svg(None), "night").is_empty());
    let known = setband::weather::Site { latitude: 45.0, longitude: 0.0, utc_offset: 0.0 };
    assert_eq!(count(&layer(&svg(Some(known)), "night"), "<rect"), 4, "two ends, two panels");
}

#[test]
fn a_group_shows_its_owner_its_direction_and_who_starves() {
    let day = make(office(20));
    let view =
        StripsView { one_direction: true, owner: Some(ZoneIndex::new(0)), ..StripsView::default() };
    let svg = group_svg(&day.run(), 1000, &view).expect("drawn");
    let names = layer(&svg, "zone-name");
    assert_eq!(count(&names, "<text"), 20);
    assert_eq!(count(&names, "<line") + count(&names, "<polyline"), 1, "one name is underlined");
    assert!(count(&layer(&svg, "group-direction"), "<rect") >= 2);
    let starves = |place: usize| day.summary.zones[place].1.starved_hours > 0.0;
    assert!((0..20).any(starves), "the case must have a starved zone");
    assert!(!layer(&svg, "starved").is_empty());
    assert_readable(&svg, "group");

    let worst = StripsView { order: ZoneOrder::WorstFirst, ..view };
    let svg = group_svg(&day.run(), 1000, &worst).expect("drawn");
    let most = (0..20)
        .max_by(|a, b| {
            let hours = |place: &usize| day.summary.zones[*place].1.starved_hours;
            hours(a).total_cmp(&hours(b))
        })
        .expect("zones");
    let first = layer(&svg, "zone-name").lines().nth(2).expect("a name").trim().to_owned();
    assert_eq!(first, day.model.zones[most].label);
}

#[test]
fn the_same_run_gives_the_same_bytes() {
    let draw = || day_svg(&make(library()).run(), 1000).expect("drawn");
    assert_eq!(draw(), draw());
    assert_eq!(png(&draw()).expect("rendered"), png(&draw()).expect("rendered"));
}

#[test]
fn the_picture_has_its_words_too() {
    // Without its font database the renderer drops every word in silence.
    let svg = day_svg(&make(library()).run(), 800).expect("drawn");
    let mut bare = String::new();
    for (place, part) in svg.split("<text").enumerate() {
        let kept = if place == 0 { part } else { part.split_once("</text>").expect("closed").1 };
        bare.push_str(kept);
    }
    let (with, without) = (png(&svg).expect("rendered"), png(&bare).expect("rendered"));
    assert!(with.starts_with(b"\x89PNG"));
    assert!(with.len() > without.len() + 5_000, "{} against {}", with.len(), without.len());
}

#[test]
fn what_is_no_svg_is_an_error() {
    assert!(matches!(png("not a picture"), Err(ChartFault::Svg(_))));
}

#[test]
fn names_cannot_break_the_document() {
    let mut day = make(library());
    day.model.title = "A <b>bold</b> & \"quoted\" title\u{7}".into();
    let svg = day_svg(&day.run(), 800).expect("drawn");
    assert!(png(&svg).is_ok());
    assert!(!svg.contains("<b>") && !svg.contains('\u{7}'));
}

#[test]
fn celsius_and_fahrenheit_are_told_apart() {
    let zones = vec![zone("hall", "Hall", Celsius, (20.0, 24.0), 1.0)];
    let svg = day_svg(&make(Wish::new(zones)).run(), 800).expect("drawn");
    assert!(layer(&svg, "scale").contains("°C"));
    let svg = day_svg(&two_zones().run(), 800).expect("drawn");
    assert!(layer(&svg, "scale").contains("°F"));
}
