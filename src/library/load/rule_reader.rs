//! One rule of a limitation: its demand, verdicts, window, easing, backing and proof.

use std::collections::BTreeMap;

use super::limitations::{Basis, is_area};
use super::rules::{Demands, condition};
use crate::input::roster::told::APPROACHES;
use crate::input::suggest::did_you_mean;
use crate::input::table::{Field, Table, WordList};
use crate::library::condition::{Condition, Grade};
use crate::library::rule::{
    EaseBy, Easing, NOT_TOLD, Proof, ProofOn, Rule, RuleSide, RuleStance, Stance, Window,
};
use crate::problem::Code;
use crate::words::{
    BodySide, DemandId, LimitationId, RuleId, Severity, SourceId, StanceId, Strength, Verdict,
};

/// Hold of a proof that names none, in seconds: five breaths of six.
const PROOF_HOLD_S: u32 = 30;

const SIDES: WordList<RuleSide> = WordList {
    noun: "a side for a rule",
    words: &[
        ("same", RuleSide::Same),
        ("opposite", RuleSide::Opposite),
        ("either", RuleSide::Either),
    ],
};

/// Reads the rules of one limitation.
pub(super) struct RuleReader<'b> {
    pub(super) limitation: &'b LimitationId,
    pub(super) sided: bool,
    pub(super) kinds: &'b BTreeMap<String, Vec<String>>,
    pub(super) sites: &'b BTreeMap<String, Vec<String>>,
    /// Areas are sites too.
    pub(super) of_area: bool,
    pub(super) basis: &'b Basis<'b>,
}

impl RuleReader<'_> {
    pub(super) fn rule(&self, field: &Field<'_>) -> Option<Rule> {
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
        let side = table.get("side");
        let verdicts = table.need("verdict").map(|field| verdicts(&field));
        let window = window(&mut table, basis.stances);
        let kinds = self.kinds(&mut table, "kinds");
        let not_kinds = self.kinds(&mut table, "not_kinds");
        let sites = self.sites(&mut table);
        let approaches = table
            .list("approach")
            .iter()
            .filter_map(|field| field.word(&APPROACHES))
            .collect();
        let stance = table.get("stance").map(|field| self.stance(&field));
        let silent = table.flag("silent", false);
        let whole_class = table.flag("whole_class", false);
        let ask_once = table.optional("ask_once");
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
        let side = side.map_or(Some(usual_side), |field| self.side(&field, &when));
        Some(Rule {
            id: id?,
            limitation: self.limitation.clone(),
            demand: demand?,
            grade,
            when,
            side: side?,
            verdicts: verdicts?,
            window,
            kinds,
            not_kinds,
            sites,
            approaches,
            stance: if_written(stance)?,
            silent,
            whole_class,
            ask_once,
            easing: if_written(easing)?.unwrap_or_default(),
            because: because?,
            strength: strength?,
            sources,
            proof: if_written(proof)?.unwrap_or_default(),
        })
    }

    /// A side means nothing where left and right answer alike, and would be read as if it did.
    fn side(&self, field: &Field<'_>, when: &Condition) -> Option<RuleSide> {
        let side = field.word(&SIDES);
        let alike = match (self.sided, when.is_sided()) {
            (true, true) => return side,
            (false, _) => "This limitation has no left and right",
            (true, false) => "What this rule looks at has no left and right",
        };
        field.problem(Code::NoSides, alike, "Leave `side` out");
        None
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

    fn kinds(&self, table: &mut Table<'_>, key: &'static str) -> Vec<String> {
        let mut kinds = Vec::new();
        for field in table.list(key) {
            let Some(kind) = field.read::<String>() else {
                continue;
            };
            if !self.kinds.contains_key(&kind) && kind != NOT_TOLD {
                let known = self.kinds.keys().map(String::as_str);
                let message = format!("“{kind}” is none of this limitation’s kinds");
                field.problem(Code::UnknownWord, message, did_you_mean(&kind, known));
            }
            kinds.push(kind);
        }
        kinds
    }

    /// Places of the limitation's own, areas where it takes an area's rules, and `not-told`.
    fn sites(&self, table: &mut Table<'_>) -> Vec<String> {
        let mut sites = Vec::new();
        for field in table.list("site") {
            let Some(site) = field.read::<String>() else {
                continue;
            };
            let own = self.sites.contains_key(&site) || site == NOT_TOLD;
            let of_area = self.of_area && is_area(&site);
            if !own && !of_area {
                let known = self.sites.keys().map(String::as_str);
                let message = format!("“{site}” is none of this limitation’s sites");
                let help = did_you_mean(&site, known.chain([NOT_TOLD]).collect::<Vec<_>>());
                field.problem(Code::UnknownWord, message, help);
            }
            sites.push(site);
        }
        sites
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
pub(super) fn if_written<T>(read: Option<Option<T>>) -> Option<Option<T>> {
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
pub(super) fn weeks_and_days(field: &Field<'_>) -> Option<i64> {
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
    let hand_down = table.optional("hand_down");
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
    Some(Easing {
        words: words?,
        hand_down,
        by,
    })
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
    let mut shapes = |key| table.list(key).iter().filter_map(proof_on).collect();
    let (hits, misses) = (shapes("hits"), shapes("misses"));
    let proof = Proof {
        hits,
        misses,
        hold_s: table.optional("hold_s").unwrap_or(PROOF_HOLD_S),
    };
    table.done();
    Some(proof)
}

/// `low-lunge`, `low-lunge lead` or `low-lunge other`.
fn proof_on(field: &Field<'_>) -> Option<ProofOn> {
    let words: String = field.read()?;
    let (id, on) = match words.split_once(' ') {
        Some((id, "lead")) => (id, Some(BodySide::Left)),
        Some((id, "other")) => (id, Some(BodySide::Right)),
        _ => (words.as_str(), None),
    };
    Some(ProofOn {
        id: id.to_owned(),
        on,
    })
}
