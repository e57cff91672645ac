"""Cards of unusual syringes, names and stops: made, and passed by the gate."""

from __future__ import annotations

from typing import Final

import pytest
from support.regimen_texts import MIXED, change_text

from fillcards.options import DEFAULT_OPTIONS, Form, Options
from fillcards.pipeline import place_regimen, read_regimen_file, write_checked_pdf
from fillcards.readback.fingerprint import compute_fingerprint
from fillcards.readback.regimen_text import read_facts
from fillcards.regimen.fingerprint import compute_fingerprint as compute_own_fingerprint
from fillcards.regimen.schema import read_regimen

SMALL: Final = Options(form=Form.SMALL)
RAISED: Final = Options(form=Form.RAISED)

OTHERS: Final = """\
fillcards: 1
language: en
patient:
  name: Juniper Testcase
print:
  paper: letter
syringe:
  scale: mL
  capacity: 2 mL
  line_every: 0.1 mL
  numbered_every: 0.5 mL
  needle: detachable
medicines:
  first:
    kind: other
    name: medicine example
    strength: 0.5 mg/mL
    look: clear
    motion: none
    may_share_with: [second]
    air: none
    route: into muscle
    use_within: 28 days
  second:
    kind: other
    name: vitamin example
    strength: 0.5 mg/mL
    look: cloudy white
    motion: roll
    may_share_with: [first]
    air: none
    route: into muscle
    use_within: 28 days
fills:
  - when: morning
    days: every day
    draw: {first: 0.8 mL, second: 0.9 mL}
review:
  date: 2026-11-25
"""

ORAL: Final = change_text(
    OTHERS,
    ("needle: detachable", "needle: none"),
    (OTHERS[OTHERS.index("  second:") : OTHERS.index("fills:")], ""),
    (", second: 0.9 mL", ""),
    ("[second]", "none"),
    ("into muscle", "by mouth"),
)
U_100: Final = ("  capacity: 0.5 mL\n  line_every: 1 unit\n", "  capacity: 1 mL\n  line_every: 1 unit\n")


def _dose(clear: int, cloudy: int) -> tuple[tuple[str, str], ...]:
    """The first fill's doses, and no second fill."""
    second = "  - when: before supper\n    draw: {clear: 6 units, cloudy: 12 units}\n"
    return ("clear: 8 units, cloudy: 18 units", f"clear: {clear} units, cloudy: {cloudy} units"), (second, "")


EVERY: Final = "  line_every: 0.1 mL\n  numbered_every: 0.5 mL\n"
MORE: Final = """\
  - when: before supper
    days: [tuesday]
    draw: {first: 0.25 mg}
  - when: at bedtime
    days: [monday, thursday]
    draw: {first: 1.3 mL}
"""
CASES: Final = {
    "two-that-share": (DEFAULT_OPTIONS, OTHERS),
    "oral-syringe-in-life-size": (
        DEFAULT_OPTIONS,
        change_text(ORAL, ("  needle: none\n", "  needle: none\n  scale_length: 32 mm\n")),
    ),
    "every-line-numbered": (DEFAULT_OPTIONS, change_text(ORAL, ("numbered_every: 0.5 mL", "numbered_every: 0.1 mL"))),
    "long-name": (
        DEFAULT_OPTIONS,
        change_text(
            ORAL,
            ("medicine example", "a medicine with a long generic name"),
            ("when: morning", "when: before breakfast"),
            ("every day", "weekdays"),
            ("draw: {first: 0.8 mL}\n", "draw: {first: 0.6 mL}\n" + MORE),
            ("0.5 mg/mL", "2.5 mg/mL"),
            ("needle: none", "needle: detachable"),
            ("by mouth", "into muscle"),
        ),
    ),
    "deck-with-a-line-to-write-on": (
        DEFAULT_OPTIONS,
        change_text(MIXED, ("name: Juniper Testcase", "text_size: 48 pt")),
    ),
    "stop-above-its-figure": (
        DEFAULT_OPTIONS,
        change_text(
            MIXED.replace("100", "40"),
            *_dose(2, 18),
            ("kind: insulin regular", "vial_mark: one rubber band\n    kind: insulin regular"),
        ),
    ),
    "head-of-an-arrow-beside-words": (
        SMALL,
        change_text(
            MIXED.replace("100", "40"),
            *_dose(8, 12),
            ("kind: insulin regular", "vial_mark: a red lid\n    kind: insulin regular"),
            ("name: Juniper Testcase", "name: Sample Patient"),
            ("before breakfast", '"06:15"'),
            ("paper: letter", "paper: a6"),
            ("review:", "sample: true\nreview:"),
        ),
    ),
    "stop-below-its-figure": (
        SMALL,
        change_text(
            ORAL,
            ("capacity: 2 mL", "capacity: 5 mL"),
            (EVERY, "  line_every: 0.2 mL\n  numbered_every: 1 mL\n"),
            ("first: 0.8 mL", "first: 2.4 mg"),
            ("needle: none", "needle: fixed"),
            ("by mouth", "under the skin"),
            ("medicine example", "a medicine with a long generic name"),
            ("name: Juniper Testcase", "name: Wilhelmina-Alexandrina Featherstonehaugh-Throckmorton"),
            ("every day", "[monday, thursday]"),
            ("morning", "before supper"),
            ("paper: letter", "paper: 4x6 in"),
        ),
    ),
    "largest-print-whose-front-has-no-room-to-count": (
        DEFAULT_OPTIONS,
        change_text(
            MIXED,
            ("  capacity: 0.5 mL\n  line_every: 1 unit\n", "  capacity: 1 mL\n  line_every: 2 units\n"),
            *_dose(4, 96),
            ("insulin regular", "insulin glulisine"),
            (MIXED[MIXED.index("patient:") : MIXED.index("print:")], "patient:\n  text_size: 36 pt\n"),
        ),
    ),
    "raised-number-beside-a-stop": (RAISED, change_text(MIXED, U_100, *_dose(80, 15))),
    "raised-numbered-every-second-line": (
        RAISED,
        change_text(
            MIXED, ("0.5 mL", "0.3 mL"), *_dose(10, 2), ("every: 1 unit", "every: 1 unit\n  numbered_every: 2 units")
        ),
    ),
    "raised-window-without-a-long-portion": (
        RAISED,
        change_text(
            ORAL, ("capacity: 2 mL", "capacity: 1 mL"), ("every: 0.1 mL", "every: 0.01 mL"), ("0.8 mL", "0.51 mL")
        ),
    ),
}


@pytest.mark.parametrize(("options", "text"), CASES.values(), ids=CASES)
def test_card_is_accepted(options: Options, text: str) -> None:
    """The gate inside reads back what was made; a refusal raises."""
    regimen = read_regimen_file(text.encode(), options)
    assert write_checked_pdf(place_regimen(regimen, options)).startswith(b"%PDF")


def test_medicines_that_share_have_one_fingerprint_in_both_readings() -> None:
    """What stands under ``may_share_with`` is the file's own key, in either order of medicines."""
    assert compute_fingerprint(read_facts(OTHERS)) == compute_own_fingerprint(read_regimen(OTHERS))
