"""The flow: parts stacked on as many pages as they need, at scale exactly 1. Nothing is ever shrunk to fit."""

from __future__ import annotations

from collections.abc import Sequence

from fillcards.layout.model import Placed
from fillcards.layout.parts import Part, move_placed
from fillcards.problems import Place, Problem, RegimenRefused, Severity

EASE_MM = 0.01
"""Room for float sums; far below anything print can show."""


def flow_parts(parts: Sequence[Part], first_room_mm: float, later_room_mm: float) -> list[list[Part]]:
    """Share parts out over pages.

    Parts that want to stay together do if any page can hold them. A chain taller than a page begins on a fresh one and
    breaks as late as it can, so that no heading and no figure is left behind at the foot of the page before.

    Args:
        parts: in order.
        first_room_mm: height there is on the first page.
        later_room_mm: height on every page after it.

    Returns:
        The parts of each page; the first part of a page has no space above it.

    Raises:
        RegimenRefused: ``LAYOUT-001`` if one part alone is taller than a page.
    """
    pages: list[list[Part]] = [[]]
    used_mm, room_mm = 0.0, first_room_mm
    waiting = list(parts)
    while waiting:
        chain = _take_chain(waiting)
        if used_mm + _measure_stack_mm(chain, at_top=not pages[-1]) > room_mm + EASE_MM:
            begun = [] if pages[-1] else _take_fitting(chain, room_mm)
            if not begun:
                if not pages[-1] and room_mm >= later_room_mm:
                    found = f"a piece of the card {chain[0].height_mm:.0f} mm tall"
                    raise RegimenRefused((make_too_tall_problem(found, room_mm),))
                pages.append([])
                used_mm, room_mm = 0.0, later_room_mm
                continue
            chain = begun
        for part in chain:
            kept = part if pages[-1] else part._replace(space_before_mm=0.0)
            used_mm += kept.space_before_mm + kept.height_mm
            pages[-1].append(kept)
        del waiting[: len(chain)]
    return pages


def place_parts(parts: Sequence[Part], x_mm: float, y_mm: float) -> tuple[Placed, ...]:
    """One page's parts from (x, y) down, in page coordinates."""
    placed: list[Placed] = []
    for part in parts:
        y_mm += part.space_before_mm
        placed.extend(move_placed(item, x_mm, y_mm) for item in part.placed)
        y_mm += part.height_mm
    return tuple(placed)


def measure_parts_mm(parts: Sequence[Part]) -> float:
    """Height of a stack, without the space above its first part."""
    return _measure_stack_mm(parts, at_top=True)


def list_chains(parts: Sequence[Part]) -> list[list[Part]]:
    """Parts that want to stay together, group by group."""
    chains: list[list[Part]] = []
    waiting = list(parts)
    while waiting:
        chains.append(_take_chain(waiting))
        del waiting[: len(chains[-1])]
    return chains


def _take_chain(parts: Sequence[Part]) -> list[Part]:
    chain: list[Part] = []
    for part in parts:
        chain.append(part)
        if not part.keep_with_next:
            break
    return chain


def _take_fitting(chain: list[Part], room_mm: float) -> list[Part]:
    """As much of a chain as a fresh page holds; what goes on overleaf is more than its last part, if it can be."""
    count = len(chain)
    while count and _measure_stack_mm(chain[:count], at_top=True) > room_mm + EASE_MM:
        count -= 1
    return chain[: count - 1] if count == len(chain) - 1 and count > 2 else chain[:count]


def _measure_stack_mm(parts: Sequence[Part], *, at_top: bool) -> float:
    height_mm = sum(part.space_before_mm + part.height_mm for part in parts)
    return height_mm - (parts[0].space_before_mm if at_top else 0.0)


def make_too_tall_problem(
    found: str,
    room_mm: float,
    remedy: str = "choose a larger paper or a smaller text size, or shorten the longest text",
) -> Problem:
    """What stands in ``found`` is taller than the room a page has."""
    return Problem(
        "LAYOUT-001",
        Severity.REFUSE,
        Place(key="print.paper"),
        f"{found}, on a page with {room_mm:.0f} mm of room",
        "every piece of the card fits on one page",
        remedy,
    )


def make_too_wide_problem(picture_mm: float, room_mm: float) -> Problem:
    """A picture is wider than the paper between its margins."""
    return Problem(
        "LAYOUT-001",
        Severity.REFUSE,
        Place(key="print.paper"),
        f"a picture {picture_mm:.0f} mm wide, on a page with {room_mm:.0f} mm of room",
        "every piece of the card fits on one page",
        "choose a larger paper or a smaller text size, or another way to hold the barrel",
    )
