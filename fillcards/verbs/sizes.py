"""The sizes a card came out in, and why: the answer that ``check`` gives about print and pictures."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from fillcards.verbs.small_options import describe_small, write_small_sizes

if TYPE_CHECKING:
    from fillcards.card.model import LineGaps
    from fillcards.pipeline import PlacedRegimen


def write_sizes(made: PlacedRegimen) -> tuple[str, ...]:
    """Sentences: the type sizes with their reason, then how far apart the lines of the scale are."""
    from fillcards.wording.english.makers import write_line_gaps

    if made.size is None:
        return write_small_sizes(made)
    gaps = _find_line_gaps(made)
    told = write_line_gaps(gaps.names, made.placed.barrel_gaps_mm, gaps.close_up_mm, gaps.real_mm, gaps.least_mm)
    return (made.size.why, *told)


def describe_sizes(made: PlacedRegimen) -> dict[str, Any]:
    """The same as numbers, for JSON; an enlargement is told in terms of the standard's shortest barrel."""
    if made.size is None:
        return describe_small(made)
    size, gaps = made.size, _find_line_gaps(made)
    names = [planned.fill.when for planned in made.plan.fills]
    got = zip(names, made.placed.barrel_gaps_mm, gaps.close_up_mm, strict=True)
    return {
        "body_pt": size.body_pt,
        "step_pt": size.step_pt,
        "when_pt": size.when_pt,
        "figure_pt": size.figure_pt,
        "why": size.why,
        "enlargement_needed": round(gaps.least_mm / gaps.real_mm, 2) if gaps.least_mm else None,
        "fills": [
            {
                "when": name,
                "barrel_enlargement": round(barrel_mm / gaps.real_mm, 2),
                "close_up_enlargement": round(close_up_mm / gaps.real_mm, 2),
                "count_on": "barrel" if barrel_mm >= gaps.least_mm else "close-up",
            }
            for name, barrel_mm, close_up_mm in got
        ],
    }


def _find_line_gaps(made: PlacedRegimen) -> LineGaps:
    from fillcards.card.model import LineGaps

    return next(block for block in made.card.makers if isinstance(block, LineGaps))
