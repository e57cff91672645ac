"""The end of a catalogue barrel as a small picture: its last lines, as far apart as they are, and its last numbers.

For telling syringes apart on the page; nothing is drawn to scale here and nobody fills by it.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from fillcards.catalogue.model import ScaleName, SyringeScale
from fillcards.desk.blanks import write_step
from fillcards.quantities import write_number

_LINES: Final = 10
_STEP: Final = 8.0
_TOP: Final = 12.0
_SHORT, _LONG = 11.0, 17.0


def draw_end(scale: SyringeScale) -> str:
    """An SVG element in the page's colours, without words for screen readers: its name stands beside it."""
    bottom = _TOP + _LINES * _STEP
    parts = [f'<path d="M22 0V{bottom + 12:g}M58 0V{bottom + 12:g}M12 {bottom + 12:g}H68" class="wall"/>']
    for back in range(_LINES + 1):
        value = scale.last_line - back * scale.line_every
        if value < 0:
            break
        y = bottom - back * _STEP
        is_numbered = _is_step(value, scale.numbered_every)
        length = _LONG if is_numbered or _is_step(value, scale.long_every) else _SHORT
        parts.append(f'<path d="M{58 - length:g} {y:g}H58"/>')
        if is_numbered:
            parts.append(f'<text x="63" y="{y + 5:g}">{write_number(value)}</text>')
    return f'<svg viewBox="0 0 100 112" aria-hidden="true" focusable="false">{"".join(parts)}</svg>'


def _is_step(value: Fraction, step: Fraction) -> bool:
    return value % step == 0


def name_barrel(scale: SyringeScale) -> tuple[str, str]:
    """What it says, and its lines: "U-100, last number 50", "every 1 unit"."""
    unit = " mL" if scale.scale is ScaleName.ML else ""
    says = scale.scale.value if not unit else "mL"
    return f"{says}, to {write_number(scale.last_line)}{unit}", f"line every {write_step(scale.line_every, scale)}"
