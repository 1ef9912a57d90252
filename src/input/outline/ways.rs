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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::input::outline::words::atoms;
    use rstest::rstest;

    fn words(text: &str) -> Vec<Word> {
        let atoms = atoms(text, 0).into_iter();
        atoms.flat_map(|atom| atom.words).collect()
    }

    /// Where a class is led, and the words after that.
    #[rstest]
    #[case("come up to standing", Level::Standing, "")]
    #[case("stand up slowly", Level::Standing, "slowly")]
    #[case("to standing by a chair", Level::Standing, "by a chair")]
    #[case("step back to the wall", Level::Wall, "")]
    #[case("move to your chairs", Level::Chair, "")]
    #[case("rise to kneeling", Level::Kneeling, "")]
    #[case("come onto hands and knees", Level::HandsAndKnees, "")]
    #[case("to all fours", Level::HandsAndKnees, "")]
    #[case("sit down", Level::Seated, "")]
    #[case("go to seated", Level::Seated, "")]
    #[case("lie on the belly", Level::Prone, "")]
    #[case("lie back", Level::Supine, "")]
    #[case("to lying", Level::Supine, "")]
    #[case("roll onto your side", Level::SideLying, "")]
    fn a_way(#[case] text: &str, #[case] level: Level, #[case] rest: &str) {
        let low: Vec<&str> = text.split(' ').collect();
        let found = movement(&low).map(|(level, rest)| (level, rest.join(" ")));
        assert_eq!(found, Some((level, rest.to_owned())));
    }

    /// A place, a name and a way to nowhere.
    #[rstest]
    #[case("on the chair")]
    #[case("standing")]
    #[case("come back")]
    #[case("to the moon")]
    fn no_way(#[case] text: &str) {
        let low: Vec<&str> = text.split(' ').collect();
        assert_eq!(movement(&low), None);
    }

    #[rstest]
    #[case("with a strap", Some((Prop::Strap, 1)))]
    #[case("w 2 blocks", Some((Prop::Block, 2)))]
    #[case("using two blankets", Some((Prop::Blanket, 2)))]
    #[case("with bolster", Some((Prop::Bolster, 1)))]
    #[case("with feeling", None)]
    #[case("strap", None)]
    fn a_prop_and_how_many(#[case] text: &str, #[case] expected: Option<(Prop, u32)>) {
        assert_eq!(props(&words(text)), expected);
    }

    #[rstest]
    #[case("sun sal A", true)]
    #[case("surya namaskar", true)]
    #[case("sunbird", false)]
    #[case("salute", false)]
    fn a_salutation(#[case] text: &str, #[case] expected: bool) {
        assert_eq!(is_salutation(&words(text)), expected);
    }

    #[rstest]
    #[case("repeat on the other side", true)]
    #[case("2nd side", true)]
    #[case("other leg", true)]
    #[case("switch sides", true)]
    #[case("left side", false)]
    #[case("both sides", false)]
    #[case("tree", false)]
    fn the_other_side(#[case] text: &str, #[case] expected: bool) {
        assert_eq!(is_other_side(&words(text)), expected);
    }
}
