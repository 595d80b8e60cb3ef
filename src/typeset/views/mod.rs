//! Exactly what each template receives, one file per document.

pub mod drawing;
pub mod gallery;

pub mod common;
pub mod desk;
mod gets;
pub mod steps;
pub mod temper;
pub mod wording;

pub mod home_recipe;
pub mod instead;
pub mod order_sheet;
pub mod pull_list;
mod run_cold;
pub mod run_late;
pub mod run_outs;
pub mod run_sheet;
pub mod run_staff;
mod run_stretch;
pub mod station_holds;
pub mod station_sheet;
pub mod station_weigh;
pub mod take_home;
mod wash_ups;
pub mod weigh_out;

pub mod accepted;
pub mod allergen_sheet;
pub mod bake_at_home;
mod baked_cold;
pub mod incident_note;
pub mod joining_note;
mod kept_clean;
pub mod label_sheet;
pub mod labels;
pub mod on_racks;
pub mod oven_and_cold;
pub mod pack;
pub mod prep_sheet;
pub mod room_card;
pub mod safety_sheets;
pub mod sign_in;
pub mod slip_numbers;
pub mod slips;
pub mod temperature_log;
