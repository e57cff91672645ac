"""The sizes a card came out in, and why: the answer that ``check`` gives about print and pictures."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Any, Final

from fillcards.quantities import write_number
from fillcards.verbs.small_options import describe_small, write_small_sizes

if TYPE_CHECKING:
    from fillcards.pipeline import PlacedRegimen


DECK: Final = (
    "Above {most:g} pt the large sides hold one fact each and no steps. They are safe only together with the helper's "
    "sheet, and after somebody has shown a whole fill."
)


def write_sizes(made: PlacedRegimen) -> tuple[str, ...]:
    """Sentences: the type sizes with their reason, then how far apart the lines of the scale are."""
    from fillcards.layout.styles import LARGEST_STEPS_PT
    from fillcards.options import Form

    if made.options.form is Form.SMALL:
        return write_small_sizes(made)
    if made.options.form is Form.RAISED:
        return ()
    names = tuple(planned.fill.when for planned in made.plan.fills)
    deck = (DECK.format(most=LARGEST_STEPS_PT),) if made.size.body_pt > LARGEST_STEPS_PT else ()
    gaps = write_line_gaps(names, _list_gaps_mm(made), _measure_real_mm(made), made.size.line_gap_mm)
    return (made.size.why, *deck, *gaps)


def describe_sizes(made: PlacedRegimen) -> dict[str, Any]:
    """The same as numbers, for JSON; an enlargement is told in terms of the standard's shortest barrel."""
    from fillcards.options import Form

    if made.options.form is Form.SMALL:
        return describe_small(made)
    if made.options.form is Form.RAISED:
        return {}
    size, real_mm = made.size, _measure_real_mm(made)
    return {
        "body_pt": size.body_pt,
        "why": size.why,
        "enlargement_needed": round(size.line_gap_mm / real_mm, 2) if size.line_gap_mm else None,
        "fills": [
            {
                "when": planned.fill.when,
                "barrel_enlargement": round(barrel_mm / real_mm, 2),
                "count_on": "barrel" if barrel_mm >= size.line_gap_mm else "close-up",
            }
            for planned, barrel_mm in zip(made.plan.fills, _list_gaps_mm(made), strict=True)
        ],
    }


def _list_gaps_mm(made: PlacedRegimen) -> tuple[float, ...]:
    """Of each fill, from line to line on the whole barrels of its front, or of its helper's sheet."""
    gaps_mm = {page.fill_number: page.line_gap_mm for page in made.placed.pages if page.line_gap_mm}
    return tuple(gaps_mm[planned.number] for planned in made.plan.fills)


def write_line_gaps(
    names: tuple[str, ...], barrels_mm: tuple[float, ...], real_mm: float, least_mm: float
) -> tuple[str, ...]:
    """How far apart the lines of the scale come out, and whether this reader can tell them apart.

    Args:
        names: of the fills.
        barrels_mm: from line to line on the enlarged barrel of each fill.
        real_mm: on the standard's shortest barrel.
        least_mm: for this reader; 0 if nothing is known.
    """
    needed = "Nothing is known of how far apart this reader needs the lines of a scale"
    if least_mm:
        needed = f"This reader needs the lines of a scale {_write_gap(least_mm, real_mm)}"
    points = [f"{needed}; the standard's shortest barrel has its lines {_write_figure(real_mm)} mm apart."]
    for name, barrel_mm in zip(names, barrels_mm, strict=True):
        too_fine = " That is too fine for counting: the card says so, and its check steps show the lines larger."
        got = f"{name}: lines {_write_gap(barrel_mm, real_mm)} on the whole barrel."
        points.append(got + (too_fine if barrel_mm < least_mm else ""))
    return tuple(points)


def _measure_real_mm(made: PlacedRegimen) -> float:
    from fillcards.plan.print_size import measure_scale_gap_mm

    syringe = made.regimen.syringe
    return measure_scale_gap_mm(syringe, syringe.shortest_scale_length_mm)


def _write_gap(gap_mm: float, real_mm: float) -> str:
    return f"{_write_figure(gap_mm)} mm apart ({_write_figure(gap_mm / real_mm, places=1)} times the standard's)"


def _write_figure(value: float, places: int = 2) -> str:
    """Rounded, and no zero after the last figure."""
    return write_number(Fraction(f"{value:.{places}f}"))
