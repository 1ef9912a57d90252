//! Words of the calendar in six languages: weeks, months, the names of months.

/// Whether a folded word means weeks.
pub(super) fn is_weeks(word: &str) -> bool {
    matches!(
        word,
        "week"
            | "weeks"
            | "wk"
            | "wks"
            | "w"
            | "semana"
            | "semanas"
            | "sem"
            | "semaine"
            | "semaines"
            | "woche"
            | "wochen"
            | "ssw"
            | "settimana"
            | "settimane"
            | "sett"
    )
}

/// Whether a folded word means months.
pub(super) fn is_months(word: &str) -> bool {
    matches!(
        word,
        "month"
            | "months"
            | "mth"
            | "mths"
            | "mes"
            | "meses"
            | "mois"
            | "monat"
            | "monate"
            | "monaten"
            | "mese"
            | "mesi"
    )
}

/// The month that a folded word names, in full or by at least three letters.
pub(super) fn month_of(word: &str) -> Option<u32> {
    const MONTHS: [&[&str]; 12] = [
        &[
            "january", "enero", "janvier", "januar", "janner", "janeiro", "gennaio",
        ],
        &[
            "february",
            "febrero",
            "fevrier",
            "februar",
            "fevereiro",
            "febbraio",
        ],
        &["march", "marzo", "mars", "marz", "marco", "mrz"],
        &["april", "abril", "avril", "aprile"],
        &["may", "mayo", "mai", "maio", "maggio"],
        &["june", "junio", "juin", "juni", "junho", "giugno"],
        &["july", "julio", "juillet", "juli", "julho", "luglio"],
        &["august", "agosto", "aout"],
        &[
            "september",
            "septiembre",
            "septembre",
            "setembro",
            "settembre",
        ],
        &[
            "october", "octubre", "octobre", "oktober", "outubro", "ottobre",
        ],
        &["november", "noviembre", "novembre", "novembro"],
        &[
            "december",
            "diciembre",
            "decembre",
            "dezember",
            "dezembro",
            "dicembre",
        ],
    ];
    if word.len() < 3 {
        return None;
    }
    let at = MONTHS
        .iter()
        .position(|names| names.contains(&word))
        .or_else(|| {
            MONTHS.iter().position(|names| {
                word.len() <= 4 && names.iter().any(|name| name.starts_with(word))
            })
        })?;
    u32::try_from(at + 1).ok()
}
