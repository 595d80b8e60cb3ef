//! What height above the sea does to baking: water boils cooler, dough rises faster.
use crate::units::Celsius;

/// Boiling point by height, in metres and thousandths of a degree Celsius: 212.0, 208.4, 203.0, 198.4 and 194.0 F at 0, 2000, 5000, 7500
/// and 10 000 ft (row `alt-boil-table`, French Culinary Institute, high-altitude baking tables; its 98.4 °C at 2000 ft is not its 208.4 F, and
/// `h-nasa` prints 208.4 F as well). The rule of 1 F for each 500 ft (row `alt-boil-rule`) lies within two degrees F.
const BOILING: [(i64, i64); 5] =
    [(0, 100_000), (610, 98_000), (1_524, 95_000), (2_286, 92_444), (3_048, 90_000)];

/// At what temperature water boils so many metres above the sea, straight between the table's points and on beyond the last.
pub fn boiling_point(metres: u32) -> Celsius {
    let at = i64::from(metres);
    let reached = BOILING.iter().skip(1).position(|(to, _)| at <= *to).unwrap_or(BOILING.len() - 2);
    let ((from, warm), (to, cool)) = (BOILING[reached], BOILING[reached + 1]);
    let (warm, cool) = (Celsius::from_thousandths(warm), Celsius::from_thousandths(cool));
    warm.raised(cool.above(warm).ratio(at - from, to - from))
}

/// From this height on dough rises a quarter to a half faster: 3000 ft (row `alt-yeast`, a magazine's test kitchen, 2008).
pub const RISES_FASTER_FROM: u32 = 914;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_tables_points_are_met_and_it_goes_on_between_and_beyond_them() {
        for (metres, boils) in BOILING {
            assert_eq!(boiling_point(u32::try_from(metres).unwrap_or(0)), Celsius::from_thousandths(boils));
        }
        assert_eq!(boiling_point(305), Celsius::from_thousandths(99_000));
        assert!(boiling_point(4_000) < Celsius::whole(88));
    }
}
