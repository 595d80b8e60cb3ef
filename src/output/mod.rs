//! Numbers to files: the only writing, whole or not at all.
pub mod calendar;
pub mod catch_up;
pub mod csv;
pub mod equip_tables;
pub mod files;
pub mod json;
pub mod lanes;
pub mod manifest;
pub mod new_file;
pub mod order_tables;
pub mod prints;
pub mod safety_tables;
pub mod staging;
pub mod table;
pub mod text;
pub mod timetable;
pub mod weigh_tables;
