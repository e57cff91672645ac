"""The prescription as sentences with blanks: one table says where each blank stands in the file and how it is called.

The forms of values and the words to choose from are those of the table of keys; nothing about them is decided here. A
blank's ``path`` is that of the file's own problems, so that each problem finds its sentence.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import chain
from typing import Any, Final, NamedTuple

from fillcards.catalogue.medicines import load_medicines
from fillcards.catalogue.model import ScaleName, SyringeScale
from fillcards.catalogue.scales import load_scales
from fillcards.desk.text_edit import Plain, find_plain, find_text, list_items
from fillcards.quantities import Quantity, Unit, write_number, write_quantity
from fillcards.regimen import keys
from fillcards.regimen.forms import Choice, PaperName
from fillcards.regimen.keys import Key
from fillcards.regimen.languages import LANGUAGES
from fillcards.regimen.model import EVERY_DAY
from fillcards.regimen.times import NAMED_TIMES


class Row(NamedTuple):
    """A blank of the table: the words before it, its key, what it is called, how many letters it shows, whether few
    files have it, and the part of the file it stands in, if not in its sentence's own.
    """

    before: str
    key: Key[Any]
    name: str
    size: int = 12
    is_rare: bool = False
    within: str = ""


DATE_FORM: Final = "(year-month-day)"
"""Beside every date, on every page."""

WHOSE: Final = (
    Row("This card is for a", keys.PATIENT_KIND, "person or animal"),
    Row("called", keys.NAME, "name", 22),
    Row(", born", keys.BORN, f"birth date {DATE_FORM}", 11),
    Row(", known to the clinic as", keys.SECOND_IDENTIFIER, "identifier", 16),
)
READER: Final = (
    Row("Who reads it can read", keys.READS, "near acuity, such as 20/100 at 40 cm", 18, within="patient"),
    Row(", and gets print", keys.RESERVE, "times as large; 2 if left out", within="patient"),
    Row("times that size; or wants print of", keys.TEXT_SIZE, "print size, such as 24 pt", 8, within="patient"),
    Row(". The paper is", keys.PAPER, "paper"),
    Row(", and the syringe is held", keys.BARREL, "how the barrel is held"),
)
SYRINGE: Final = (
    Row("The needle is", keys.NEEDLE, "needle"),
    Row(
        ". With a ruler, from the zero line to the last, it is", keys.SCALE_LENGTH, "measured length, such as 48 mm", 9
    ),
)
ANOTHER: Final = (
    Row("It says", keys.SCALE, "scale printed on it"),
    Row(", holds", keys.CAPACITY, "volume at the last line, such as 0.5 mL", 9),
    Row(", has a line every", keys.LINE_EVERY, "from line to line, such as 1 unit", 9),
    Row("and a number every", keys.NUMBERED_EVERY, "from number to number, such as 10 units", 9),
)
MEDICINE: Final = (
    Row("This vial holds", keys.KIND, "medicine"),
    Row("of", keys.STRENGTH, "strength, such as 100 units/mL", 14),
    Row("in", keys.VIAL, "volume of the full vial, such as 10 mL", 8),
    Row(". The label says", keys.ON_THE_LABEL, "words on the label, without the strength", 24),
    Row("and by hand it is told by", keys.VIAL_MARK, "mark on the vial", 20),
    Row(". It was opened", keys.OPENED, f"day opened {DATE_FORM}", 11),
    Row("It is used within", keys.USE_WITHIN, "days of use on the label, such as 28 days", 8, is_rare=True),
    Row("and expires", keys.EXPIRES, f"expiry date {DATE_FORM}", 11, is_rare=True),
    Row(". Also printed:", keys.WARNING, "a caution", 30, is_rare=True),
    Row(
        ". That it may be mixed was read on the label by",
        keys.MIXING_CHECKED_BY,
        "who read the label",
        18,
        is_rare=True,
    ),
)
OTHER: Final = (
    Row(". It is called", keys.OTHER_NAME, "generic name in full", 22),
    Row(", looks", keys.LOOK, "look, such as clear yellow", 14),
    Row(", is made even: ", keys.MOTION, "how it is made even"),
    Row(", is given", keys.ROUTE, "route"),
    Row(", takes air: ", keys.AIR, "air into the vial first"),
    Row(", may share a syringe with", keys.MAY_SHARE_WITH, "vials it may share with, such as none", 14),
)
CONTACT: Final = (
    Row("Call", keys.WHO, "whom to call", 18),
    Row("at", keys.PHONE, "phone", 14),
)
CLINIC: Final = (
    Row("Low sugar:", keys.LOW_SUGAR, "the clinic's sentence on low sugar", 40),
    Row("A day of sickness:", keys.SICKNESS, "the clinic's sentence on sickness", 40),
)
ROOT: Final = (
    Row("Also printed on the card:", keys.NOTES, "a note", 40),
    Row(". The prescription's number is", keys.PRESCRIPTION, "prescription number", 14),
    Row(". The card is in", keys.LANGUAGE, "language"),
)
REVIEW: Final = (
    Row("Dated", keys.DATE, f"the card's date {DATE_FORM}", 11),
    Row(". The doses are looked at again by", keys.ASK_AGAIN_BY, f"day to ask again {DATE_FORM}", 11),
)
_LINES: Final = 10
_STEP: Final = 8.0
_TOP: Final = 12.0
_SHORT, _LONG = 11.0, 17.0
WORDS_OF: Final = {
    **LANGUAGES,
    "needle_up": "needle up",
    "needle_left": "needle to the left",
    "needle_right": "needle to the right",
    "half_letter": "half letter",
}
DAY_WORDS: Final = tuple(day.word for day in EVERY_DAY)


@dataclass(frozen=True, slots=True)
class Blank:
    """One blank on the page.

    Attributes:
        path: in the file; with ``/`` where it stands for more than one value.
        label: for a screen reader: what, and of what.
        name: above the blank, in short.
        kind: ``text``, ``choice`` or ``days``.
        value: as the file has it; of days those chosen.
        is_kept: whether its key stays in the file without a value.
    """

    path: str
    label: str
    name: str
    before: str = ""
    kind: str = "text"
    value: str = ""
    chosen: tuple[str, ...] = ()
    options: tuple[tuple[str, str], ...] = ()
    size: int = 12
    list_id: str = ""
    is_rare: bool = False
    is_kept: bool = False


@dataclass(frozen=True, slots=True)
class Group:
    """One sentence, and the box for its problems.

    Attributes:
        id: the path in the file that its problems begin with.
        blanks: what is to be filled in.
        title: above it.
        kind: which way it is laid out.
    """

    id: str
    blanks: tuple[Blank, ...]
    title: str = ""
    kind: str = ""


@dataclass(frozen=True, slots=True)
class Part:
    """A part of the prescription, by the word that the list of parts has for it."""

    id: str
    name: str
    title: str
    groups: tuple[Group, ...]


def list_parts(tree: Plain) -> tuple[Part, ...]:
    """Every part with its sentences and what is in their blanks."""
    contacts = range(1, len(list_items(tree, "contacts")) + 1)
    calls = (_group(tree, f"contacts[{each}]", CONTACT, f"line {each}", kind="contact") for each in contacts)
    words = (_group(tree, "", ROOT), _group(tree, "clinic_says", CLINIC), _group(tree, "review", REVIEW))
    return (
        Part("whose", "whose", "Whose card", (_group(tree, "patient", WHOSE),)),
        Part("reader", "eyes and paper", "Eyes and paper", (_group(tree, "print", READER),)),
        Part("syringe", "syringe", "What is in the person's hand?", (_build_syringe(tree),)),
        Part("medicines", "medicines and labels", "What is in the bag?", tuple(_list_medicines(tree))),
        Part("fills", "prescription", "The prescription, as it reads", tuple(_list_fills(tree))),
        Part("contacts", "whom to call", "Whom to call", tuple(calls)),
        Part("words", "words and language", "Words and language", words),
    )


def shorten(name: str) -> str:
    """A blank's name without what stands beside it: a form, an example, what is left out."""
    return re.split(r",? (?:such as|without the) | \(|; ", name)[0]


def _group(tree: Plain, id_: str, rows: Iterable[Row], of: str = "", **more: Any) -> Group:
    return Group(id_, tuple(_blank(tree, row, id_, of) for row in rows), **more)


def _blank(tree: Plain, row: Row, id_: str, of: str) -> Blank:
    path = ".".join(filter(None, (row.within or id_, row.key.name)))
    found, form = find_plain(tree, path), row.key.form
    blank = Blank(
        path,
        f"{row.name}{of and f', {of}'}",
        row.name,
        row.before,
        value=", ".join(map(str, found)) if isinstance(found, list) else find_text(tree, path),
        size=row.size,
        is_rare=row.is_rare,
        is_kept=row.key.is_required or row.key is keys.PATIENT_KIND or (found is not None and row.key.may_be_empty),
    )
    if not isinstance(form, Choice | PaperName):
        return blank
    words = dict.fromkeys((*form.list_words(), *filter(None, (blank.value,))))
    return replace(blank, kind="choice", options=tuple((word, WORDS_OF.get(word, word)) for word in words))


def _build_syringe(tree: Plain) -> Group:
    row = find_row(tree)
    picker = Blank("syringe/row", "syringe", "syringe", kind="syringe", value=row)
    rest = _group(tree, "syringe", (*SYRINGE, *ANOTHER) if row == "another" else SYRINGE)
    return replace(rest, blanks=(picker, *rest.blanks), kind="syringe")


def find_row(tree: Plain) -> str:
    """Which of the catalogue's barrels the file names, by its number; ``another``, or empty where none is named."""
    syringe = find_plain(tree, "syringe")
    if not isinstance(syringe, dict) or not any(syringe.get(row.key.name) for row in ANOTHER):
        return ""
    for number, scale in enumerate(load_scales()):
        values, numbered = describe_row(scale), keys.NUMBERED_EVERY.name
        if values.items() <= {numbered: values[numbered], **syringe}.items():
            return str(number)
    return "another"


def describe_row(scale: SyringeScale) -> dict[str, str]:
    """A barrel of the catalogue as the file writes it."""
    return {
        keys.SCALE.name: scale.scale.value,
        keys.CAPACITY.name: f"{write_number(scale.capacity_ml)} mL",
        keys.LINE_EVERY.name: write_step(scale.line_every, scale),
        keys.NUMBERED_EVERY.name: write_step(scale.numbered_every, scale),
    }


def write_step(value: Fraction, scale: SyringeScale) -> str:
    """A step of the scale with its unit: ``1 unit``, ``0.5 units``, ``0.1 mL``."""
    return write_quantity(Quantity(value, Unit.ML if scale.scale is ScaleName.ML else Unit.UNITS))


def draw_end(scale: SyringeScale) -> str:
    """The end of a catalogue barrel: its last lines, as far apart as they are, and its last numbers.

    An SVG element in the page's colours, for telling syringes apart: nothing is drawn to scale, and nobody fills by it.
    It has no words for screen readers: its name stands beside it.
    """
    bottom = _TOP + _LINES * _STEP
    parts = [f'<path d="M22 0V{bottom + 12:g}M58 0V{bottom + 12:g}M12 {bottom + 12:g}H68" class="wall"/>']
    for back in range(_LINES + 1):
        value = scale.last_line - back * scale.line_every
        if value < 0:
            break
        y = bottom - back * _STEP
        is_numbered = value % scale.numbered_every == 0
        length = _LONG if is_numbered or value % scale.long_every == 0 else _SHORT
        parts.append(f'<path d="M{58 - length:g} {y:g}H58"/>')
        if is_numbered:
            parts.append(f'<text x="63" y="{y + 5:g}">{write_number(value)}</text>')
    return f'<svg viewBox="0 0 100 112" aria-hidden="true" focusable="false">{"".join(parts)}</svg>'


def name_barrel(scale: SyringeScale) -> tuple[str, str]:
    """What it says, and its lines: "U-100, last number 50", "every 1 unit"."""
    unit = " mL" if scale.scale is ScaleName.ML else ""
    says = scale.scale.value if not unit else "mL"
    return f"{says}, to {write_number(scale.last_line)}{unit}", f"line every {write_step(scale.line_every, scale)}"


def list_medicine_keys(tree: Plain) -> tuple[str, ...]:
    """The words by which the file calls its vials."""
    medicines = find_plain(tree, "medicines")
    return tuple(medicines) if isinstance(medicines, dict) else ()


def name_medicine(tree: Plain, key: str) -> str:
    """What people call a vial: its generic name, with the file's word for it where two vials have one name."""
    name = _name_kind(tree, key)
    others = (_name_kind(tree, other) for other in list_medicine_keys(tree) if other != key)
    if not name:
        return f"vial “{key}”"
    return f"{name} “{key}”" if name in others else name


def _name_kind(tree: Plain, key: str) -> str:
    kind = find_text(tree, f"medicines.{key}.kind")
    return find_text(tree, f"medicines.{key}.name") if kind == keys.OTHER else kind


def _list_medicines(tree: Plain) -> Iterator[Group]:
    for key in list_medicine_keys(tree):
        id_, name = f"medicines.{key}", name_medicine(tree, key)
        other = OTHER if find_text(tree, f"{id_}.kind") == keys.OTHER else ()
        yield _group(tree, id_, (*MEDICINE[:1], *other, *MEDICINE[1:]), name, title=name, kind="vial")


def _list_fills(tree: Plain) -> Iterator[Group]:
    asked: set[str] = set()
    for number, fill in enumerate(list_items(tree, "fills"), start=1):
        if isinstance(fill, dict):
            id_ = f"fills[{number}]"
            yield Group(id_, tuple(_list_fill_blanks(tree, id_, f"fill {number}", fill, asked)), kind="fill")


def _list_fill_blanks(
    tree: Plain, id_: str, number_words: str, fill: dict[str, Plain], asked: set[str]
) -> Iterator[Blank]:
    when = find_text(fill, "when")
    is_one = [find_text(each, "when") for each in list_items(tree, "fills")].count(when) == 1
    of = ", ".join(filter(None, (when, "" if when and is_one else number_words)))
    yield Blank(f"{id_}.when", f"when, {number_words}", "when", value=when, size=18, list_id="times", is_kept=True)
    yield Blank(f"{id_}.days", f"days, {of}", "days", ", ", "days", chosen=read_days(fill.get("days")))
    vials = tuple((key, name_medicine(tree, key)) for key in list_medicine_keys(tree))
    draws = list_draws(tree, fill)
    for number, (key, dose) in enumerate((*draws, ("", ""))[: keys.MOST_IN_A_FILL]):
        before = "draw" if number == 0 else ", then" if key else ". Also in this syringe:"
        if key:
            name = f"dose of {name_medicine(tree, key)}"
            yield Blank(f"{id_}.draw.{key}", f"{name}, {of}", name, before, value=dose, size=9, is_kept=True)
            before = "of"
        label = f"{('first', 'second')[number]} medicine, {of}"
        name = describe_vial(tree, key) if key else "nothing more"
        yield Blank(f"{id_}.draw/{number}", label, name, before, "choice", key, options=vials)
    label, name = f"minutes before eating, {of}", "minutes, if the prescription says"
    yield Blank(f"{id_}.minutes_before", label, name, ". Inject", value=find_text(fill, "minutes_before"), size=4)
    for key in dict.fromkeys(key for key, _ in draws):
        none_on = find_plain(tree, f"medicines.{key}.none_on")
        if key not in asked and (_has_days_without(tree, key) or none_on is not None):
            asked.add(key)
            label = f"days without {name_medicine(tree, key)}"
            before = f"minutes before eating. The prescription has no {name_medicine(tree, key)} on"
            yield Blank(f"medicines.{key}.none_on", label, label, before, "days", chosen=read_days(none_on))


def describe_vial(tree: Plain, key: str) -> str:
    """Strength and look, above the medicine's name."""
    words = find_text(tree, f"medicines.{key}.strength"), _find_look(tree, key)
    return ", ".join(filter(None, words)) or "vial"


def _find_look(tree: Plain, key: str) -> str:
    row = load_medicines().get(find_text(tree, f"medicines.{key}.kind"))
    return row.look if row else find_text(tree, f"medicines.{key}.look")


def list_draws(tree: Plain, fill: Plain | None) -> list[tuple[str, str]]:
    """Medicine and dose of one fill, the clear one first, as it is drawn."""
    draw = fill.get("draw") if isinstance(fill, dict) else None
    entries = [(key, find_text(draw, key)) for key in draw] if isinstance(draw, dict) else []
    return sorted(entries, key=lambda entry: _find_look(tree, entry[0]).startswith(("cloudy", "milky")))


def list_drawing(tree: Plain, key: str) -> list[dict[str, Plain]]:
    """The fills that draw a vial."""
    fills = (fill for fill in list_items(tree, "fills") if isinstance(fill, dict))
    return [fill for fill in fills if key in dict(list_draws(tree, fill))]


def read_days(days: Plain | None) -> tuple[str, ...]:
    """The days that a value means; none where it is no list of days."""
    if isinstance(days, str):
        return tuple(day.word for day in keys.DAYS_OF_WORD.get(days, ()))
    return tuple(day for day in days if isinstance(day, str)) if isinstance(days, list) else ()


def write_days(days: Iterable[str], *, may_be_every: bool) -> Plain | None:
    """Days as the file has them; ``None`` where there are none."""
    wanted = set(days)
    chosen: list[Plain] = [day for day in DAY_WORDS if day in wanted]
    return "every day" if may_be_every and len(chosen) == len(DAY_WORDS) else chosen or None


def _has_days_without(tree: Plain, key: str) -> bool:
    """Whether on some day no fill draws a vial; not asked while some fill has no days yet."""
    days = [read_days(fill.get("days")) for fill in list_drawing(tree, key)]
    return all(days) and not {*DAY_WORDS} <= {*chain(*days)}


def list_blanks(parts: Iterable[Part]) -> dict[str, Blank]:
    """Every blank by its path."""
    return {blank.path: blank for part in parts for group in part.groups for blank in group.blanks}


def find_group(parts: Iterable[Part], path: str) -> str:
    """The sentence that a problem's path belongs to: it has that blank, or else begins the path, the longest first."""
    groups = [group for part in parts for group in part.groups]
    fitting = [each.id for each in groups if re.match(rf"{re.escape(each.id)}(?![\w-])", path)]
    own = (each.id for each in groups for blank in each.blanks if blank.path == path)
    return next(own, max(fitting, key=len, default=""))


TIMES: Final = tuple(NAMED_TIMES)
