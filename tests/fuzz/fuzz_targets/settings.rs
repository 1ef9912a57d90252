#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| kindfold_fuzz::settings_file(bytes));
