"""Every form but the printed one, made from a regimen and put before its gate; and regimens that say all they can.

``MAKERS`` has a function for each form: it makes the form's bytes from a card, then asks the gate. Whatever a test
changes in the maker's code acts on the bytes alone: the gate reads the file's text for itself.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from fractions import Fraction
from pathlib import Path
from typing import Final, NamedTuple

from support.regimen_texts import change_text

from fillcards.card.build import build_card
from fillcards.card.model import Card
from fillcards.card.scan_code import write_scan_words
from fillcards.output import brf, html, sound, text
from fillcards.plan.fills import plan_fills
from fillcards.plan.print_size import choose_print_size
from fillcards.readback import other_forms as gates
from fillcards.readback.expect import Expecting
from fillcards.readback.gate import CardMismatch
from fillcards.readback.linear import compare_lines, list_scan_words
from fillcards.readback.regimen_text import read_facts
from fillcards.regimen.model import ClinicSays, Regimen, ReplacedStop, Replaces, Weekday
from fillcards.regimen.schema import read_regimen
from fillcards.wording.braille import BraillePaper, Contraction

STARTERS: Final = tuple(sorted(Path(__file__).parents[2].glob("templates_yaml/*.yaml")))
SHEET: Final = (40, 25)

FULL_BASE: Final = """\
fillcards: 1
language: en
patient:
  name: Juniper Testcase
  second_identifier: ward B
print:
  paper: letter
syringe:
  scale: U-100
  capacity: 0.5 mL
  line_every: 1 unit
  numbered_every: 5 units
  needle: fixed
medicines:
  clear:
    kind: insulin regular
    strength: 100 units/mL
    vial: 10 mL
    on_the_label: regular insulin
    vial_mark: one rubber band
    opened: 2026-11-02
    use_within: 28 days
    warning: Keep it out of the sun.
  cloudy:
    kind: insulin isophane
    strength: 100 units/mL
    vial: 10 mL
    vial_mark: two rubber bands
    opened: 2026-11-09
fills:
  - when: before breakfast
    minutes_before: 30
    days: [monday, wednesday, friday]
    draw: {clear: 8 units, cloudy: 18 units}
  - when: at bedtime
    days: every day
    draw: {cloudy: 12 units}
contacts:
  - {who: Clinic, phone: 555-0142}
  - {who: Night desk, phone: 555-0199}
notes: Bring this card to each visit.
review:
  prepared_by: A. Preparer
  checked_by: B. Checker
  checked_code: ABCD
  date: 2026-11-25
  ask_again_by: 2027-02-24
"""

_ADDED: Final = """\
replaces:
  card_code: WXYZ
  lines:
    - {when: before breakfast, days: [monday, wednesday, friday], medicine: insulin regular, line: 7}
    - {when: at bedtime, days: every day, medicine: insulin isophane, line: 12}
clinic_says:
  low_sugar: Take the juice and call us.
"""
FULL: Final = change_text(
    FULL_BASE,
    ("second_identifier: ward B", "second_identifier: ward B\n  born: 1951-05-04"),
    ("checked_code: ABCD", "checked_code: ABCD\n  checked_on: 2026-11-26"),
    ("contacts:", f"{_ADDED}contacts:"),
)
"""Two insulins on some days, one of them alone at night: whatever a card for a person can say of insulin."""


def read_full() -> Regimen:
    """The regimen of ``FULL``."""
    regimen = read_regimen(FULL_BASE)
    days = (Weekday.MONDAY, Weekday.WEDNESDAY, Weekday.FRIDAY)
    stops = (
        ReplacedStop("before breakfast", days, "insulin regular", Fraction(7)),
        ReplacedStop("at bedtime", tuple(Weekday), "insulin isophane", Fraction(12)),
    )
    return replace(
        regimen,
        patient=replace(regimen.patient, born=date(1951, 5, 4)),
        review=replace(regimen.review, checked_on=date(2026, 11, 26)),
        replaces=Replaces("WXYZ", "", None, stops),
        clinic_says=ClinicSays("Take the juice and call us.", None),
    )


class Case(NamedTuple):
    """A regimen's text, and how the maker's side reads it."""

    text: str
    read: Callable[[], Regimen]


def make_case(name: str) -> Case:
    """The full regimen, or one of the starters by a part of its name."""
    if name == "full":
        return Case(FULL, read_full)
    (path,) = (each for each in STARTERS if name in each.stem)
    written = path.read_text(encoding="utf-8")
    return Case(written, lambda: read_regimen(written))


def pass_text(card: Card, regimen: Regimen, written: str) -> None:
    """Plain text."""
    del regimen
    gates.require_same_text(text.write_text(card).encode(), written, card.code)


def pass_words(card: Card, regimen: Regimen, written: str) -> None:
    """The words handed to the voice."""
    del regimen
    gates.require_same_words(sound.list_spoken_words(card), written, card.code)


def pass_html(card: Card, regimen: Regimen, written: str) -> None:
    """The page for the screen."""
    body_pt = choose_print_size(regimen.patient, regimen.language).body_pt
    gates.require_same_html(html.write_html(card, body_pt), written, card.code)


def pass_brf(card: Card, regimen: Regimen, written: str) -> None:
    """The braille file, in both grades."""
    del regimen
    for contraction in Contraction:
        made = brf.write_brf(card, BraillePaper(*SHEET), contraction)
        is_contracted = contraction is Contraction.CONTRACTED
        gates.require_same_brf(made, written, SHEET, is_contracted=is_contracted, code=card.code)


def require_same_scan_words(words: str, fill_number: int, written: str, code: str) -> None:
    """The words of a fill's code, which the gate of a page reads from the code itself."""
    claims = Expecting(read_facts(written), code).claims
    if faults := compare_lines(
        words.split("\n"), list_scan_words(claims, claims.fills[fill_number - 1]), "code to scan"
    ):
        raise CardMismatch(tuple(faults))


def pass_scan(card: Card, regimen: Regimen, written: str) -> None:
    """The words of each fill's code to scan, where it has one."""
    del regimen
    for number, fill in enumerate(card.fills, start=1):
        if words := write_scan_words(card, fill):
            require_same_scan_words(words, number, written, card.code)


MAKERS: Final = {"text": pass_text, "words": pass_words, "html": pass_html, "brf": pass_brf, "scan": pass_scan}


def pass_forms(case: Case, forms: tuple[str, ...]) -> None:
    """Make a case's forms and put each before its gate.

    Raises:
        CardMismatch: a form does not say what the text says.
    """
    regimen = case.read()
    card = build_card(plan_fills(regimen))
    for form in forms:
        MAKERS[form](card, regimen, case.text)
