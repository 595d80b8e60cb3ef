//! Published figures, each by its row and its source. `exact` figures are compared inside the row's tolerance; a printed
//! figure that the source's own inputs contradict is never matched.
mod bands;
mod build;
mod class;
mod common_practice;
mod dough_temperature;
mod eggs_and_yeast;
mod food_safety;
mod formulas;
mod kitchen;
mod measures;
mod ovens_and_circuits;
mod tins_and_pieces;
