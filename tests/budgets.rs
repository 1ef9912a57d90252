//! How long something may last: the table of the trade's rules, section 4, row by row.

use jiff::civil::{Date, date};
use kindfold::input;
use kindfold::input::text::Source;
use kindfold::judge::facts;
use kindfold::library::rule::Limit;
use kindfold::settings::Settings;
use kindfold::words::Use;
use rstest::rstest;

use crate::support::library::{library, settings};

const DATE: Date = date(2026, 11, 25);

/// The personal budget of one thing for somebody who told this.
fn personal(told: &str, of: Use) -> Vec<Limit> {
    personal_with(told, of, settings())
}

fn personal_with(told: &str, of: Use, settings: &Settings) -> Vec<Limit> {
    let text = format!("recorded: {DATE}\nstudents:\n  - {{name: Ines, limitations: [{told}]}}\n");
    let source = Source::from_bytes("roster.yaml", text.as_bytes()).expect("it is text");
    let roster = input::roster::read(source, library()).expect("a roster");
    let person = facts::person(&roster.students[0], library(), settings, DATE);
    let theirs = person.budgets.iter().filter(|(what, ..)| *what == of);
    theirs.map(|(_, limit, _)| *limit).collect()
}

#[rstest]
#[case("{what: knee, side: left, severity: mild}", Use::Kneeling, 60, 240)]
#[case("{what: knee, side: left, severity: moderate}", Use::Kneeling, 60, 120)]
#[case(
    "{what: knee-replacement, side: left, weeks: 40}",
    Use::Kneeling,
    60,
    180
)]
#[case(
    "{what: wrist, side: left, severity: mild}",
    Use::WeightOnHands,
    30,
    180
)]
#[case(
    "{what: elbow, side: left, severity: mild}",
    Use::WeightOnHands,
    30,
    180
)]
#[case(
    "{what: carpal-tunnel, side: left, severity: mild}",
    Use::WeightOnHands,
    30,
    180
)]
#[case(
    "{what: shoulder, side: left, severity: mild}",
    Use::WeightOnHands,
    45,
    180
)]
#[case(
    "{what: rotator-cuff, side: left, severity: mild}",
    Use::WeightOnHands,
    45,
    180
)]
#[case("{what: lymphoedema, side: left}", Use::WeightOnHands, 30, 180)]
#[case("{what: hypermobility}", Use::WeightOnHands, 45, 240)]
#[case(
    "{what: high-blood-pressure, severity: mild}",
    Use::HeadBelowHeart,
    30,
    120
)]
#[case("{what: migraine, severity: mild}", Use::HeadBelowHeart, 30, 120)]
#[case("{what: pregnancy, weeks: 28+0}", Use::HeadBelowHeart, 30, 120)]
// "Under 180 s": at 180 the rule itself keeps the shape away.
#[case("{what: pregnancy, weeks: 16+0}", Use::LyingFlat, 179, 360)]
#[case("{what: reflux, severity: mild}", Use::LyingFlat, 180, 360)]
#[case("{what: asthma, severity: mild}", Use::LyingFlat, 180, 360)]
#[case("{what: reflux, severity: mild}", Use::LyingOnFront, 60, 120)]
#[case("{what: pregnancy, weeks: 20+0}", Use::StandingStill, 60, 240)]
#[case("{what: low-blood-pressure}", Use::StandingStill, 60, 240)]
#[case("{what: ms, side: both}", Use::StandingStill, 60, 240)]
#[case("{what: foot, side: left}", Use::StandingStill, 60, 240)]
#[case("{what: heart}", Use::StandingStill, 120, 360)]
#[case("{what: parkinsons}", Use::StandingStill, 120, 360)]
#[case(
    "{what: shoulder, side: left, severity: mild}",
    Use::ArmsOverhead,
    30,
    120
)]
#[case("{what: high-blood-pressure}", Use::ArmsOverhead, 45, 180)]
#[case("{what: heart}", Use::ArmsOverhead, 45, 180)]
#[case("{what: lymphoedema, side: left}", Use::ArmsOverhead, 45, 180)]
fn a_personal_budget_is_that_of_the_table(
    #[case] told: &str,
    #[case] of: Use,
    #[case] bout_s: u32,
    #[case] class_s: u32,
) {
    let expected = Limit {
        bout_s: Some(bout_s),
        class_s: Some(class_s),
    };
    assert_eq!(personal(told, of), [expected], "{told}");
}

/// A day before its window, or at another severity, nothing is counted.
#[rstest]
#[case("{what: pregnancy, weeks: 27+6}", Use::HeadBelowHeart)]
#[case("{what: pregnancy, weeks: 15+6}", Use::LyingFlat)]
#[case("{what: wrist, side: left, severity: acute}", Use::WeightOnHands)]
#[case("{what: high-blood-pressure, severity: moderate}", Use::HeadBelowHeart)]
#[case("{what: neck}", Use::Kneeling)]
fn nobody_else_has_one(#[case] told: &str, #[case] of: Use) {
    assert_eq!(personal(told, of), [], "{told}");
}

/// A teacher who sets no week for lying flat ("for as long as it feels well") has no budget for it either.
#[rstest]
#[case("12", 12, 1)]
#[case("20", 19, 0)]
#[case("20", 20, 1)]
#[case("comfort", 30, 0)]
fn the_week_that_the_teacher_set_begins_the_budget(
    #[case] option: &str,
    #[case] weeks: u32,
    #[case] budgets: usize,
) {
    let mut settings = Settings::default();
    let stance = "supine_week".into();
    settings.stances.insert(stance, option.to_owned());
    let told = format!("{{what: pregnancy, weeks: {weeks}+0}}");
    let theirs = personal_with(&told, Use::LyingFlat, &settings);
    assert_eq!(theirs.len(), budgets, "{theirs:?}");
}

#[rstest]
#[case(Use::Kneeling, Some(120), 12)]
#[case(Use::WeightOnHands, Some(90), 6)]
#[case(Use::HeadBelowHeart, Some(90), 6)]
#[case(Use::LyingOnFront, Some(300), 8)]
#[case(Use::StandingStill, Some(180), 8)]
#[case(Use::ArmsOverhead, Some(60), 5)]
fn the_house_has_those_of_the_table(
    #[case] of: Use,
    #[case] bout_s: Option<u32>,
    #[case] class_min: u32,
) {
    let house = library()
        .budgets
        .house
        .get(&of)
        .copied()
        .expect("it has one");
    assert_eq!(
        (house.bout_s, house.class_s),
        (bout_s, Some(class_min * 60))
    );
}

#[test]
fn lying_flat_has_no_house_budget_and_padding_and_trips_have_their_own() {
    let budgets = &library().budgets;
    assert_eq!(budgets.house.get(&Use::LyingFlat), None);
    assert_eq!(
        (budgets.house_kneeling_padded_s, budgets.house_trips),
        (300, 3)
    );
}
