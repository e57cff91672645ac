"""Every key of the regimen file: its name, the form of its value, whether it must be there, and what it means.

The one table behind the reader (``schema.py`` and its neighbours) and the JSON Schema for editors. A limit on length
is what fits on the card; a limit on an amount only catches typing errors, and is set here because nothing
published sets it (common practice, no source), unless a source is named.
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import Enum
from fractions import Fraction
from typing import Any, Final, Generic, NamedTuple, TypeVar

from fillcards.catalogue.medicines import load_medicines
from fillcards.catalogue.model import Motion, Route, ScaleName
from fillcards.quantities import DOSE_UNITS, STRENGTH_UNITS, Unit
from fillcards.regimen.forms import (
    CARD_CODE,
    Amount,
    Choice,
    Form,
    IsoDate,
    LineNumber,
    PaperName,
    Pattern,
    WholeNumber,
)
from fillcards.regimen.free_words import suggest_kind
from fillcards.regimen.labels import Label, PersonName, Words
from fillcards.regimen.languages import LANGUAGES
from fillcards.regimen.model import EVERY_DAY, BarrelDirection, Needle, PatientKind, Weekday
from fillcards.regimen.times import FillTime

T = TypeVar("T")
E = TypeVar("E", bound=Enum)

VERSION: Final = "1"
OTHER: Final = "other"
SOME_DAYS_OF_WORD: Final[Mapping[str, tuple[Weekday, ...]]] = {"weekdays": EVERY_DAY[:5], "weekends": EVERY_DAY[5:]}
DAYS_OF_WORD: Final[Mapping[str, tuple[Weekday, ...]]] = {
    "every day": EVERY_DAY,
    "daily": EVERY_DAY,
    **SOME_DAYS_OF_WORD,
}
NONE: Final = "none"
MOST_MEDICINES: Final = 10
MOST_FILLS: Final = 12
MOST_CONTACTS: Final = 4
MOST_IN_A_FILL: Final = 2


class Key(NamedTuple, Generic[T]):
    """One key of the file.

    Attributes:
        form: of its value; ``None`` where the value is a mapping or a list, which the reader opens itself.
        help: one sentence for editors.
        is_required: whether it must be there and be filled in.
        may_be_empty: whether an empty value means the same as leaving the key out.
        is_private: whether the value may identify the patient, so that no message quotes it.
    """

    name: str
    form: Form[T] | None
    help: str
    is_required: bool = False
    may_be_empty: bool = False
    is_private: bool = False


def _choose(values: type[E]) -> Choice[E]:
    return Choice(lambda: {member.value: member for member in values})


def _list_kinds() -> Mapping[str, str]:
    return {name: name for name in (*load_medicines(), OTHER)}


MEDICINE_KEY: Final = Pattern(
    r"(?!none$)[A-Za-z][A-Za-z0-9_-]{0,23}",
    "MED-007",
    "a short word of your own, such as clear or cloudy",
    "start with a letter; letters, digits, - and _ only; at most 24; not the word none",
)

FILLCARDS: Final[Key[str]] = Key("fillcards", None, "Version of this format: 1.", is_required=True)
LANGUAGE: Final = Key("language", Choice(lambda: {tag: tag for tag in LANGUAGES}), "Language of the card.")
PATIENT: Final[Key[Any]] = Key("patient", None, "Whose card.")
PRINT: Final[Key[Any]] = Key("print", None, "Paper and how the barrel is drawn.")
SYRINGE: Final[Key[Any]] = Key("syringe", None, "The syringe in the patient's hand.", is_required=True)
MEDICINES: Final[Key[Any]] = Key(
    "medicines", None, "One entry a vial, each under a word of your own.", is_required=True
)
FILLS: Final[Key[Any]] = Key("fills", None, "One entry each time a syringe is filled.", is_required=True)
CONTACTS: Final[Key[Any]] = Key("contacts", None, "Whom to call, printed large.", may_be_empty=True)
NOTES: Final = Key("notes", Label(200, Words.SENTENCE), "Printed word for word.", may_be_empty=True, is_private=True)
PRESCRIPTION: Final = Key(
    "prescription", Label(40, Words.IDENTIFIER), "Number, for the small card.", may_be_empty=True, is_private=True
)
CLINIC_SAYS: Final[Key[Any]] = Key("clinic_says", None, "The clinic's own sentences for the card.", may_be_empty=True)
REPLACES: Final[Key[Any]] = Key(
    "replaces", None, "The card that this one replaces; written by fillcards new --from.", may_be_empty=True
)
REVIEW: Final[Key[Any]] = Key("review", None, "Who prepared and checked the card.", is_required=True)
SAMPLE: Final = Key(
    "sample", Choice(lambda: {"true": True, "false": False}), "Only in starters and samples: not for a patient."
)
ROOT_KEYS: Final = (
    FILLCARDS,
    LANGUAGE,
    PATIENT,
    PRINT,
    SYRINGE,
    MEDICINES,
    FILLS,
    CONTACTS,
    NOTES,
    PRESCRIPTION,
    CLINIC_SAYS,
    REPLACES,
    REVIEW,
    SAMPLE,
)

NAME: Final = Key(
    "name", Label(60, Words.NAME), "Left out: a ruled line is printed for it.", may_be_empty=True, is_private=True
)
SECOND_IDENTIFIER: Final = Key(
    "second_identifier",
    Label(40, Words.IDENTIFIER),
    "As the clinic uses, such as a ward.",
    may_be_empty=True,
    is_private=True,
)
BORN: Final = Key("born", IsoDate(1900), "Date of birth, printed beside the name.", may_be_empty=True, is_private=True)
PATIENT_KIND: Final = Key("kind", _choose(PatientKind), "A person or an animal.")
READS: Final = Key(
    "reads", Label(60, Words.IDENTIFIER), "Near acuity, such as 20/100 at 40 cm.", may_be_empty=True, is_private=True
)
RESERVE: Final = Key(
    "reserve", Choice(lambda: {"2": 2.0, "3": 3.0}), "Print size over the smallest that can be read: 2 or 3."
)
# Least: body text is never under 18 pt (large-print guidelines). Most: two such words still fit on a line of a page.
TEXT_SIZE: Final = Key(
    "text_size", Amount((Unit.PT,), Fraction(18), Fraction(96)), "Body size instead of an acuity, such as 24 pt."
)
PATIENT_KEYS: Final = (NAME, BORN, SECOND_IDENTIFIER, PATIENT_KIND, READS, RESERVE, TEXT_SIZE)

PAPER: Final = Key("paper", PaperName(), "The sheet that is printed on; of a small card, any size in mm too.")
BARREL: Final = Key("barrel", _choose(BarrelDirection), "How the reader holds the syringe while reading it.")
PRINT_KEYS: Final = (PAPER, BARREL)

_LINE_UNITS: Final = (Unit.UNITS, Unit.ML)
SCALE: Final = Key("scale", _choose(ScaleName), "As printed on the barrel, such as U-100.", is_required=True)
CAPACITY: Final = Key("capacity", Amount((Unit.ML,)), "Volume at the last line, such as 0.5 mL.", is_required=True)
LINE_EVERY: Final = Key("line_every", Amount(_LINE_UNITS), "From one line to the next.", is_required=True)
NUMBERED_EVERY: Final = Key("numbered_every", Amount(_LINE_UNITS), "From one printed number to the next.")
SCALE_LENGTH: Final = Key(
    "scale_length", Amount((Unit.MM,)), "Zero line to last line, measured with a ruler.", may_be_empty=True
)
NEEDLE: Final = Key("needle", _choose(Needle), "fixed, detachable, or none for an oral syringe.", is_required=True)
SYRINGE_KEYS: Final = (SCALE, CAPACITY, LINE_EVERY, NUMBERED_EVERY, SCALE_LENGTH, NEEDLE)

KIND: Final = Key("kind", Choice(_list_kinds, "MED-002", suggest_kind), "Generic name, or other.", is_required=True)
STRENGTH: Final = Key("strength", Amount(STRENGTH_UNITS), "As on the label, such as 100 units/mL.")
VIAL: Final = Key("vial", Amount((Unit.ML,), Fraction(1, 10), Fraction(1000)), "Volume of a full vial or bottle.")
ON_THE_LABEL: Final = Key(
    "on_the_label", Label(60, Words.ON_A_LABEL), "The words the patient will see.", may_be_empty=True
)
VIAL_MARK: Final = Key("vial_mark", Label(40, Words.MARK), "How the vials are told apart by hand.", may_be_empty=True)
OPENED: Final = Key("opened", IsoDate(), "Day the vial was opened.", may_be_empty=True)
EXPIRES: Final = Key("expires", IsoDate(), "Printed expiry date of the vial.", may_be_empty=True)
USE_WITHIN: Final = Key(
    "use_within",
    Amount((Unit.DAYS,), Fraction(1), Fraction(365), is_whole=True),
    "Days an opened vial may be used, from the label.",
    may_be_empty=True,
)
MIXING_CHECKED_BY: Final = Key(
    "mixing_checked_by", PersonName(60), "Who read on the label that this mix is allowed.", may_be_empty=True
)
NONE_ON: Final[Key[Any]] = Key("none_on", None, "The days of the week on which no fill draws it, such as [sunday].")
WARNING: Final = Key("warning", Label(80, Words.SENTENCE), "A caution printed on the card.", may_be_empty=True)
SHARED_MEDICINE_KEYS: Final = (
    KIND,
    STRENGTH,
    VIAL,
    ON_THE_LABEL,
    VIAL_MARK,
    OPENED,
    EXPIRES,
    USE_WITHIN,
    MIXING_CHECKED_BY,
    NONE_ON,
    WARNING,
)
OTHER_NAME: Final = Key("name", Label(40, Words.MEDICINE), "Generic name, in full.")
# What an eye can tell in a vial; a word for anything between clear and cloudy is left out. Common practice, no source.
_SHADES: Final = "pale|light|dark|deep|bright"
_COLOURS: Final = (
    "colourless|colorless|white|off-white|yellow|straw|amber|gold|orange|pink|red|purple|blue|green|brown|grey|gray"
)
LOOK: Final = Key(
    "look",
    Pattern(
        rf"(?:clear|cloudy|milky)(?: (?:very )?(?:{_SHADES}))?(?: (?:{_COLOURS}))?",
        "MED-010",
        'how it must look: "clear" or "cloudy", then a colour if it has one, such as "clear yellow"; colours: '
        + ", ".join(f"{_SHADES}|{_COLOURS}".split("|")),
        "start with clear, cloudy or milky, then a colour alone, in small letters: the order of drawing depends on it",
    ),
    "How it must look when ready: clear, cloudy, clear yellow ...",
)
MOTION: Final = Key("motion", _choose(Motion), "How it is made even before drawing.")
MAY_SHARE_WITH: Final[Key[Any]] = Key("may_share_with", None, "none, or the keys it may share a syringe with.")
AIR: Final = Key("air", Choice(lambda: {"equal": True, "none": False}), "Air pushed into the vial first.")
ROUTE: Final = Key("route", _choose(Route), "How it is given.")
OTHER_MEDICINE_KEYS: Final = (OTHER_NAME, LOOK, MOTION, MAY_SHARE_WITH, AIR, ROUTE)
MUST_STATE_FOR_OTHER: Final = (*OTHER_MEDICINE_KEYS, USE_WITHIN)
MEDICINE_KEYS: Final = (*SHARED_MEDICINE_KEYS, *OTHER_MEDICINE_KEYS)

WHEN: Final = Key("when", FillTime(), "A named time from the list, or a clock time such as 07:30.", is_required=True)
MINUTES_BEFORE: Final = Key(
    "minutes_before", WholeNumber(1, 180, ("min", "minutes")), "Minutes before the meal of when."
)
DAYS: Final[Key[Any]] = Key(
    "days", None, "every day, weekdays, weekends, or a list of days of the week; must be stated for other."
)
DRAW: Final[Key[Any]] = Key("draw", None, "The dose of each medicine, under its key.", is_required=True)
FILL_KEYS: Final = (WHEN, MINUTES_BEFORE, DAYS, DRAW)
DOSE_FORM: Final = Amount(DOSE_UNITS)
DOSE: Final = Key("dose", DOSE_FORM, "The dose as prescribed, with its unit.")

WHO: Final = Key("who", Label(30, Words.NAME), "Whom the number reaches.", is_required=True, is_private=True)
PHONE: Final = Key(
    "phone",
    Pattern(
        r"(?=.*[0-9].*[0-9])(?!.*  )[0-9+(][0-9 ()+.,x#*/-]{1,24}",
        "TEXT-006",
        "a telephone number such as 555-0100",
        "write digits, single spaces and + ( ) - only, at most 25 characters",
    ),
    "Printed as written.",
    is_required=True,
    is_private=True,
)
CONTACT_KEYS: Final = (WHO, PHONE)
LOW_SUGAR: Final = Key("low_sugar", Label(200, Words.SENTENCE), "What to do about low blood sugar.", may_be_empty=True)
SICKNESS: Final = Key("sickness", Label(200, Words.SENTENCE), "What to do on a day of sickness.", may_be_empty=True)
CLINIC_SAYS_KEYS: Final = (LOW_SUGAR, SICKNESS)

REPLACED_CODE: Final = Key("card_code", CARD_CODE, "Code of the replaced card.", is_required=True)
REPLACED_FINGERPRINT: Final = Key(
    "fingerprint",
    Pattern(
        "[A-Z2-7]{52}",
        "REPLACES-001",
        "a fingerprint: 52 capital letters or digits from 2 to 7",
        "let the program write it: fillcards new --from OLDER.yaml -o NEW.yaml",
    ),
    "Fingerprint of the replaced card.",
    is_required=True,
)
REPLACED_DATE: Final = Key("dated", IsoDate(), "Date of the replaced card.", may_be_empty=True)
REPLACED_LINES: Final[Key[Any]] = Key("lines", None, "One entry for each stop of the replaced card.", is_required=True)
REPLACES_KEYS: Final = (REPLACED_CODE, REPLACED_FINGERPRINT, REPLACED_DATE, SCALE, REPLACED_LINES)

REPLACED_MEDICINE: Final = Key(
    "medicine", Label(60, Words.ON_A_LABEL), "The medicine's printed name.", is_required=True
)
REPLACED_LINE: Final = Key("line", LineNumber(), "Where the plunger stopped, such as 26.", is_required=True)
REPLACED_DAYS: Final[Key[Any]] = Key("days", None, "every day, or a list of days of the week.", is_required=True)
REPLACED_DOSE: Final = Key("dose", DOSE_FORM, "The dose of that stop alone.", is_required=True)
REPLACED_LINE_KEYS: Final = (WHEN, REPLACED_DAYS, REPLACED_MEDICINE, REPLACED_DOSE, REPLACED_LINE)

PRIVATE_TABLES: Final[tuple[tuple[Key[Any], ...], ...]] = (PATIENT_KEYS, CONTACT_KEYS)
"""Where even an unknown key is not quoted in a message."""

DATE: Final = Key("date", IsoDate(), "The card's date.", is_required=True)
PREPARED_BY: Final = Key("prepared_by", PersonName(40), "Who wrote this file.", may_be_empty=True)
CHECKED_BY: Final = Key("checked_by", PersonName(40), "Who checked it, another person.", may_be_empty=True)
CHECKED_ON: Final = Key("checked_on", IsoDate(), "The day of the check.", may_be_empty=True)
CHECKED_CODE: Final = Key("checked_code", CARD_CODE, "The card code that was checked.", may_be_empty=True)
ASK_AGAIN_BY: Final = Key("ask_again_by", IsoDate(), "When the doses are looked at again.", may_be_empty=True)
REVIEW_KEYS: Final = (PREPARED_BY, CHECKED_BY, CHECKED_ON, CHECKED_CODE, DATE, ASK_AGAIN_BY)
