#![no_main]

#[path = "../../tests/fuzz/targets.rs"]
mod targets;

libfuzzer_sys::fuzz_target!(|input: &[u8]| targets::run("job", input));
