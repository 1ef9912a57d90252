//! Left and right, as the figures and the words of a page have them.

use kindfold::words::{Level, Side};
use rstest::rstest;

use super::{Planned, library};

/// Left and right of figure and words, read from one page: who faces the reader has their left on
/// the reader's right, and the foot in front is on the side that the words say leads.
#[rstest]
#[case("warrior-ii")]
#[case("extended-side-angle")]
#[case("tree")]
#[case("triangle")]
fn left_and_right_of_figure_and_words_agree(#[case] id: &str) {
    let posture = library().postures.get(id).expect("the posture is there");
    for side in [Side::Left, Side::Right] {
        let page = kindfold::sheets::posture::html(library(), posture, side);
        let (said, other) = match side {
            Side::Left => ("left", "right"),
            _ => ("right", "left"),
        };
        let label = page
            .split("aria-label=\"")
            .nth(1)
            .and_then(|rest| rest.split('"').next())
            .expect("the figure says its shape");
        let lead = posture.lead.as_deref().expect("it has sides");
        assert!(label.contains(&format!("{lead} {said}")), "{label}");
        assert!(!label.contains(&format!("{lead} {other}")), "{label}");
        let at = |letter: char| -> f64 {
            let text = page
                .split("<text ")
                .find(|text| text.contains(&format!(">{letter}</text>")))
                .expect("the figure has both letters");
            let x = text
                .split("x=\"")
                .nth(1)
                .and_then(|rest| rest.split('"').next());
            x.and_then(|x| x.parse().ok())
                .expect("a letter has its place")
        };
        let (left, right) = (at('L'), at('R'));
        if label.contains("Seen from the front.") {
            assert!(
                left > right,
                "{id} {said}: facing, its left is on the reader's right"
            );
        } else {
            assert!(label.contains("Seen from behind."), "{id}: {label}");
            assert!(
                left < right,
                "{id} {said}: from behind, its left is on the reader's left"
            );
        }
    }
}

/// The leg that the words say stands is the one whose letter stands lower in the figure.
#[rstest]
#[case("tree")]
#[case("half-moon")]
fn the_standing_leg_of_the_words_is_that_of_the_figure(#[case] id: &str) {
    let posture = library().postures.get(id).expect("the posture is there");
    for (side, stands, lifted, said) in [
        (Side::Left, 'L', 'R', "standing leg left"),
        (Side::Right, 'R', 'L', "standing leg right"),
    ] {
        let page = kindfold::sheets::posture::html(library(), posture, side);
        assert!(page.contains(said), "{id}: {said}");
        let height = |letter: char| -> f64 {
            let text = page
                .split("<text ")
                .find(|text| text.contains(&format!(">{letter}</text>")))
                .expect("the figure has both letters");
            let y = text
                .split(" y=\"")
                .nth(1)
                .and_then(|rest| rest.split('"').next());
            y.and_then(|y| y.parse().ok())
                .expect("a letter has its place")
        };
        assert!(height(stands) > height(lifted), "{id}, {said}");
    }
}

/// Every figure with letters on the cards: its label says the side, and a body that faces the
/// reader has its left on the reader's right.
#[test]
fn left_and_right_of_every_lettered_figure_on_the_cards_agree() {
    use kindfold::sheets::html::Print;
    let mut looked = 0;
    for case in super::CASES {
        let cards = Planned::case(case).document("cards");
        let page = kindfold::sheets::page_html::html(&cards, library(), Print::default());
        for figure in page.split("<svg ").skip(1) {
            let figure = figure.split("</svg>").next().unwrap_or("");
            let label = figure.split("aria-label=\"").nth(1);
            let label = label.and_then(|rest| rest.split('"').next()).unwrap_or("");
            let at = |letter: char| -> Option<f64> {
                let mut texts = figure.split("<text ");
                let text = texts.find(|text| text.contains(&format!(">{letter}</text>")))?;
                text.split("x=\"").nth(1)?.split('"').next()?.parse().ok()
            };
            let (Some(left), Some(right)) = (at('L'), at('R')) else {
                continue;
            };
            // Legs that cross or fall to one side, as in twists, end on either.
            let standing = library().postures.values().any(|posture| {
                let name = format!("{}, ", posture.name());
                posture.level == Level::Standing && label.starts_with(&name)
            });
            if !standing {
                continue;
            }
            let said = label.contains(" left: ") || label.contains(" right: ");
            assert!(said, "the label says the side: {label}");
            if label.contains("Seen from the front.") {
                assert!(left > right, "{label}");
                looked += 1;
            } else if label.contains("Seen from behind.") {
                assert!(left < right, "{label}");
                looked += 1;
            }
        }
    }
    assert!(looked > 0, "the cards have figures with letters");
}

/// Fists stand on the floor: nothing is drawn under them, and under hands on blocks there is.
#[rstest]
#[case("tabletop-on-fists", false)]
#[case("downward-dog-hands-on-blocks", true)]
fn what_lies_under_the_hands_is_drawn(#[case] id: &str, #[case] drawn: bool) {
    let posture = library().postures.get(id).expect("the posture is there");
    let page = kindfold::sheets::posture::html(library(), posture, Side::None);
    assert_eq!(page.contains("#e4e4e4"), drawn, "the grey of a prop");
}
