//! Course to numbers. Pure: values in, values out; one file for each question of the trade.
pub mod work;

pub mod after;
pub mod allergens;
pub mod busy;
pub mod class;
pub mod cost;
pub mod heating;
pub mod label_sheet;
pub mod labels;
pub mod list_words;
pub mod longer_than_class;
pub mod loose_parts;
pub mod machine_order;
pub mod mixers;
pub mod never_hot;
pub mod options;
pub mod order;
pub mod ovens;
pub mod packs;
pub mod people;
pub mod pull_list;
pub mod recipes;
pub mod safety;
#[cfg(test)]
pub(crate) mod sample;
pub mod scale;
pub mod season;
pub mod severe;
pub mod shown_days;
pub mod sizes;
pub mod split;
pub mod stand_in;
pub mod tins;
pub mod variants;
pub mod washed;
pub mod ways_round;
pub mod weigh;

pub mod altitude;
pub mod composition;
pub mod dough_class;
pub mod dough_temperature;
pub mod draft;
pub mod eggs;
pub mod formula;
pub mod formula_findings;
pub mod home;
pub mod measures;
pub mod measures_table;
pub mod nutrition;
pub mod part_fates;
pub mod piece_yield;
pub mod review;
pub mod rise;
pub mod rounding;
pub mod rounding_findings;
pub mod tin_fill;
pub mod yeast;
pub mod yields;

pub mod places;
pub mod plan;
pub mod power;

pub mod drawings;
pub mod drawn;
