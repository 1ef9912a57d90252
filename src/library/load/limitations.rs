//! Areas, conditions and needs with their rules.

use std::collections::BTreeMap;

use super::needs::needs;
use super::rules::{Demands, condition};
use super::{ById, Files};
use crate::input::roster::told::APPROACHES;
use crate::input::suggest::did_you_mean;
use crate::input::table::{Field, Table, Whereabouts, WordList};
use crate::library::condition::{Condition, Grade};
use crate::library::rule::{
    Clock, EaseBy, Easing, Limitation, LimitationKind, Proof, Reference, Rule, RuleSide,
    RuleStance, Stance, Window,
};
use crate::problem::Code;
use crate::words::{
    DemandId, LimitationId, RuleId, Severity, SourceId, StanceId, Strength, Verdict,
};

/// What limitations are checked against.
pub(super) struct Basis<'b> {
    /// Demands by id.
    pub(super) demands: &'b Demands,
    /// Stances by id.
    pub(super) stances: &'b BTreeMap<StanceId, Stance>,
    /// Sources by id.
    pub(super) sources: &'b BTreeMap<SourceId, Reference>,
    /// Sets of warning signs by letter.
    pub(super) signs: &'b BTreeMap<String, String>,
}

/// Every limitation with its rules: those of the files, the needs made from the demands, and the
/// ids of the contract that have no rules yet.
pub(super) fn limitations(
    files: &Files,
    basis: &Basis<'_>,
    replaced: &mut Vec<String>,
    written: &mut BTreeMap<RuleId, Whereabouts>,
) -> BTreeMap<LimitationId, Limitation> {
    let mut made = ById::default();
    let mut rules = ById::default();
    for (document, built_in) in files.at("rules/limitations/") {
        let root = document.root();
        let Some(table) = root.table() else { continue };
        if let Some((limitation, places)) = limitation(table, basis) {
            for (rule, place) in limitation.rules.iter().zip(places) {
                written.insert(rule.id.clone(), place.whereabouts());
                rules.add(rule.id.to_string(), (), place, built_in, &mut Vec::new());
            }
            let id = limitation.id.to_string();
            made.add(id, limitation, root, built_in, replaced);
        }
    }
    let mut all = needs(basis.demands);
    for (id, kind) in NAMED {
        all.insert(
            (*id).into(),
            Limitation {
                kind: *kind,
                ..empty(id)
            },
        );
    }
    let read = made.in_order().into_iter();
    all.extend(read.map(|(_, limitation)| (limitation.id.clone(), limitation)));
    all
}

/// Areas and conditions of the contract (section 5): accepted whether a file has rules or not.
const NAMED: &[(&str, LimitationKind)] = &{
    use LimitationKind::{Area, Condition};
    [
        ("neck", Area),
        ("shoulder", Area),
        ("elbow", Area),
        ("wrist", Area),
        ("upper-back", Area),
        ("low-back", Area),
        ("sacroiliac", Area),
        ("pelvis", Area),
        ("hip", Area),
        ("knee", Area),
        ("ankle", Area),
        ("foot", Area),
        ("hamstring", Area),
        ("pregnancy", Condition),
        ("after-birth", Condition),
        ("caesarean", Condition),
        ("high-blood-pressure", Condition),
        ("low-blood-pressure", Condition),
        ("heart", Condition),
        ("glaucoma", Condition),
        ("eye-surgery", Condition),
        ("vertigo", Condition),
        ("osteoporosis", Condition),
        ("disc", Condition),
        ("sciatica", Condition),
        ("scoliosis", Condition),
        ("arthritis", Condition),
        ("carpal-tunnel", Condition),
        ("rotator-cuff", Condition),
        ("frozen-shoulder", Condition),
        ("hip-replacement", Condition),
        ("knee-replacement", Condition),
        ("abdominal-surgery", Condition),
        ("surgery", Condition),
        ("hernia", Condition),
        ("stoma", Condition),
        ("reflux", Condition),
        ("asthma", Condition),
        ("epilepsy", Condition),
        ("panic", Condition),
        ("trauma", Condition),
        ("ms", Condition),
        ("parkinsons", Condition),
        ("stroke", Condition),
        ("diabetes", Condition),
        ("lymphoedema", Condition),
        ("hypermobility", Condition),
        ("migraine", Condition),
        ("cold-or-fever", Condition),
        ("device", Condition),
        ("larger-body", Condition),
        ("wheelchair", Condition),
    ]
};

/// Weeks after which a fact is stale unless its limitation says otherwise (contract 4.2).
pub(super) const STALE_WEEKS: u32 = 26;
/// The same for something acute (rules.md 2.4).
const STALE_WEEKS_ACUTE: u32 = 2;

/// Hold of a proof that names none, in seconds: five breaths of six.
const PROOF_HOLD_S: u32 = 30;

/// A limitation without rules.
pub(super) fn empty(id: &str) -> Limitation {
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
        stale_weeks_acute: STALE_WEEKS_ACUTE,
        rules: Vec::new(),
    }
}

/// A limitation, and where each of its rules stands.
fn limitation<'f>(mut table: Table<'f>, basis: &Basis<'_>) -> Option<(Limitation, Vec<Field<'f>>)> {
    let id: Option<LimitationId> = table.required("id");
    let kind = table.need("kind").and_then(|field| field.word(&KINDS));
    let name: Option<String> = table.required("name");
    let sided = table.flag("sided", false);
    let clock = table.word("clock", &CLOCKS).unwrap_or(Clock::None);
    let synonyms = word_lists(table.map("synonyms"));
    let kinds = word_lists(table.map("kinds"));
    let ask = texts(&mut table, "ask");
    let caution = table.optional("caution");
    let mut signs = Vec::new();
    for field in table.list("signs") {
        let Some(letter) = field.read::<String>() else {
            continue;
        };
        if !basis.signs.contains_key(&letter) {
            let known = basis.signs.keys().map(String::as_str);
            let message = format!("“{letter}” is not a set of warning signs");
            field.problem(Code::UnknownId, message, did_you_mean(&letter, known));
        }
        signs.push(letter);
    }
    let stale_weeks = table.optional("stale_weeks").unwrap_or(STALE_WEEKS);
    let stale_weeks_acute = table.optional("stale_weeks_acute").unwrap_or(stale_weeks);
    let fields = table.list("rules");
    table.done();
    let id = id?;
    let reader = RuleReader {
        limitation: &id,
        sided,
        kinds: &kinds,
        basis,
    };
    let (rules, places) = fields
        .into_iter()
        .filter_map(|field| Some((reader.rule(&field)?, field)))
        .unzip();
    let limitation = Limitation {
        id: id.clone(),
        kind: kind?,
        name: name?,
        sided,
        clock,
        synonyms,
        kinds,
        ask,
        caution,
        signs,
        stale_weeks,
        stale_weeks_acute,
        rules,
    };
    Some((limitation, places))
}

fn texts(table: &mut Table<'_>, key: &'static str) -> Vec<String> {
    table.list(key).iter().filter_map(Field::read).collect()
}

fn word_lists(entries: Vec<(String, Field<'_>)>) -> BTreeMap<String, Vec<String>> {
    entries
        .into_iter()
        .map(|(key, field)| (key, field.read_all()))
        .collect()
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
    words: &[
        ("none", Clock::None),
        ("pregnancy", Clock::Pregnancy),
        ("since", Clock::Since),
    ],
};

const SIDES: WordList<RuleSide> = WordList {
    noun: "a side for a rule",
    words: &[
        ("same", RuleSide::Same),
        ("opposite", RuleSide::Opposite),
        ("either", RuleSide::Either),
    ],
};

/// Reads the rules of one limitation.
struct RuleReader<'b> {
    limitation: &'b LimitationId,
    sided: bool,
    kinds: &'b BTreeMap<String, Vec<String>>,
    basis: &'b Basis<'b>,
}

impl RuleReader<'_> {
    fn rule(&self, field: &Field<'_>) -> Option<Rule> {
        let basis = self.basis;
        let mut table = field.table()?;
        let id: Option<RuleId> = table.required("rule");
        let demand = table
            .need("demand")
            .and_then(|field| demand_id(&field, basis.demands));
        let (grade, base) = match (table.need("when"), &demand) {
            (Some(when), Some(demand)) => self.when(&when, demand),
            _ => (None, None),
        };
        let joined = table.get("and");
        let joined = joined.map(|field| condition(&field, basis.demands));
        let usual_side = if self.sided {
            RuleSide::Same
        } else {
            RuleSide::Either
        };
        let side = table.word("side", &SIDES).unwrap_or(usual_side);
        let verdicts = table.need("verdict").map(|field| verdicts(&field));
        let window = window(&mut table, basis.stances);
        let kinds = self.kinds(&mut table);
        let approaches = table
            .list("approach")
            .iter()
            .filter_map(|field| field.word(&APPROACHES))
            .collect();
        let stance = table.get("stance").map(|field| self.stance(&field));
        let silent = table.flag("silent", false);
        let whole_class = table.flag("whole_class", false);
        let easing = table.get("easing").map(|field| easing(&field));
        let because: Option<String> = table.required("because");
        let strength: Option<Strength> = table.required("strength");
        let sources = table
            .list("source")
            .iter()
            .filter_map(|field| self.source(field))
            .collect();
        let proof = table.get("proof").map(|field| proof(&field));
        table.done();
        let when = match (base?, joined) {
            (base, None) => base,
            (base, Some(joined)) => Condition::All(vec![base, joined?]),
        };
        Some(Rule {
            id: id?,
            limitation: self.limitation.clone(),
            demand: demand?,
            grade,
            when,
            side,
            verdicts: verdicts?,
            window,
            kinds,
            approaches,
            stance: if_written(stance)?,
            silent,
            whole_class,
            easing: if_written(easing)?.unwrap_or_default(),
            because: because?,
            strength: strength?,
            sources,
            proof: if_written(proof)?.unwrap_or_default(),
        })
    }

    /// `some`, `much`, or conditions of the rule's own.
    fn when(&self, field: &Field<'_>, demand: &DemandId) -> (Option<Grade>, Option<Condition>) {
        match field.value().as_str().and_then(Grade::parse) {
            Some(grade) => {
                let known = self.basis.demands.get(demand);
                (
                    Some(grade),
                    known.map(|demand| demand.condition(grade).clone()),
                )
            }
            None => (None, condition(field, self.basis.demands)),
        }
    }

    fn kinds(&self, table: &mut Table<'_>) -> Vec<String> {
        let mut kinds = Vec::new();
        for field in table.list("kinds") {
            let Some(kind) = field.read::<String>() else {
                continue;
            };
            if !self.kinds.contains_key(&kind) {
                let known = self.kinds.keys().map(String::as_str);
                let message = format!("“{kind}” is none of this limitation’s kinds");
                field.problem(Code::UnknownWord, message, did_you_mean(&kind, known));
            }
            kinds.push(kind);
        }
        kinds
    }

    fn stance(&self, field: &Field<'_>) -> Option<RuleStance> {
        let mut entries = field.table()?.into_entries().into_iter();
        let (Some((id, options)), None) = (entries.next(), entries.next()) else {
            field.problem(
                Code::WrongType,
                "one stance belongs here",
                "Write its id and its options.",
            );
            return None;
        };
        let Some(stance) = self.basis.stances.get(id.as_str()) else {
            let known = self.basis.stances.keys().map(StanceId::as_str);
            options.unknown_key(Code::UnknownId, &id, "a stance", known);
            return None;
        };
        let mut read = BTreeMap::new();
        for (option, field) in options.table()?.into_entries() {
            if !stance.options.contains(&option) {
                let known = stance.options.iter().map(String::as_str);
                field.unknown_key(
                    Code::UnknownWord,
                    &option,
                    "an option of this stance",
                    known,
                );
            }
            read.insert(option, verdicts(&field));
        }
        Some(RuleStance {
            stance: stance.id.clone(),
            options: read,
        })
    }

    fn source(&self, field: &Field<'_>) -> Option<SourceId> {
        let id: SourceId = field.read()?;
        if self.basis.sources.contains_key(&id) {
            return Some(id);
        }
        let known = self.basis.sources.keys().map(SourceId::as_str);
        let message = format!("no source is called “{id}”");
        field.problem(Code::UnknownId, message, did_you_mean(id.as_str(), known));
        None
    }
}

/// What is not written is fine; what is written and cannot be read is not.
fn if_written<T>(read: Option<Option<T>>) -> Option<Option<T>> {
    match read {
        None => Some(None),
        Some(None) => None,
        Some(value) => Some(value),
    }
}

/// A demand's id; a problem when there is none of that name.
pub(super) fn demand_id(field: &Field<'_>, demands: &Demands) -> Option<DemandId> {
    let id: DemandId = field.read()?;
    if demands.contains_key(&id) {
        return Some(id);
    }
    let names = demands.keys().map(DemandId::as_str);
    let message = format!("no demand is called “{id}”");
    field.problem(Code::UnknownId, message, did_you_mean(id.as_str(), names));
    None
}

/// One word for every severity, or a word for each. An empty table: no verdict at all.
fn verdicts(field: &Field<'_>) -> BTreeMap<Severity, Verdict> {
    if !field.is_table() {
        let Some(verdict) = field.read::<Verdict>() else {
            return BTreeMap::new();
        };
        return Severity::ALL
            .iter()
            .map(|&severity| (severity, verdict))
            .collect();
    }
    let Some(mut table) = field.table() else {
        return BTreeMap::new();
    };
    let mut verdicts = BTreeMap::new();
    for &severity in Severity::ALL {
        if let Some(verdict) = table.optional(severity.as_str()) {
            verdicts.insert(severity, verdict);
        }
    }
    table.done();
    verdicts
}

/// Weeks and days, the stance that sets them, and whether a word ends it.
pub(super) fn window(table: &mut Table<'_>, stances: &BTreeMap<StanceId, Stance>) -> Window {
    let Some(mut table) = table.get("window").and_then(|field| field.table()) else {
        return Window::default();
    };
    let mut days = |key| table.get(key).and_then(|field| weeks_and_days(&field));
    let (from_days, to_days) = (days("from"), days("to"));
    let stance = table.get("stance").and_then(|field| {
        let id: StanceId = field.read()?;
        if !stances.contains_key(&id) {
            let known = stances.keys().map(StanceId::as_str);
            let message = format!("no stance is called “{id}”");
            field.problem(Code::UnknownId, message, did_you_mean(id.as_str(), known));
        }
        Some(id)
    });
    let until_word = table.flag("until_word", false);
    table.done();
    Window {
        from_days,
        to_days,
        stance,
        until_word,
    }
}

/// `16+0`, `12`: weeks and days, in days.
fn weeks_and_days(field: &Field<'_>) -> Option<i64> {
    let text: String = field.read()?;
    let (weeks, days) = text.split_once('+').unwrap_or((&text, "0"));
    match (weeks.trim().parse::<u16>(), days.trim().parse::<u16>()) {
        (Ok(weeks), Ok(days)) if days < 7 => Some(i64::from(weeks) * 7 + i64::from(days)),
        _ => {
            field.problem(
                Code::WrongType,
                "this needs weeks and days",
                "Write them as in “16+0”.",
            );
            None
        }
    }
}

fn easing(field: &Field<'_>) -> Option<Easing> {
    let mut table = field.table()?;
    let words: Option<String> = table.required("words");
    let mut by = Vec::new();
    for field in table.list("by") {
        let Some(word) = field.read::<String>() else {
            continue;
        };
        match ease_by(&word) {
            Some(way) => by.push(way),
            None => field.problem(
                Code::UnknownWord,
                format!("“{word}” is no way to ease"),
                "Write padded, support, hold 30, words or shape.",
            ),
        }
    }
    table.done();
    Some(Easing { words: words?, by })
}

fn ease_by(word: &str) -> Option<EaseBy> {
    match word {
        "padded" => Some(EaseBy::Padded),
        "support" => Some(EaseBy::Support),
        "words" => Some(EaseBy::Words),
        "shape" => Some(EaseBy::Shape),
        _ => word
            .strip_prefix("hold ")?
            .trim()
            .parse()
            .ok()
            .map(EaseBy::HoldS),
    }
}

fn proof(field: &Field<'_>) -> Option<Proof> {
    let mut table = field.table()?;
    let proof = Proof {
        hits: table.list("hits").iter().filter_map(Field::read).collect(),
        misses: table
            .list("misses")
            .iter()
            .filter_map(Field::read)
            .collect(),
        hold_s: table.optional("hold_s").unwrap_or(PROOF_HOLD_S),
    };
    table.done();
    Some(proof)
}
