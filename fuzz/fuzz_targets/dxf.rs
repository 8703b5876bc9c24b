#![no_main]

#[path = "../../tests/fuzz/targets.rs"]
mod targets;

// The library that reads drawings may panic, which is caught and told: only what is not caught may
// end the run, so libFuzzer's hook, which ends it at any panic, is taken out.
libfuzzer_sys::fuzz_target!(init: drop(std::panic::take_hook()), |input: &[u8]| targets::run("dxf", input));
