//! Predict, then reveal; and find the fault.

use super::Opened;

#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn a_lesson_is_played_from_its_start_to_its_score() {
    let Some(mut opened) = Opened::scenario("reading_room") else { return };
    let page = &mut opened.page;
    page.click("nav [data-view=lessons]");
    page.wait_until("document.querySelector('.lessons a')");
    page.click(".lessons a");
    page.wait_until("document.querySelector('#play')");
    let questions = page.shown("#lessons-view .question");
    assert!(questions >= 3);
    for place in 0..questions {
        page.click(&format!("input[name=question-{place}]"));
    }
    page.click("#play");
    page.wait_until("document.querySelector('#lessons-view .chart svg')");
    // Nothing that is still to come is shown.
    assert_eq!(page.shown("#lessons-view .mark"), 0);
    page.wait_until("document.querySelectorAll('#lessons-view .threshold').length === 2");
    page.picture("serve-lesson-start");
    page.click("#next");
    page.wait_until("document.querySelectorAll('#lessons-view .mark').length === 1");
    assert!(page.text("#played").contains("heat 22"), "{}", page.text("#played"));
    page.click("#next");
    page.wait_until("document.querySelectorAll('#lessons-view .mark').length === 2");
    page.picture("serve-lesson-middle");
    page.click("#to-end");
    page.wait_until("document.querySelector('#score')");
    let score = page.text("#score");
    assert!(score.ends_with(&format!("of {questions} as expected")), "{score}");
    assert_eq!(page.shown(".results li"), questions);
    let right = page.shown(".results .right");
    assert!(score.starts_with(&right.to_string()), "{score}");
    page.click(".results li button");
    page.wait_until("document.querySelector('#lessons-view tr[aria-current=true]')");
    page.picture("serve-lesson-end");
    assert_eq!(page.complaints(), [""; 0]);
}

#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn a_fault_is_looked_for_with_keys_and_found() {
    let Some(mut opened) = Opened::scenario("reading_room") else { return };
    let address = opened.served.address.clone();
    let page = &mut opened.page;
    page.go("about:blank");
    page.go(&format!("{address}#fault=11"));
    page.wait_until("document.querySelector('#fault-view input[name=fault]')");
    page.wait_until("document.querySelector('#fault-view .chart svg')");
    let rows = page.shown("#fault-view .ledger tbody tr");
    page.click("#fault-view [data-key=warmer]");
    page.wait_until(&format!(
        "document.querySelectorAll('#fault-view .ledger tbody tr').length > {rows}"
    ));
    assert_eq!(page.shown("#fault-view td[data-name=Why]"), 0, "reasons are held back");
    let choices = page.shown("#fault-view input[name=fault]");
    let mut wrong = 0;
    for place in 1..=choices {
        page.click(&format!("#fault-view label.choice:nth-of-type({place}) input"));
        page.click("#guess");
        page.wait_until("document.querySelector('#fault-view [role=status]').textContent !== ''");
        page.wait_until(&format!(
            "document.querySelector('#fault-score') || document.querySelector('#fault-view [role=status]').textContent.includes('so far: {}')",
            wrong + 1
        ));
        if page.shown("#fault-score") == 1 {
            break;
        }
        wrong += 1;
    }
    let worth = 10_u64.saturating_sub(3 * wrong);
    assert_eq!(page.text("#fault-score"), format!("Right: {worth} of 10"));
    page.picture("serve-fault");
    assert_eq!(page.complaints(), [""; 0]);
}
