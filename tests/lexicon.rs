//! What people write of themselves, in six languages, and what is read from it.
//!
//! Sentences and their readings come from the rules table of the trade (sections 6 and 7), the
//! invented rosters, and of our own invention. A reading is written in short (`support/readings.rs`).

use std::sync::LazyLock;

use jiff::civil::{Date, date};
use kindfold::library::Library;
use rstest::rstest;

use crate::support::readings::in_short;

static LIBRARY: LazyLock<Library> =
    LazyLock::new(|| Library::built_in().expect("the built-in library reads"));

const RECORDED: Date = date(2026, 5, 2);

fn reads(words: &str, expected: &str) {
    let read = LIBRARY.lexicon.read(words, Some(RECORDED));
    assert_eq!(in_short(&read), expected, "{words}: {read:#?}");
}

/// Sides, in each language, before and behind the body word.
#[rstest]
#[case("left knee", "knee:left")]
#[case("L knee", "knee:left")]
#[case("knee, left one", "knee:left")]
#[case("both shoulders", "shoulder:both")]
#[case("my knees", "knee:both")]
#[case("left knee and right hip", "knee:left, hip:right")]
#[case("right knee, left wrist", "knee:right, wrist:left")]
#[case("RHS shoulder", "shoulder:right")]
#[case("rodilla izquierda", "knee:left")]
#[case("hombro dcho", "shoulder:right")]
#[case("las dos rodillas", "knee:both")]
#[case("rodilla derecha y muñeca izquierda", "knee:right, wrist:left")]
#[case("genou gauche", "knee:left")]
#[case("épaule droite", "shoulder:right")]
#[case("les deux genoux", "knee:both")]
#[case("linkes Knie", "knee:left")]
#[case("Knie links", "knee:left")]
#[case("rechte Schulter und linke Hüfte", "shoulder:right, hip:left")]
#[case("beide Handgelenke", "wrist:both")]
#[case("joelho esquerdo", "knee:left")]
#[case("ombro direito", "shoulder:right")]
#[case("ginocchio sinistro", "knee:left")]
#[case("spalla dx", "shoulder:right")]
#[case("entrambe le ginocchia", "knee:both")]
#[case("L4/5", "disc")]
fn sides(#[case] words: &str, #[case] expected: &str) {
    reads(words, expected);
}

/// How bad: words, and numbers out of ten.
#[rstest]
#[case("a niggle in my right knee", "knee:right!mild")]
#[case("right knee 6/10", "knee:right!moderate")]
#[case("right knee 6 out of 10", "knee:right!moderate")]
#[case("knee left 2/10", "knee:left!mild")]
#[case("left hip, 8/10", "hip:left!acute")]
#[case("severe pain in my left shoulder", "shoulder:left!acute")]
#[case("left knee flare up today", "knee:left!acute")]
#[case("me duele un poco la rodilla derecha", "knee:right!moderate")]
#[case("rodilla izquierda 7/10", "knee:left!acute")]
#[case("genou droit gonflé", "knee:right!acute")]
#[case("leichte Schmerzen im linken Knie", "knee:left!mild")]
#[case("Schulter rechts 5 von 10", "shoulder:right!moderate")]
#[case("dor leve no joelho direito", "knee:right!mild")]
#[case("fa male il polso destro", "wrist:right!moderate")]
#[case("high blood pressure, well controlled", "high-blood-pressure!mild")]
#[case("osteopenia", "osteoporosis!mild")]
#[case("crushed vertebra 2024", "osteoporosis!acute+fracture")]
fn how_bad(#[case] words: &str, #[case] expected: &str) {
    reads(words, expected);
}

/// "No" takes away what follows it in its own clause, and nothing else.
#[rstest]
#[case("no knee problems", "nothing")]
#[case("none", "nothing")]
#[case("no", "nothing")]
#[case("Nothing!", "nothing")]
#[case("n/a", "nothing")]
#[case("no injuries", "nothing")]
#[case("no wrist or shoulder problems", "nothing")]
#[case("ninguna", "nothing")]
#[case("sin problemas de rodilla", "nothing")]
#[case("rien", "nothing")]
#[case("pas de problème de genou", "nothing")]
#[case("keine", "nothing")]
#[case("keine Knieprobleme", "nothing")]
#[case("nenhuma", "nothing")]
#[case("sem problemas no joelho", "nothing")]
#[case("niente", "nothing")]
#[case("nessun problema al ginocchio", "nothing")]
#[case("no knee trouble but my left hip", "hip:left")]
#[case("no knee trouble but my back", "low-back, ask")]
#[case("sin problemas de rodilla pero hombro izquierdo", "shoulder:left")]
#[case("pas de mal de genou mais hanche gauche", "hip:left")]
#[case("kein Knie, aber Schulter links", "shoulder:left")]
// Not a "no" at all, or one that cannot be read for sure: nothing is taken away.
#[case("nothing really", "ask")]
#[case("no pain if I don't kneel", "ask")]
#[case("no cartilage in left knee", "knee:left!moderate")]
#[case("can't walk without pain in left knee", "knee:left!acute, ask")]
#[case("left knee not good", "knee:left!moderate")]
#[case("Knie links nicht beugen", "knee:left, ask")]
#[case("je ne peux pas plier le genou gauche", "knee:left!acute, ask")]
#[case("no doblo la rodilla derecha", "knee:right, ask")]
#[case("não dobro o joelho direito", "knee:right, ask")]
#[case("wrist left, no problem now", "wrist:left, ask")]
fn no(#[case] words: &str, #[case] expected: &str) {
    reads(words, expected);
}

/// Long ago and over is a reminder; long ago alone is mild and asked about; some things never end.
#[rstest]
#[case("broke my wrist in 2009, fine now", "reminder")]
#[case("wrist broken 2009", "wrist!mild, ask")]
#[case("old knee injury, right", "knee:right!mild, ask")]
#[case("sprained left ankle years ago, recovered", "reminder")]
#[case("left knee since 2019", "knee:left")]
#[case("me rompí la muñeca izquierda hace años, ya bien", "ask, reminder")]
#[case("genou gauche, ça va maintenant", "reminder")]
#[case("Handgelenk 2009 gebrochen, ausgeheilt", "reminder")]
#[case("new hip 2012 left, fine now", "hip-replacement:left@2012-12-31")]
#[case("glaucoma, fine now", "glaucoma")]
#[case("stroke 2019, recovered", "stroke")]
#[case("nodes out right 2015, fine now", "lymphoedema:right")]
#[case("knee op right March 2026, fine now", "surgery/knee:right@2026-03-31")]
fn long_ago(#[case] words: &str, #[case] expected: &str) {
    reads(words, expected);
}

/// Rules, section 6, traps: weeks without a pregnancy or an operation are nothing, and nothing is asked; with
/// another word beside them it is asked as ever.
#[rstest]
#[case("6 weeks since I started running", "nothing")]
#[case("8 weeks into the course", "nothing")]
#[case("started running 6 weeks ago", "nothing")]
#[case("10 weeks of yoga", "nothing")]
#[case("hace 6 semanas que empecé a correr", "nothing")]
#[case("llevo 6 semanas corriendo", "nothing")]
#[case("je cours depuis 6 semaines", "nothing")]
#[case("ça fait 6 semaines que je cours", "nothing")]
#[case("seit 6 Wochen jogge ich", "nothing")]
#[case("6 Wochen Yoga", "nothing")]
#[case("há 6 semanas que comecei a correr", "nothing")]
#[case("corro há 6 semanas", "nothing")]
#[case("corro da 6 settimane", "nothing")]
#[case("6 settimane di yoga", "nothing")]
#[case("6 weeks since I started blood thinners", "ask")]
#[case("6 weeks since I started", "quiet")]
#[case("6 weeks into chemo", "ask")]
#[case("seit 6 Wochen laufe ich wieder", "ask")]
fn weeks_of_something_harmless_are_nothing(#[case] words: &str, #[case] expected: &str) {
    reads(words, expected);
}

/// Weeks and days: of what, and since when.
#[rstest]
#[case("right knee, 8 weeks into the course", "knee:right")]
#[case("22 weeks pregnant", "pregnancy@22")]
#[case("expecting! 12 weeks", "pregnancy@12")]
#[case("pregnant 33+3", "pregnancy@33+3")]
#[case("31 weeks", "pregnancy@31, ask")]
#[case("22 wks", "pregnancy@22, ask")]
#[case("pregnant, due in March", "pregnancy@due 2027-03-01")]
#[case("pregnant, due 3 October", "pregnancy@due 2026-10-03")]
#[case("due 3 March", "ask")]
#[case("embarazada de 20 semanas", "pregnancy@20")]
#[case("embarazada, semana 20", "pregnancy@20")]
#[case("enceinte de 25 semaines", "pregnancy@25")]
#[case("enceinte, 25 SA", "pregnancy@25")]
#[case("schwanger, 28 SSW", "pregnancy@28")]
#[case("grávida de 18 semanas", "pregnancy@18")]
#[case("incinta di 30 settimane", "pregnancy@30")]
#[case("baby 8 weeks old", "after-birth@8")]
#[case("c-section 7 weeks ago", "caesarean@7")]
#[case("had baby by section 24 April", "caesarean@2026-04-24")]
#[case("operado hombro izquierdo hace 7 semanas", "surgery/shoulder:left@7")]
#[case("opération du genou droit il y a 3 semaines", "surgery/knee:right@3")]
#[case("OP am linken Knie vor 5 Wochen", "surgery/knee:left@5")]
#[case(
    "left hip done just before Christmas",
    "hip-replacement:left@2025-12-24"
)]
#[case(
    "hip done last year, right, posterior",
    "hip-replacement:right@2025-12-31"
)]
#[case("hernia mended 30 March", "abdominal-surgery@2026-03-30")]
#[case("shoulder op left 2026-03-30", "surgery/shoulder:left@2026-03-30")]
#[case("shoulder op left 30/3/2026", "surgery/shoulder:left@2026-03-30")]
#[case("shoulder op left 4/3/2026", "surgery/shoulder:left@2026-04-03")]
#[case(
    "two new knees: right Sept 2025, left Feb 2026",
    "knee-replacement:right@2025-09-30, knee-replacement:left@2026-02-28"
)]
fn weeks_and_days(#[case] words: &str, #[case] expected: &str) {
    reads(words, expected);
}

/// Words that mean something else.
#[rstest]
#[case("hernia discal", "disc")]
#[case("hernie discale", "disc")]
#[case("ernia del disco", "disc")]
#[case("hiatus hernia", "reflux")]
#[case("bad back", "low-back, ask")]
#[case("Rücken", "low-back, ask")]
#[case("I'll be back", "quiet")]
#[case("I like the back row", "ask")]
#[case("embarazada", "pregnancy")]
#[case("constipado", "cold-or-fever")]
#[case("MS", "ms")]
#[case("Ms Jones", "ask")]
#[case("T1", "ask")]
#[case("T1 diabetes", "diabetes")]
#[case("SEP", "ask")]
#[case("breast stroke", "quiet")]
#[case("the reading section", "ask")]
#[case("my mum has osteoporosis", "quiet")]
#[case("my mum has osteoporosis, left knee", "knee:left")]
#[case("physio student", "quiet")]
#[case("knee physio by trade", "quiet")]
#[case("trying for a baby", "quiet")]
#[case("lost the baby in March", "private")]
#[case("trapped nerve neck", "neck")]
#[case("strain", "ask")]
#[case("I get back pain", "low-back, ask")]
#[case("pain in my back to the left", "low-back, ask")]
#[case("back of my left knee", "knee:left")]
#[case("bump on my left knee", "knee:left, ask")]
#[case("pregnant, bump sore", "pregnancy!moderate")]
#[case("achilles rupture left", "ankle:left, ask")]
#[case("douleur forte au genou droit", "knee:right!acute")]
#[case("linkes Knie ist dick", "knee:left!acute")]
#[case("dor no menisco", "knee")]
#[case("problema no ombro esquerdo", "shoulder:left")]
#[case("shoulder strain left", "shoulder:left, ask")]
fn traps(#[case] words: &str, #[case] expected: &str) {
    reads(words, expected);
}

/// Wishes are wishes, and no diagnosis is made of them.
#[rstest]
#[case("can't kneel", "no-kneeling")]
#[case("I don't do floors dear", "no-getting-down, ask")]
#[case("no puedo bajar al suelo", "no-getting-down")]
#[case("pas au sol", "no-getting-down")]
#[case("nicht auf den Boden", "no-getting-down")]
#[case("não vou ao chão", "no-getting-down")]
#[case("non a terra", "no-getting-down")]
#[case("stoma. nothing on my tummy.", "stoma, no-lying-on-front")]
#[case("please don't come up behind me. eyes open.", "no-eyes-closed, touch")]
fn wishes(#[case] words: &str, #[case] expected: &str) {
    reads(words, expected);
}

/// What a clinician said acts with who said it, and is asked about without.
#[rstest]
#[case(
    "operado hombro izquierdo hace 7 semanas, el fisio dice sin peso",
    "surgery/shoulder:left@7, said physio weight-on-hands weight-on-forearms"
)]
#[case(
    "left hip done in January, surgeon says don't cross the legs",
    "hip-replacement:left@2026-01-31, said surgeon hip-crossing"
)]
#[case(
    "right knee, physio says no kneeling",
    "knee:right, said physio kneeling"
)]
#[case("right knee, my friend says no deep bends", "knee:right, ask")]
#[case(
    "low back, le kiné dit dos droit",
    "low-back, said physio loaded-rounding may deep-hip-bend"
)]
fn what_clinicians_said(#[case] words: &str, #[case] expected: &str) {
    reads(words, expected);
}

/// Everything else stays word for word, to be asked about.
#[rstest]
#[case("fibro flare ups", "ask")]
#[case("left knee and fibro", "knee:left, ask")]
#[case("cancer 2022", "ask")]
#[case("recovering", "ask")]
#[case("rather not say", "ask")]
#[case("knee?", "knee, ask")]
#[case("🤰", "ask")]
#[case("膝", "ask")]
#[case(
    "two new knees and under the hospital for my eyes",
    "knee-replacement:both, ask"
)]
#[case("MS. Heat flattens me.", "ms, ask")]
fn not_understood(#[case] words: &str, #[case] expected: &str) {
    reads(words, expected);
}

/// Several things in one answer, as the invented rosters have them.
#[rstest]
#[case("right knee cartilage, kneeling is the worst", "knee:right, ask")]
#[case("frozen shoulder, sugar diabetes", "frozen-shoulder, diabetes")]
#[case("neck arthritis can't look up", "arthritis/neck!acute, ask")]
#[case("glaucoma both eyes, drops", "glaucoma")]
#[case("wrists – typing", "wrist:both")]
#[case("super bendy, shoulders pop out", "hypermobility, shoulder:both")]
#[case(
    "crystals in my ear again – lying flat or looking up sets it off",
    "vertigo"
)]
#[case("lower back when I sit long", "low-back")]
#[case("acid reflux, worse lying flat", "reflux")]
#[case("asthma, chesty this week", "asthma!acute")]
#[case(
    "thin bones. I can get down. Getting up I need a chair.",
    "osteoporosis, ask"
)]
#[case("cuello", "neck")]
#[case(
    "hombro congelado derecho, diabetes",
    "frozen-shoulder:right, diabetes"
)]
#[case("Bluthochdruck und Schwindel", "high-blood-pressure, vertigo")]
#[case("tensão alta e joelho esquerdo", "high-blood-pressure, knee:left")]
#[case("emicrania, mal di schiena", "migraine, low-back, ask")]
#[case("migrane and siatica left", "migraine, sciatica:left")]
#[case("arthritus in both hands", "arthritis/wrist:both")]
fn several(#[case] words: &str, #[case] expected: &str) {
    reads(words, expected);
}

/// Every limitation is read with the words it came from, whole.
#[test]
fn what_is_read_says_so() {
    let words = "right knee cartilage, zorbing";
    let read = LIBRARY.lexicon.read(words, Some(RECORDED));
    assert!(read.limitations.iter().all(|told| told.read));
    assert!(
        read.limitations
            .iter()
            .all(|told| told.note.as_deref() == Some(words))
    );
    assert_eq!(
        read.unread
            .iter()
            .map(|unread| unread.text.as_str())
            .collect::<Vec<_>>(),
        ["zorbing"]
    );
}
