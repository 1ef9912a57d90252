//! Areas, conditions and needs with their rules.

use std::collections::BTreeMap;

use super::needs::needs;
use super::rule_reader::{RuleReader, if_written, weeks_and_days};
use super::rules::{Demands, condition};
use super::{ById, Files};
use crate::input::suggest::did_you_mean;
use crate::input::table::{Field, Table, Whereabouts, WordList};
use crate::library::rule::{
    Clock, Limitation, LimitationKind, OfArea, Reference, Remind, Stale, Stance,
};
use crate::problem::Code;
use crate::words::{LimitationId, RuleId, SourceId, StanceId};

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

/// Whether an id is one of the contract's areas.
pub(super) fn is_area(id: &str) -> bool {
    NAMED.contains(&(id, LimitationKind::Area))
}

/// Days after which a fact is stale unless its limitation says otherwise: 26 weeks (contract 4.2).
const STALE_DAYS: u32 = 26 * 7;

/// A limitation without rules.
pub(super) fn empty(id: &str) -> Limitation {
    Limitation {
        id: id.into(),
        kind: LimitationKind::Condition,
        name: id.replace('-', " "),
        name_on_side: None,
        sided: false,
        clock: Clock::None,
        synonyms: BTreeMap::new(),
        kinds: BTreeMap::new(),
        ask: Vec::new(),
        caution: None,
        remind: None,
        signs: Vec::new(),
        stale: always(STALE_DAYS),
        sites: BTreeMap::new(),
        of_area: None,
        rules: Vec::new(),
    }
}

/// A limitation, and where each of its rules stands.
fn limitation<'f>(mut table: Table<'f>, basis: &Basis<'_>) -> Option<(Limitation, Vec<Field<'f>>)> {
    let id: Option<LimitationId> = table.required("id");
    let kind = table.need("kind").and_then(|field| field.word(&KINDS));
    let name: Option<String> = table.required("name");
    let name_on_side = table.optional("name_on_side");
    let sided = table.flag("sided", false);
    let clock = table.word("clock", &CLOCKS).unwrap_or(Clock::None);
    let synonyms = word_lists(table.map("synonyms"));
    let kinds = word_lists(table.map("kinds"));
    let ask = texts(&mut table, "ask");
    let caution = table.optional("caution");
    let remind = table.get("remind").map(|field| remind(&field, basis));
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
    let stale = table.get("stale").map(|field| stale(&field));
    let sites = word_lists(table.map("sites"));
    let of_area = table.get("of_area").map(|field| of_area(&field));
    let fields = table.list("rules");
    table.done();
    let id = id?;
    let reader = RuleReader {
        limitation: &id,
        sided,
        kinds: &kinds,
        sites: &sites,
        of_area: of_area.is_some(),
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
        name_on_side,
        sided,
        clock,
        synonyms,
        kinds,
        ask,
        caution,
        remind: if_written(remind)?,
        signs,
        stale: if_written(stale)?.unwrap_or(always(STALE_DAYS)),
        sites,
        of_area: if_written(of_area)?,
        rules,
    };
    Some((limitation, places))
}

/// A sentence, or a table of `words` and `when`.
fn remind(field: &Field<'_>, basis: &Basis<'_>) -> Option<Remind> {
    if !field.is_table() {
        let words = field.read()?;
        return Some(Remind { words, when: None });
    }
    let mut table = field.table()?;
    let words = table.required("words");
    let when = table.need("when");
    table.done();
    let when = condition(&when?, basis.demands)?;
    Some(Remind {
        words: words?,
        when: Some(when),
    })
}

/// As many days however bad it is and however long ago it was.
fn always(days: u32) -> Stale {
    Stale {
        usual_days: Some(days),
        acute_days: Some(days),
        early: None,
    }
}

/// `26 weeks`, `never`, or a table with `usual`, and `acute`, or `early` with `until`.
fn stale(field: &Field<'_>) -> Option<Stale> {
    if !field.is_table() {
        return time(field).map(|days| Stale {
            usual_days: days,
            acute_days: days,
            early: None,
        });
    }
    let mut table = field.table()?;
    let usual_days = table.need("usual").and_then(|field| time(&field));
    let acute_days = table.get("acute").map(|field| time(&field));
    let early = table.get("early").map(|field| time(&field));
    let until = match early {
        Some(_) => table.need("until").map(|field| weeks_and_days(&field)),
        None => None,
    };
    table.done();
    let usual_days = usual_days?;
    Some(Stale {
        usual_days,
        acute_days: if_written(acute_days)?.unwrap_or(usual_days),
        early: if_written(early)?.flatten().zip(if_written(until)?),
    })
}

/// `26 weeks` or `1 day`, in days; none for `never`.
fn time(field: &Field<'_>) -> Option<Option<u32>> {
    let words: String = field.read()?;
    let read = match words.split_whitespace().collect::<Vec<_>>().as_slice() {
        ["never"] => Some(None),
        [number, "day" | "days"] => number.parse().ok().map(Some),
        [number, "week" | "weeks"] => number.parse().ok().map(|weeks: u32| Some(weeks * 7)),
        _ => None,
    };
    if read.is_none() {
        let message = "this needs a number of days or weeks";
        let help = "Write it as in “26 weeks”, “1 day” or “never”.";
        field.problem(Code::WrongType, message, help);
    }
    read
}

/// `milder`, or `{operated: WHY}`.
fn of_area(field: &Field<'_>) -> Option<OfArea> {
    if field.is_table() {
        let mut table = field.table()?;
        let because = table.required("operated");
        table.done();
        return because.map(|because| OfArea::Operated { because });
    }
    let word: String = field.read()?;
    if word == "milder" {
        return Some(OfArea::Milder);
    }
    let help = "Write “milder”, or “{operated: …}” with the reason.";
    field.problem(
        Code::UnknownWord,
        format!("“{word}” is no way to take an area’s rules"),
        help,
    );
    None
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
