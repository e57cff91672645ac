"""The options of ``make`` for what is read by fingers: raised pages and the braille file.

An option that the wanted form has no use for is refused: the user expects it to change something.
"""

from __future__ import annotations

import argparse
import math
from enum import Enum
from typing import TYPE_CHECKING, TypeVar

from fillcards.verbs.answers import UsageError

if TYPE_CHECKING:
    from fillcards.options import Ending, Form, TouchOptions

_Choice = TypeVar("_Choice", bound=Enum)

_RAISED_ONLY = ("medium", "growth", "large_cell", "raised_digits")
_BRF_ONLY = ("cells", "lines")


def add_touch_arguments(parser: argparse.ArgumentParser) -> None:
    """What raised pages and braille can be made like. Left out, each means what its help says first."""
    group = parser.add_argument_group("to be read by fingers (--as raised, or OUT.brf)")
    group.add_argument("--braille", metavar="GRADE", help="uncontracted or contracted Unified English Braille")
    group.add_argument("--medium", metavar="MEDIUM", help="swell (swell paper) or embosser; raised pages only")
    group.add_argument(
        "--growth",
        metavar="MM",
        help="how much wider dots become than printed, 0 to 0.7: 0.25 on swell paper, 0 from an embosser",
    )
    group.add_argument("--large-cell", action="store_true", help="larger braille, for fingers that have lost feeling")
    group.add_argument("--raised-digits", action="store_true", help="ordinary digits beside the stops as well")
    group.add_argument("--cells", metavar="N", help="cells per line of the braille file: 40")
    group.add_argument("--lines", metavar="N", help="lines per page of the braille file: 25")


def read_touch_options(arguments: argparse.Namespace, form: Form, ending: Ending) -> TouchOptions:
    """The options as given.

    Raises:
        UsageError: one is not known, out of range, or of no use for this form and ending.
    """
    from fillcards.options import Ending, Form, TouchOptions
    from fillcards.picture.tactile_style import SWELL_GROWTH_MM, Medium, TactileStyle
    from fillcards.wording.braille import BraillePaper, Contraction

    is_raised, is_brf = form is Form.RAISED, ending is Ending.BRF
    _refuse_useless(arguments, _RAISED_ONLY, "--as raised", is_used=is_raised)
    _refuse_useless(arguments, _BRF_ONLY, "a braille file, -o OUT.brf", is_used=is_brf)
    _refuse_useless(arguments, ("braille",), "--as raised or -o OUT.brf", is_used=is_raised or is_brf)
    medium = _choose(Medium, arguments.medium, "--medium", Medium.SWELL)
    growth_mm = SWELL_GROWTH_MM if medium is Medium.SWELL else 0.0
    if arguments.growth is not None:
        growth_mm = _parse_length(arguments.growth)
    default = BraillePaper()
    try:
        return TouchOptions(
            _choose(Contraction, arguments.braille, "--braille", Contraction.UNCONTRACTED),
            TactileStyle(medium, growth_mm, arguments.large_cell, arguments.raised_digits),
            BraillePaper(
                _parse_count(arguments.cells, "--cells", default.cells),
                _parse_count(arguments.lines, "--lines", default.lines),
            ),
        )
    except ValueError as error:
        raise UsageError(str(error)) from None


def _refuse_useless(arguments: argparse.Namespace, names: tuple[str, ...], goes_with: str, *, is_used: bool) -> None:
    for name in names:
        if getattr(arguments, name) not in {None, False} and not is_used:
            raise UsageError(f"--{name.replace('_', '-')} goes with {goes_with} only")


def _choose(kinds: type[_Choice], text: str | None, option: str, unnamed: _Choice) -> _Choice:
    if text is None:
        return unnamed
    for kind in kinds:
        if kind.value == text:
            return kind
    known = ", ".join(kind.value for kind in kinds)
    raise UsageError(f'{option}: there is no "{text}"; there are: {known}')


def _parse_count(text: str | None, option: str, unnamed: int) -> int:
    if text is None:
        return unnamed
    if not (text.isascii() and text.isdigit() and len(text) <= 4):
        raise UsageError(f'{option}: "{text}" is not a whole number')
    return int(text)


def _parse_length(text: str) -> float:
    try:
        length_mm = float(text.removesuffix(" mm"))
    except ValueError:
        length_mm = math.nan
    if not math.isfinite(length_mm):
        raise UsageError(f'--growth: "{text}" is not a length in mm, such as 0.25')
    return length_mm
