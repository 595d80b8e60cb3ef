//! The timetable.
//!
//! [`problem`] says in plain data what has to be scheduled, [`schedule`] what comes back,
//! `solver` finds it and proves how good it is, [`verify`] checks any schedule without trusting
//! the solver.

pub mod allergen_order;
pub mod catch_up;
pub mod chains;
pub mod chance;
pub mod check;
pub mod choose;
pub mod conflict;
pub mod containers;
pub mod crowded;
pub mod former;
pub mod grid;
pub mod groups;
pub mod idle;
pub mod jobs;
pub mod late;
pub mod levers;
pub mod machine_room;
pub mod moments;
mod moved;
pub mod never;
pub mod numbers;
pub mod presence;
pub mod problem;
pub mod replay;
pub mod schedule;
pub mod slips;
pub mod solver;
mod staff;
pub mod tasks;
pub mod timetable;
pub mod unstaffed;
pub mod verify;
pub mod why;
