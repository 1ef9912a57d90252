//! Demands, limitations with their rules, sources, stances.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::Files;
use super::edges::demand_id;
use crate::input::suggest::did_you_mean;
use crate::input::table::{Field, Table, WordList};
use crate::library::condition::{Condition, Fault, Grade, parse};
use crate::library::demand::Demand;
use crate::library::rule::{
    Clock, EaseBy, Easing, Limitation, LimitationKind, Proof, Reference, Rule, RuleSide,
    RuleStance, Stance, Window,
};
use crate::problem::Code;
use crate::roster::Approach;
use crate::words::{
    DemandId, LimitationId, RuleId, Severity, SourceId, StanceId, Strength, Verdict,
};

type Demands = BTreeMap<DemandId, Demand>;

/// Every demand. A condition may name a demand that stands before it.
pub(super) fn demands(files: &Files, replaced: &mut Vec<String>) -> Demands {
    let mut demands = Demands::new();
    let mut again = Vec::new();
    for document in files.at("rules/demands.yaml") {
        let Some(table) = document.root().table() else { continue };
        for (id, field) in table.into_entries() {
            if let Some(demand) = demand(&id, &field, &demands) {
                if demands.insert(demand.id.clone(), demand).is_some() {
                    again.push(id);
                }
            }
        }
    }
    replaced.extend(again);
    demands
}

fn demand(id: &str, field: &Field<'_>, demands: &Demands) -> Option<Demand> {
    let mut table = field.table()?;
    let words: Option<String> = table.required("words");
    let sided = table.flag("sided", false);
    let some = table.need("some").and_then(|field| condition(&field, demands));
    let much = table.need("much").and_then(|field| condition(&field, demands));
    let demand = Demand {
        id: id.into(),
        words: words.unwrap_or_default(),
        sided,
        easing: table.optional("easing").unwrap_or_default(),
        source: table.required("source").unwrap_or_default(),
        kinder_for_unknown: table.flag("kinder_for_unknown", false),
        never_lead_for_unknown: table.flag("never_lead_for_unknown", false),
        some: some?,
        much: much?,
    };
    table.done();
    Some(demand)
}

/// A condition: a line of words, a list in which all must hold, or `any:`, `all:`, `not:`.
fn condition(field: &Field<'_>, demands: &Demands) -> Option<Condition> {
    if field.is_list() {
        let parts = field.entries();
        let read: Vec<Condition> =
            parts.iter().filter_map(|part| condition(part, demands)).collect();
        return (read.len() == parts.len() && !read.is_empty()).then(|| Condition::all(read));
    }
    if field.is_table() {
        let mut table = field.table()?;
        let any = table.get("any").map(|field| parts(&field, demands));
        let all = table.get("all").map(|field| parts(&field, demands));
        let not = table.get("not").and_then(|field| condition(&field, demands));
        table.done();
        return any
            .flatten()
            .map(Condition::Any)
            .or_else(|| all.flatten().map(Condition::all))
            .or_else(|| not.map(|part| Condition::Not(Box::new(part))));
    }
    let words: String = field.read()?;
    let meanings = |id: &str, grade: Grade| {
        demands.get(id).map(|demand| Arc::new(demand.condition(grade).clone()))
    };
    match parse(&words, &meanings) {
        Ok(condition) => Some(condition),
        Err(fault) => {
            let help = match &fault {
                Fault::Unknown { kind: "measure", word } => {
                    did_you_mean(word, super::postures::measure_names())
                }
                Fault::Unknown { kind: "demand", word } => {
                    did_you_mean(word, demands.keys().map(DemandId::as_str))
                }
                _ => "Write a measure, a sign and a number, as in “knee_load_pct >= 10”.".to_owned(),
            };
            field.problem(Code::WrongCondition, fault.to_string(), help);
            None
        }
    }
}

fn parts(field: &Field<'_>, demands: &Demands) -> Option<Vec<Condition>> {
    let entries = field.entries();
    let read: Vec<Condition> =
        entries.iter().filter_map(|entry| condition(entry, demands)).collect();
    (read.len() == entries.len()).then_some(read)
}

/// Every source.
pub(super) fn sources(
    files: &Files,
    replaced: &mut Vec<String>,
) -> BTreeMap<SourceId, Reference> {
    let mut sources = BTreeMap::new();
    for (id, field) in files.by_key("rules/sources.yaml", replaced) {
        let Some(mut table) = field.table() else { continue };
        let text: Option<String> = table.required("text");
        let basis: Option<String> = table.required("basis");
        let note = table.optional("note");
        table.done();
        if let (Some(text), Some(basis)) = (text, basis) {
            let id = SourceId::from(id);
            sources.insert(id.clone(), Reference { id, text, basis, note });
        }
    }
    sources
}

/// Every stance.
pub(super) fn stances(files: &Files, replaced: &mut Vec<String>) -> BTreeMap<StanceId, Stance> {
    let mut stances = BTreeMap::new();
    for (id, field) in files.by_key("rules/stances.yaml", replaced) {
        let Some(mut table) = field.table() else { continue };
        let mut text = |key| table.required::<String>(key).unwrap_or_default();
        let (question, default) = (text("question"), text("default"));
        let (one_side, other_side, words) = (text("one_side"), text("other_side"), text("words"));
        let options: Vec<String> = table.list("options").iter().filter_map(Field::read).collect();
        if !options.contains(&default) {
            table.problem_at_key(
                "default",
                Code::UnknownWord,
                format!("“{default}” is not one of the options"),
                did_you_mean(&default, options.iter().map(String::as_str)),
            );
        }
        table.done();
        let id = StanceId::from(id);
        let stance =
            Stance { id: id.clone(), question, options, default, one_side, other_side, words };
        stances.insert(id, stance);
    }
    stances
}

/// What a limitation's rules are checked against.
struct Basis<'b> {
    demands: &'b Demands,
    stances: &'b BTreeMap<StanceId, Stance>,
    sources: &'b BTreeMap<SourceId, Reference>,
}

/// Every limitation with its rules: those of the files, the needs made from the demands, and the
/// ids of the contract that have no rules yet.
pub(super) fn limitations(
    files: &Files,
    demands: &Demands,
    stances: &BTreeMap<StanceId, Stance>,
    sources: &BTreeMap<SourceId, Reference>,
    replaced: &mut Vec<String>,
) -> BTreeMap<LimitationId, Limitation> {
    let basis = Basis { demands, stances, sources };
    let mut all = BTreeMap::new();
    for demand in demands.values() {
        let need = need(demand);
        all.insert(need.id.clone(), need);
    }
    let chair = stays_in_chair(demands);
    all.extend(chair.map(|chair| (chair.id.clone(), chair)));
    for id in WITHOUT_RULES {
        all.insert(id.into(), empty(id));
    }
    let mut read: Vec<LimitationId> = Vec::new();
    for document in files.at("rules/limitations") {
        let Some(table) = document.root().table() else { continue };
        if let Some(limitation) = limitation(table, &basis) {
            if read.contains(&limitation.id) {
                replaced.push(limitation.id.to_string());
            }
            read.push(limitation.id.clone());
            all.insert(limitation.id.clone(), limitation);
        }
    }
    all
}

/// Areas and conditions of the contract (section 5).
const WITHOUT_RULES: [&str; 52] = [
    "neck", "shoulder", "elbow", "wrist", "upper-back", "low-back", "sacroiliac", "pelvis", "hip",
    "knee", "ankle", "foot", "hamstring", "pregnancy", "after-birth", "caesarean",
    "high-blood-pressure", "low-blood-pressure", "heart", "glaucoma", "eye-surgery", "vertigo",
    "osteoporosis", "disc", "sciatica", "scoliosis", "arthritis", "carpal-tunnel", "rotator-cuff",
    "frozen-shoulder", "hip-replacement", "knee-replacement", "abdominal-surgery", "surgery",
    "hernia", "stoma", "reflux", "asthma", "epilepsy", "panic", "trauma", "ms", "parkinsons",
    "stroke", "diabetes", "lymphoedema", "hypermobility", "migraine", "cold-or-fever", "device",
    "larger-body", "wheelchair",
];

/// Weeks after which a fact is stale unless its limitation says otherwise (contract 4.2).
const STALE_WEEKS: u32 = 26;

fn empty(id: &str) -> Limitation {
    Limitation {
        id: id.into(),
        kind: LimitationKind::Condition,
        name: id.replace('-', " "),
        sided: false,
        clock: Clock::None,
        synonyms: BTreeMap::new(),
        kinds: BTreeMap::new(),
        ask: Vec::new(),
        caution: None,
        signs: Vec::new(),
        stale_weeks: STALE_WEEKS,
        stale_weeks_acute: 2,
        rules: Vec::new(),
    }
}

/// `no-X`: kept from demand X from *some* up, links included, on the person's own word
/// (rules.md 2.3).
fn need(demand: &Demand) -> Limitation {
    let id = LimitationId::from(format!("no-{}", demand.id));
    let rule = own_word(&id, &demand.id, Some(Grade::Some), demand.some.clone());
    Limitation {
        kind: LimitationKind::Need,
        name: format!("no {}", demand.words),
        caution: Some("This is their own wish; it is not argued with.".to_owned()),
        rules: vec![rule],
        ..empty(id.as_str())
    }
}

/// `stays-in-chair`: no level but chair, links included.
fn stays_in_chair(demands: &Demands) -> Option<Limitation> {
    let id = LimitationId::from("stays-in-chair");
    let down = demands.get("getting-down")?;
    let elsewhere =
        Condition::Not(Box::new(Condition::LevelIs(vec![crate::words::Level::Chair])));
    Some(Limitation {
        kind: LimitationKind::Need,
        name: "stays in the chair".to_owned(),
        caution: Some("This is their own wish; it is not argued with.".to_owned()),
        rules: vec![own_word(&id, &down.id, None, elsewhere)],
        ..empty(id.as_str())
    })
}

fn own_word(
    limitation: &LimitationId,
    demand: &DemandId,
    grade: Option<Grade>,
    when: Condition,
) -> Rule {
    let severities = [Severity::Mild, Severity::Moderate, Severity::Acute];
    Rule {
        id: RuleId::from(limitation.as_str()),
        limitation: limitation.clone(),
        demand: demand.clone(),
        grade,
        when,
        side: RuleSide::Same,
        verdicts: severities.map(|severity| (severity, Verdict::Avoid)).into(),
        window: Window::default(),
        kinds: Vec::new(),
        approaches: Vec::new(),
        stance: None,
        silent: false,
        whole_class: false,
        easing: Easing { words: String::new(), by: Vec::new() },
        because: "They asked to leave this out.".to_owned(),
        strength: Strength::OwnWord,
        sources: Vec::new(),
        proof: Proof::default(),
    }
}

fn limitation(mut table: Table<'_>, basis: &Basis<'_>) -> Option<Limitation> {
    let id: LimitationId = table.required("id")?;
    let kind = table.word("kind", &KINDS).unwrap_or(LimitationKind::Condition);
    let sided = table.flag("sided", false);
    let mut limitation = Limitation {
        kind,
        name: table.required("name").unwrap_or_default(),
        sided,
        clock: table.word("clock", &CLOCKS).unwrap_or(Clock::None),
        synonyms: word_lists(table.map("synonyms")),
        kinds: word_lists(table.map("kinds")),
        ask: table.list("ask").iter().filter_map(Field::read).collect(),
        caution: table.optional("caution"),
        signs: table.list("signs").iter().filter_map(Field::read).collect(),
        stale_weeks: table.optional("stale_weeks").unwrap_or(STALE_WEEKS),
        ..empty(id.as_str())
    };
    let acute = table.optional("stale_weeks_acute");
    limitation.stale_weeks_acute = acute.unwrap_or(limitation.stale_weeks);
    for field in table.list("rules") {
        limitation.rules.extend(rule(&field, &id, sided, basis));
    }
    table.done();
    Some(limitation)
}

fn word_lists(entries: Vec<(String, Field<'_>)>) -> BTreeMap<String, Vec<String>> {
    entries.into_iter().map(|(key, field)| (key, field.read_all())).collect()
}

const KINDS: WordList<LimitationKind> = WordList {
    noun: "a kind of limitation",
    words: &[
        ("area", LimitationKind::Area),
        ("condition", LimitationKind::Condition),
        ("need", LimitationKind::Need),
    ],
};

const CLOCKS: WordList<Clock> = WordList {
    noun: "a clock",
    words: &[("none", Clock::None), ("pregnancy", Clock::Pregnancy), ("since", Clock::Since)],
};

const SIDES: WordList<RuleSide> = WordList {
    noun: "a side for a rule",
    words: &[("same", RuleSide::Same), ("opposite", RuleSide::Opposite), ("either", RuleSide::Either)],
};

const APPROACHES: WordList<Approach> = WordList {
    noun: "an approach",
    words: &[
        ("posterior", Approach::Posterior),
        ("anterior", Approach::Anterior),
        ("lateral", Approach::Lateral),
        ("not-known", Approach::NotKnown),
    ],
};

fn rule(
    field: &Field<'_>,
    limitation: &LimitationId,
    sided: bool,
    basis: &Basis<'_>,
) -> Option<Rule> {
    let mut table = field.table()?;
    let id: Option<RuleId> = table.required("rule");
    let demand = table.need("demand").and_then(|field| demand_id(&field, basis.demands));
    let (grade, base) = match (table.need("when"), &demand) {
        (Some(when), Some(demand)) => when_of(&when, demand, basis),
        _ => (None, None),
    };
    let joined = table.get("and").and_then(|field| condition(&field, basis.demands));
    let side = table.word("side", &SIDES);
    let verdicts = table.need("verdict").map(|field| verdicts(&field)).unwrap_or_default();
    let window = window(&mut table);
    let kinds = table.list("kinds").iter().filter_map(Field::read).collect();
    let approaches =
        table.list("approach").iter().filter_map(|field| field.word(&APPROACHES)).collect();
    let stance = table.get("stance").and_then(|field| stance_of(&field, basis));
    let silent = table.flag("silent", false);
    let whole_class = table.flag("whole_class", false);
    let easing = table.get("easing").and_then(|field| easing(&field));
    let because: Option<String> = table.required("because");
    let strength: Option<Strength> = table.required("strength");
    let sources = table.list("source").iter().filter_map(|field| source_of(field, basis)).collect();
    let proof = table.get("proof").and_then(|field| proof(&field)).unwrap_or_default();
    table.done();
    let when = match (base?, joined) {
        (base, None) => base,
        (base, Some(joined)) => Condition::All(vec![base, joined]),
    };
    Some(Rule {
        id: id?,
        limitation: limitation.clone(),
        demand: demand?,
        grade,
        when,
        side: side.unwrap_or(if sided { RuleSide::Same } else { RuleSide::Either }),
        verdicts,
        window,
        kinds,
        approaches,
        stance,
        silent,
        whole_class,
        easing: easing.unwrap_or(Easing { words: String::new(), by: Vec::new() }),
        because: because?,
        strength: strength?,
        sources,
        proof,
    })
}

/// `some`, `much`, or conditions of the rule's own.
fn when_of(
    field: &Field<'_>,
    demand: &DemandId,
    basis: &Basis<'_>,
) -> (Option<Grade>, Option<Condition>) {
    let grade = field.value().as_str().and_then(Grade::parse);
    match grade {
        Some(grade) => {
            let known = basis.demands.get(demand).map(|demand| demand.condition(grade).clone());
            (Some(grade), known)
        }
        None => (None, condition(field, basis.demands)),
    }
}

/// One word for every severity, or a word for each.
fn verdicts(field: &Field<'_>) -> BTreeMap<Severity, Verdict> {
    if !field.is_table() {
        let Some(verdict) = field.read::<Verdict>() else { return BTreeMap::new() };
        return Severity::ALL.iter().map(|&severity| (severity, verdict)).collect();
    }
    let Some(mut table) = field.table() else { return BTreeMap::new() };
    let mut verdicts = BTreeMap::new();
    for (key, severity) in
        [("mild", Severity::Mild), ("moderate", Severity::Moderate), ("acute", Severity::Acute)]
    {
        if let Some(verdict) = table.optional(key) {
            verdicts.insert(severity, verdict);
        }
    }
    table.done();
    verdicts
}

/// Weeks and days, the stance that sets them, and whether a word ends it.
pub(super) fn window(table: &mut Table<'_>) -> Window {
    let Some(mut table) = table.get("window").and_then(|field| field.table()) else {
        return Window::default();
    };
    let mut days = |key| table.get(key).and_then(|field| weeks_and_days(&field));
    let window = Window {
        from_days: days("from"),
        to_days: days("to"),
        stance: table.optional("stance"),
        until_word: table.flag("until_word", false),
    };
    table.done();
    window
}

/// `16+0`, `12`: weeks and days, in days.
fn weeks_and_days(field: &Field<'_>) -> Option<i64> {
    let text: String = field.read()?;
    let (weeks, days) = text.split_once('+').unwrap_or((&text, "0"));
    match (weeks.trim().parse::<i64>(), days.trim().parse::<i64>()) {
        (Ok(weeks), Ok(days)) if (0..7).contains(&days) && weeks >= 0 => Some(weeks * 7 + days),
        _ => {
            field.problem(Code::WrongType, "this needs weeks and days", "Write them as in “16+0”.");
            None
        }
    }
}

fn stance_of(field: &Field<'_>, basis: &Basis<'_>) -> Option<RuleStance> {
    let (id, options) = field.table()?.into_entries().into_iter().next()?;
    let Some(stance) = basis.stances.get(id.as_str()) else {
        let known = basis.stances.keys().map(StanceId::as_str);
        options.unknown_key(Code::UnknownId, &id, "a stance", known);
        return None;
    };
    let mut read = BTreeMap::new();
    for (option, field) in options.table()?.into_entries() {
        if !stance.options.contains(&option) {
            let known = stance.options.iter().map(String::as_str);
            field.unknown_key(Code::UnknownWord, &option, "an option of this stance", known);
        }
        read.insert(option, verdicts(&field));
    }
    Some(RuleStance { stance: stance.id.clone(), options: read })
}

fn easing(field: &Field<'_>) -> Option<Easing> {
    let mut table = field.table()?;
    let words: String = table.required("words").unwrap_or_default();
    let by = table
        .list("by")
        .iter()
        .filter_map(|field| {
            let word: String = field.read()?;
            let hold = word.strip_prefix("hold").and_then(|rest| rest.trim().parse().ok());
            match (word.as_str(), hold) {
                (_, Some(seconds)) => Some(EaseBy::HoldS(seconds)),
                ("padded", _) => Some(EaseBy::Padded),
                ("support", _) => Some(EaseBy::Support),
                ("words", _) => Some(EaseBy::Words),
                ("shape", _) => Some(EaseBy::Shape),
                _ => {
                    field.problem(
                        Code::UnknownWord,
                        format!("“{word}” is no way to ease"),
                        "Write padded, support, hold 30, words or shape.",
                    );
                    None
                }
            }
        })
        .collect();
    table.done();
    Some(Easing { words, by })
}

fn source_of(field: &Field<'_>, basis: &Basis<'_>) -> Option<SourceId> {
    let id: SourceId = field.read()?;
    if basis.sources.contains_key(&id) {
        return Some(id);
    }
    let known = basis.sources.keys().map(SourceId::as_str);
    field.problem(Code::UnknownId, format!("no source is called “{id}”"), did_you_mean(id.as_str(), known));
    None
}

fn proof(field: &Field<'_>) -> Option<Proof> {
    let mut table = field.table()?;
    let proof = Proof {
        hits: table.list("hits").iter().filter_map(Field::read).collect(),
        misses: table.list("misses").iter().filter_map(Field::read).collect(),
        hold_s: table.optional("hold_s").unwrap_or(30),
    };
    table.done();
    Some(proof)
}
