"""Every code that the text, the keys and the values of a regimen file can be refused with, and why the rule exists."""

from __future__ import annotations

from typing import Final

from fillcards.problems import ProblemCode, Severity

_DESIGN: Final = ("design",)
_WRITING: Final = ("ismp-error-prone-abbreviations", "joint-commission-do-not-use")
_YAML: Final = ("yaml-1.2", "design")


def _list_codes(rows: tuple[tuple[str, str, str, tuple[str, ...]], ...]) -> tuple[ProblemCode, ...]:
    return tuple(ProblemCode(code, Severity.REFUSE, title, reason, sources) for code, title, reason, sources in rows)


_TEXT_CODES: Final = _list_codes(
    (
        (
            "YAML-001",
            "The file is UTF-8 text.",
            "A file in another encoding shows wrong letters, and nobody can say which.",
            _YAML,
        ),
        (
            "YAML-002",
            "The file has at most 262,144 bytes.",
            "A regimen is a few kilobytes; a large file was meant for something else.",
            _DESIGN,
        ),
        ("YAML-003", "The file is not empty.", "Out of nothing no card is made.", _DESIGN),
        (
            "YAML-004",
            "The file has no tabs.",
            "A tab looks like spaces but does not indent like them.",
            _YAML,
        ),
        (
            "YAML-005",
            "Every character of the file can be seen.",
            "Control, direction and zero-width characters make a line read otherwise than it looks.",
            ("unicode-bidi", "yaml-1.2"),
        ),
        (
            "YAML-006",
            "The file is well-formed YAML.",
            "Past a fault of form nobody can say what belongs to what, so nothing after it is read.",
            _YAML,
        ),
        ("YAML-007", "The file has no directives.", "They change how all that follows is read.", _YAML),
        ("YAML-008", "The file is one document.", "Of two regimens in a file one would be left out.", _YAML),
        (
            "YAML-009",
            "Every value is written where it counts.",
            "An alias hides a dose in another place of the file; a change there would go unseen here.",
            _YAML,
        ),
        ("YAML-010", "No value carries a tag.", "A tag changes what a value means.", _YAML),
        ("YAML-011", "Keys are written out, not merged in.", "A merged key is not seen where it counts.", _YAML),
        ("YAML-012", "Each key stands once.", "Of two doses under one key one is wrong.", _YAML),
        ("YAML-013", "Each key is plain text.", "A list or a mapping as a key is a slip of brackets.", _YAML),
        (
            "YAML-014",
            "The file has at most 5,000 parts, 20 levels and 100 faults.",
            "Beyond that it is no regimen, and reading it could take for ever.",
            _DESIGN,
        ),
        (
            "YAML-015",
            "A space stands after each colon.",
            "Without it YAML reads name and dose as one name, and the dose as empty.",
            _YAML,
        ),
        (
            "YAML-016",
            "A remark starts with # and a space.",
            "YAML leaves out all that follows #; a value such as ward #3 would lose its end in silence.",
            _YAML,
        ),
        (
            "YAML-017",
            "A value that holds a # stands in quotes.",
            "Without a space before it, YAML takes the # and the remark after it for a part of the value.",
            _YAML,
        ),
        (
            "YAML-018",
            "What is read in quotes is what stands there.",
            "An escaped line break joins two lines, and an escaped digit is not seen as one: 1 and 1 became 11.",
            _YAML,
        ),
    )
)

_FORM_CODES: Final = _list_codes(
    (
        ("FORM-001", "The file is a mapping of keys.", "A list or a lone text was meant for something else.", _DESIGN),
        (
            "FORM-002",
            "The file names the version of its format.",
            "A file of another version may mean something else by the same key.",
            _DESIGN,
        ),
        ("FORM-003", "Every key is one that is known.", "A mistyped key would leave its value unread.", _DESIGN),
        ("FORM-004", "Every key that is needed is there.", "Nothing that matters is filled in by guessing.", _DESIGN),
        (
            "FORM-005",
            "A value has the shape of its key.",
            "A list where one value is meant can be read in two ways.",
            _DESIGN,
        ),
        ("FORM-006", "A value that matters is not empty.", "Empty may mean nothing, or not yet filled in.", _DESIGN),
        ("FORM-007", "A word is one of those known.", "A word that is not known has no meaning here.", _DESIGN),
        ("FORM-008", "A count is a whole number within sense.", "Anything else is a slip of the pen.", _DESIGN),
        ("FORM-009", "The card has room for four contacts.", "Who is called first must be found at once.", _DESIGN),
        ("TEXT-001", "A text fits its place on the card.", "Nothing is cut off and nothing is shrunk.", _DESIGN),
        ("TEXT-002", "A text is one line.", "A line break would tear it apart on the card.", _DESIGN),
        ("TEXT-003", "A text is words, or nothing.", "~ and null mean nothing to YAML and would be printed.", _YAML),
        (
            "TEXT-004",
            "The typeface has every character of a text.",
            "A missing character vanishes from paper without a word.",
            ("typeface-file", "design"),
        ),
        (
            "TEXT-005",
            "Free words hold no abbreviation that has been misread.",
            "U was read as 0 or 4, cc as units, and abbreviations of times were taken for others.",
            _WRITING,
        ),
        ("TEXT-006", "A telephone number can be dialled.", "In need nobody has time to correct it.", _DESIGN),
        (
            "TEXT-007",
            "Free words hold no number.",
            "A number beside the card's own is read as a dose, and nothing checks it when a dose changes.",
            _DESIGN,
        ),
        (
            "TEXT-008",
            "A mark on a vial is a few words.",
            "It stands within a step; a sentence or a bracket in it would break the step in two.",
            _DESIGN,
        ),
        (
            "TEXT-010",
            "Free words claim no check of the card.",
            "Whether a card was checked is said by its code alone; words would go on saying so after a change.",
            _DESIGN,
        ),
        (
            "DATE-001",
            "A date is year-month-day.",
            "Other orders are read differently in different countries.",
            ("iso-8601",),
        ),
        ("DATE-002", "A date exists.", "A day that is not in the calendar is a slip.", ("iso-8601",)),
        (
            "TIME-001",
            "A clock time is written 07:30 or 7:30 am.",
            "In other forms half past seven is taken for the evening, or for a number.",
            ("iso-8601", "design"),
        ),
        (
            "TIME-002",
            "Minutes before belong to a time that is named as before something.",
            "Two times for one syringe confuse: with breakfast is not 30 minutes before it.",
            _DESIGN,
        ),
        (
            "TIME-003",
            "A time is a clock time or a named time from the list.",
            "The time is the largest text of the card; a day, a condition or a dose in it is read and never checked.",
            ("fhir-event-timing", "design"),
        ),
        (
            "QTY-001",
            "An amount is a plain decimal number, a space and a unit.",
            "Zeros, points, commas and missing spaces in other forms have been misread tenfold and more.",
            _WRITING,
        ),
        (
            "QTY-002",
            "An amount is one amount.",
            "A range or a rough amount leaves the dose to whoever fills the syringe.",
            _DESIGN,
        ),
        (
            "QTY-003",
            "An amount carries its unit.",
            "A bare number was taken for units, mg or mL.",
            ("fda-compounded-2024",),
        ),
        (
            "QTY-004",
            "A unit is written in full, and fits.",
            "U was read as 0 or 4, cc as units; a unit that does not fit belongs to another line.",
            _WRITING,
        ),
        ("QTY-005", "An amount is within sense.", "A number far off is a slip of the pen.", _DESIGN),
    )
)

_REGIMEN_CODES: Final = _list_codes(
    (
        (
            "PATIENT-001",
            "Print size comes from an acuity or from a size.",
            "Two answers to one question leave it open.",
            _DESIGN,
        ),
        ("PATIENT-002", "A reserve belongs to an acuity.", "Without one it would have no effect.", ("cheong-2002",)),
        (
            "SYRINGE-001",
            "The syringe is one that exists.",
            "On a scale that does not exist every line is in the wrong place.",
            ("iso-8537-2007", "iso-7886-1-1993"),
        ),
        (
            "SYRINGE-002",
            "Printed numbers stand on lines, and the last line has one.",
            "The count to a line starts from a number; one between lines, or a step past the last line, was misread.",
            ("iso-8537-2007",),
        ),
        (
            "SYRINGE-003",
            "A measured scale has a length that can be.",
            "A length below the standard's least, or twice as long, was measured elsewhere or in other units.",
            ("iso-8537-2007", "iso-7886-1-1993", "common-practice"),
        ),
        (
            "SYRINGE-004",
            "An injection has a needle, a medicine by mouth has none.",
            "Medicines by mouth in syringes for injection have been injected.",
            ("ismp-oral-syringe",),
        ),
        ("MED-001", "A file has at most ten medicines.", "More belong to several syringes and several files.", _DESIGN),
        (
            "MED-002",
            "A medicine is named by its generic name, or as other.",
            "Names of makers change from country to country; a name that is not known is not guessed.",
            _DESIGN,
        ),
        (
            "MED-003",
            "A medicine of the catalogue is not written as other.",
            "That would step around what is published about it.",
            ("label-summary-mixing", "design"),
        ),
        (
            "MED-004",
            "The catalogue's word about a medicine stands.",
            "Look, motion, mixing, air and route of a known medicine are published.",
            ("label-summary-mixing", "design"),
        ),
        (
            "MED-005",
            "A medicine that is not known is described in full.",
            "Of what the catalogue does not know, nothing is assumed.",
            _DESIGN,
        ),
        ("MED-007", "A medicine's key is a short plain word.", "It must be typed again under fills.", _DESIGN),
        (
            "MED-008",
            "Partners in a syringe are medicines of the file.",
            "A name that leads nowhere is a slip.",
            _DESIGN,
        ),
        (
            "MED-009",
            "No air goes into a bottle by mouth.",
            "Air is for closed vials, where a vacuum would form.",
            ("air-equal-to-dose", "common-practice"),
        ),
        (
            "MED-010",
            "A look is clear or cloudy, then a colour at most.",
            "Clear is drawn before cloudy, and a changed look is the sign to throw a vial away.",
            ("nursing-mixing-pages", "insulin-appearance"),
        ),
        (
            "MED-011",
            "Names of two medicines differ in their letters.",
            "Names that differ in capitals, spaces or hyphens alone are one name to the eye and to the ear.",
            ("common-practice", "design"),
        ),
        (
            "MED-012",
            "An insulin the catalogue does not know is measured as an insulin, and alone.",
            "Its strength belongs to the scale of the syringe, and no published rule says what it may be mixed with.",
            _DESIGN,
        ),
        ("FILL-001", "A dose names a medicine of the file.", "A name that leads nowhere is a slip.", _DESIGN),
        (
            "FILL-002",
            "At most two medicines share a syringe.",
            "No published rule covers three; the card has a first line and a total line.",
            ("common-practice", "design"),
        ),
        ("FILL-003", "Every dose is filled in.", "Only the prescription says the dose.", _DESIGN),
        (
            "FILL-004",
            "A time stands once on a day, however it is spelled.",
            "Two cards for one time: one is wrong, or both doses are given.",
            _DESIGN,
        ),
        ("FILL-005", "A file has at most twelve fills.", "More belong to several files.", _DESIGN),
        (
            "DAYS-001",
            "Days are every day, weekdays, weekends, or a list of days.",
            "Shortened names of days, and weekly beside daily, have been mixed up.",
            _WRITING,
        ),
        (
            "DAYS-002",
            "Days are stated for a medicine that is not known.",
            "A weekly medicine must never become a daily one by leaving a line out.",
            _DESIGN,
        ),
        ("DAYS-003", "Each day stands once.", "A day twice was meant to be another day.", _DESIGN),
        (
            "REVIEW-001",
            "A checked code has the form of a code.",
            "A code that cannot be was not copied from a card.",
            ("rfc-4648",),
        ),
        ("REVIEW-002", "A check has a name.", "Nobody answers for a check without one.", _DESIGN),
        ("REVIEW-003", "The day to ask again is after the card's date.", "Else one of the dates is wrong.", _DESIGN),
        (
            "REVIEW-004",
            "Who prepared or checked is a person.",
            "A placeholder such as todo or nobody would let an unchecked card pass for a checked one.",
            ("common-practice", "design"),
        ),
        (
            "REVIEW-005",
            "A card is not checked before its date.",
            "What was checked on an earlier day was another card, or one of the dates is wrong.",
            _DESIGN,
        ),
        (
            "REPLACES-001",
            "A fingerprint has the form of a fingerprint.",
            "One that cannot be was not copied from a card.",
            ("rfc-4648",),
        ),
        (
            "REPLACES-002",
            "A line of the replaced card is a plain number.",
            "It is a place on the barrel; with a unit it would be read as a dose.",
            _DESIGN,
        ),
        (
            "REPLACES-003",
            "What is said of the replaced card fits together.",
            "A patient throws away the card that is named here; the wrong name takes the wrong card.",
            _DESIGN,
        ),
        (
            "REPLACES-004",
            "A card replaces an older card, or one of the same day.",
            "A card that replaces a newer one brings back the doses that were changed.",
            _DESIGN,
        ),
    )
)

SCHEMA_CODES: Final[tuple[ProblemCode, ...]] = (*_TEXT_CODES, *_FORM_CODES, *_REGIMEN_CODES)
