//! Words that are no posture and yet known: ways to another level, props, “the other side”.

use super::words::Word;
use crate::words::{Level, Prop};

/// “come up to standing”: the level, and the words after it.
pub(super) fn movement<'w, 's>(low: &'s [&'w str]) -> Option<(Level, &'s [&'w str])> {
    const VERBS: [&str; 12] = [
        "come", "move", "up", "down", "roll", "step", "go", "get", "back", "slowly", "press",
        "rise",
    ];
    let verbs = low.iter().take_while(|word| VERBS.contains(word)).count();
    let rest = low.get(verbs..)?;
    let fixed = match low {
        ["stand", "up", rest @ ..] => Some((Level::Standing, rest)),
        ["lie", "down" | "back", rest @ ..] => Some((Level::Supine, rest)),
        ["sit", "down" | "up", rest @ ..] => Some((Level::Seated, rest)),
        ["lie" | "roll" | "turn", "on" | "onto" | "to", rest @ ..] => level(rest),
        _ => None,
    };
    if fixed.is_some() {
        return fixed;
    }
    match rest {
        ["to" | "onto" | "on", rest @ ..] if verbs > 0 || low.first() == Some(&"to") => level(rest),
        _ => None,
    }
}

fn level<'w, 's>(low: &'s [&'w str]) -> Option<(Level, &'s [&'w str])> {
    let low = match low {
        ["the" | "your" | "their" | "a", rest @ ..] => rest,
        low => low,
    };
    let (level, taken) = match low {
        ["hands", "and" | "&", "knees", ..] => (Level::HandsAndKnees, 3),
        ["all", "fours", ..] => (Level::HandsAndKnees, 2),
        ["standing" | "stand" | "feet", ..] => (Level::Standing, 1),
        ["wall", ..] => (Level::Wall, 1),
        ["chair" | "chairs", ..] => (Level::Chair, 1),
        ["kneeling" | "knees", ..] => (Level::Kneeling, 1),
        ["seated" | "sitting" | "sit" | "seat", ..] => (Level::Seated, 1),
        [
            "prone" | "front" | "fronts" | "belly" | "bellies" | "tummy",
            ..,
        ] => (Level::Prone, 1),
        ["supine" | "back" | "backs" | "lying", ..] => (Level::Supine, 1),
        ["side" | "sides", ..] => (Level::SideLying, 1),
        _ => return None,
    };
    Some((level, low.get(taken..).unwrap_or_default()))
}

/// “with a strap”, “w 2 blocks”: a prop and how many.
pub(super) fn props(words: &[Word]) -> Option<(Prop, u32)> {
    let low: Vec<&str> = words.iter().map(|word| word.low.as_str()).collect();
    let ["with" | "w" | "using" | "props", rest @ ..] = low.as_slice() else {
        return None;
    };
    let (number, name) = match rest {
        ["a" | "an" | "one" | "1", name @ ..] => (1, name),
        ["two" | "2", name @ ..] => (2, name),
        name => (1, name),
    };
    let name = name.join("-");
    let one = name.strip_suffix('s').unwrap_or(&name);
    let prop = Prop::parse(&name).or_else(|| Prop::parse(one))?;
    Some((prop, number))
}

/// “sun sal A”: a run of steps that every teacher teaches in another way.
pub(super) fn is_salutation(words: &[Word]) -> bool {
    let starts = |start: &str| words.iter().any(|one| one.low.starts_with(start));
    starts("namaskar") || starts("sun") && starts("sal")
}

/// “repeat on the other side”: said of steps that stand above it.
pub(super) fn is_other_side(words: &[Word]) -> bool {
    const FEW: usize = 6;
    let has = |word: &str| words.iter().any(|one| one.low == word);
    let other = ["other", "second", "2nd", "opposite"].into_iter().any(has);
    let side = has("side") || has("sides") || has("leg");
    words.len() <= FEW && (other && side || has("switch") && has("sides"))
}
