//! Words that can be taken two ways, and are dangerous the wrong way: weeks to go, a side that is worse, a "no", an
//! operation that is over or still to come. The careful reading stands, with a question where the words are not plain.

use jiff::civil::{Date, date};
use kindfold::words::LimitationId;
use rstest::rstest;

use crate::support::library::library;
use crate::support::readings::in_short;

const RECORDED: Date = date(2026, 5, 2);

fn reads(words: &str, expected: &str) {
    let read = library().lexicon.read(words, Some(RECORDED));
    assert_eq!(in_short(&read), expected, "{words}: {read:#?}");
}

/// Weeks since a birth, in each language.
#[rstest]
#[case("6 weeks after giving birth", "after-birth@6")]
#[case("mi bebé tiene 6 semanas", "after-birth@6")]
#[case("mon bébé a 6 semaines", "after-birth@6")]
#[case("Geburt vor 6 Wochen", "after-birth@6")]
#[case("parto há 6 semanas", "after-birth@6")]
#[case("il mio bambino ha 6 settimane", "after-birth@6")]
#[case("no longer pregnant", "ask")]
fn weeks_since_a_birth(#[case] words: &str, #[case] expected: &str) {
    reads(words, expected);
}

/// Weeks still to go are never weeks so far, and always asked about; where it cannot be told which they are, no week
/// is read.
#[rstest]
#[case("pregnant, due in 5 weeks", "pregnancy@35, ask")]
#[case("due in 3 weeks", "pregnancy@37, ask")]
#[case("assignment due in 3 weeks", "ask")]
#[case("pregnant, 2 weeks to go", "pregnancy@38, ask")]
#[case("2 weeks to go, pregnant", "pregnancy@38, ask")]
#[case("pregnant 12 weeks left", "pregnancy@28, ask")]
#[case("pregnant, 6 more weeks", "pregnancy@34, ask")]
#[case("embarazada, faltan 6 semanas", "pregnancy@34, ask")]
#[case("embarazada, salgo de cuentas en 5 semanas", "pregnancy@35, ask")]
#[case("enceinte, plus que 3 semaines", "pregnancy@37, ask")]
#[case("enceinte, terme dans 6 semaines", "pregnancy@34, ask")]
#[case("schwanger, noch 4 Wochen", "pregnancy@36, ask")]
#[case("schwanger, Termin in 6 Wochen", "pregnancy@34, ask")]
#[case("grávida, faltam 8 semanas", "pregnancy@32, ask")]
#[case("incinta, mancano 5 settimane", "pregnancy@35, ask")]
#[case("incinta, termine tra 6 settimane", "pregnancy@34, ask")]
#[case("pregnant, another 5 weeks", "pregnancy, ask")]
#[case("pregnant, final 4 weeks", "pregnancy, ask")]
#[case("schwanger, in 6 Wochen ist es soweit", "pregnancy, ask")]
#[case("pregnant 20 weeks, scan in 2 weeks", "pregnancy@20, ask")]
#[case("pregnant, 12-14 weeks", "pregnancy, ask")]
#[case("pregnant 20 weeks, due in March", "pregnancy, ask")]
#[case("20 weeks pregnant 3 weeks ago", "pregnancy@23, ask")]
#[case("20 weeks pregnant, that was 3 weeks ago", "pregnancy@23, ask")]
#[case("38 weeks pregnant 10 weeks ago", "pregnancy, ask")]
#[case("28 weeks sober", "ask")]
#[case("29 weeks clean", "ask")]
fn weeks_still_to_go(#[case] words: &str, #[case] expected: &str) {
    reads(words, expected);
}

/// Past the due date is late and not early, and always asked about.
#[rstest]
#[case("pregnant, 3 weeks overdue", "pregnancy@43, ask")]
#[case("pregnant, overdue", "pregnancy@40, ask")]
#[case("pregnant, 10 days overdue", "pregnancy@42, ask")]
#[case("baby was due last week", "pregnancy@40, ask")]
#[case("embarazada, 3 semanas pasada de fecha", "pregnancy@43, ask")]
#[case("enceinte, 2 semaines de retard", "pregnancy@42, ask")]
#[case("incinta, 1 settimana oltre il termine", "pregnancy@41, ask")]
#[case("embarazada, pasada de fecha", "pregnancy@40, ask")]
#[case("enceinte, terme dépassé", "pregnancy@40, ask")]
#[case("schwanger, 1 Woche über Termin", "pregnancy@41, ask")]
#[case("incinta, oltre il termine", "pregnancy@40, ask")]
fn past_the_due_date(#[case] words: &str, #[case] expected: &str) {
    reads(words, expected);
}

/// "33+3" are weeks and days wherever it stands, and numbers are read whole.
#[rstest]
#[case("pregnant, 33+3 weeks", "pregnancy@33+3")]
#[case("33 + 3 weeks pregnant", "pregnancy@33+3")]
#[case("24+3 SSW", "pregnancy@24+3, ask")]
#[case("schwanger, 33+3 SSW", "pregnancy@33+3")]
#[case("schwanger, 28. SSW", "pregnancy@28")]
#[case("pregnant 28 weeks and 3 days", "pregnancy@28+3")]
#[case("twenty-two weeks pregnant", "pregnancy@22")]
#[case("embarazada de veintidós semanas", "pregnancy@22")]
#[case("embarazada de treinta y dos semanas", "pregnancy@32")]
#[case("enceinte de vingt-deux semaines", "pregnancy@22")]
#[case("schwanger, zweiundzwanzig Wochen", "pregnancy@22")]
#[case("grávida de vinte e duas semanas", "pregnancy, ask")]
#[case("incinta di ventidue settimane", "pregnancy@22")]
fn weeks_and_days_together(#[case] words: &str, #[case] expected: &str) {
    reads(words, expected);
}

/// Of two sides one that is worse leaves the other.
#[rstest]
#[case("both knees, left worse", "knee:both")]
#[case("both my knees but left worse", "knee:both")]
#[case("both but left worse knees", "knee:both")]
#[case("knees, especially the left", "knee:both")]
#[case("ambas rodillas, peor la derecha", "knee:both")]
#[case("les deux genoux, surtout le gauche", "knee:both")]
#[case("deux genoux, pire à gauche", "knee:both")]
#[case("beide Knie, rechts schlimmer", "knee:both")]
#[case("beide Hüften, links mehr", "hip:both")]
#[case("entrambe le ginocchia, peggio la destra", "knee:both")]
#[case("tutte e due le ginocchia, peggio a destra", "knee:both")]
#[case("os dois joelhos, pior o esquerdo", "knee:both")]
#[case(
    "both shoulders frozen, left is the bad one",
    "frozen-shoulder:both!moderate"
)]
#[case("both wrists, only the left today", "wrist:both!acute")]
#[case(
    "left hip done in January, right one in March",
    "hip-replacement:left@2026-01-31, hip-replacement:right@2026-03-31"
)]
#[case("left hip mainly but right too", "hip:both, ask")]
#[case("genou gauche et un peu le droit", "knee:both")]
#[case("left knee, sometimes the right", "knee:left, knee:right")]
#[case("knee (not left)", "knee, ask")]
#[case("knee, not the left", "knee, ask")]
#[case("rodilla (no la izquierda)", "knee, ask")]
#[case("genou (pas le gauche)", "knee, ask")]
#[case("Knie (nicht links)", "knee, ask")]
#[case("joelho (não o esquerdo)", "knee, ask")]
#[case("ginocchio (non sinistro)", "knee, ask")]
#[case("not my left knee, the right one", "knee:right, ask")]
#[case("not left but right knee", "knee:right")]
#[case("not left knee but right", "knee:right, ask")]
fn both_sides_and_one_worse(#[case] words: &str, #[case] expected: &str) {
    reads(words, expected);
}

/// Bleeding and its like are heard in each language, before the word for pregnant and after it.
#[rstest]
#[case("bleeding, 14 weeks pregnant", "pregnancy@14+complication")]
#[case("pregnant 20 weeks, bleeding", "pregnancy@20+complication")]
#[case("embarazada de 14 semanas con sangrado", "pregnancy@14+complication")]
#[case("manchado, embarazada de 8 semanas", "pregnancy@8+complication")]
#[case("enceinte de 14 semaines, saignements", "pregnancy@14+complication")]
#[case("schwanger 14 SSW, Blutungen", "pregnancy@14+complication")]
#[case("grávida de 14 semanas, sangramento", "pregnancy@14+complication")]
#[case(
    "incinta di 14 settimane, perdite di sangue",
    "pregnancy@14+complication"
)]
#[case("pregnant 30 weeks, waters leaking", "pregnancy@30+stop-reason")]
#[case("waters broken, 36 weeks pregnant", "pregnancy@36+stop-reason")]
#[case("embarazada, bolsa rota", "pregnancy+stop-reason")]
#[case("enceinte, perte des eaux", "pregnancy+stop-reason")]
#[case("schwanger, Blasensprung", "pregnancy+stop-reason")]
#[case("vorzeitige Wehen, schwanger 30 SSW", "pregnancy@30+stop-reason")]
#[case("grávida, bolsa rompida", "pregnancy+stop-reason")]
#[case("incinta, acque rotte", "pregnancy+stop-reason")]
#[case("pregnant 30 weeks, no bleeding", "pregnancy@30")]
#[case("embarazada sin sangrado", "pregnancy")]
#[case("leaking a bit when I cough", "pelvis!mild, ask")]
#[case("bleeding", "ask")]
fn reasons_to_stop_in_a_pregnancy(#[case] words: &str, #[case] expected: &str) {
    reads(words, expected);
}

/// A joint that was replaced is a new joint, one that was repaired is operated, with their day; "fine now" never ends it.
#[rstest]
#[case("left knee replaced 5 weeks ago", "knee-replacement:left@5")]
#[case(
    "left hip and right knee replaced 10 weeks ago",
    "hip-replacement:left@10, knee-replacement:right@10"
)]
#[case("shoulder replaced right 2020", "surgery/shoulder:right@2020-12-31")]
#[case(
    "ankle replaced right 2018, fine now",
    "surgery/ankle:right@2018-12-31"
)]
#[case("hip replaced 2015, fine now", "hip-replacement@2015-12-31")]
#[case(
    "rodilla izquierda reemplazada hace 6 semanas",
    "knee-replacement:left@6"
)]
#[case("genou gauche remplacé il y a 6 semaines", "knee-replacement:left@6")]
#[case("Knie links ersetzt vor 6 Wochen", "knee-replacement:left@6")]
#[case("joelho esquerdo substituído há 7 semanas", "knee-replacement:left@7")]
#[case(
    "ginocchio sinistro sostituito 6 settimane fa",
    "knee-replacement:left@6"
)]
#[case("cuff repair 5 weeks ago left", "surgery/shoulder:left@5+cuff-repair")]
#[case(
    "rotator cuff op right 6 weeks ago",
    "surgery/shoulder:right@6+cuff-repair"
)]
#[case("new left hip 6 weeks ago", "hip-replacement:left@6")]
#[case("neues rechtes Knie vor 6 Wochen", "knee-replacement:right@6")]
#[case("cadera izquierda nueva hace 6 semanas", "hip-replacement:left@6")]
#[case("anca destra nuova 6 settimane fa", "hip-replacement:right@6")]
#[case(
    "right shoulder, operated 5 weeks ago",
    "shoulder:right, surgery/shoulder:right@5"
)]
#[case("left knee, breast op 2024", "knee:left, surgery@2024-12-31, ask")]
#[case("left knee repaired 5 weeks ago", "surgery/knee:left@5")]
#[case("heart valve replaced 5 weeks ago", "heart@5+chest-operation")]
#[case("glaucoma operated years ago, fine now", "glaucoma, eye-surgery")]
#[case("hormone replacement therapy", "ask")]
#[case(
    "both hips replaced 2015 and 2026",
    "hip-replacement:both@2026-12-31, ask"
)]
#[case(
    "left hip replaced in 2015, revision 6 weeks ago",
    "hip-replacement:left+revision, ask"
)]
#[case("hip replacement left 6-8 weeks ago", "hip-replacement:left@6, ask")]
#[case("no pain since my knee op", "surgery/knee, ask")]
#[case("keine Schmerzen seit meiner Knie-OP", "surgery/knee, ask")]
#[case("no problems with pacemaker", "device, ask")]
fn what_was_replaced_or_repaired(#[case] words: &str, #[case] expected: &str) {
    reads(words, expected);
}

/// A vertebra that broke is a broken bone, in each language.
#[rstest]
#[case("broken vertebra", "osteoporosis!acute+fracture")]
#[case("fractured vertebra 2021", "osteoporosis!acute+fracture")]
#[case("fractura vertebral", "osteoporosis!acute+fracture")]
#[case("fracture de vertèbre", "osteoporosis!acute+fracture")]
#[case("Wirbel gebrochen", "osteoporosis!acute+fracture")]
#[case("fratura vertebral", "osteoporosis!acute+fracture")]
#[case("vertebra rotta", "osteoporosis!acute+fracture")]
fn broken_bones_of_the_spine(#[case] words: &str, #[case] expected: &str) {
    reads(words, expected);
}

/// An operation that has not been yet is a sore place and a question, and never weeks since.
#[rstest]
#[case("hip replacement in 3 weeks", "hip, ask")]
#[case("op in 3 weeks", "ask")]
#[case("left knee, op in 3 weeks", "knee:left, ask")]
#[case("knee op booked for June", "knee, ask")]
#[case("getting a new hip in January", "hip, ask")]
#[case("shoulder surgery planned, left", "shoulder:left, ask")]
#[case(
    "left hip replacement booked for June at the Infirmary",
    "hip-replacement:left, ask"
)]
#[case("left hip replacement, will be careful", "hip-replacement:left, ask")]
#[case("knee surgery on 12 June", "surgery/knee, ask")]
#[case("knee surgery done on 12 June", "surgery/knee@2025-06-12")]
#[case("caesarean in 2 weeks", "pregnancy, ask")]
#[case("prótesis de cadera dentro de 3 semanas", "hip, ask")]
#[case("operación de rodilla en junio", "surgery/knee, ask")]
#[case("Hüft-OP in 3 Wochen", "hip, ask")]
#[case("hip replacement left booked for June", "hip:left, ask")]
#[case("left hip to be replaced in autumn", "hip:left, ask")]
#[case("waiting for a new knee, left", "knee:left, ask")]
#[case("torn meniscus lt knee, op in 3 weeks", "knee:left, ask")]
#[case("shoulder op next month, right", "shoulder:right, ask")]
#[case("right knee op 2026-06-15", "knee:right, ask")]
#[case("cataract op next week", "ask")]
#[case("due a hip replacement in June", "hip, ask")]
#[case("c-section booked, 36 weeks pregnant", "pregnancy@36, ask")]
#[case("operación de cadera en 3 semanas", "hip, ask")]
#[case(
    "me operan de la rodilla izquierda la semana que viene",
    "knee:left, ask"
)]
#[case("opération du genou gauche dans 3 semaines", "knee:left, ask")]
#[case("prothèse de hanche prévue en juin", "hip, ask")]
#[case("Knie-OP links in 3 Wochen", "knee:left, ask")]
#[case("warte auf neue Hüfte links", "hip:left, ask")]
#[case("prótese do joelho marcada para junho", "knee, ask")]
#[case("operazione al ginocchio sinistro tra 3 settimane", "knee:left, ask")]
fn operations_still_to_come(#[case] words: &str, #[case] expected: &str) {
    reads(words, expected);
}

/// Arthritis has the part that is named as its place, hands and feet too; no part is dropped.
#[rstest]
#[case("arthritis in both hands", "arthritis/wrist:both")]
#[case("artritis en las manos", "arthritis/wrist:both")]
#[case("arthrose aux mains", "arthritis/wrist:both")]
#[case("Arthrose beide Hände", "arthritis/wrist:both")]
#[case("artrose nas mãos", "arthritis/wrist:both")]
#[case("artrosi alle mani", "arthritis/wrist:both")]
#[case("arthritis, hands", "arthritis/wrist:both")]
#[case(
    "arthritis in hands and feet",
    "arthritis/wrist:both, arthritis/foot:both"
)]
#[case("Gonarthrose links", "arthritis/knee:left")]
#[case("Hüftarthrose rechts", "arthritis/hip:right")]
#[case("Fingerarthrose", "arthritis/wrist")]
#[case("coxarthrose droite", "arthritis/hip:right")]
#[case(
    "Arthrose in den Knien und der rechten Schulter",
    "arthritis/knee:both, arthritis/shoulder:right"
)]
#[case(
    "artrosis en la rodilla izquierda y el hombro derecho",
    "arthritis/knee:left, arthritis/shoulder:right"
)]
#[case(
    "arthrose des genoux et de la hanche droite",
    "arthritis/knee:both, arthritis/hip:right"
)]
#[case(
    "artrose nos joelhos e no ombro esquerdo",
    "arthritis/knee:both, arthritis/shoulder:left"
)]
#[case("arthritis in left thumb", "arthritis/wrist:left")]
#[case("artrose no polegar esquerdo", "arthritis/wrist:left")]
#[case("arthritis in big toe right", "arthritis/foot:right")]
#[case(
    "arthritis in both knees and left shoulder",
    "arthritis/knee:both, arthritis/shoulder:left"
)]
#[case(
    "artrosi alle ginocchia e alla spalla sinistra",
    "arthritis/knee:both, arthritis/shoulder:left"
)]
#[case("arthritis in spine", "arthritis, ask")]
#[case("hands", "ask")]
#[case("left hand numb", "ask")]
fn arthritis_of_a_part(#[case] words: &str, #[case] expected: &str) {
    reads(words, expected);
}

/// What is said to be fine is a quiet reminder and no sore place, unless a word of doubt or of pain stands with it.
#[rstest]
#[case("my knees are fine, it's the left hip", "hip:left, reminder")]
#[case("my right hip is alright", "reminder")]
#[case("neck is good today", "reminder")]
#[case("la rodilla está bien", "reminder")]
#[case("le genou va bien", "reminder")]
#[case("Knie tut nicht mehr weh", "reminder")]
#[case("o joelho já não dói", "reminder")]
#[case("il ginocchio sta bene", "reminder")]
#[case("knee is not fine", "knee, ask")]
#[case("knee isn't ok", "knee, ask")]
#[case("shoulder ok below 90", "shoulder, ask")]
#[case("back ok now but careful", "low-back, ask")]
#[case("knee fine now unless I kneel", "knee, ask")]
#[case("joelho está bem mas não ajoelho", "knee, no-kneeling, ask")]
#[case("asthma is fine", "asthma, ask")]
#[case("left shoulder fine, had an op 4 weeks ago", "surgery/shoulder:left@4")]
#[case("left knee is good, right knee bad", "knee:right!moderate, reminder")]
#[case("neither knee hurts", "nothing")]
#[case("neither knee nor hip hurts", "nothing")]
#[case("ni rodilla ni cadera", "nothing")]
#[case("ni genou ni hanche", "nothing")]
#[case("weder Knie noch Hüfte", "nothing")]
#[case("né ginocchio né anca", "nothing")]
#[case("knees 0/10 today", "knee:both!mild, ask")]
#[case("back is fine today", "reminder")]
#[case("my right hip is fine today", "reminder")]
#[case("ankle is not swollen any more", "ankle, ask")]
#[case("wrist not sore today", "wrist, ask")]
#[case("right hip fine as long as I warm up", "hip:right, ask")]
#[case("knee fine until I kneel", "knee, ask")]
#[case(
    "left hip sore and knees fine",
    "hip:left!moderate, knee:both!moderate, ask"
)]
#[case("left knee fine now but kneeling hurts", "knee:left!moderate, ask")]
#[case("left wrist broken two weeks ago, healed", "wrist:left, ask")]
#[case("new hip is fine", "hip-replacement")]
#[case("SPD in my last pregnancy", "pelvis!mild, ask")]
fn nothing_the_matter(#[case] words: &str, #[case] expected: &str) {
    reads(words, expected);
}

/// A "no" that means a missing part, a wish, or all but one thing.
#[rstest]
#[case("no ACL in left knee", "knee:left, ask")]
#[case("no meniscus left in right knee", "knee:right, ask")]
#[case("kein Meniskus", "knee, ask")]
#[case("no gallbladder", "ask")]
#[case("no knees", "knee:both, ask")]
#[case("pas de genoux", "no-kneeling")]
#[case("kann mich nicht hinknien", "no-kneeling")]
#[case("no osteoporosis only osteopenia", "osteoporosis!mild, ask")]
#[case("none except pacemaker", "device+pacemaker, ask")]
#[case("nothing / wrist", "wrist, ask")]
#[case("no seizures since 2019", "epilepsy, ask")]
fn a_no_that_takes_nothing_away(#[case] words: &str, #[case] expected: &str) {
    reads(words, expected);
}

/// The worse of two numbers counts, and no word for "badly controlled" is lost.
#[rstest]
#[case("left knee 2/10 but 9/10 at night", "knee:left!acute")]
#[case("mal di schiena acuto", "low-back!acute, ask")]
#[case("forte mal di schiena", "low-back!acute, ask")]
#[case("ginocchio gonfio", "knee!acute")]
#[case("rodilla inflamada", "knee!acute")]
#[case("genou enflé", "knee!acute")]
#[case("Knie entzündet", "knee!acute")]
#[case("ombro bloqueado", "shoulder!acute")]
#[case("spalla bloccata", "shoulder!acute")]
#[case("mi fa molto male il ginocchio destro", "knee:right!acute")]
#[case("dolor de espalda agudo", "low-back!acute, ask")]
#[case("dolor fuerte en la rodilla derecha", "knee:right!acute")]
#[case("me duele mucho la rodilla derecha", "knee:right!acute")]
#[case("mal de dos aigu", "low-back!acute, ask")]
#[case("très mal au genou gauche", "knee:left!acute")]
#[case("akute Rückenschmerzen", "low-back!acute, ask")]
#[case("sehr starke Schmerzen im linken Knie", "knee:left!acute")]
#[case("dor aguda nas costas", "low-back!acute, ask")]
#[case("muita dor no joelho esquerdo", "knee:left!acute")]
#[case("terrible back pain", "low-back!acute, ask")]
#[case("very painful left knee", "knee:left!acute")]
#[case("hipertensión mal controlada", "high-blood-pressure!acute")]
#[case("tension mal contrôlée", "high-blood-pressure!acute")]
#[case("schlecht eingestellter Bluthochdruck", "high-blood-pressure!acute")]
fn how_bad_it_is_now(#[case] words: &str, #[case] expected: &str) {
    reads(words, expected);
}

/// What somebody else has may be their own too, and after a loss somebody may be pregnant again.
#[rstest]
#[case("my mum has osteoporosis and so do I", "osteoporosis, ask")]
#[case("my mum and I both have glaucoma", "glaucoma, ask")]
#[case("my mum has glaucoma", "quiet")]
#[case("my sister is pregnant", "quiet")]
#[case("bad back from carrying my son", "low-back, ask")]
#[case("my son is 6 weeks old", "after-birth@6")]
#[case("com o coração aberto", "heart, ask")]
#[case(
    "lost the baby last year, now 20 weeks pregnant",
    "pregnancy@20, ask, private"
)]
#[case("lost the baby last year, now 20 weeks", "pregnancy@20, ask, private")]
#[case("lost the baby in March, was 20 weeks", "private")]
#[case("hernia lumbar", "disc")]
#[case("ocular hypertension", "glaucoma")]
fn their_own_beside_another(#[case] words: &str, #[case] expected: &str) {
    reads(words, expected);
}

/// A clinician's words open only what they say for sure: a "no", an "until" or a word nobody knows beside them opens
/// nothing and is asked about.
#[rstest]
#[case("cleared", true)]
#[case("all clear for yoga", true)]
#[case("signed off in March", true)]
#[case("discharged 12 March 2026", true)]
#[case("alta", true)]
#[case("freigegeben", true)]
#[case("not cleared yet", false)]
#[case("not yet signed off", false)]
#[case("wait until discharged", false)]
#[case("not cleared for exercise", false)]
#[case("never cleared", false)]
#[case("no, not discharged", false)]
#[case("cleared in six weeks", false)]
#[case("cleared for walking", false)]
#[case("cleared for swimming", false)]
#[case("cleared if the scan is good", false)]
#[case("hopefully cleared soon", false)]
#[case("will be signed off next month", false)]
#[case("almost all clear", false)]
#[case("not yet, all clear in June", false)]
#[case("sin alta", false)]
#[case("pendiente de alta", false)]
#[case("todavía no tiene el alta", false)]
#[case("pas de feu vert", false)]
#[case("pas encore de feu vert", false)]
#[case("en attente du feu vert", false)]
#[case("noch nicht freigegeben", false)]
#[case("nicht freigegeben", false)]
#[case("erst nach der Kontrolle freigegeben", false)]
#[case("ainda sem alta", false)]
#[case("não teve alta", false)]
#[case("senza via libera", false)]
#[case("non ancora via libera", false)]
fn a_clearance_is_a_yes_or_a_question(#[case] words: &str, #[case] cleared: bool) {
    let said = library()
        .lexicon
        .said(words, Some(&LimitationId::from("heart")));
    assert_eq!(said.cleared, cleared, "{words}: {said:?}");
    assert_eq!(said.asks.is_empty(), cleared, "{words}: {said:?}");
}

#[rstest]
#[case("you may kneel", true)]
#[case("kneeling is fine", true)]
#[case("puede arrodillarse", true)]
#[case("you may kneel once it is healed", false)]
#[case("not sure whether you may kneel", false)]
#[case("no puede arrodillarse", false)]
#[case("darf knien, aber erst nach 6 Wochen", false)]
#[case("ne peut s'agenouiller", false)]
fn what_is_allowed_is_allowed_or_asked(#[case] words: &str, #[case] allowed: bool) {
    let said = library()
        .lexicon
        .said(words, Some(&LimitationId::from("knee")));
    assert_eq!(!said.allows.is_empty(), allowed, "{words}: {said:?}");
}

/// Words about who speaks name a clinician, or somebody else who knows one.
#[rstest]
#[case("GP", Some("doctor"))]
#[case("my physio", Some("physio"))]
#[case("friend of a doctor", None)]
#[case("physio student", None)]
#[case("not a doctor", None)]
#[case("amiga enfermera", None)]
#[case("mein Mann ist Arzt", None)]
fn who_speaks(#[case] words: &str, #[case] who: Option<&str>) {
    assert_eq!(
        library().lexicon.clinician(words).as_deref(),
        who,
        "{words}"
    );
}

/// What keeps somebody from a shape is a wish in each of the six languages.
#[rstest]
#[case("kneeling is not possible", "no-kneeling")]
#[case("no puedo ponerme de rodillas", "no-kneeling")]
#[case("impossible de m'agenouiller", "no-kneeling")]
#[case("knien geht nicht", "no-kneeling")]
#[case("não me consigo ajoelhar", "no-kneeling")]
#[case("non posso mettermi in ginocchio", "no-kneeling")]
#[case("no puedo tumbarme boca abajo", "no-lying-on-front")]
#[case("je ne peux pas m'allonger sur le ventre", "no-lying-on-front")]
#[case("kann nicht auf dem Bauch liegen", "no-lying-on-front")]
#[case("não consigo deitar de barriga para baixo", "no-lying-on-front")]
#[case("non posso stare a pancia in giù", "no-lying-on-front")]
#[case("no puedo apoyar las manos", "no-weight-on-hands")]
#[case("je ne peux pas m'appuyer sur les mains", "no-weight-on-hands")]
#[case("kann mich nicht auf die Hände stützen", "no-weight-on-hands")]
#[case("não consigo apoiar as mãos", "no-weight-on-hands")]
#[case("non posso appoggiare le mani", "no-weight-on-hands")]
#[case("kann mich nicht auf den Boden setzen", "no-getting-down")]
#[case("je ne peux pas m'asseoir par terre", "no-getting-down")]
fn wishes_in_six_languages(#[case] words: &str, #[case] expected: &str) {
    reads(words, expected);
}
