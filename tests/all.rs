//! The one integration test binary; a module a subject.

mod body;
mod group;
mod laws_group;
mod library;
mod support {
    pub(crate) mod brute;
    pub(crate) mod instances;
}
mod cases;
mod input;
