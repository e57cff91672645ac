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
            "In another encoding letters turn into other letters, and nobody can tell which were meant.",
            _YAML,
        ),
        (
            "YAML-002",
            "The file has at most 262,144 bytes.",
            "A regimen takes a few kilobytes; a large file is something else.",
            _DESIGN,
        ),
        ("YAML-003", "The file is not empty.", "There is nothing to make a card from.", _DESIGN),
        (
            "YAML-004",
            "The file has no tabs.",
            "A tab looks like spaces but does not indent like them.",
            _YAML,
        ),
        (
            "YAML-005",
            "Every character of the file is visible.",
            "Control, direction and zero-width characters make a line mean something other than it shows.",
            ("unicode-bidi", "yaml-1.2"),
        ),
        (
            "YAML-006",
            "The file is well-formed YAML.",
            "After a syntax error it is impossible to tell what belongs to what, so nothing after it is read.",
            _YAML,
        ),
        ("YAML-007", "The file has no directives.", "They change how the rest is read.", _YAML),
        ("YAML-008", "The file is one document.", "Of two regimens in one file, one would be ignored.", _YAML),
        (
            "YAML-009",
            "Every value is written where it is used.",
            "An alias takes a dose from elsewhere in the file; a change there would go unnoticed here.",
            _YAML,
        ),
        ("YAML-010", "No value carries a tag.", "A tag changes what a value means.", _YAML),
        ("YAML-011", "Keys are written out, not merged in.", "A merged key cannot be seen where it is used.", _YAML),
        ("YAML-012", "Each key occurs once.", "If one key has two doses, one of them is wrong.", _YAML),
        ("YAML-013", "Each key is plain text.", "A list or a mapping as a key comes from a misplaced bracket.", _YAML),
        (
            "YAML-014",
            "The file has at most 5,000 parts, 20 levels and 100 errors.",
            "A larger file is not a regimen, and could take forever to read.",
            _DESIGN,
        ),
        (
            "YAML-015",
            "A space follows each colon.",
            "Without it YAML reads name and dose as one name, and the dose as empty.",
            _YAML,
        ),
        (
            "YAML-016",
            "A comment starts with # and a space.",
            "YAML ignores everything after #; a value such as ward #3 would lose its end without warning.",
            _YAML,
        ),
        (
            "YAML-017",
            "A value that contains # is quoted.",
            "Without a space before it, YAML takes the # and the comment after it as part of the value.",
            _YAML,
        ),
        (
            "YAML-018",
            "A quoted value means exactly what it shows.",
            "An escaped line break joins two lines, and an escaped digit is not seen as one: 1 and 1 became 11.",
            _YAML,
        ),
    )
)

_FORM_CODES: Final = _list_codes(
    (
        ("FORM-001", "The file is a mapping of keys.", "A list or a single text is some other kind of file.", _DESIGN),
        (
            "FORM-002",
            "The file names the version of its format.",
            "In another version the same key may mean something else.",
            _DESIGN,
        ),
        ("FORM-003", "Every key is known.", "The value of a mistyped key would be ignored.", _DESIGN),
        ("FORM-004", "Every required key is present.", "Nothing that matters is guessed.", _DESIGN),
        (
            "FORM-005",
            "Each value has the shape its key asks for.",
            "A list in place of a single value can be read in two ways.",
            _DESIGN,
        ),
        ("FORM-006", "No value that matters is empty.", "An empty value may mean none, or not filled in yet.", _DESIGN),
        ("FORM-007", "Each word is on its list.", "An unknown word has no meaning here.", _DESIGN),
        ("FORM-008", "A count is a plausible whole number.", "Anything else is a typing error.", _DESIGN),
        ("FORM-009", "The card has room for four contacts.", "The first number to call must be easy to find.", _DESIGN),
        ("TEXT-001", "A text fits its place on the card.", "Text is never cut off or shrunk.", _DESIGN),
        ("TEXT-002", "A text is one line.", "A line break would split it on the card.", _DESIGN),
        ("TEXT-003", "A text is words, or nothing.", "~ and null mean nothing to YAML and would be printed.", _YAML),
        (
            "TEXT-004",
            "The typeface has every character.",
            "A missing character would vanish from the page without warning.",
            ("typeface-file", "design"),
        ),
        (
            "TEXT-005",
            "Free text contains no error-prone abbreviation.",
            "U has been read as 0 or 4, cc as units, and abbreviated times as other times.",
            _WRITING,
        ),
        ("TEXT-006", "A telephone number can be dialled.", "In an emergency nobody has time to correct it.", _DESIGN),
        (
            "TEXT-007",
            "Free text contains no number.",
            "Such a number may be read as a dose, and nothing checks it when a dose changes.",
            _DESIGN,
        ),
        (
            "TEXT-008",
            "A mark on a vial is a few words.",
            "It is printed inside a step; a sentence or a bracket would break the step in two.",
            _DESIGN,
        ),
        (
            "TEXT-010",
            "Free text does not claim that the card was checked.",
            "Only the card code shows whether a card was checked; such words would still say so after a change.",
            _DESIGN,
        ),
        (
            "DATE-001",
            "A date is year-month-day.",
            "Other orders mean different dates in different countries.",
            ("iso-8601",),
        ),
        ("DATE-002", "A date exists.", "A day that is not in the calendar is a typing error.", ("iso-8601",)),
        (
            "TIME-001",
            "A clock time is written 07:30 or 7:30 am.",
            "In other forms half past seven may be taken for the evening, or for a number.",
            ("iso-8601", "design"),
        ),
        (
            "TIME-002",
            "Minutes before go with a time that names what they come before.",
            "Two times for one syringe are confusing: with breakfast is not 30 minutes before it.",
            _DESIGN,
        ),
        (
            "TIME-003",
            "A time is a clock time or a named time from the list.",
            "The time is printed large; a day, a condition or a dose in it would be read but never checked.",
            ("fhir-event-timing", "design"),
        ),
        (
            "QTY-001",
            "An amount is a plain decimal number, a space and a unit.",
            "Other ways of writing zeros, points, commas and spaces have led to errors of ten times and more.",
            _WRITING,
        ),
        (
            "QTY-002",
            "An amount is one amount.",
            "A range or a rough amount would leave the choice to the person filling the syringe.",
            _DESIGN,
        ),
        (
            "QTY-003",
            "An amount carries its unit.",
            "Bare numbers have been taken for units, mg or mL.",
            ("fda-compounded-2024",),
        ),
        (
            "QTY-004",
            "A unit is written in full, and fits.",
            "U has been read as 0 or 4, and cc as units; a unit that does not fit belongs elsewhere.",
            _WRITING,
        ),
        ("QTY-005", "An amount is plausible.", "An implausible number is a typing error.", _DESIGN),
    )
)

_REGIMEN_CODES: Final = _list_codes(
    (
        (
            "PATIENT-001",
            "Print size comes from an acuity or a text size, not both.",
            "If both are given, they may disagree.",
            _DESIGN,
        ),
        ("PATIENT-002", "A reserve goes with an acuity.", "Without one it has no effect.", ("cheong-2002",)),
        (
            "SYRINGE-001",
            "The syringe is one that exists.",
            "On a scale that does not exist, every line would be in the wrong place.",
            ("iso-8537-2007", "iso-7886-1-1993"),
        ),
        (
            "SYRINGE-002",
            "Printed numbers are on lines, and the last line has one.",
            "Lines are counted from a number; a number between lines, or past the last line, was misread.",
            ("iso-8537-2007",),
        ),
        (
            "SYRINGE-003",
            "A measured scale has a possible length.",
            "A length below the standard's minimum, or twice that, was measured in the wrong place or in other units.",
            ("iso-8537-2007", "iso-7886-1-1993", "common-practice"),
        ),
        (
            "SYRINGE-004",
            "An injection has a needle, a medicine by mouth has none.",
            "Oral medicines in injection syringes have been injected.",
            ("ismp-oral-syringe",),
        ),
        (
            "MED-001",
            "A file has at most ten medicines.",
            "More medicines need several syringes and several files.",
            _DESIGN,
        ),
        (
            "MED-002",
            "A medicine is named by its generic name, or as other.",
            "Brand names differ from country to country, and an unknown name is never guessed.",
            _DESIGN,
        ),
        (
            "MED-003",
            "A medicine of the catalogue is not written as other.",
            "That would bypass what is published about it.",
            ("label-summary-mixing", "design"),
        ),
        (
            "MED-004",
            "The catalogue describes its own medicines.",
            "For a known medicine, look, motion, mixing, air and route are published.",
            ("label-summary-mixing", "design"),
        ),
        (
            "MED-005",
            "A medicine not in the catalogue is described in full.",
            "Nothing is assumed about a medicine that is not in the catalogue.",
            _DESIGN,
        ),
        ("MED-007", "A medicine's key is a short plain word.", "It is typed again under fills.", _DESIGN),
        (
            "MED-008",
            "Medicines that share a syringe are in the file.",
            "A name that is not in the file is a typing error.",
            _DESIGN,
        ),
        (
            "MED-009",
            "No air goes into a bottle by mouth.",
            "Air is for sealed vials, where a vacuum would form.",
            ("air-equal-to-dose", "common-practice"),
        ),
        (
            "MED-010",
            "A look is clear or cloudy, and at most a colour.",
            "Clear is drawn before cloudy, and a changed look is the sign to throw a vial away.",
            ("nursing-mixing-pages", "insulin-appearance"),
        ),
        (
            "MED-011",
            "Names of two medicines differ in their letters.",
            "Names that differ only in capitals, spaces or hyphens look and sound the same.",
            ("common-practice", "design"),
        ),
        (
            "MED-012",
            "An insulin the catalogue does not know is measured as an insulin, and alone.",
            "Its strength belongs to the scale of the syringe, and no published rule says what it may be mixed with.",
            _DESIGN,
        ),
        (
            "FILL-001",
            "A dose names a medicine in the file.",
            "A name that is not in the file is a typing error.",
            _DESIGN,
        ),
        (
            "FILL-002",
            "At most two medicines share a syringe.",
            "No published rule covers three; the card has a first line and a total line.",
            ("common-practice", "design"),
        ),
        ("FILL-003", "Every dose is filled in.", "Only the prescription says the dose.", _DESIGN),
        (
            "FILL-004",
            "Each time occurs once a day, however it is written.",
            "With two cards for one time, one is wrong or both doses are given.",
            _DESIGN,
        ),
        ("FILL-005", "A file has at most twelve fills.", "More fills need several files.", _DESIGN),
        (
            "DAYS-001",
            "Days are every day, weekdays, weekends, or a list of days.",
            "Abbreviated days, and weekly and daily, have been mixed up.",
            _WRITING,
        ),
        (
            "DAYS-002",
            "Days are stated for a medicine not in the catalogue.",
            "Leaving out a line must never turn a weekly medicine into a daily one.",
            _DESIGN,
        ),
        ("DAYS-003", "Each day occurs once.", "A repeated day was meant to be another day.", _DESIGN),
        (
            "REVIEW-001",
            "A checked code looks like a card code.",
            "An impossible code was not copied from a card.",
            ("rfc-4648",),
        ),
        ("REVIEW-002", "A check has a name.", "Without one, nobody answers for the check.", _DESIGN),
        (
            "REVIEW-003",
            "The day to ask again is after the card's date.",
            "Otherwise one of the dates is wrong.",
            _DESIGN,
        ),
        (
            "REVIEW-004",
            "Who prepared or checked is a person.",
            "With a placeholder such as todo or nobody, an unchecked card would pass as checked.",
            ("common-practice", "design"),
        ),
        (
            "REVIEW-005",
            "A card is not checked before its date.",
            "A check on an earlier day was of another card, or one of the dates is wrong.",
            _DESIGN,
        ),
        (
            "REPLACES-001",
            "A fingerprint looks like a fingerprint.",
            "An impossible one was not copied from a card.",
            ("rfc-4648",),
        ),
        (
            "REPLACES-002",
            "A line of the replaced card is a plain number.",
            "It marks a place on the barrel; with a unit it would be read as a dose.",
            _DESIGN,
        ),
        (
            "REPLACES-003",
            "The entries about the replaced card agree.",
            "The patient throws away the card named here; a wrong name would be the wrong card.",
            _DESIGN,
        ),
        (
            "REPLACES-004",
            "A card replaces an older card, or one of the same day.",
            "Replacing a newer card would bring back the old doses.",
            _DESIGN,
        ),
    )
)

SCHEMA_CODES: Final[tuple[ProblemCode, ...]] = (*_TEXT_CODES, *_FORM_CODES, *_REGIMEN_CODES)
