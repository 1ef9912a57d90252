//! How long judging takes: 30 students, 80 steps, everything within reach of each: `cargo bench --bench judge`.
//!
//! Issue 3 of 7 asks for less than 20 ms. The people are those of the three cases, the steps the lines of
//! their classes, again and again.

use std::path::Path;

use kindfold::input::{self, text::Source};
use kindfold::judge::facts::{self, Person};
use kindfold::judge::verdict::{At, judge};
use kindfold::library::Library;
use kindfold::library::posture::Posture;
use kindfold::roster::Student;
use kindfold::search::stray::Alternatives;
use kindfold::settings::Settings;
use kindfold::words::{Prop, Side};

const STUDENTS: usize = 30;
const STEPS: usize = 80;
const CASES: [&str; 3] = ["last-sunday-rest", "tuesday-wind-down", "ten-past-one"];

fn main() {
    divan::main();
}

fn source(case: &str, name: &str) -> Source {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases");
    let bytes = std::fs::read(path.join(case).join(name)).expect("the case has this file");
    Source::from_bytes(name, &bytes).expect("it is text")
}

#[divan::bench(sample_count = 50)]
fn thirty_students_eighty_steps_all_candidates(bencher: divan::Bencher<'_, '_>) {
    let library = Library::built_in().expect("the built-in files are tested");
    let settings = Settings::default();
    let rosters = CASES.map(|case| {
        input::roster::read(source(case, "roster.yaml"), &library).expect("the cases are tested")
    });
    let classes = CASES.map(|case| {
        input::class::read(source(case, "class.yaml"), &library).expect("the cases are tested")
    });
    let date = classes[0].date.expect("the case has a date");
    let everybody = rosters.iter().flat_map(|roster| &roster.students);
    let known =
        |student: &'_ &Student| !student.limitations.is_empty() || !student.today.is_empty();
    // Those who told something first: the others are judged in no time.
    let (told, nothing): (Vec<&Student>, Vec<&Student>) = everybody.partition(known);
    let people: Vec<Person<'_>> = told
        .into_iter()
        .chain(nothing)
        .take(STUDENTS)
        .map(|student| facts::person(student, &library, &settings, date))
        .collect();
    assert_eq!(people.len(), STUDENTS);
    let reach = u32::try_from(library.weights.reach).expect("a small number");
    let graph = Alternatives::new(&library);
    let lines: Vec<_> = classes.iter().flat_map(|class| class.lines()).collect();
    let steps: Vec<(Vec<&Posture>, u32)> = lines
        .iter()
        .cycle()
        .take(STEPS)
        .map(|line| {
            let taught = match &line.taught {
                kindfold::class::Taught::Posture(id) => id,
                kindfold::class::Taught::Own { .. } => unreachable!("no case has an own shape"),
            };
            let reached = graph.within(taught, reach).into_iter();
            let shapes = reached.filter_map(|one| library.postures.get(&one.place.posture));
            (shapes.collect(), line.hold_s)
        })
        .collect();
    let candidates: usize = steps.iter().map(|(shapes, _)| shapes.len()).sum();
    eprintln!(
        "{candidates} candidates, {} judgements",
        candidates * STUDENTS
    );
    bencher.bench(|| {
        let mut kept = 0;
        for person in &people {
            for (shapes, hold_s) in &steps {
                for posture in shapes {
                    let side = if posture.is_sided() {
                        Side::Right
                    } else {
                        Side::None
                    };
                    let at = At {
                        posture,
                        side,
                        hold_s: *hold_s,
                        padded: false,
                    };
                    let judged = judge(person, at, Some(Prop::Wall));
                    kept += usize::from(judged.form.is_none());
                }
            }
        }
        kept
    });
}
