//! Eggs: weighed at the station, counted at home and in the order; what is left over and where it can go.
use crate::course::{Item, ItemKind};
use crate::units::{Grams, Percent};
use rust_decimal::Decimal;

/// A part of an egg, out of its shell.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum EggPart {
    /// White and yolk together.
    Whole,
    /// The white.
    White,
    /// The yolk.
    Yolk,
}

/// US classes of size. In shell by the dozen: 7 Pennsylvania Code 87.42 (`e-us-dozen`); edible: USDA SR28 NDB 01123
/// (`e-edible`).
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum UsSize {
    /// 18 oz the dozen.
    Small,
    /// 21 oz.
    Medium,
    /// 24 oz.
    Large,
    /// 27 oz.
    ExtraLarge,
    /// 30 oz.
    Jumbo,
}

impl UsSize {
    /// The least weight of an egg in its shell: a twelfth of the dozen's.
    pub fn in_shell_at_least(self) -> Grams {
        let ounces = match self {
            UsSize::Small => 18,
            UsSize::Medium => 21,
            UsSize::Large => 24,
            UsSize::ExtraLarge => 27,
            UsSize::Jumbo => 30,
        };
        // 1 oz is 28.349523125 g exactly (row u-oz).
        Grams::from_decimal(Decimal::new(28_349_523_125, 9) * Decimal::from(ounces) / Decimal::from(12))
            .unwrap_or(Grams::ZERO)
    }

    /// One egg out of its shell.
    pub const fn edible(self) -> Grams {
        Grams::whole(match self {
            UsSize::Small => 38,
            UsSize::Medium => 44,
            UsSize::Large => 50,
            UsSize::ExtraLarge => 56,
            UsSize::Jumbo => 63,
        })
    }
}

/// EU and UK classes by weight in shell, the lower edge included (`e-eu-bands`).
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum EuSize {
    /// Below 53 g.
    S,
    /// 53 to 63 g.
    M,
    /// 63 to 73 g.
    L,
    /// 73 g and over.
    Xl,
}

impl EuSize {
    /// The class of an egg by its weight in shell.
    pub fn of(in_shell: Grams) -> EuSize {
        match in_shell {
            g if g < Grams::whole(53) => EuSize::S,
            g if g < Grams::whole(63) => EuSize::M,
            g if g < Grams::whole(73) => EuSize::L,
            _ => EuSize::Xl,
        }
    }

    /// Least and most weight in shell; `None` where the class is open.
    pub const fn in_shell(self) -> (Option<Grams>, Option<Grams>) {
        match self {
            EuSize::S => (None, Some(Grams::whole(53))),
            EuSize::M => (Some(Grams::whole(53)), Some(Grams::whole(63))),
            EuSize::L => (Some(Grams::whole(63)), Some(Grams::whole(73))),
            EuSize::Xl => (Some(Grams::whole(73)), None),
        }
    }

    /// Least and most weight out of the shell, less a shell of 12 % (`e-shell-usda`).
    pub fn edible(self) -> (Option<Grams>, Option<Grams>) {
        let (least, most) = self.in_shell();
        (least.map(without_shell), most.map(without_shell))
    }
}

/// What an egg holds, from its weight in shell: the shell is 12 % (USDA SR28, `e-shell-usda`; others print 8 to 14 %).
pub fn without_shell(in_shell: Grams) -> Grams {
    in_shell.ratio(88, 100)
}

/// The size that a pantry names, as text: `"EU M"`, `"US large"`.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Size {
    /// A US class.
    Us(UsSize),
    /// An EU or UK class.
    Eu(EuSize),
}

impl Size {
    /// Reads a class as the pantry writes it. `None` when it is none of them.
    pub fn named(text: &str) -> Option<Size> {
        let text = text.to_ascii_lowercase();
        let (system, class) = text.split_once(' ')?;
        Some(match (system, class.trim()) {
            ("us", "small") => Size::Us(UsSize::Small),
            ("us", "medium") => Size::Us(UsSize::Medium),
            ("us", "large") => Size::Us(UsSize::Large),
            ("us", "extra large" | "extra-large") => Size::Us(UsSize::ExtraLarge),
            ("us", "jumbo") => Size::Us(UsSize::Jumbo),
            ("eu" | "uk", "s" | "small") => Size::Eu(EuSize::S),
            ("eu" | "uk", "m" | "medium") => Size::Eu(EuSize::M),
            ("eu" | "uk", "l" | "large") => Size::Eu(EuSize::L),
            ("eu" | "uk", "xl") => Size::Eu(EuSize::Xl),
            _ => return None,
        })
    }
}

/// One large egg's white and yolk out of 50.3 g: 34.0 and 17.0 g, the measured means of several hundred (`e-measured`). As
/// shares of a whole egg: white 2/3, yolk 1/3 of white and yolk (`e-liquid-split` prints 67 to 33).
fn part_of(whole: Grams, part: EggPart) -> Grams {
    match part {
        EggPart::Whole => whole,
        EggPart::White => whole.ratio(2, 3),
        EggPart::Yolk => whole.ratio(1, 3),
    }
}

/// One whole egg out of its shell as the pantry states it: `each`, or else what the named size says (US: `e-edible`; EU: the
/// middle of a closed class less the shell). `None` is unknown: an open class, or no size at all.
pub fn one_egg(item: &Item) -> Option<Grams> {
    if let Some(each) = &item.each {
        return (each.value > Grams::ZERO).then_some(each.value);
    }
    match Size::named(item.size.as_ref()?.as_str())? {
        Size::Us(size) => Some(size.edible()),
        Size::Eu(size) => match size.edible() {
            (Some(least), Some(most)) => Some((least + most).ratio(1, 2)),
            _ => None,
        },
    }
}

/// A weight of whole egg as people crack it: `1/4`, `1 1/2`, `4`; in halves up to three, then whole ones. `None`: it is no whole egg, an
/// egg's weight is unknown, or it is less than a sixth of one.
#[must_use]
pub fn about_eggs(item: &Item, grams: Grams) -> Option<String> {
    let one = one_egg(item).filter(|_| item.kind.value == ItemKind::Egg)?;
    let twelfths = (grams.mg() * 24 / one.mg() + 1) / 2;
    let parts = [(3, "1/4"), (4, "1/3"), (6, "1/2"), (8, "2/3"), (9, "3/4")];
    match twelfths {
        ..2 => None,
        2..=10 => {
            let off = |(part, _): &&(i64, &str)| (grams.mg() * 12 - one.mg() * part).abs();
            parts.iter().min_by_key(off).map(|(_, said)| (*said).to_owned())
        }
        11..=38 => {
            let halves = (twelfths + 3) / 6;
            Some(if halves % 2 == 0 { (halves / 2).to_string() } else { format!("{} 1/2", halves / 2) })
        }
        _ => Some(((twelfths + 6) / 12).to_string()),
    }
}

/// How many whole eggs to buy or crack for a weight, and what is left of them.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct EggCount {
    /// Weight needed, out of the shell.
    pub needed: Grams,
    /// Whole eggs.
    pub eggs: i64,
    /// What they hold beyond the need.
    pub surplus: Grams,
}

/// Whole eggs that hold at least `needed`. `None` for an egg of no weight.
pub fn eggs_for(needed: Grams, one: Grams) -> Option<EggCount> {
    if one <= Grams::ZERO {
        return None;
    }
    let held = needed.at_least(Grams::ZERO).up_to_multiple(one);
    Some(EggCount { needed, eggs: held.mg() / one.mg(), surplus: held - needed })
}

/// As [`eggs_for`], with so many more as break (a share of the weight needed).
pub fn eggs_with_breakage(needed: Grams, one: Grams, breakage: Percent) -> Option<EggCount> {
    let with = needed + breakage.of(needed);
    let count = eggs_for(with, one)?;
    Some(EggCount { needed, surplus: count.surplus + (with - needed), ..count })
}

/// How many eggs of another size replace some of this one: by weight out of the shell, to the nearest whole egg, at least one.
pub fn replace(eggs: i64, of: Grams, by: Grams) -> Option<i64> {
    if by <= Grams::ZERO || eggs <= 0 {
        return None;
    }
    Some((of.times(eggs).to_nearest(by).mg() / by.mg()).max(1))
}

/// What the parts of a formula want of eggs, out of the shell.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct EggNeed {
    /// Whole egg, beaten.
    pub whole: Grams,
    /// Whites.
    pub white: Grams,
    /// Yolks.
    pub yolk: Grams,
}

/// How the need is met with whole eggs, and what is left over.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct EggPlan {
    /// Eggs used whole.
    pub beaten: i64,
    /// Eggs that are separated.
    pub separated: i64,
    /// Beaten egg left over: it can go into the wash.
    pub left_whole: Grams,
    /// White left over.
    pub left_white: Grams,
    /// Yolk left over: it can go into the wash.
    pub left_yolk: Grams,
}

impl EggPlan {
    /// All eggs to crack.
    pub const fn eggs(&self) -> i64 {
        self.beaten + self.separated
    }

    /// How much of what is left can go into an egg wash (beaten egg and yolk; white alone dries pale).
    pub fn for_the_wash(&self) -> Grams {
        self.left_whole + self.left_yolk
    }
}

/// Meets a need with whole eggs of one size: as many are separated as the larger of white and yolk wants. `None` for an egg
/// of no weight.
pub fn plan_eggs(need: EggNeed, one: Grams) -> Option<EggPlan> {
    let whole = eggs_for(need.whole, one)?;
    let whites = eggs_for(need.white, part_of(one, EggPart::White))?.eggs;
    let yolks = eggs_for(need.yolk, part_of(one, EggPart::Yolk))?.eggs;
    let separated = whites.max(yolks);
    Some(EggPlan {
        beaten: whole.eggs,
        separated,
        left_whole: whole.surplus,
        left_white: part_of(one, EggPart::White).times(separated) - need.white,
        left_yolk: part_of(one, EggPart::Yolk).times(separated) - need.yolk,
    })
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::finding::Located;
    use crate::reckon::formula::build::{g, item, pc};

    #[test]
    fn a_weight_is_said_in_eggs_as_people_crack_them() {
        let mut egg = item("eggs", ItemKind::Egg);
        egg.each = Some(Located::assumed(g("50")));
        let about = |grams: &str| about_eggs(&egg, g(grams));
        let said = [
            ("5", None),
            ("14.4", Some("1/4")),
            ("16", Some("1/3")),
            ("26", Some("1/2")),
            ("49", Some("1")),
            ("70", Some("1 1/2")),
            ("102", Some("2")),
            ("195", Some("4")),
        ];
        for (grams, eggs) in said {
            assert_eq!(about(grams).as_deref(), eggs, "{grams}");
        }
        egg.each = None;
        assert_eq!(about_eggs(&egg, g("195")), None);
        let white = item("whites", ItemKind::White);
        assert_eq!(about_eggs(&white, g("195")), None);
    }

    #[test]
    fn whole_eggs_cover_the_need_and_the_rest_is_named() {
        let c = eggs_for(g("262.15"), g("50")).unwrap();
        assert_eq!((c.eggs, c.surplus), (6, g("37.85")));
        assert_eq!(eggs_for(g("300"), g("50")).unwrap().eggs, 6);
        assert_eq!(eggs_for(g("0"), g("50")).unwrap().eggs, 0);
        assert_eq!(eggs_for(g("10"), g("0")), None);
        // 1000 g and 5 % breakage: 1050 g, 21 eggs.
        let c = eggs_with_breakage(g("1000"), g("50"), pc("5")).unwrap();
        assert_eq!((c.eggs, c.surplus), (21, g("50")));
    }

    #[test]
    fn an_open_class_or_none_is_unknown() {
        let mut eggs = item("eggs", ItemKind::Egg);
        assert_eq!(one_egg(&eggs), None);
        eggs.size = Some(Located::assumed("EU XL".into()));
        assert_eq!(one_egg(&eggs), None);
        eggs.size = Some(Located::assumed("EU M".into()));
        assert_eq!(one_egg(&eggs), Some(g("51.04")));
        eggs.size = Some(Located::assumed("US large".into()));
        assert_eq!(one_egg(&eggs), Some(g("50")));
        eggs.each = Some(Located::assumed(g("52")));
        assert_eq!(one_egg(&eggs), Some(g("52")));
    }

    #[test]
    fn what_is_left_of_separated_eggs_is_named() {
        let need = EggNeed { whole: g("120"), white: g("30"), yolk: g("70") };
        let plan = plan_eggs(need, g("51")).unwrap();
        // 120 g beaten: 3 eggs. 70 g yolk at 17 g: 5 eggs, which bring 170 g white.
        assert_eq!((plan.beaten, plan.separated, plan.eggs()), (3, 5, 8));
        assert_eq!((plan.left_whole, plan.left_white, plan.left_yolk), (g("33"), g("140"), g("15")));
        assert_eq!(plan.for_the_wash(), g("48"));
    }
}
