//! One binary for all tests of whole documents and commands.
#![allow(missing_docs)]
mod documents;
