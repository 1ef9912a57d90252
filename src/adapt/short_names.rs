//! Short names for the margin: the shortest start of a name that is unique in the room.

use unicode_segmentation::UnicodeSegmentation;

/// A short name for each name, in the same order: at least two letters of the first word, cut by
/// grapheme; the next word's first letter where first names repeat; a number where all repeats.
pub(super) fn short_names(names: &[&str]) -> Vec<String> {
    let firsts: Vec<&str> = names.iter().map(|name| first_word(name)).collect();
    let mut short: Vec<String> = names
        .iter()
        .zip(&firsts)
        .map(|(name, first)| {
            let start = shortest_start(first, &firsts);
            let repeated = firsts.iter().filter(|other| *other == first).count() > 1;
            if repeated {
                start + initial(name)
            } else {
                start
            }
        })
        .collect();
    for place in 0..short.len() {
        let same: Vec<usize> = (0..short.len())
            .filter(|&other| short[other] == short[place])
            .collect();
        if same.len() > 1 {
            for (number, other) in same.into_iter().enumerate() {
                short[other] = format!("{}{}", short[other], number + 1);
            }
        }
    }
    short
}

fn first_word(name: &str) -> &str {
    name.split_whitespace().next().unwrap_or(name)
}

/// The first letter of the next word, if there is one.
fn initial(name: &str) -> &str {
    let next = name.split_whitespace().nth(1).unwrap_or("");
    next.graphemes(true)
        .find(|letter| letter.chars().any(char::is_alphanumeric))
        .unwrap_or("")
}

fn shortest_start(first: &str, firsts: &[&str]) -> String {
    let letters: Vec<&str> = first.graphemes(true).collect();
    (2..=letters.len())
        .map(|length| letters[..length].concat())
        .find(|start| {
            let others = firsts.iter().filter(|other| **other != first);
            !others
                .clone()
                .any(|other| other.to_lowercase().starts_with(&start.to_lowercase()))
        })
        .unwrap_or_else(|| first.to_owned())
}

#[cfg(test)]
mod tests {
    use super::short_names;

    #[test]
    fn takes_the_shortest_start_that_is_unique() {
        let names = [
            "Aoife", "Anahera", "Carlos", "Bình", "李", "Joan F.", "Joan T.",
        ];
        assert_eq!(
            short_names(&names),
            ["Ao", "An", "Ca", "Bì", "李", "JoF", "JoT"]
        );
    }

    #[test]
    fn lengthens_a_start_that_others_share() {
        assert_eq!(short_names(&["Priya", "Prisca"]), ["Priy", "Pris"]);
    }

    #[test]
    fn numbers_names_that_are_all_the_same() {
        assert_eq!(short_names(&["Jo", "Jo"]), ["Jo1", "Jo2"]);
    }
}
