//! The room's plan: one optimum for everybody, proved.
//!
//! Takes an [`Instance`](problem::Instance) (lines with their candidates, students with what each
//! shape costs them, stock) and gives a [`Plan`](plan::Plan): a menu for every line, a path for
//! every student, and a lower bound that is a certificate in integers.
//!
//! Invariant: nothing here knows postures, rules or facts about people. The whole input is the
//! instance file, so that any other solver can check the result.

mod bound;
mod branch;
mod bundle;
pub mod chain;
pub mod check;
mod dive;
pub mod evaluate;
mod fitting;
mod hand;
mod knapsack;
mod labels;
mod menu;
mod meter;
mod person;
pub mod plan;
pub mod problem;
mod room;
mod settle;
pub mod solve;
mod stock;
mod student;
mod tariff;
mod ties;
mod tree;
pub mod what_if;
