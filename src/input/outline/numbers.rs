//! Numbers as people write them: `5`, `2,5`, `½`, `1/2`, `five`, `5-8`.

/// A number: `5`, `2.5`, `½`, `1½`, `1/2`, `five`; the upper end too for `5-8`.
pub(super) fn number(text: &str) -> Option<(f64, Option<f64>)> {
    const NAMED: [(&str, f64); 14] = [
        ("one", 1.0),
        ("two", 2.0),
        ("three", 3.0),
        ("four", 4.0),
        ("five", 5.0),
        ("six", 6.0),
        ("seven", 7.0),
        ("eight", 8.0),
        ("nine", 9.0),
        ("ten", 10.0),
        ("twelve", 12.0),
        ("fifteen", 15.0),
        ("twenty", 20.0),
        ("half", 0.5),
    ];
    if let Some((_, value)) = NAMED.iter().find(|(name, _)| *name == text) {
        return Some((*value, None));
    }
    for dash in ['-', '–', '—'] {
        if let Some((from, to)) = text.split_once(dash) {
            let (from, to) = (plain(from)?, plain(to)?);
            return (from < to).then_some((from, Some(to)));
        }
    }
    Some((plain(text)?, None))
}

pub(super) fn plain(text: &str) -> Option<f64> {
    if text.len() > 8 {
        return None;
    }
    if let Some((above, below)) = text.split_once('/') {
        let (above, below): (f64, f64) = (digits(above)?, digits(below)?);
        return (below > 0.0 && above > 0.0).then(|| above / below);
    }
    for (sign, part) in [('½', 0.5), ('¼', 0.25), ('¾', 0.75)] {
        if let Some(whole) = text.strip_suffix(sign) {
            let whole = if whole.is_empty() {
                Some(0.0)
            } else {
                digits(whole)
            };
            return whole.map(|whole| whole + part);
        }
    }
    digits(text).filter(|&value| value > 0.0)
}

fn digits(text: &str) -> Option<f64> {
    let shaped = text
        .chars()
        .all(|c| c.is_ascii_digit() || c == '.' || c == ',');
    let whole = text.strip_prefix('.').unwrap_or(text);
    let starts = whole.starts_with(|c: char| c.is_ascii_digit());
    (shaped && starts).then_some(())?;
    text.replace(',', ".").parse().ok()
}

#[cfg(test)]
mod tests {
    use super::*;
    use rstest::rstest;

    #[rstest]
    #[case("5", 5.0)]
    #[case("2.5", 2.5)]
    #[case("2,5", 2.5)]
    #[case("½", 0.5)]
    #[case("1½", 1.5)]
    #[case("2¼", 2.25)]
    #[case("¾", 0.75)]
    #[case("1/2", 0.5)]
    #[case("3/4", 0.75)]
    #[case("five", 5.0)]
    #[case("twenty", 20.0)]
    #[case("half", 0.5)]
    // Eight signs are the most that a number has.
    #[case("1000.125", 1000.125)]
    fn one_number(#[case] text: &str, #[case] value: f64) {
        assert_eq!(number(text), Some((value, None)));
    }

    #[rstest]
    #[case("5-8", 5.0, 8.0)]
    #[case("5–8", 5.0, 8.0)]
    #[case("½—1", 0.5, 1.0)]
    fn from_a_number_to_a_larger_one(#[case] text: &str, #[case] from: f64, #[case] to: f64) {
        assert_eq!(number(text), Some((from, Some(to))));
    }

    #[rstest]
    #[case::backwards("8-5")]
    #[case::to_itself("5-5")]
    #[case::no_end("5-")]
    #[case::nought("0")]
    #[case::a_part_of_nothing("0/3")]
    #[case::over_nothing("3/0")]
    #[case::letters("x½")]
    #[case::not_as_people_write("1e3")]
    #[case::nine_signs("1000.1250")]
    #[case::a_word("tree")]
    #[case::no_word("")]
    fn no_number(#[case] text: &str) {
        assert_eq!(number(text), None);
    }
}
