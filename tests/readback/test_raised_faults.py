"""Faults in the code that draws raised pages are refused by the gate alone: a finger counts every line."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final

import pytest
from readback.seeded import Seed, drop_line, move_line, wrap
from support.finished_cards import read_starter

from fillcards.options import Form, Options
from fillcards.output.pdf import write_pdf
from fillcards.picture.scene import Filling
from fillcards.picture.signs import Sign
from fillcards.pipeline import place_regimen, read_regimen_file
from fillcards.readback.gate import CardMismatch, Making, require_same_pdf

RAISED: Final = Options(form=Form.RAISED)
LINES: Final = "fillcards.picture.scale_view:draw_scale_lines"
SIGN: Final = "fillcards.layout.raised:draw_sign"
NUMBERS: Final = "fillcards.picture.scale_view:choose_numbers"


def _make_alike(original: Callable[..., Any], *args: Any) -> Any:
    """Short lines as long as the others."""
    lines = list(original(*args))
    longest_mm = max(abs(line.x2_mm - line.x1_mm) for line in lines)
    for line in lines:
        yield line._replace(x2_mm=line.x1_mm + longest_mm)


def _add_line(original: Callable[..., Any], *args: Any) -> Any:
    """One between two others."""
    lines = list(original(*args))
    between_mm = (lines[0].y1_mm + lines[1].y1_mm) / 2
    return iter([*lines, lines[0]._replace(y1_mm=between_mm, y2_mm=between_mm)])


@pytest.mark.parametrize(
    "seed",
    [
        wrap(LINES, drop_line),
        wrap(LINES, move_line),
        wrap(LINES, _make_alike),
        wrap(LINES, _add_line),
        wrap(NUMBERS, lambda original, view: original(view)[1:] if view.first == 0 else original(view)),
        wrap("fillcards.layout.raised:fill", lambda original, ray, _, *more: original(ray, Filling.SECOND, *more)),
        wrap(SIGN, lambda original, _, *more: original(Sign.SETTING_SUN, *more)),
        wrap("fillcards.layout.raised:_Maker._set_sign", lambda original, self, _: original(self, None)),
    ],
    ids=["a-line-missing", "a-line-moved", "all-lines-as-long", "a-line-more", "no-zero", "key", "evening", "no-sign"],
)
def test_fault_on_a_raised_page_is_refused(seed: Seed, monkeypatch: pytest.MonkeyPatch) -> None:
    """The same starter passes without the fault: every starter is made in the tests of the layout."""
    text = read_starter("two-insulins-twice-a-day")
    seed(monkeypatch)
    placed = place_regimen(read_regimen_file(text.encode(), RAISED), RAISED).placed
    monkeypatch.undo()
    with pytest.raises(CardMismatch):
        require_same_pdf(write_pdf(placed), text, Making("raised"))
