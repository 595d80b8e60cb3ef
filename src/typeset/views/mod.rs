//! Exactly what each template receives, one file per document.

pub mod drawing;
pub mod gallery;
