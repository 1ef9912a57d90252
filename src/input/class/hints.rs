//! What a key of a class plan means that does not stand where it was written.

use crate::input::suggest::{fold, key_meant};
use crate::input::table::Hint;
use crate::library::Library;

/// Beside `title` and `sections`.
pub(super) fn in_a_class(key: &str) -> Option<Hint> {
    let steps = key_meant(key, &["steps"]).is_some() && key_meant(key, &["sections"]).is_none();
    steps.then(|| {
        Hint::new(
            "Steps stand in a part: write “sections:”, below it “- name: …”, and “steps:” in there.",
            &["sections"],
        )
    })
}

/// Beside `steps` of a part.
pub(super) fn in_a_section(key: &str, unnamed: bool) -> Option<Hint> {
    let known = ["name", "steps", "padded", "breath_seconds"];
    (unnamed && key_meant(key, &known).is_none()).then(|| {
        Hint::new(
            format!(
                "If this is what the part is called, write “- name: {}”, and “steps:” below it.",
                key.trim()
            ),
            &["name", "steps"],
        )
    })
}

/// In a step.
pub(super) fn in_a_step(key: &str, library: &Library) -> Option<Hint> {
    let instead_of = &["posture", "breaths"];
    if matches!(fold(key).as_str(), "rest" | "pause" | "break" | "stillness") {
        return Some(Hint::new(
            "A rest is a posture as well: “{posture: final rest, minutes: 5}”. Time to talk is “talk: 5”.",
            instead_of,
        ));
    }
    library.find(key).map(|_| {
        Hint::new(
            format!(
                "Write “posture: {}”, and how long, as in “breaths: 5”.",
                key.trim()
            ),
            instead_of,
        )
    })
}
