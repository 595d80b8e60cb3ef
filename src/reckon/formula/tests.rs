#![allow(clippy::unwrap_used)]
use super::build::{dec, formula, g, line, pantry, part, pc, scalded_dough};
use super::*;
use crate::course::*;
use crate::finding::Located;
use proptest::prelude::*;

fn shares(formula: &Formula) -> Proportions {
    Proportions::of(formula, &pantry()).unwrap()
}

fn codes(formula: &Formula) -> Vec<&'static str> {
    Proportions::of(formula, &pantry()).unwrap_err().iter().map(|f| f.code.0).collect()
}

fn dough() -> PartId {
    "dough".into()
}

/// Every figure of the example at the top of `formula.rs`, worked by hand there.
#[test]
fn the_example_worked_by_hand() {
    let p = shares(&scalded_dough());
    let scald = p.part(&"scald".into()).unwrap();
    assert_eq!((scald.weighed, scald.used, scald.flour), (dec("400"), dec("380"), dec("100")));
    let d = p.part(&dough()).unwrap();
    assert_eq!((d.weighed, d.used, d.flour), (dec("180"), dec("176.4"), dec("100")));
    assert_eq!(d.lines[0].per_basis, dec("38"));

    let overall = p.overall(&dough()).unwrap();
    let lines: Vec<(&str, Percent)> = overall.lines.iter().map(|l| (l.item.as_str(), l.percent)).collect();
    assert_eq!(
        lines,
        [
            ("strong-flour", pc("100")),
            ("milk", pc("30")),
            ("eggs", pc("20")),
            ("sugar", pc("10")),
            ("salt", pc("2")),
            ("butter", pc("20")),
        ]
    );
    assert_eq!((overall.total, overall.lost_inside), (pc("182"), pc("2")));
    assert_eq!(overall.flour_inside, [("scald".into(), pc("10"))]);

    let a = p.for_used(&dough(), g("1764")).unwrap();
    assert_eq!((a.weighed, a.used, a.lost()), (g("1800"), g("1764"), g("36")));
    let grams: Vec<Grams> = a.lines.iter().map(|l| l.1).collect();
    assert_eq!(grams, [g("380"), g("900"), g("200"), g("100"), g("20"), g("200")]);
    let scald = &a.inner[0];
    assert_eq!((scald.weighed, scald.used, scald.surplus()), (g("400"), g("380"), Grams::ZERO));
    assert_eq!(scald.lines[0].1, g("100"));
    assert_eq!(scald.lines[1].1, g("300"));
    let items = a.items();
    assert_eq!(items[&"strong-flour".into()], g("1000"));
    assert_eq!(items.values().sum::<Grams>(), g("1820"));
    assert_eq!(items.values().sum::<Grams>(), a.weighed + a.beyond_weighed());
}

#[test]
fn a_plain_per_cent_of_a_part_is_its_mass_as_used() {
    let mut f = scalded_dough();
    f.parts[1].of[0] = line("@scald", "38");
    assert_eq!(shares(&f), shares(&scalded_dough()));
}

#[test]
fn the_order_of_the_parts_in_the_file_does_not_matter() {
    let mut f = scalded_dough();
    f.parts.reverse();
    let a = shares(&f).for_used(&dough(), g("1764")).unwrap();
    assert_eq!(a, shares(&scalded_dough()).for_used(&dough(), g("1764")).unwrap());
}

#[test]
fn least_makes_more_and_names_the_surplus() {
    let mut f = scalded_dough();
    f.parts[0].least = Some(Located::assumed(g("500")));
    let p = shares(&f);
    let a = p.for_least(&dough(), g("1764")).unwrap();
    let scald = &a.inner[0];
    assert_eq!((scald.needed, scald.used, scald.surplus()), (g("380"), g("500"), g("120")));
    assert_eq!(scald.weighed, g("526.316"));
    assert_eq!(a.lines[0].1, g("380"));
    assert_eq!(a.items().values().sum::<Grams>(), a.weighed + a.beyond_weighed());
    // Without it, nothing changes and everything is linear.
    assert_eq!(p.for_used(&dough(), g("1764")).unwrap().inner[0].used, g("380"));
    // Nothing asked for is nothing made.
    assert_eq!(p.for_least(&"scald".into(), Grams::ZERO).unwrap().used, Grams::ZERO);
}

#[test]
fn a_seed_inside_a_starter_inside_a_dough() {
    // Row bp-guild-seed (memory): 10 % seed of 30 % prefermented flour is 3 % of the total flour.
    let f = formula(vec![
        part("seed", Basis::Flour, "0", &[("strong-flour", "100"), ("water", "60")]),
        part("starter", Basis::Flour, "0", &[("@seed", "f10"), ("strong-flour", "90"), ("water", "54")]),
        part("dough", Basis::Flour, "0", &[("@starter", "f30"), ("strong-flour", "70"), ("water", "50")]),
    ]);
    let all = shares(&f).overall(&dough()).unwrap();
    assert_eq!(all.flour_inside, [("starter".into(), pc("30")), ("seed".into(), pc("3.0"))]);
    assert_eq!(all.lines[0].percent, pc("100"));
    assert_eq!(all.lines[1].percent, pc("68"));
}

#[test]
fn filling_by_ratio_to_dough_and_grams_for_each_piece() {
    let mut f = scalded_dough();
    f.parts.push(part("filling", Basis::Whole, "0", &[("nuts", "60"), ("butter", "40")]));
    f.parts.push(part("top", Basis::Piece, "0", &[("sugar", "g3"), ("nuts", "g2")]));
    f.piece.amounts = vec![
        (Located::assumed(dough()), Located::assumed(PieceShare::Grams(g("480")))),
        (Located::assumed("filling".into()), Located::assumed(PieceShare::PercentOfDough(pc("33.33")))),
        (Located::assumed("top".into()), Located::assumed(PieceShare::Grams(g("5")))),
    ];
    let needs = piece_needs(&f, 3);
    assert_eq!(needs, [(dough(), g("1440")), ("filling".into(), g("479.952")), ("top".into(), g("15"))]);
    let p = shares(&f);
    let top = p.for_used(&"top".into(), g("15")).unwrap();
    assert_eq!((top.lines[0].1, top.lines[1].1), (g("9"), g("6")));
    let filling = p.overall(&"filling".into()).unwrap();
    assert!(!filling.by_flour);
    assert_eq!(filling.total, pc("100"));
}

#[test]
fn a_variant_replaces_removes_and_adds_lines_and_nothing_else() {
    let mut f = scalded_dough();
    f.variants.push(Variant {
        id: Located::assumed("egg-free".into()),
        free_from: Vec::new(),
        lines: vec![
            (Located::assumed(dough()), line("eggs", "0")),
            (Located::assumed(dough()), line("butter", "22")),
            (Located::assumed(dough()), line("milk", "17")),
        ],
    });
    let v = with_variant(&f, &"egg-free".into()).unwrap();
    let names: Vec<String> =
        v.part(&dough()).unwrap().of.iter().map(|l| format!("{:?}", l.what.value)).collect();
    assert!(!names.iter().any(|n| n.contains("eggs")));
    assert!(names.last().unwrap().contains("milk"));
    let d = shares(&v);
    assert_eq!(d.part(&dough()).unwrap().weighed, dec("179"));
    assert_eq!(with_variant(&f, &"nut-free".into()), None);
}

#[test]
fn slips_are_findings() {
    let with = |f: &dyn Fn(&mut Formula)| {
        let mut x = scalded_dough();
        f(&mut x);
        codes(&x)
    };
    assert_eq!(with(&|f| f.parts[0].of.push(line("@dough", "5"))), ["circular-parts"]);
    assert_eq!(with(&|f| f.parts[0].of.push(line("@scald", "5"))), ["circular-parts"]);
    assert_eq!(with(&|f| f.parts[1].of[1] = line("strong-flour", "80")), ["flour-not-hundred"]);
    assert_eq!(with(&|f| f.parts[1].of[0] = line("@scald", "f120")), ["preferment-larger-than-dough"]);
    assert_eq!(with(&|f| f.parts[1].of[0] = line("@levain", "f10")), ["unknown-part"]);
    assert_eq!(with(&|f| f.parts[1].of[2] = line("eggs", "f10")), ["share-basis"]);
    assert_eq!(with(&|f| f.parts[1].of[2] = line("eggs", "g10")), ["share-basis"]);
    assert_eq!(with(&|f| f.parts[1].of[2] = line("eggs", "-10")), ["negative-share"]);
    assert_eq!(with(&|f| f.parts[1].of[2] = line("eggs", "10000000")), ["absurd-share"]);
    assert_eq!(with(&|f| f.parts[1].loses = Located::assumed(pc("100"))), ["absurd-loss"]);
    assert_eq!(with(&|f| f.parts[1].of.clear()), ["empty-part"]);
    assert_eq!(with(&|f| f.parts[0].of[0] = line("milk", "100")), ["no-flour"]);
    assert_eq!(
        with(&|f| f.parts.push(part("fill", Basis::Whole, "0", &[("nuts", "60"), ("butter", "30")]))),
        ["whole-not-hundred"]
    );
    // One mistake in an inner part is told once, though the dough cannot be reckoned either.
    assert_eq!(with(&|f| f.parts[0].of[0] = line("strong-flour", "90")), ["flour-not-hundred"]);
}

#[test]
fn parts_lie_only_so_deep_inside_one_another() {
    let mut parts = vec![part("p0", Basis::Whole, "0", &[("water", "100")])];
    for n in 1..=6 {
        let inner = format!("@p{}", n - 1);
        parts.push(part(&format!("p{n}"), Basis::Whole, "0", &[(&inner, "100")]));
    }
    assert_eq!(codes(&formula(parts.clone())), ["parts-too-deep"]);
    parts.pop();
    assert!(Proportions::of(&formula(parts), &pantry()).is_ok());
}

proptest! {
    #[test]
    fn scaling_is_linear_and_everything_adds_up(
        scald in 1u32..40, milk in 50u32..400, eggs in 0u32..60, butter in 0u32..80,
        steam in 0u32..15, bowl in 0u32..6, used in 1i64..40_000_000, times in 1i64..30,
    ) {
        let f = formula(vec![
            part("scald", Basis::Flour, &steam.to_string(), &[("strong-flour", "100"), ("milk", &milk.to_string())]),
            part("dough", Basis::Flour, &bowl.to_string(), &[
                ("@scald", &format!("f{scald}")),
                ("strong-flour", &(100 - scald).to_string()),
                ("eggs", &eggs.to_string()),
                ("butter", &butter.to_string()),
            ]),
        ]);
        let p = shares(&f);
        let one = p.for_used(&dough(), Grams::from_mg(used)).unwrap();
        let many = p.for_used(&dough(), Grams::from_mg(used * times)).unwrap();
        for a in [&one, &many] {
            prop_assert_eq!(a.lines.iter().map(|l| l.1).sum::<Grams>(), a.weighed);
            for i in &a.inner {
                prop_assert_eq!(i.lines.iter().map(|l| l.1).sum::<Grams>(), i.weighed);
                prop_assert_eq!(i.used, a.of(&Ingredient::Part(i.part.clone())));
            }
            prop_assert_eq!(a.items().values().sum::<Grams>(), a.weighed + a.beyond_weighed());
        }
        // Linear: n times the dough needs n times each line, within the milligrams that one batch was rounded by.
        for (a, b) in one.lines.iter().zip(&many.lines) {
            prop_assert!((a.1.mg() * times - b.1.mg()).abs() <= 3 * times + 3);
        }
        // Percentages do not depend on the amount, and the parts make up the overall formula.
        let views = p.views(&dough(), Grams::from_mg(used)).unwrap();
        let flour = one.items()[&ItemId::from("strong-flour")].to_decimal();
        if used > 1_000_000 {
            for (line, grams) in views.overall.lines.iter().zip(&views.overall_grams) {
                let percent = grams.to_decimal() / flour * Decimal::ONE_HUNDRED;
                prop_assert!((percent - line.percent.number()).abs() < dec("0.01"));
            }
        }
        let hundred = Decimal::ONE_HUNDRED;
        let close = |a: Decimal, b: Decimal| (a - b).abs() < dec("0.000000000001");
        prop_assert!(close(views.overall.lines[0].percent.number(), hundred));
        prop_assert!(close(
            (views.overall.total - views.overall.lost_inside).number(),
            p.part(&dough()).unwrap().weighed,
        ));
        for l in &views.overall.lines {
            prop_assert!(close(l.from.iter().map(|f| f.1.number()).sum(), l.percent.number()));
        }
    }

    #[test]
    fn exact_sharing_adds_up(mg in 0i64..90_000_000_000, w in proptest::collection::vec(0u32..100_000, 1..12)) {
        let weights: Vec<Decimal> = w.iter().map(|x| Decimal::new(i64::from(*x), 2)).collect();
        let whole = Grams::from_mg(mg);
        prop_assert_eq!(shared_exactly(whole, &weights).iter().sum::<Grams>(), whole);
    }
}
