//! The drawings that a lesson asks for and that no sheet shows, as a measure is not written.

use super::{Desk, is_bun, strand};
use crate::course::Course;
use crate::finding::Finding;
use crate::reckon::recipes::Recipes;

/// Each of them, with what it needs.
#[must_use]
pub fn left_out(course: &Course) -> Vec<Finding> {
    let (recipes, _) = Recipes::of(course);
    let mut found = Vec::new();
    for lesson in &course.lessons {
        let Some(recipe) = recipes.get(&lesson.formula.value, None) else { continue };
        for step in &lesson.steps {
            let desk = Desk { course, recipe, lesson, step, pieces: 1, at_once: None };
            for name in step.draw.iter().filter(|d| desk.drawing(&d.value).is_none()) {
                let wanting = desk.wanting(&name.value);
                if wanting.is_empty() {
                    continue;
                }
                let needs = wanting.join(" and ");
                let message = format!(
                    "`{name}` is not drawn at step `{}` of `{}`: it needs {needs}",
                    step.id, lesson.id
                );
                found.push(
                    Finding::note("drawing-left-out", name.place, message)
                        .about(format!("{}.{}.{name}", lesson.id, step.id))
                        .way_out(format!("write {needs}; or take `{name}` out of `draw`")),
                );
            }
        }
    }
    found
}

impl Desk<'_> {
    /// What a drawing needs and has not: the keys to write, in words.
    fn wanting(&self, name: &str) -> Vec<&'static str> {
        let piece = self.piece();
        let sheet = ("`sheet` in `[piece]`", piece.sheet.is_some());
        let size = ("`size` in `[piece]`", piece.size.is_some());
        let tin = ("`tin` in `[piece]`", self.tin().is_some());
        let long = ("`tin` or `size` in `[piece]`", self.length().is_some());
        let second = ("a second part in `[piece]`", self.second().is_some());
        let strand = ("`strand-length` in `[piece]`", strand(piece).is_some());
        let needs = match name {
            "weigh" => vec![("an ingredient in the step's part", self.first_line().is_some())],
            "add-butter" => vec![("a fat in the step's part", self.fat().is_some())],
            "roll-out" | "spread" | "roll-up" | "cut-lengthwise" | "letter-fold" | "book-fold" => vec![sheet],
            "slice" => vec![sheet, ("`slices` in `[piece]`", piece.slices.is_some())],
            "fill-pinch" | "pipe" => vec![size, second],
            "twist" | "coil" | "knot" => vec![strand],
            "braid" => vec![
                ("`strands` in `[piece]`", piece.strands.is_some()),
                ("`braid` in `[piece]`", piece.braid.is_some()),
            ],
            "place-in-tin" => vec![tin],
            "turn-out" => vec![tin, ("`carry` in the step", self.step.carry.is_some())],
            "on-tray" => vec![
                ("`tray` in `[piece]`", piece.tray.is_some()),
                size,
                (
                    "a `size` in `[piece]` at most twice as long as wide",
                    piece.size.as_ref().is_none_or(|size| is_bun(size.value)),
                ),
            ],
            "egg-wash" => vec![("a part `wash` in `[piece]`", self.brushed("egg-wash").is_some())],
            "syrup" => vec![long, ("a part `syrup` in `[piece]`", self.brushed("syrup").is_some())],
            "probe" => vec![long, ("`core` in the step, from and to", self.is_core_known())],
            "rise-level" => vec![
                ("`rises-to` in the step", self.step.rises_to.is_some()),
                (
                    "`inside` of the tub in kitchen.toml",
                    self.course.kitchen.tubs.iter().any(|t| t.inside.is_some()),
                ),
            ],
            "score" => vec![
                long,
                ("`cuts` in `[piece]`", piece.cuts.is_some()),
                ("`cut-depth` in `[piece]`", piece.cut_depth.is_some()),
            ],
            _ => Vec::new(),
        };
        needs.into_iter().filter(|(_, there)| !there).map(|(what, _)| what).collect()
    }

    fn is_core_known(&self) -> bool {
        self.step.core.as_ref().is_some_and(|c| c.value.least.is_some() && c.value.most.is_some())
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::course::Area;
    use crate::reckon::sample::{at, course};
    use crate::units::Centimetres;

    #[test]
    fn a_drawing_without_its_measures_is_told() {
        let mut c = course();
        c.formulas[0].piece.strand_length = None;
        assert!(left_out(&c).iter().all(|f| !f.message.contains("`knot`")));
        let step = c.lessons[0].steps.iter_mut().find(|s| !s.demo).unwrap();
        step.draw = vec![at("knot".to_owned()), at("windowpane".to_owned())];
        let id = step.id.value.to_string();
        let found: Vec<Finding> =
            left_out(&c).into_iter().filter(|f| f.message.contains(&format!("`{id}`"))).collect();
        assert_eq!(found.len(), 1);
        assert_eq!(
            found[0].message,
            format!("`knot` is not drawn at step `{id}` of `crown`: it needs `strand-length` in `[piece]`")
        );
        c.formulas[0].piece.strand_length = Some(at(Centimetres::whole(20)));
        assert!(left_out(&c).iter().all(|f| !f.message.contains("`knot`")));
    }

    #[test]
    fn a_long_piece_that_is_not_drawn_on_its_tray_is_told() {
        let mut c = course();
        c.lessons[0].steps.iter_mut().find(|s| !s.demo).unwrap().draw = vec![at("on-tray".to_owned())];
        let told = |c: &Course| {
            let found = left_out(c).into_iter().find(|f| f.message.contains("`on-tray`"))?;
            Some(found.message.split("it needs ").nth(1)?.to_owned())
        };
        let area = |width, depth| Area { width: Centimetres::whole(width), depth: Centimetres::whole(depth) };
        c.formulas[0].piece.tray = Some(at(c.kitchen.trays[0].id.value.clone()));
        c.formulas[0].piece.size = None;
        assert_eq!(told(&c).as_deref(), Some("`size` in `[piece]`"));
        c.formulas[0].piece.size = Some(at(area(32, 11)));
        assert_eq!(told(&c).as_deref(), Some("a `size` in `[piece]` at most twice as long as wide"));
        c.formulas[0].piece.size = Some(at(area(22, 11)));
        assert_eq!(told(&c), None);
    }
}
