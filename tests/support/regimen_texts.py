"""Regimen files as text, for tests of the program. Names and doses are invented."""

from __future__ import annotations

MIXED = """\
fillcards: 1
language: en
patient:
  name: Juniper Testcase
print:
  paper: letter
syringe:
  scale: U-100
  capacity: 0.5 mL
  line_every: 1 unit
  needle: fixed
medicines:
  clear:
    kind: insulin regular
    strength: 100 units/mL
    vial: 10 mL
  cloudy:
    kind: insulin isophane
    strength: 100 units/mL
    vial: 10 mL
fills:
  - when: before breakfast
    draw: {clear: 8 units, cloudy: 18 units}
  - when: before supper
    draw: {clear: 6 units, cloudy: 12 units}
review:
  date: 2026-11-25
"""


def change_text(text: str, *changes: tuple[str, str]) -> str:
    """The text with each part replaced; a part that is not there exactly once is a fault of the test."""
    for old, new in changes:
        assert text.count(old) == 1, f"{old!r} stands {text.count(old)} times in the text"
        text = text.replace(old, new)
    return text


ONE_FILL = change_text(MIXED, ("  - when: before supper\n    draw: {clear: 6 units, cloudy: 12 units}\n", ""))
"""The same without its second fill: sooner made, for tests that start processes or make many cards."""
