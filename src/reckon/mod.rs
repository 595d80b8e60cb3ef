//! Course to numbers. Pure: values in, values out; one file for each question of the trade.
pub mod work;

pub mod allergens;
pub mod class;
pub mod mixers;
pub mod options;
pub mod ovens;
pub mod recipes;
pub mod scale;
pub mod split;
pub mod variants;

pub mod composition;
pub mod dough_class;
pub mod formula;
pub mod measures;
pub mod measures_table;
pub mod rounding;
pub mod yeast;

pub mod plan;

pub mod drawings;
