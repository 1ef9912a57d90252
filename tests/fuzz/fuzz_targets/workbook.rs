#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| kindfold_fuzz::workbook_file(bytes));
