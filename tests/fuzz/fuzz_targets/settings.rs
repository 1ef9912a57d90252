#![no_main]

libfuzzer_sys::fuzz_target!(init: kindfold_fuzz::warm(), |bytes: &[u8]| kindfold_fuzz::settings_file(bytes));
