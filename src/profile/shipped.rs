//! The profiles that come with the program, from `machine-profiles/`.

/// Every shipped profile: its id and its text, in alphabetical order.
pub fn shipped() -> &'static [(&'static str, &'static str)] {
    macro_rules! profiles {
        ($($id:literal),* $(,)?) => {
            &[$(($id, include_str!(concat!("../../machine-profiles/", $id, ".toml")))),*]
        };
    }
    profiles![
        "drag-knife-table",
        "oscillating-knife-table",
        "scoring-plotter",
        "servo-plotter",
        "shared-laser-cutter",
        "small-router",
    ]
}
