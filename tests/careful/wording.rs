//! Words that nothing the program prints says of itself (rules, section 8; sheets, section 1), looked for
//! outside what people and clinicians said.

use super::*;
use kindfold::sheets::teacher::CLOSING;

/// A diagnosis, an order, a promise, a slight.
const NEVER: [&str; 24] = [
    "safe",
    "unsafe",
    "safely",
    "contraindicated",
    "contraindication",
    "must",
    "must not",
    "should",
    "cannot",
    "can’t",
    "can't",
    "forbidden",
    "dangerous",
    "will harm",
    "will fix",
    "heals",
    "you have",
    "suffers from",
    "suffer from",
    "diagnosis",
    "beginner",
    "modification",
    "cleared by kindfold",
    "full expression",
];

/// The forbidden words of a text, whole words, quotes and the closing line left out.
fn found(text: &str) -> Vec<&'static str> {
    let squeezed = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    let mut text = squeezed(text).replace(&squeezed(CLOSING), " ");
    while let (Some(from), Some(to)) = (text.find('“'), text.find('”')) {
        if from >= to {
            break;
        }
        text.replace_range(from..to + '”'.len_utf8(), " ");
    }
    let letter = |c: char| c.is_alphanumeric() || c == '’' || c == '\'';
    let words: Vec<String> = text
        .split(|c| !letter(c))
        .filter(|word| !word.is_empty())
        .map(str::to_lowercase)
        .collect();
    let text = format!(" {} ", words.join(" "));
    let never = NEVER.into_iter();
    never
        .filter(|never| text.contains(&format!(" {never} ")))
        .collect()
}

#[test]
fn the_search_finds_a_forbidden_word_and_leaves_quotes_alone() {
    assert_eq!(found("This is safe."), ["safe"]);
    assert_eq!(found("Rohan must not plank"), ["must", "must not"]);
    assert_eq!(found("told: “it is safe”. Fine."), Vec::<&str>::new());
    assert_eq!(found(CLOSING), Vec::<&str>::new());
}

/// Every sheet of the classes with their rosters, and the days ahead.
#[test]
fn no_sheet_diagnoses_orders_or_calls_anything_safe() {
    for (what, text) in printed() {
        assert_eq!(found(text), Vec::<&str>::new(), "{what}");
    }
}

#[test]
fn no_rule_caution_or_question_diagnoses_orders_or_calls_anything_safe() {
    let library = library();
    let mut said: Vec<(String, &str)> = Vec::new();
    for (id, known) in &library.limitations {
        said.extend(
            known
                .caution
                .iter()
                .map(|text| (id.to_string(), text.as_str())),
        );
        said.extend(known.ask.iter().map(|text| (id.to_string(), text.as_str())));
        for rule in &known.rules {
            said.push((rule.id.to_string(), &rule.because));
            said.push((rule.id.to_string(), &rule.easing.words));
        }
    }
    for (id, demand) in &library.demands {
        said.push((id.to_string(), &demand.words));
        said.push((id.to_string(), &demand.easing));
    }
    said.extend(
        library
            .signs
            .iter()
            .map(|(id, text)| (id.clone(), text.as_str())),
    );
    for (id, stance) in &library.stances {
        let words = stance.words.values();
        said.extend(words.map(|text| (id.to_string(), text.as_str())));
    }
    let choices = library.postures.values().flat_map(|posture| {
        let words = [posture.cue.as_str(), posture.choice.as_str()];
        words
            .into_iter()
            .map(|words| (posture.id.to_string(), words))
    });
    said.extend(choices);
    assert!(said.len() > 1_000);
    for (id, text) in said {
        assert_eq!(found(text), Vec::<&str>::new(), "{id}: {text}");
    }
}

/// Every caution's standing sentence leads to the person's own clinician, or to what they said.
#[test]
fn a_standing_caution_is_short_and_no_more_than_one_or_two_sentences() {
    for (id, known) in &library().limitations {
        let Some(caution) = &known.caution else {
            continue;
        };
        // Rules, section 8: at most 22 words.
        let words = caution.split_whitespace().count();
        assert!(words <= 22, "{id}: {words} words: {caution}");
    }
}
