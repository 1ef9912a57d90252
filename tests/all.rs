//! The one integration test binary; a module a subject.

mod ahead;
mod bad;
mod body;
mod budgets;
mod faults;
mod fuzzed;
mod geometry;
mod group;
mod guidance;
mod laws_group;
mod laws_people;
mod lexicon;
mod library;
mod links;
mod names;
mod outside;
mod outside_ways;
mod planted;
mod rule_mutants;
mod rule_tables;
mod support {
    pub(crate) mod brute;
    pub(crate) mod instances;
    pub(crate) mod library;
    pub(crate) mod program;
    pub(crate) mod rule_tables;
    pub(crate) mod spreadsheets;
}
mod careful;
mod cases;
mod eyes;
mod home;
mod hostile;
mod intake;
mod outline;
mod practical;
mod privacy;
mod roster_words;
mod sheets;
mod sides;
mod stances;
mod start;
mod vary;
mod verdicts;
mod what_if;
