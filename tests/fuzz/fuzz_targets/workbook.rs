#![no_main]

libfuzzer_sys::fuzz_target!(init: kindfold_fuzz::warm(), |bytes: &[u8]| kindfold_fuzz::workbook_file(bytes));
