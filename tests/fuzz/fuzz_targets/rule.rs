#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| kindfold_fuzz::rule_file(bytes));
