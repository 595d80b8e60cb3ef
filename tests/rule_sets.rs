//! The same class under each of the eight rule sets: what `safety` says of its time and temperature.

use crate::documents::demo;
use benchroll::finding::Located;
use benchroll::output::safety_tables::times;
use benchroll::output::text::{Screen, wrap};
use benchroll::reckon::safety::judge::Verdict;
use benchroll::reckon::safety::rule_sets::RULE_SETS;
use benchroll::reckon::safety::{Safety, safety};
use std::collections::BTreeMap;

/// The demo class by one rule set; its plan stays the same.
fn under(id: &str) -> Safety {
    let desk = demo::desk();
    let mut course = desk.course.clone();
    course.settings.rule_set = Some(Located::assumed(id.to_owned()));
    safety(&course, desk.class, Some(desk.plan)).0
}

fn said(found: &Safety) -> String {
    let screen = Screen { width: 80, ..Screen::default() };
    let (tables, reasons) = times(found);
    let mut all: Vec<String> = tables.iter().map(|t| t.to_text(screen)).collect();
    for (n, reason) in reasons.iter().enumerate() {
        all.push(wrap(&format!("{} {reason}", n + 1), 80).join("\n"));
    }
    all.join("\n")
}

/// Printed whole, so that a person can read what each set says; each is another answer.
#[test]
fn eight_rule_sets_give_eight_answers_on_one_class() {
    let answers: Vec<(&str, String)> = RULE_SETS.iter().map(|s| (s.id, said(&under(s.id)))).collect();
    for (n, (id, answer)) in answers.iter().enumerate() {
        assert!(answer.lines().all(|line| line.chars().count() <= 80), "{id}\n{answer}");
        assert!(answers[..n].iter().all(|(_, other)| other != answer), "{id} says what another set says");
    }
    let all: Vec<String> = answers.into_iter().map(|(id, answer)| format!("# {id}\n\n{answer}")).collect();
    insta::assert_snapshot!("by_rule_set", all.join("\n\n"));
}

/// The nut filling of the crown by each set that knows a figure. It is cooked on Friday, cold at once, spread on Saturday and
/// waits in the crown until its bake. By hand from the rows: England has no figure for handling (`uk-chill-handling`);
/// Australia throws away what was out for four hours or more in all (`au-2h4h`); the US code asks for a written plan up to
/// four hours, and a fifth and sixth only from the cold and never above 21 degC (`us-tphc-4h`, `us-tphc-6h`): the proofer is
/// warmer; a household has two hours (`us-consumer-2h`); Codex, New Zealand warn from memory.
#[test]
fn the_crown_s_filling_is_judged_by_each_set_by_its_own_rule() {
    let filling = |id: &str| {
        let found = under(id);
        let one = found
            .exposures
            .iter()
            .find(|e| e.lesson.as_str() == "walnut-crown" && e.part.as_str() == "filling")
            .unwrap()
            .clone();
        (one.judged.verdict, one.judged.row, one.out.map(|o| o.minutes.get()))
    };
    let verdicts: BTreeMap<&str, (Verdict, &str)> = RULE_SETS
        .iter()
        .map(|s| {
            let (verdict, row, _) = filling(s.id);
            (s.id, (verdict, row))
        })
        .collect();
    assert_eq!(verdicts["uk-england-2013"], (Verdict::Warn, "uk-chill-handling"));
    assert_eq!(verdicts["eu-852-2004"], (Verdict::Unknown, "eu-cold-chain"));
    // Out for so long that every set with a figure that decides condemns it.
    let (_, _, out) = filling("au-322");
    assert!(out.unwrap() >= 240, "{out:?}");
    assert_eq!(verdicts["au-322"].0, Verdict::Over);
    assert_eq!(verdicts["us-foodcode-2022"].0, Verdict::Over);
    assert_eq!(verdicts["us-consumer"], (Verdict::Over, "us-consumer-2h"));
    assert_eq!(verdicts["nz-fcp"].0, Verdict::Warn);
    assert_eq!(verdicts["codex-who"].0, Verdict::Warn);
}
