use super::*;

/// Each step of each lesson.
fn all_steps() -> Vec<(&'static str, usize, Asked)> {
    let mut all = Vec::new();
    for (id, text, ..) in LESSONS {
        for step in 0..parse(text).expect("a lesson").steps.len() {
            let asked = Asked::new(id, step);
            all.push((*id, step, asked.unwrap_or_else(|why| panic!("{id} {step}: {why:?}"))));
        }
    }
    all
}

/// Choices can be told apart, none is longer than others by more than numbers are, and the right one
/// stands now here and now there.
#[test]
fn choices_are_runs_of_one_shape_that_do_not_give_themselves_away() {
    assert!(LESSONS.len() >= 9);
    let mut places = [0; 5];
    let (mut longest, mut all) = (0, 0);
    for (id, step, asked) in all_steps() {
        let words: Vec<&str> = asked.choices.iter().map(|it| it.told.words.as_str()).collect();
        assert!((3..=5).contains(&words.len()), "{id} {step}: {words:?}");
        let mut apart = words.clone();
        apart.sort_unstable();
        apart.dedup();
        assert_eq!(apart.len(), words.len(), "{id} {step}: {words:?}");
        let length = |at: usize| words[at].len();
        let right = asked.place();
        let others: Vec<usize> = (0..words.len()).filter(|at| *at != right).collect();
        longest += usize::from(others.iter().all(|at| length(*at) < length(right)));
        places[right] += 1;
        all += 1;
        assert!(!asked.because().is_empty() && !asked.step.premise.is_empty(), "{id} {step}");
    }
    assert!(longest * 3 <= all, "the longest choice is right in {longest} of {all}");
    assert!(places.iter().filter(|it| **it > 0).count() >= 3, "{places:?}");
    assert!(places.iter().all(|it| it * 3 <= all * 2), "{places:?}");
}

/// Played right, wrong and without an answer.
#[test]
fn each_choice_of_each_step_is_answered_with_the_run_that_shows_it() {
    for (id, step, asked) in all_steps() {
        let right = asked.place();
        for chosen in (0..asked.choices.len()).map(Some).chain([None]) {
            let answered = Answered { id: id.into(), step, chosen, beside: None, width: Some(600) };
            let revealed = reveal(&answered).expect("an answer");
            assert_eq!(revealed.right, chosen == Some(right), "{id} {step} {chosen:?}");
            assert_eq!(revealed.place, right);
            assert_eq!(revealed.answer, asked.choices[right].told.words);
            let wrong = chosen.filter(|at| *at != right);
            assert_eq!(revealed.beside.as_ref().map(|it| it.place), wrong, "{id} {step}");
            if let Some(beside) = &revealed.beside {
                assert_eq!(beside.answer, asked.choices[beside.place].told.words);
                assert_eq!(Some(&beside.condition), revealed.conditions[beside.place].as_ref());
                assert_ne!(beside.chart, revealed.chart, "{id} {step}: another day");
            }
            let last = step + 1 == asked.lesson.steps.len();
            assert_eq!(revealed.learned.is_some(), last, "{id} {step}");
        }
    }
}

/// What is shown before the answer holds nothing of what comes after.
#[test]
fn premises_are_drawn_and_the_answer_is_not() {
    for (id, step, asked) in all_steps() {
        let wanted = Wanted { id: id.into(), step, width: Some(700) };
        let posed = pose(&wanted).expect("a question");
        for name in ["Heat setpoint", "Cool setpoint", "Kept apart", "Limits", "Outdoors"] {
            assert!(posed.premises.iter().any(|(it, _)| it == name), "{id} {step}: {name}");
        }
        for layer in ["ahead", "outdoor", "heat-setpoint", "cool-setpoint", "room"] {
            assert!(posed.chart.contains(&format!("class=\"{layer}\"")), "{id} {step}: {layer}");
        }
        let until = asked.until().expect("a time").get();
        for part in posed.chart.split("data-at=\"").skip(1) {
            let at: i64 = part.split('"').next().expect("a time").parse().expect("a number");
            assert!(at < until, "{id} {step}: a request of {at} is shown at {until}");
        }
        assert_eq!(
            posed.strips.len(),
            if asked.right.study().base.zones.len() > 1 { 3 } else { 0 }
        );
    }
}

#[test]
fn what_is_not_there_is_refused() {
    let posed = |id: &str, step| pose(&Wanted { id: id.into(), step, width: None }).err();
    assert!(posed("no such", 0).is_some() && posed("the_ratchet", 99).is_some());
    let beyond = Answered {
        id: "the_ratchet".into(),
        step: 0,
        chosen: Some(77),
        beside: Some(78),
        width: None,
    };
    let revealed = reveal(&beyond).expect("an answer");
    assert!(!revealed.right && revealed.beside.is_none());
}
