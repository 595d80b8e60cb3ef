//! Names are types: an oven's name cannot be passed where a mixer's is wanted.

use std::fmt;

macro_rules! id {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
        pub struct $name(pub String);
        impl $name {
            /// From text.
            pub fn new(s: impl Into<String>) -> Self {
                $name(s.into())
            }
            /// The text.
            pub fn as_str(&self) -> &str {
                &self.0
            }
        }
        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str(&self.0)
            }
        }
        impl From<String> for $name {
            fn from(s: String) -> Self {
                $name(s)
            }
        }
        impl From<&str> for $name {
            fn from(s: &str) -> Self {
                $name(s.to_owned())
            }
        }
    };
}

id!(
    /// An ingredient of the pantry: `strong-flour`.
    ItemId
);
id!(
    /// A part of a formula: `dough`, `filling`.
    PartId
);
id!(
    /// A formula, by its file name without the ending.
    FormulaId
);
id!(
    /// A variant within a formula: `nut-free`.
    VariantId
);
id!(
    /// A lesson, by its file name without the ending.
    LessonId
);
id!(
    /// A step within a lesson, or one of the class's own.
    StepId
);
id!(
    /// A session: `sat`.
    SessionId
);
id!(
    /// Any equipment of the kitchen: a kind of mixer, oven, tin, tray, shelf, tool, circuit.
    EquipId
);
id!(
    /// A supplier.
    SupplierId
);
id!(
    /// An allergen or avoided thing, by its word in the course's list: `egg`, `hazelnut`, `tree-nuts`.
    AllergenId
);

/// A station, numbered from 1 as the teacher numbers the bench.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct StationNo(pub u32);

impl fmt::Display for StationNo {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.0)
    }
}
