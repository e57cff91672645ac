"""Each picture against its claim: the vial's way up, what fills it, where the plunger stands, what points where.

A region holds one picture: a step's cell, or a panel. Every part that carries meaning is read (``parts``, ``scales``)
and must be as claimed, neither missing nor double; ``things`` says what else each scene is made of, and nothing more may
stand in it. Lengths in mm; faults are sentences for people.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction
from typing import Final

from fillcards.readback.model import PictureClaim
from fillcards.readback.parts import Pointed, Region, Syringe, read_arrows, read_syringes, read_vials, read_wedges
from fillcards.readback.runs import Run
from fillcards.readback.scales import ON_LINE_MM, TURNS, Scale, read_scale

WHOLE_BORE: Final = 6.0
SHORT_MM: Final = 4.0
"""A portion shorter than this on paper may have no ink of its own; a longer one must."""
OPEN_MM: Final = 2.5
"""How far a filling may end short of its portion."""
OVER_MM: Final = 0.3
"""How far it may reach past it; into the barrel's shoulder before the zero line it may go further."""
SHOULDER_MM: Final = 2.5

WITH_SYRINGE_UP: Final = ("draw", "bubble", "oral_draw", "oral_bubble")
WITH_AIR: Final = ("air_out", "air_stay", "no_air")


def find_scene_faults(
    claim: PictureClaim, region: Region, runs: Iterable[Run], last: Fraction, line_every: Fraction
) -> Iterator[str]:
    """What is wrong with a scene.

    Args:
        claim: what it must show.
        region: everything drawn in its cell.
        runs: every run of words in the cell that is not its sentence's.
        last: value of the scale's last line.
        line_every: from one line to the next.
    """
    runs = tuple(runs)
    if claim.kind == "check":
        yield from _find_check_faults(claim, region, runs, last, line_every)
        return
    yield from _find_vial_faults(claim, region)
    wedges, arrows = read_wedges(region), read_arrows(region)
    ways = [arrow.way for arrow in arrows]
    if ways != ([claim.arrow] if claim.arrow else []) and (claim.arrow or claim.stop is not None):
        yield f"its arrow points {ways or 'nowhere'}, where {claim.arrow or 'none'} is meant"
    syringes = tuple(read_syringes(region))
    if claim.kind in WITH_SYRINGE_UP or claim.kind in WITH_AIR:
        if len(syringes) != 1:
            yield f"it shows {len(syringes)} syringes"
            return
        yield from _find_syringe_faults(claim, syringes[0], last)
    if claim.stop is not None and syringes:
        yield from _find_wedge_faults(wedges, syringes[0].edge_mm)
    elif wedges:
        yield "a solid wedge stands where nothing stops"
    yield from _find_word_faults(claim, runs)


def find_barrel_faults(
    claim: PictureClaim, region: Region, runs: Iterable[Run], direction: str, last: Fraction, line_every: Fraction
) -> Iterator[str]:
    """What is wrong with the whole barrel of a panel."""
    scale = read_scale(region, runs, TURNS[direction], line_every)
    if scale is None:
        yield "its scale cannot be read"
        return
    if (scale.first, scale.last) != (0, last):
        yield f"its scale runs from {scale.first} to {scale.last}"
    yield from _find_scale_faults(claim, scale)


def _find_vial_faults(claim: PictureClaim, region: Region) -> Iterator[str]:
    seen = tuple(read_vials(region))
    if claim.kind == "roll_and_tip":
        ways = sorted(vial.stands for vial in seen)
        if ways != [False, True] or {vial.filling for vial in seen} != {claim.vials[0][0]}:
            yield "it must show the vial upright and upside down, with its own filling"
        return
    if claim.vial_stands is None and not claim.vials:
        if seen:
            yield "it shows a vial"
        return
    if len(seen) != len(claim.vials):
        yield f"it shows {len(seen)} vials, where {len(claim.vials)} are meant"
        return
    for vial, (filling, bands) in zip(seen, claim.vials, strict=True):
        if claim.vial_stands is not None and vial.stands is not claim.vial_stands:
            yield f"its vial is {'upright' if vial.stands else 'upside down'}"
        if vial.filling != filling and claim.kind != "labels":
            yield f"its vial holds {vial.filling or 'nothing'}, where {filling} is meant"
        if vial.bands != bands:
            yield f"its vial has {vial.bands} bands, where {bands} are meant"


def _find_syringe_faults(claim: PictureClaim, syringe: Syringe, last: Fraction) -> Iterator[str]:
    if syringe.needle_up is not (claim.kind in WITH_SYRINGE_UP):
        yield f"its needle points {'up' if syringe.needle_up else 'down'}"
    meant = claim.stop
    if claim.kind in WITH_AIR:
        meant = _read_amount(claim.air) if claim.air else Fraction(0)
    yield from _find_edge_faults(syringe, meant, last)
    if not claim.portions and syringe.fillings:
        yield "its barrel is not empty"
    if claim.portions:
        yield from _find_portion_faults(claim, syringe, last)


def _find_edge_faults(syringe: Syringe, meant: Fraction | None, last: Fraction) -> Iterator[str]:
    if syringe.edge_part is None or meant is None:
        yield "it has no single stopper"
    elif abs(syringe.edge_part - float(meant / last)) * syringe.length_mm > ON_LINE_MM:
        yield f"its stopper stands at {syringe.edge_part * float(last):.2f}, where {meant} is meant"


def _find_portion_faults(claim: PictureClaim, syringe: Syringe, last: Fraction) -> Iterator[str]:
    seen = {each.filling: each for each in syringe.fillings}
    for start, end, filling in claim.portions:
        near, far = (float(value / last) * syringe.length_mm for value in (start, end))
        found = seen.pop(filling, None)
        if found is None:
            if far - near > SHORT_MM:
                yield f"its {filling} portion is missing"
            continue
        sign = 1 if syringe.needle_up else -1
        ends = sorted(sign * (y - syringe.zero_mm) for y in (found.top, found.bottom))
        low = near - (SHOULDER_MM if start == 0 else OVER_MM)
        if ends[0] < low or ends[1] > far + OVER_MM or ends[0] > near + OPEN_MM or ends[1] < far - OPEN_MM:
            yield f"its {filling} portion does not reach from {start} to {end}"
    for filling in seen:
        yield f"its barrel holds {filling}, which is not meant"


def _find_wedge_faults(wedges: tuple[Pointed, ...], edge_mm: float | None) -> Iterator[str]:
    if len(wedges) != 1:
        yield f"it has {len(wedges)} solid wedges"
    elif edge_mm is not None and abs(wedges[0].y - edge_mm) > ON_LINE_MM:
        yield "its wedge does not point at the stopper's edge"


def _find_word_faults(claim: PictureClaim, runs: tuple[Run, ...]) -> Iterator[str]:
    """The words of a scene: what is drawn must be what is meant, in any order on the page."""
    said = sorted(word for run in runs for word in run.text.split())
    texts = (*claim.words, claim.wedge)
    meant = sorted(word for text in texts for word in text.split())
    if said != meant:
        yield f"its words are {' '.join(said) or 'none'}, where {' '.join(meant) or 'none'} are meant"


def _find_check_faults(
    claim: PictureClaim, region: Region, runs: tuple[Run, ...], last: Fraction, line_every: Fraction
) -> Iterator[str]:
    scale = read_scale(region, runs, TURNS["needle_up"], line_every)
    if scale is None:
        yield "its scale cannot be read"
        return
    yield from _find_scale_faults(claim, scale)
    wedges = read_wedges(region)
    at = next((along for along, value in scale.places if value == claim.stop), None)
    yield from _find_wedge_faults(wedges, at)
    bold = [run.text for run in runs if run.bold]
    if bold != [claim.wedge.split(" ")[0]]:
        yield f"the number at its wedge is {bold}, where {claim.wedge} is meant"
    small = tuple(read_syringes(region, WHOLE_BORE))
    if len(small) != (1 if len(claim.portions) > 1 else 0):
        yield f"it shows {len(small)} whole barrels"
    for syringe in small:
        yield from _find_edge_faults(syringe, claim.stop, last)
        yield from _find_portion_faults(claim, syringe, last)


def _find_scale_faults(claim: PictureClaim, scale: Scale) -> Iterator[str]:
    """The stopper and the portions of a scale with lines."""
    if scale.edge is None:
        yield "it has no single stopper"
    elif claim.stop is not None and abs(scale.edge - float(claim.stop)) * scale.value_mm > ON_LINE_MM:
        yield f"its stopper stands at {scale.edge:.3f}, where {claim.stop} is meant"
    seen = {each.filling: each for each in scale.stretches}
    for start, end, filling in claim.portions:
        low, high = max(start, scale.first), min(end, scale.last)
        found = seen.pop(filling, None)
        if found is None:
            if float(high - low) * scale.value_mm > SHORT_MM:
                yield f"its {filling} portion is missing"
            continue
        is_open = start < scale.first or start == 0
        before, after = (float(low) - found.start) * scale.value_mm, (found.end - float(high)) * scale.value_mm
        runs_out = end > scale.last
        if (
            before > (SHOULDER_MM + 1 if is_open else OVER_MM)
            or after > (SHOULDER_MM + 1 if runs_out else OVER_MM)
            or min(before, after) < -OPEN_MM
        ):
            yield f"its {filling} portion does not reach from {start} to {end}"
    for filling in seen:
        yield f"its barrel holds {filling}, which is not meant"
    passed = [value for _, value, _ in claim.portions[:-1] if scale.first <= value <= scale.last]
    if len(scale.passed) != len(passed) or any(
        abs(one - float(other)) * scale.value_mm > ON_LINE_MM for one, other in zip(scale.passed, passed, strict=True)
    ):
        yield "the broken mark between its portions is not where the first ends"


def _read_amount(text: str) -> Fraction:
    return Fraction(text.split(" ")[0].replace(",", ""))
