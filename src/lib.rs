//! kindfold adapts a planned yoga class to the people who come.
//!
//! ```text
//! class plan ─┐                 demands + limitations + sources (rules/)
//! roster ─────┤                              │
//! prop stock ─┤                              ▼
//! library ────┴─► body model ──► measures ──► verdicts ──► candidates per student and step
//! (data/)         geometry,      numbers      rule ×       graph search (petgraph)
//!                 statics        with units   student              │
//!                                                                  ▼
//!                           sheets ◄── adapted class ◄──── group plan: one optimum for the room
//!                           text, HTML, JSON …   ▲
//!                                                └── audit: a second, independent reading
//! ```
//!
//! One direction, no way back. Files are read at the left edge ([`input`]) and written at the
//! right edge; every stage between is a plain function from values to values. Health facts enter
//! at the roster and leave on the sheets: no log, cache, panic or error text holds them.

pub mod adapt;
pub mod adapted;
pub mod ahead;
pub mod audit;
pub mod body;
pub mod class;
pub mod cli;
pub mod group;
pub mod home;
pub mod input;
pub mod intake;
pub mod judge;
pub mod laying;
pub mod lexicon;
pub mod library;
pub mod problem;
pub mod roster;
pub mod search;
pub mod settings;
pub mod sheets;
pub mod timetable;
pub mod vary;
pub mod words;
mod yaml;
