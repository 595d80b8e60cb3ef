#![allow(clippy::unwrap_used)]
use super::*;
use crate::course::{Avoidance, StationNo};
use crate::finding::Level;
use crate::reckon::class::seat;
use crate::reckon::sample::{at, avoiding, course, g, mixer, roll};
use crate::reckon::scale::portions;
use proptest::prelude::*;

fn found(c: &Course, lesson: usize, part: &str) -> (Vec<Split>, Vec<Finding>) {
    let (recipes, none) = Recipes::of(c);
    assert_eq!(none, []);
    let class = seat(c, None).0;
    splits(c, &recipes, &portions(c, &class), &c.lessons[lesson], &part.into())
}

/// Stations of each batch; stages and spare as 0.
fn who(split: &Split) -> Vec<Vec<u32>> {
    let no = |w: &Whom| match w {
        Whom::Station(StationNo(n)) => *n,
        _ => 0,
    };
    split.batches.iter().map(|b| b.members.iter().map(|(w, _)| no(w)).collect()).collect()
}

fn vessels(split: &Split) -> Vec<Vec<String>> {
    let of = |b: &Batch| match &b.vessel {
        Vessel::Mixers(m) => m.iter().map(|x| x.to_string()).collect(),
        Vessel::ByHand => vec!["by hand".to_owned()],
        Vessel::Other => vec![],
    };
    split.batches.iter().map(of).collect()
}

fn codes(findings: &[Finding]) -> Vec<(Level, &'static str)> {
    findings.iter().map(|f| (f.level, f.code.0)).collect()
}

/// Rich dough: 1000 g a station and a stage of 500 g. Four small mixers carry 1100 g, one large 1300 to 3200 g.
#[test]
fn few_mixes_come_first_and_other_good_ways_are_kept() {
    let (all, findings) = found(&course(), 0, "dough");
    assert_eq!(findings, []);
    // Three mixes in two rounds; 7 x 1000 g would want three in the large one, one after another.
    assert_eq!(who(&all[0]), [vec![1, 2, 3], vec![4], vec![5, 6, 0]]);
    assert_eq!(vessels(&all[0]), [["large"], ["small"], ["large"]]);
    assert!(all[0].batches[1].why.contains("1000 g of the 1100 g that small carries of rich dough"));
    assert!(all[0].batches[1].why.contains("below the 1300 g that the hook of large catches"));
    // All at one time: four small and the large.
    assert!(all.iter().any(|s| who(s) == [vec![1], vec![2], vec![3], vec![4], vec![5, 6, 0]]));
    // The large one left alone; and the stage by itself.
    assert!(all.iter().any(|s| vessels(s).iter().all(|v| v == &["small"])));
    assert!(all.iter().any(|s| who(s).last() == Some(&vec![0])));
    assert!(all.len() <= MOST_SPLITS);
}

#[test]
fn a_stage_that_must_be_ready_first_is_mixed_first() {
    let mut c = course();
    let show = c.lessons[0].steps.iter().position(|s| s.demo).unwrap();
    let show = c.lessons[0].steps.remove(show);
    c.lessons[0].steps.insert(0, show);
    c.lessons[0].steps.iter_mut().find(|s| s.id.value.as_str() == "mix").unwrap().after =
        vec![at("show".into())];
    let (all, _) = found(&c, 0, "dough");
    assert!(all.iter().all(|s| who(s).contains(&vec![0])));
}

#[test]
fn a_batch_holds_one_variant_and_only_where_it_changes_the_part() {
    let mut c = course();
    c.roll[2] = avoiding("A", "egg", Avoidance::Choice);
    c.roll[6] = avoiding("B", "hazelnut", Avoidance::Allergy);
    let class = seat(&c, None).0;
    let no = |v: &str| {
        class.stations.iter().position(|s| s.variants.values().any(|x| x.as_str() == v)).unwrap() as u32 + 1
    };
    let (egg_free, nut_free) = (no("egg-free"), no("nut-free"));
    let (dough, _) = found(&c, 0, "dough");
    for split in &dough {
        let own = split.batches.iter().find(|b| b.variant == Some("egg-free".into())).unwrap();
        assert_eq!(own.members, [(Whom::Station(StationNo(egg_free)), g("1000"))]);
        // A nut-free filling leaves the dough as it is.
        assert!(split.batches.iter().all(|b| b.variant != Some("nut-free".into())));
    }
    let (filling, _) = found(&c, 0, "filling");
    let batches = &filling[0].batches;
    assert_eq!(filling.len(), 1);
    let own = batches.iter().find(|b| b.variant == Some("nut-free".into())).unwrap();
    assert_eq!(
        own.members.iter().map(|m| m.0.clone()).collect::<Vec<_>>(),
        [Whom::Station(StationNo(nut_free))]
    );
    assert_eq!(batches.len(), 2);
}

#[test]
fn what_no_hook_catches_goes_to_a_smaller_bowl_or_is_made_by_hand() {
    // Six buns at a station that mixes alone are 360 g, below 400 g.
    let mut c = course();
    c.lessons[1].steps[0].share = Some(at(1));
    let (all, findings) = found(&c, 1, "dough");
    assert_eq!(vessels(&all[0]), vec![vec!["by hand"]; 6]);
    assert_eq!(
        all[0].batches[0].why,
        "360 g: below the 400 g that the hook of small catches, below the 1300 g that the hook of large catches; by hand"
    );
    assert_eq!(codes(&findings), vec![(Level::Note, "made-by-hand"); 6]);
    c.lessons[1].steps[0].by_hand = None;
    assert_eq!(codes(&found(&c, 1, "dough").1), vec![(Level::Warning, "no-time-by-hand"); 6]);
    c.kitchen.mixers.push(mixer("tiny", 1, 3, 500, 500, 200));
    assert_eq!(vessels(&found(&c, 1, "dough").0[0]), vec![vec!["tiny"]; 6]);
    // Shared, they are enough for the hook, and nothing is done by hand.
    c.kitchen.mixers.pop();
    c.lessons[1].steps[0].share = Some(at(3));
    assert_eq!(who(&found(&c, 1, "dough").0[0]), [[1, 2, 3], [4, 5, 6]]);
}

#[test]
fn one_large_mixer_fewer_changes_the_batches_and_says_why() {
    let mut c = course();
    c.kitchen.mixers.pop();
    let (all, _) = found(&c, 0, "dough");
    assert_eq!(all[0].batches.len(), 7);
    assert_eq!(all[0].batches[0].why, "1000 g of the 1100 g that small carries of rich dough");
}

#[test]
fn what_no_bowl_carries_is_an_error_with_the_least_bad_way() {
    let mut c = course();
    c.kitchen.mixers = vec![mixer("small", 1, 5, 900, 900, 100)];
    let (all, findings) = found(&c, 0, "dough");
    assert!(codes(&findings).contains(&(Level::Error, "no-bowl-carries-it")));
    assert_eq!(vessels(&all[0])[0], ["small"]);
}

#[test]
fn a_mixer_is_read_as_it_is_written() {
    let mut c = course();
    // No limit for rich dough: 190 g to the litre, the least of makers' charts (row `mix-20b`).
    c.kitchen.mixers = vec![mixer("pot", 1, 5, 0, 0, 100)];
    c.kitchen.mixers[0].limit.clear();
    let (all, findings) = found(&c, 0, "dough");
    assert_eq!(codes(&findings)[0], (Level::Warning, "mixer-limit-unknown"));
    // A station's 1000 g may be too much: told, and no error while nobody knows.
    assert_eq!(codes(&findings)[1..], [(Level::Warning, "no-bowl-carries-it"); 6]);
    assert!(all[0].batches[0].why.contains("the 950 g that pot is taken to carry of rich dough"));
    // What is written is no more than the bowl holds, 1.197 g to each cm3 of it (row `dens-mixed`).
    c.kitchen.mixers = vec![mixer("pot", 1, 5, 9000, 9000, 100)];
    let (all, findings) = found(&c, 0, "dough");
    assert_eq!(findings, []);
    assert!(all[0].batches[0].why.contains("of the 5985 g that pot holds"), "{}", all[0].batches[0].why);
    // A limit for lean dough alone: a third of it is taken, or what the bowl's size gives, whichever is less.
    c.kitchen.mixers[0].limit = vec![(DoughClass::Lean, at(g("2170")))];
    let mut none = Vec::new();
    assert_eq!(bowls(&c, DoughClass::Rich, &mut none)[0].most, g("723.333"));
    assert_eq!(bowls(&c, DoughClass::Lean, &mut none)[0].most, g("2170"));
    c.kitchen.mixers[0].limit = vec![(DoughClass::Lean, at(g("5700")))];
    assert_eq!(bowls(&c, DoughClass::Rich, &mut none)[0].most, g("950"));
    // Lean dough without a limit of its own takes that of enriched dough.
    c.kitchen.mixers = vec![mixer("pot", 1, 5, 1100, 1500, 100)];
    let mut none = Vec::new();
    assert_eq!(bowls(&c, DoughClass::Lean, &mut none)[0].most, g("1500"));
    c.kitchen.mixers[0].least = Some(at(g("2000")));
    let (_, findings) = found(&c, 0, "dough");
    assert!(codes(&findings).contains(&(Level::Warning, "mixer-carries-no-batch")));
    c.kitchen.mixers.clear();
    let (all, findings) = found(&c, 0, "dough");
    assert!(codes(&findings).contains(&(Level::Note, "no-mixer")));
    assert_eq!(who(&all[0])[0], [1]);
}

/// Row `mix-min` (common practice): a hook wants 30 % of the most. Noted where nobody wrote what it catches, and only there.
#[test]
fn a_batch_that_a_hook_may_not_catch_is_noted() {
    let mut c = course();
    c.lessons[1].steps[0].share = Some(at(1));
    // Six buns of a station are 360 g.
    let told = |c: &Course| {
        let (all, findings) = found(c, 1, "dough");
        assert!(vessels(&all[0]).iter().all(|v| v == &["pot"]));
        codes(&findings)
    };
    c.kitchen.mixers = vec![mixer("pot", 1, 5, 1200, 1200, 0)];
    c.kitchen.mixers[0].least = None;
    assert_eq!(told(&c), []);
    c.kitchen.mixers[0].limit = vec![(DoughClass::Rich, at(g("1201")))];
    assert_eq!(told(&c), [(Level::Note, "hook-may-not-catch"); 6]);
    c.kitchen.mixers[0].least = Some(at(g("300")));
    assert_eq!(told(&c), []);
}

#[test]
fn no_less_is_made_than_can_be_made() {
    let mut c = course();
    c.roll = roll(1);
    // 8 % of the flour of 1.5 crowns is scalded: far less than the 200 g that can be made, which are 200 / 0.94 to weigh.
    let (all, _) = found(&c, 0, "scald");
    let batch = &all[0].batches[0];
    assert_eq!(batch.grams, g("212.766"));
    let weighed: Grams = batch.members.iter().map(|m| m.1).sum();
    assert!(weighed < g("212.766") && batch.why.starts_with("less cannot be made"));
}

/// Rows `mix-20` (Metcalfe MP20 manual, p. 8) and `mix-10` (Metcalfe 5MP10 manual, p. 10): doughnut class, the nearest to enriched
/// dough (row `mix-recipes`), 4.0 kg in 20 litres and 2.0 kg in 10.
#[test]
fn published_mixer_limits_decide_the_number_of_mixes() {
    let mut c = course();
    c.lessons[0].steps.iter_mut().find(|s| s.id.value.as_str() == "mix").unwrap().share = None;
    c.lessons[0].steps.retain(|s| !s.demo);
    // Six stations of 1000 g.
    c.kitchen.mixers = vec![mixer("l20", 1, 20, 4000, 4000, 0)];
    assert_eq!(found(&c, 0, "dough").0[0].batches.len(), 2);
    c.kitchen.mixers = vec![mixer("l10", 1, 10, 2000, 2000, 0)];
    assert_eq!(found(&c, 0, "dough").0[0].batches.len(), 3);
}

proptest! {
    /// Everyone is in one batch, with what they need; no bowl is overloaded; the fewest mixes that brute force finds.
    #[test]
    fn splits_hold_everyone_once(n in 1usize..13, small in 900i64..2500, large in 2500i64..6000, least in 300i64..900, share in 1u32..5) {
        let mut c = course();
        c.roll = roll(n);
        c.lessons[0].steps.iter_mut().find(|s| s.id.value.as_str() == "mix").unwrap().share = Some(at(share));
        c.kitchen.mixers = vec![mixer("small", 2, 5, small, small, least), mixer("large", 1, 20, large, large, 1000)];
        let class = seat(&c, None).0;
        let need: Vec<(Whom, Grams)> = portions(&c, &class).iter().filter(|p| p.lesson.as_str() == "crown" && p.part.as_str() == "dough").map(|p| (p.whom.clone(), p.weighed)).collect();
        let (all, findings) = found(&c, 0, "dough");
        prop_assert!(!all.is_empty() && all.len() <= MOST_SPLITS);
        for split in &all {
            let mut members: Vec<(Whom, Grams)> = split.batches.iter().flat_map(|b| b.members.clone()).collect();
            members.sort_by(|a, b| a.0.cmp(&b.0));
            prop_assert_eq!(&members, &need);
            for (i, b) in split.batches.iter().enumerate() {
                prop_assert_eq!(b.no as usize, i + 1);
                prop_assert_eq!(b.members.iter().map(|m| m.1).sum::<Grams>(), b.grams);
                let stations = b.members.iter().filter(|m| matches!(m.0, Whom::Station(_))).count();
                prop_assert!(stations <= share as usize);
                if let Vessel::Mixers(kinds) = &b.vessel {
                    for kind in kinds {
                        let (most, at_least) = if kind.as_str() == "small" { (small, least) } else { (large, 1000) };
                        let over = b.grams > Grams::whole(most);
                        prop_assert!(!over || findings.iter().any(|f| f.code.0 == "no-bowl-carries-it"));
                        prop_assert!(b.grams >= Grams::whole(at_least));
                    }
                }
            }
        }
        // Brute force over every way to cut the row.
        let fits = |r: &[(Whom, Grams)]| {
            let sum: Grams = r.iter().map(|m| m.1).sum();
            let stations = r.iter().filter(|m| matches!(m.0, Whom::Station(_))).count();
            stations <= share as usize && [(small, least), (large, 1000)].iter().any(|(m, l)| sum <= Grams::whole(*m) && sum >= Grams::whole(*l))
        };
        let fewest = (0u32..1 << (need.len() - 1)).filter_map(|bits| {
            let mut groups = Vec::new();
            let mut from = 0;
            for i in 0..need.len() {
                if i + 1 == need.len() || bits & (1 << i) != 0 {
                    groups.push(&need[from..=i]);
                    from = i + 1;
                }
            }
            groups.iter().all(|g| fits(g)).then_some(groups.len())
        }).min();
        if let Some(fewest) = fewest {
            prop_assert_eq!(all[0].batches.len(), fewest);
        }
    }
}
