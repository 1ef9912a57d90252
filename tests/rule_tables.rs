//! Double entry: `rules/` says what the trade's tables say, line for line, in both directions.

use crate::outside::LIBRARY;
use crate::support::rule_tables::differences;

#[test]
fn the_rules_say_what_the_tables_of_the_trade_say() {
    let differences = differences(&LIBRARY);
    assert!(differences.is_empty(), "{}", differences.join("\n"));
}
