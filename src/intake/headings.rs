//! What a column can be, and the headings that say so in six languages.
//!
//! Takes a heading; gives back what the column is. Invariant: a heading is compared folded and by
//! whole words, the kinds are tried in the order of [`HEADINGS`], and the first that holds wins, so
//! that "emergency contact" is never a name and "agree to health notes" never a health note.
//!
//! The phrases are starters; a native speaker should read each language once.

use super::answers::folded_words;

/// What a column is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Means {
    /// The whole name, or the first name.
    Name,
    /// The family name, where it has its own column.
    LastName,
    /// Age in years.
    Age,
    /// The day of birth.
    Born,
    /// What they said or wrote about their health.
    Words,
    /// Said at the door, about today.
    Today,
    /// Which side.
    Side,
    /// How bad.
    Severity,
    /// Since when, or the day of an operation or a birth.
    When,
    /// A due date.
    Due,
    /// Weeks of a pregnancy, or since an operation.
    Weeks,
    /// What a clinician said.
    Guidance,
    /// Whether they may be touched.
    Touch,
    /// Hearing, sight, language.
    Access,
    /// In the room, on video, or watching later.
    Place,
    /// Props of their own.
    Has,
    /// How tall.
    Height,
    /// Minutes late.
    Late,
    /// The day on which the row was filled in.
    Recorded,
    /// Whether notes on health may be kept.
    Leave,
    /// Anything else, kept as a note.
    Note,
    /// Nothing that a roster holds.
    Unused,
}

/// Each kind with its id for `--column` and what is printed of it.
pub(super) const MEANS: &[(Means, &str, &str)] = &[
    (Means::Name, "name", "name"),
    (Means::LastName, "last-name", "family name"),
    (
        Means::Age,
        "age",
        "age: only under 18 and 70 or over are kept",
    ),
    (
        Means::Born,
        "born",
        "day of birth: only under 18 and 70 or over are kept",
    ),
    (Means::Words, "words", "what they told"),
    (Means::Today, "today", "what they told about today"),
    (Means::Side, "side", "side"),
    (Means::Severity, "severity", "how bad"),
    (Means::When, "when", "since when"),
    (Means::Due, "due", "due date"),
    (Means::Weeks, "weeks", "weeks"),
    (Means::Guidance, "guidance", "what their clinician said"),
    (Means::Touch, "touch", "touch"),
    (Means::Access, "access", "hearing, sight, language"),
    (Means::Place, "where", "room or video"),
    (Means::Has, "has", "props of their own"),
    (Means::Height, "height", "height"),
    (Means::Late, "late", "minutes late"),
    (Means::Recorded, "recorded", "day of the answers"),
    (Means::Leave, "leave", "leave to keep health notes"),
    (Means::Note, "note", "note"),
    (Means::Unused, "unused", "not used"),
];

impl Means {
    /// What an id of `--column` says.
    pub fn from_id(id: &str) -> Option<Self> {
        MEANS
            .iter()
            .find(|(_, known, _)| *known == id)
            .map(|(means, ..)| *means)
    }

    /// Every id of `--column`.
    pub fn ids() -> Vec<&'static str> {
        MEANS.iter().map(|(_, id, _)| *id).collect()
    }

    /// What is printed for it.
    pub fn label(self) -> &'static str {
        MEANS
            .iter()
            .find(|(means, ..)| *means == self)
            .map_or("", |(_, _, label)| label)
    }
}

/// Headings by kind, in the order in which they are tried. A phrase with `=` before it has to be
/// the whole heading.
#[rustfmt::skip]
const HEADINGS: &[(Means, &[&str])] = &[
    (Means::Unused, &[
        "emergency", "emergencia", "urgence", "notfall", "emergencia", "emergenza", "photo",
        "photos", "foto", "fotos", "recording consent", "newsletter", "email", "e mail", "correo",
        "courriel", "mail", "phone", "mobile", "telephone", "telefono", "telefon", "handy",
        "telefone", "telemovel", "cellulare", "address", "direccion", "adresse", "anschrift",
        "endereco", "indirizzo", "postcode", "paid", "payment", "price", "pago", "paye", "bezahlt",
        "pagamento", "pagato", "experience", "experiencia", "experienz", "erfahrung", "esperienza",
        "been coming", "how long have you practised", "how did you hear", "gp name", "doctors name",
        "name of your doctor", "=number", "=no", "=nr", "=n", "=id", "gender", "pronouns",
        "=signature", "signed", "unterschrift", "firma", "ticket", "booking reference",
    ]),
    (Means::Touch, &[
        "touch", "hands on", "adjustments", "adjust", "contacto fisico", "toque", "tocar",
        "toucher", "ajustements", "beruhrung", "beruhren", "anfassen", "hilfestellung", "ajustes",
        "contatto", "tocco", "toccare",
    ]),
    (Means::Leave, &[
        "consent", "agree", "permission", "may we keep", "may i keep", "data protection", "privacy",
        "consentimiento", "acepto", "permiso", "consentement", "accord", "autorisation",
        "einwilligung", "einverstanden", "zustimmung", "datenschutz", "consentimento", "autorizo",
        "consenso", "acconsento", "autorizzo",
    ]),
    (Means::Guidance, &[
        "clinician", "clinicians", "doctor said", "doctors advice", "medical advice", "physio said",
        "midwife said", "what did your doctor", "has your doctor", "told by", "advice",
        "dijo el medico", "medico", "fisio", "consejo medico", "medecin", "avis medical", "kine",
        "arzt", "arztin", "arztlicher", "physiotherapeut", "conselho medico", "fisioterapeuta",
        "parere medico", "consiglio medico", "guidance",
    ]),
    (Means::Due, &[
        "due date", "due", "fecha de parto", "fecha prevista", "terme", "date prevue",
        "entbindungstermin", "geburtstermin", "=et", "data prevista", "data presunta",
    ]),
    (Means::Born, &[
        "date of birth", "birth date", "birthday", "dob", "born", "fecha de nacimiento",
        "nacimiento", "date de naissance", "naissance", "geburtsdatum", "geboren", "geburtstag",
        "data de nascimento", "nascimento", "data di nascita", "nascita",
    ]),
    (Means::Weeks, &[
        "weeks", "how many weeks", "wks", "semanas", "semaines", "wochen", "ssw",
        "schwangerschaftswoche", "settimane",
    ]),
    (Means::Age, &[
        "age", "edad", "alter", "idade", "eta", "how old",
    ]),
    (Means::Side, &[
        "side", "which side", "left or right", "left right", "lado", "cote", "quel cote", "seite",
        "welche seite", "links rechts", "lato",
    ]),
    (Means::Severity, &[
        "how bad", "severity", "pain level", "=pain", "scale", "out of 10", "how much does it hurt",
        "gravedad", "nivel de dolor", "intensidad", "gravite", "intensite", "niveau de douleur",
        "wie stark", "wie schlimm", "schweregrad", "schmerzen 0 10", "gravidade", "intensidade",
        "gravita", "intensita",
    ]),
    (Means::Today, &[
        "=today", "how are you today", "how do you feel today", "anything new", "anything today",
        "=hoy", "=aujourdhui", "=heute", "=hoje", "=oggi",
    ]),
    (Means::Recorded, &[
        "timestamp", "date submitted", "submitted", "submission", "form date", "date of form",
        "signed up on", "recorded", "=date", "=fecha", "=datum", "=data", "marca temporal",
        "fecha de inscripcion", "horodateur", "date dinscription", "zeitstempel", "anmeldedatum",
        "carimbo de data hora", "data da inscricao", "informazioni cronologiche",
        "data di iscrizione",
    ]),
    (Means::When, &[
        "when", "since", "since when", "how long", "date of operation", "operation date",
        "date of surgery", "surgery date", "cuando", "desde cuando", "desde", "fecha de operacion",
        "quand", "depuis quand", "depuis", "date de loperation", "wann", "seit wann", "seit",
        "op datum", "quando", "desde quando", "data da cirurgia", "da quando", "data operazione",
    ]),
    (Means::Place, &[
        "mode", "online or in person", "in person", "online", "room or video", "room or online",
        "attending", "modalidad", "presencial", "en linea", "en ligne", "presentiel", "vor ort",
        "teilnahme", "modalidade", "modalita", "in presenza",
    ]),
    (Means::Access, &[
        "hearing", "sight", "vision", "language", "languages", "access", "accessibility",
        "access needs", "idioma", "audicion", "vista", "langue", "audition", "vue", "sprache",
        "gehor", "horen", "lingua", "udito", "visao", "audicao",
    ]),
    (Means::Height, &[
        "height", "how tall", "estatura", "altura", "taille", "grosse", "altezza",
    ]),
    (Means::Late, &[
        "late", "minutes late",
    ]),
    (Means::Has, &[
        "props at home", "props", "own props", "equipment", "what do you have at home", "material",
        "materiel", "hilfsmittel", "requisiten", "attrezzi", "acessorios",
    ]),
    (Means::Words, &[
        "injury", "injuries", "health", "medical", "conditions", "condition", "limitations",
        "limitation", "complaints", "aches", "anything i should know", "anything we should know",
        "should know", "anything to tell", "said or wrote", "said", "wrote", "their words",
        "what is going on", "lesion", "lesiones", "salud", "dolencias", "enfermedades",
        "algo que deba saber", "molestias", "blessure", "blessures", "sante", "problemes",
        "douleurs", "maladies", "verletzung", "verletzungen", "beschwerden", "gesundheit",
        "gesundheitliche", "erkrankungen", "was soll ich wissen", "lesao", "lesoes", "saude",
        "doencas", "queixas", "infortuni", "salute", "problemi", "disturbi", "patologie", "dolori",
        "=body", "what hurts", "anything wrong",
    ]),
    (Means::LastName, &[
        "last name", "surname", "family name", "apellido", "apellidos", "nom de famille",
        "nachname", "familienname", "sobrenome", "apelido", "cognome",
    ]),
    (Means::Name, &[
        "name", "names", "full name", "first name", "your name", "=who", "student", "participant",
        "nombre", "nombres", "alumno", "alumna", "participante", "nom", "prenom", "eleve",
        "participant e", "vorname", "teilnehmer", "teilnehmerin", "teilnehmende", "nome", "aluno",
        "aluna", "allievo", "allieva", "partecipante", "be called",
    ]),
    (Means::Note, &[
        "other", "others", "note", "notes", "comment", "comments", "remark", "remarks",
        "anything else", "=more", "otro", "otros", "notas", "nota", "comentarios", "observaciones",
        "autre", "autres", "remarque", "remarques", "commentaire", "commentaires", "bemerkung",
        "bemerkungen", "sonstiges", "anmerkung", "anmerkungen", "notiz", "notizen", "outro",
        "outros", "observacoes", "comentarios", "altro", "commenti", "osservazioni",
    ]),
];

/// What a heading says that its column is.
pub(super) fn meaning(heading: &str) -> Option<Means> {
    if heading.trim() == "#" {
        return Some(Means::Unused);
    }
    let words = folded_words(heading);
    let holds = |phrase: &str| match phrase.strip_prefix('=') {
        Some(whole) => words == whole,
        None => format!(" {words} ").contains(&format!(" {phrase} ")),
    };
    HEADINGS
        .iter()
        .find(|(_, phrases)| phrases.iter().any(|phrase| holds(phrase)))
        .map(|(means, _)| *means)
}

#[cfg(test)]
mod tests {
    use super::*;
    use rstest::rstest;

    #[rstest]
    #[case("Name", Means::Name)]
    #[case("What they said or wrote", Means::Words)]
    #[case("What their clinician said", Means::Guidance)]
    #[case("How bad", Means::Severity)]
    #[case("Emergency contact name", Means::Unused)]
    #[case("Do you agree that we keep health notes?", Means::Leave)]
    #[case("Consent to touch", Means::Touch)]
    #[case("Fecha de nacimiento", Means::Born)]
    #[case("Entbindungstermin", Means::Due)]
    #[case("Gibt es Beschwerden oder Verletzungen?", Means::Words)]
    #[case("Prénom", Means::Name)]
    #[case("Quel côté ?", Means::Side)]
    #[case("Há lesões ou doenças?", Means::Words)]
    #[case("Da quando?", Means::When)]
    #[case("Anything else we should know?", Means::Words)]
    #[case("Anything else", Means::Note)]
    #[case("Date", Means::Recorded)]
    #[case("#", Means::Unused)]
    fn headings_are_understood(#[case] heading: &str, #[case] expected: Means) {
        assert_eq!(meaning(heading), Some(expected));
    }

    #[rstest]
    #[case("Parking")]
    #[case("")]
    #[case("Wimbledon")]
    fn a_strange_heading_says_nothing(#[case] heading: &str) {
        assert_eq!(meaning(heading), None);
    }

    #[test]
    fn every_phrase_is_folded_as_headings_are() {
        for phrase in HEADINGS.iter().flat_map(|(_, phrases)| *phrases) {
            let phrase = phrase.trim_start_matches('=');
            assert_eq!(folded_words(phrase), phrase);
        }
    }
}
