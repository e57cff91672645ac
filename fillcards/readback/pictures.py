"""Each picture against its claim: the vial's way up, what fills it, where the plunger stands, what points where.

A region holds one picture: a step's cell, or a panel. Every part that carries meaning is read (``parts``, ``scales``)
and must be as claimed; ``THINGS`` says of which shapes and strokes each picture is made, and none of them may be
missing, double or strange. Lengths in mm; faults are sentences for people.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator
from fractions import Fraction
from typing import Final, NamedTuple

from fillcards.readback.marks import Run
from fillcards.readback.model import PictureClaim, Portion
from fillcards.readback.parts import (
    Box,
    Pointed,
    Region,
    Syringe,
    VialSeen,
    box_of,
    is_solid,
    is_upright,
    list_loose_fillings,
    name_mark,
    read_arrows,
    read_fillings,
    read_syringes,
    read_vials,
)
from fillcards.readback.regimen_text import Facts
from fillcards.readback.saying import write_number
from fillcards.readback.scales import ON_LINE_MM, TURNS, Scale, Turn, read_scale
from fillcards.typeface import CAP_HEIGHT_EM

SHORT_GAPS: Final = 6.5
"""A portion shorter than this, in gaps of the pen, may have no ink of its own; a longer one must."""
OPEN_GAPS: Final = 4.0
"""How far a filling may end short of its portion."""
OVER_MM: Final = 0.3
"""How far it may reach past it; further into the barrel's shoulder before the zero line, or a window's end."""
SHOULDER_MM: Final = 3.5
SHOULDER_GAPS: Final = 3.2
BUBBLES_GAPS: Final = 9.0
"""How far bubbles may keep a filling from the needle's end, in gaps of the pen."""
WEDGE_GAP_MM: Final = 4.0
WEDGE_GAPS: Final = 3.0
"""A wedge or a figure's arrow ends at most so far from the barrel's wall, in mm or in gaps of the pen."""
LONGER: Final = 1.25
"""Long lines are at least so many times as long as short ones."""
NUMBER_ROOM: Final = 1.5
"""Numbers so many times their height apart have room to stand one above the other."""

NEEDLE: Final = "outline 4, 2 solid 4, 4 line"
"""A syringe: barrel; hub, stopper; needle, flanges, rod, thumb rest."""
ORAL: Final = "2 outline 4, solid 4, 3 line"
"""The same with an open tip in place of hub and needle."""
EYE: Final = "2 solid 34, solid 24"
TAP: Final = "solid 12, 2 line, 3 solid 13"
"""A tap, its handle, three drops."""
VIAL: Final = "outline 8, solid 8, dashed"
BOTTLE: Final = "outline 8, solid 4, dashed"
"""Glass, cap, level of the liquid; a band is one line more."""
PLUG: Final = "2 line"
"""The hole of a plug, in the neck of a bottle; it has the corners of a cap."""
ROLLED: Final = "outline 36"
ROLL: Final = f"{ROLLED}, dashed, 2 solid 4, 2 solid 12, outline 29, outline 32"
"""A vial seen from its end with its level, cuffs and hands at both sides; an arrow round it, one to and fro."""
WIPING: Final = ("outline 4", "solid 43", "outline 10")
"""A pad, a hand on it, an arrow to and fro."""
SKIN: Final = "solid 50"
"""Each of two curves: the surface, and what is under it."""


class Made(NamedTuple):
    """What a kind of scene is made of, and what never varies in it.

    Attributes:
        own: its own shapes and strokes.
        each_vial: those of each vial.
        syringe: those of its syringe.
        bore_gaps: width of the bore, in gaps of the pen.
        arrows: what its hollow arrows say: ``pulled`` and ``pushed`` of the rod; of the syringe ``out`` of the vial,
            ``dropped`` into the box.
        stands: ``True`` for vials upright, ``False`` upside down, ``None`` where there are none, or either.
    """

    own: str = ""
    each_vial: str = ""
    syringe: str = ""
    bore_gaps: float = 7.0
    arrows: tuple[str, ...] = ()
    stands: bool | None = None


THINGS: Final = {
    "wash": Made(f"{TAP}, outline 41, 3 line, outline 9", syringe=NEEDLE),
    "labels": Made("outline 32, 4 line", "outline 4, 3 line", stands=True),
    "roll_and_tip": Made(ROLL),
    "shake": Made("4 solid 14"),
    "look_and_wipe": Made(EYE, ", ".join(WIPING), stands=True),
    "look": Made(EYE, stands=True),
    "air_out": Made("2 outline 7", syringe=NEEDLE, arrows=("out", "pushed"), stands=True),
    "air_stay": Made("outline 7", syringe=NEEDLE, arrows=("pushed",), stands=True),
    "no_air": Made(syringe=NEEDLE, stands=True),
    "draw": Made("outline 7, solid 3", syringe=NEEDLE, arrows=("pulled",), stands=False),
    "bubble": Made("2 outline 7", "", NEEDLE, 11.6, ("pulled", "pushed"), stands=False),
    "inject": Made(f"2 {SKIN}, outline 7", syringe=NEEDLE, arrows=("pushed",)),
    "inject_muscle": Made(f"2 {SKIN}, outline 7", syringe=NEEDLE, arrows=("pushed",)),
    "inject_animal": Made(f"2 {SKIN}, outline 7, 5 solid 24", syringe=NEEDLE, arrows=("pushed",)),
    "sharps": Made("2 solid 4, outline 3, 4 line, solid 24, outline 7", syringe=NEEDLE, arrows=("dropped",)),
    "oral_syringe": Made("", "", ORAL, 11.0),
    "oral_draw": Made(f"outline 7, solid 3, {PLUG}", syringe=ORAL, arrows=("pulled",), stands=False),
    "oral_bubble": Made(f"2 outline 7, {PLUG}", "", ORAL, 11.6, ("pulled", "pushed"), stands=False),
    "by_mouth": Made("outline 15, outline 11, solid 8, outline 7", syringe=ORAL, arrows=("pushed",)),
    "rinse": Made(TAP, "", ORAL, 8.0),
    "vial": Made(stands=True),
}
SIGNS: Final = {
    "rising_sun": "solid 25, 6 line",
    "high_sun": "solid 24, 8 line",
    "setting_sun": "solid 25, 7 line, solid 3",
    "moon": "solid 70",
    "clock": "outline 48, 14 line",
}
WHOLE_BORE_GAPS: Final = 6.0
UP: Final = ("draw", "bubble", "oral_draw", "oral_bubble", "wash", "oral_syringe", "by_mouth", "rinse")
AIR: Final = ("air_out", "air_stay", "no_air")
ON_AXIS_GAPS: Final = 0.5
"""How far an arrow on the thumb rest may be off the barrel's axis, in gaps of the pen."""


def count_things(*made: str) -> Counter[str]:
    """``3 solid 4, line`` as a count of each."""
    found: Counter[str] = Counter()
    for part in filter(None, ", ".join(made).split(", ")):
        first, _, rest = part.partition(" ")
        number, name = (int(first), rest) if first.isdigit() else (1, part)
        found[name] += number
    return +found


def find_thing_faults(meant: Counter[str], region: Region, boxes: Iterable[Box]) -> Iterator[str]:
    """Shapes and strokes that are missing, double or strange; slants and dots must lie in one of the boxes."""
    seen = Counter(map(name_mark, region.strokes)) + Counter(map(name_mark, region.shapes))
    del seen["slant"], seen["dot"]
    yield from _find_count_faults(meant, seen)
    if list_loose_fillings(region, boxes):
        yield "a filling lies outside barrel and vials"


def _find_count_faults(meant: Counter[str], seen: Counter[str]) -> Iterator[str]:
    if seen != meant:
        missing, more = meant - seen, seen - meant
        told = [f"{count} {name} {word}" for word, part in (("too few", missing), ("too many", more))
                for name, count in sorted(part.items())]  # fmt: skip
        yield f"it is not made of what it should be: {', '.join(told)}"


def find_scene_faults(claim: PictureClaim, region: Region, runs: Iterable[Run], facts: Facts) -> Iterator[str]:
    """What is wrong with a scene.

    Args:
        claim: what it must show.
        region: everything drawn in its cell.
        runs: every run of words in the cell that is not its sentence's.
        facts: of the syringe.
    """
    runs = tuple(runs)
    yield from _find_size_faults(runs)
    if claim.kind in {"check", "close_up"}:
        yield from _find_check_faults(claim, region, runs, facts)
        return
    made = THINGS[claim.kind]
    vials, syringes = tuple(read_vials(region)), tuple(read_syringes(region, made.bore_gaps))
    yield from _find_vial_faults(claim, vials, made.stands)
    bottles = [BOTTLE if vial.is_bottle else VIAL for vial in vials]
    bands = ["line"] * sum(count for _, count in claim.vials)
    bubbles = sum(name_mark(shape) == "outline 12" for shape in region.shapes) if "bubble" in claim.kind else 0
    levels = ["dashed"] * (len(claim.portions) - 1 if syringes else 0)
    things = count_things(made.own, made.syringe, *[made.each_vial] * len(claim.vials), *bottles, *bands, *levels)
    things["outline 12"] += bubbles
    if "bubble" in claim.kind and not 1 <= bubbles <= 3:
        yield f"it shows {bubbles} bubbles"
    boxes = [*(vial.box for vial in vials), *(syringe.barrel for syringe in syringes)]
    rolled = [box_of(shape) for shape in region.shapes if name_mark(shape) == ROLLED]
    boxes += rolled
    if claim.kind == "roll_and_tip":
        yield from _find_roll_faults(claim, region, rolled)
    yield from find_thing_faults(+things, region, boxes)
    if made.syringe:
        if len(syringes) != 1:
            yield f"it shows {len(syringes)} syringes"
            return
        yield from _find_syringe_faults(claim, syringes[0], vials, facts.last, is_oral=made.syringe is ORAL)
        if claim.wedge:
            yield from _find_wedge_faults(read_points(region), syringes[0])
        said = sorted(_name_arrow(arrow, syringes[0]) for arrow in read_arrows(region))
        if said != list(made.arrows):
            yield f"its arrows say {' and '.join(said) or 'nothing'}, not {' and '.join(made.arrows) or 'nothing'}"
    if claim.kind == "look_and_wipe":
        yield from _find_wiping_faults(region, vials)
    if claim.kind.startswith("inject"):
        yield from _find_depth_faults(claim, region, syringes)
    yield from _find_word_faults(claim, runs)


def _name_arrow(arrow: Pointed, syringe: Syringe) -> str:
    """What a hollow arrow says by where it stands: on the thumb rest, beside the rod, under the needle, over all."""
    barrel, is_inward = syringe.barrel, arrow.way == ("up" if syringe.needle_up else "down")
    is_behind = arrow.y > barrel.bottom if syringe.needle_up else arrow.y < barrel.top
    is_on_axis = abs(arrow.x - barrel.middle[0]) <= ON_AXIS_GAPS * syringe.gap_mm
    if arrow.way in {"up", "down"} and is_behind:
        if is_on_axis and is_inward:
            return "pushed"
        if arrow.x < barrel.left and not is_inward:
            return "pulled"
        if arrow.x > barrel.right and is_inward and not syringe.needle_up:
            return "dropped"
    if arrow.way == "up" and arrow.x > barrel.right and arrow.y > barrel.bottom and not syringe.needle_up:
        return "out"
    return f"{arrow.way} at a place that says nothing"


def _find_roll_faults(claim: PictureClaim, region: Region, rolled: list[Box]) -> Iterator[str]:
    """The vial seen from its end: what is in it, below its level."""
    meant = [filling for filling, _ in claim.vials[:1]]
    seen = [filled.filling for box in rolled for filled in read_fillings(region, box)]
    if seen != meant:
        yield f"its rolled vial holds {' and '.join(seen) or 'nothing'}, where {' and '.join(meant)} is meant"


def _find_wiping_faults(region: Region, vials: tuple[VialSeen, ...]) -> Iterator[str]:
    """Over each vial's cap a pad, on it a hand, over it an arrow to and fro."""
    for vial in vials:
        near = [(name_mark(s), box_of(s)) for s in region.shapes if vial.box.left < s.middle[0] < vial.box.right]
        over = [[box for each, box in near if each == name and box.bottom < vial.box.top] for name in WIPING]
        if any(len(boxes) != 1 for boxes in over):
            yield "nothing wipes each of its vials"
            continue
        pad, hand, arrow = (boxes[0] for boxes in over)
        is_level = arrow.right - arrow.left > arrow.bottom - arrow.top
        if not (arrow.bottom < hand.top < hand.bottom < pad.bottom and is_level):
            yield "the arrows of wiping are not over its vials"


def _find_depth_faults(claim: PictureClaim, region: Region, syringes: tuple[Syringe, ...]) -> Iterator[str]:
    """The needle ends past the skin's surface; for the muscle, past both curves."""
    curves = sorted(box_of(s).middle[1] for s in region.shapes if name_mark(s) == SKIN)
    ends = [syringe.point[1] for syringe in syringes if syringe.point]
    if len(curves) == 2 and ends:
        passed = sum(ends[0] > curve for curve in curves)
        if passed != (2 if claim.kind == "inject_muscle" else 1):
            yield f"its needle passes {passed} of the two curves of the skin"


def _find_vial_faults(claim: PictureClaim, vials: tuple[VialSeen, ...], stands: bool | None) -> Iterator[str]:
    ways = [vial.stands for vial in vials]
    if claim.kind == "roll_and_tip" and ways != [True, False]:
        yield "it must show the vial upright, then upside down"
    if len(vials) != len(claim.vials):
        yield f"it shows {len(vials)} vials, where {len(claim.vials)} are meant"
        return
    for vial, (filling, bands) in zip(vials, claim.vials, strict=True):
        if stands is not None and vial.stands is not stands:
            yield f"its vial is {'upright' if vial.stands else 'upside down'}"
        if vial.filling != filling:
            yield f"its vial holds {vial.filling or 'nothing'}, where {filling} is meant"
        if vial.bands != bands:
            yield f"its vial has {vial.bands} bands, where {bands} are meant"


def _find_syringe_faults(
    claim: PictureClaim, syringe: Syringe, vials: tuple[VialSeen, ...], last: Fraction, *, is_oral: bool
) -> Iterator[str]:
    if syringe.needle_up is not (claim.kind in UP):
        yield f"its needle points {'up' if syringe.needle_up else 'down'}"
    if syringe.is_oral is not is_oral:
        yield "its syringe has the wrong tip"
    meant = claim.stop or claim.air or Fraction(0)
    yield from _find_edge_faults(syringe, meant, last)
    if not claim.portions and syringe.fillings:
        yield "its barrel is not empty"
    yield from _find_portion_faults(claim, syringe, last)
    for vial in vials:
        if is_oral:
            inside = vial.box.left < syringe.barrel.middle[0] < vial.box.right
            near = abs((syringe.barrel.top if syringe.needle_up else syringe.barrel.bottom) - vial.box.bottom)
            if not inside or near > 12 * syringe.gap_mm:
                yield "its tip is not in the bottle"
        elif syringe.point is None or vial.level is None or not vial.box.holds(*syringe.point):
            yield "its needle does not end in the vial"
        elif syringe.point[1] > vial.level and claim.kind in AIR:
            yield "its needle ends in the liquid"
        elif syringe.point[1] < vial.level and claim.kind not in AIR:
            yield "its needle ends above the liquid"


def _find_edge_faults(syringe: Syringe, meant: Fraction | None, last: Fraction) -> Iterator[str]:
    if syringe.edge_part is None or meant is None:
        yield "it has no single stopper"
    elif abs(syringe.edge_part - float(meant / last)) * syringe.length_mm > ON_LINE_MM:
        yield f"its stopper stands at {syringe.edge_part * float(last):.2f}, where {meant} is meant"


def _find_portion_faults(claim: PictureClaim, syringe: Syringe, last: Fraction) -> Iterator[str]:
    sign = 1 if syringe.needle_up else -1
    seen = {}
    for each in syringe.fillings:
        near, far = sorted(sign * (y - syringe.zero_mm) for y in (each.top, each.bottom))
        seen[each.filling] = near, far
    room = BUBBLES_GAPS * syringe.gap_mm if "bubble" in claim.kind else 0.0
    for portion in claim.portions:
        start, end = (float(value / last) * syringe.length_mm for value in portion[:2])
        before = SHOULDER_MM if start == 0 else OVER_MM, room
        yield from _find_filling_faults(portion, seen, start, end, before, 0.0, syringe.gap_mm)
    for filling in seen:
        yield f"its barrel holds {filling}, which is not meant"


def _find_filling_faults(
    portion: Portion,
    seen: dict[str, tuple[float, float]],
    start: float,
    end: float,
    before: tuple[float, float],
    after: float,
    gap: float,
) -> Iterator[str]:
    """One portion from ``start`` to ``end`` in mm: ``before`` may its ink begin earlier, or later."""
    found = seen.pop(portion[2], None)
    early, late = before
    if found is None:
        if end - start > SHORT_GAPS * gap + late:
            yield f"its {portion[2]} portion is missing"
        return
    open_ = OPEN_GAPS * gap
    if not (start - early <= found[0] <= start + open_ + late and end - open_ <= found[1] <= end + OVER_MM + after):
        yield f"its {portion[2]} portion does not reach from {portion[0]} to {portion[1]}"


def read_points(region: Region) -> tuple[Pointed, ...]:
    """Solid triangles; the base lies along one of the page's axes, the tip is opposite. Of two such sides, which a
    wedge has that gives way to another by half its width, the longer one is the base.
    """
    found = []
    for shape in region.shapes:
        if not is_solid(shape, 3):
            continue
        sides: list[tuple[float, Pointed]] = []
        for index in range(3):
            (x1, y1), (x2, y2), tip = (shape.points[(index + at) % 3] for at in (0, 1, 2))
            if abs(x1 - x2) <= 0.02:
                sides.append((abs(y1 - y2), Pointed(*tip, "right" if tip[0] > x1 else "left")))
            elif abs(y1 - y2) <= 0.02:
                sides.append((abs(x1 - x2), Pointed(*tip, "down" if tip[1] > y1 else "up")))
        if sides:
            found.append(max(sides)[1])
    return tuple(found)


def _find_wedge_faults(wedges: tuple[Pointed, ...], syringe: Syringe) -> Iterator[str]:
    if len(wedges) != 1 or syringe.edge_mm is None:
        yield f"it has {len(wedges)} solid wedges"
        return
    gap = wedges[0].x - syringe.barrel.right
    most = max(WEDGE_GAP_MM, WEDGE_GAPS * syringe.gap_mm)
    if abs(wedges[0].y - syringe.edge_mm) > ON_LINE_MM or not 0 < gap < most or wedges[0].way != "left":
        yield "its wedge does not point at the stopper's edge"


def _find_size_faults(runs: tuple[Run, ...]) -> Iterator[str]:
    """The words and numbers of a picture are of one size."""
    if len({run.size_pt for run in runs}) > 1:
        yield "its words are not all as large"


def _find_word_faults(claim: PictureClaim, runs: tuple[Run, ...]) -> Iterator[str]:
    """The words of a scene: what is drawn must be what is meant, in any order on the page."""
    said = sorted(word for run in runs for word in run.text.split())
    texts = (*claim.words, claim.wedge)
    meant = sorted(word for text in texts for word in text.split())
    if said != meant:
        yield f"its words are {' '.join(said) or 'none'}, where {' '.join(meant) or 'none'} are meant"


def _find_check_faults(claim: PictureClaim, region: Region, runs: tuple[Run, ...], facts: Facts) -> Iterator[str]:
    """A window of the scale; for a total, both portions on a small whole barrel beside it."""
    turn = TURNS["needle_up"]
    scale = read_scale(region, runs, turn, facts.line_every)
    if scale is None:
        yield "its scale cannot be read"
        return
    has_whole = claim.kind == "check" and len(claim.portions) > 1
    bore = _find_bore_box(scale, region, turn)
    # A window of all of a coarse scale is a whole barrel too, the one that has the lines.
    small = [
        each for each in read_syringes(region, WHOLE_BORE_GAPS) if has_whole and not bore.holds(*each.barrel.middle)
    ]
    if has_whole and len(small) != 1:
        yield f"it shows {len(small)} whole barrels beside the window"
    yield from _find_scale_faults(claim, scale, facts.long_steps)
    yield from _find_number_faults(scale, facts.numbered_every, max(run.height_mm for run in runs))
    marks = [(claim.stop or Fraction(0), claim.wedge.split(" ", maxsplit=1)[0])]
    yield from find_mark_faults(scale, turn, read_points(region), marks)
    made = [NEEDLE] * len(small) + ["dashed"] * len(small)
    if scale.first > 0 and (claim.kind == "check" or scale.end_piece is not None):
        made.append("3 line, outline 4" if facts.is_oral else "3 line, solid 4, line")
        if scale.end_piece != (claim.portions[0][2],):
            yield f"past the break it shows {scale.end_piece}, where {claim.portions[0][2]} and a needle are meant"
    yield from find_thing_faults(
        count_window(scale, claim, facts) + count_things(*made, "solid 3"),
        region,
        [*(each.barrel for each in small), bore],
    )
    for syringe in small:
        yield from _find_edge_faults(syringe, claim.stop, facts.last)
        yield from _find_portion_faults(claim, syringe, facts.last)


def _find_number_faults(scale: Scale, numbered_every: Fraction, height_mm: float) -> Iterator[str]:
    """A number at each numbered line of a window; at each second, fifth ... where they would touch."""
    steps = [numbered_every * many for many in (1, 2, 5, 10, 20, 50)]
    roomy = next((step for step in steps if float(step) * scale.value_mm > NUMBER_ROOM * height_mm), steps[-1])
    ways = [tuple(value for _, value, _ in scale.lines if value % step == 0) for step in steps if step <= roomy]
    if scale.numbers not in ways:
        yield f"its numbers are {', '.join(map(str, scale.numbers))}, where {', '.join(map(str, ways[-1]))} are meant"


def count_window(scale: Scale, claim: PictureClaim, facts: Facts) -> Counter[str]:
    """What a whole barrel or a window of one is made of."""
    has_tip, has_end = scale.first == 0, scale.last == facts.last
    made = [f"{len(scale.lines) + 1} line", "solid 4"]
    if has_tip:
        made.append("outline 4" if facts.is_oral else "solid 4, line")
    made.append("outline 4" if has_tip and has_end else "3 line" if has_tip else "2 line")
    if has_end:
        made.append("line")
    passed = [end for _, end, _ in claim.portions[:-1] if scale.first <= end <= scale.last]
    return count_things(*made, *["dashed"] * len(passed))


def _find_bore_box(scale: Scale, region: Region, turn: Turn) -> Box:
    """The bore as a box of the page, as long as the region."""
    if scale.bore is None:
        return region.box
    low, high = sorted(scale.bore)
    x, _ = turn(1.0, 2.0)
    if abs(x) == 2.0:  # upright: across is x
        return Box(low, region.box.top, high, region.box.bottom)
    return Box(region.box.left, low, region.box.right, high)


def find_mark_faults(
    scale: Scale, turn: Turn, points: tuple[Pointed, ...], marks: list[tuple[Fraction, str]]
) -> Iterator[str]:
    """Solid wedges, or the arrows of figures: each on its stop's line, at the wall away from the numbers.

    Args:
        scale: on which they stand.
        turn: of its barrel.
        points: everything solid that points.
        marks: each stop, and what is written at its wedge; ``""`` where that is a figure far off.
    """
    if len(points) != len(marks):
        yield f"it has {len(points)} solid wedges, where {len(marks)} are meant"
        return
    placed = sorted((turn(point.x, point.y), point) for point in points)
    for ((along, across), _), (value, _) in zip(placed, sorted(marks), strict=True):
        place = scale.find_place(value)
        if place is None or abs(place - along) > ON_LINE_MM:
            yield f"nothing points at line {value}"
        if scale.bore is not None:
            near, far = scale.bore
            gap = (across - far) * math.copysign(1.0, far - near)
            if not 0 < gap <= max(WEDGE_GAP_MM, WEDGE_GAPS * scale.gap_mm):
                yield f"what points at line {value} does not end at the barrel"
    words = [run for run in scale.others if run.bold]
    meant = sorted(text for _, text in marks if text)
    if sorted(run.text for run in scale.others) != meant or len(words) != len(meant):
        yield f"its words are {[run.text for run in scale.others]}, where {meant} are meant"
        return
    ordered = sorted(words, key=lambda run: _find_middle(run, turn))
    texts = [text for _, text in sorted(marks) if text]
    if [run.text for run in ordered] != texts:
        yield "the numbers at its wedges are exchanged"
    if len(texts) == 1:
        middle = _find_middle(ordered[0], turn)
        if abs(middle - placed[0][0][0]) > 0.6:
            yield "the number does not stand at its wedge"


def _find_middle(run: Run, turn: Turn) -> float:
    return turn(run.x_mm + run.width_mm / 2, run.y_mm - CAP_HEIGHT_EM * run.size_pt * 25.4 / 72 / 2)[0]


def _find_scale_faults(claim: PictureClaim, scale: Scale, long_every: tuple[Fraction, ...]) -> Iterator[str]:
    """The stopper, the portions and the lengths of the lines of a scale."""
    if scale.edge is None:
        yield "it has no single stopper"
    elif claim.stop is not None and abs(scale.edge - float(claim.stop)) * scale.value_mm > ON_LINE_MM:
        yield f"its stopper stands at {scale.edge:.3f}, where {claim.stop} is meant"
    seen = {each.filling: (each.start * scale.value_mm, each.end * scale.value_mm) for each in scale.stretches}
    for portion in claim.portions:
        low, high = max(portion[0], scale.first), min(portion[1], scale.last)
        if high <= low:
            seen.pop(portion[2], None) if high == low else None
            continue
        start, end = float(low) * scale.value_mm, float(high) * scale.value_mm
        is_open = portion[0] < scale.first or portion[0] == 0
        room = max(SHOULDER_MM, SHOULDER_GAPS * scale.gap_mm)
        after = room if portion[1] > scale.last else 0.0
        before = room if is_open else OVER_MM, 0.0
        yield from _find_filling_faults(portion, seen, start, end, before, after, scale.gap_mm)
    for filling in seen:
        yield f"its barrel holds {filling}, which is not meant"
    passed = [float(value) for _, value, _ in claim.portions[:-1] if scale.first <= value <= scale.last]
    if len(scale.passed) != len(passed) or any(
        abs(one - other) * scale.value_mm > ON_LINE_MM for one, other in zip(scale.passed, passed, strict=False)
    ):
        yield "the broken mark between its portions is not where the first ends"
    yield from find_length_faults(scale.lines, long_every)


def find_length_faults(
    lines: Iterable[tuple[float, Fraction, float]], long_every: tuple[Fraction, ...]
) -> Iterator[str]:
    """Lines, each along, of its value, and its length, that are not long where they should be."""
    by_size = {True: [0.0], False: [0.0]}
    for _, value, length in lines:
        by_size[any(value % every == 0 for every in long_every)].append(length)
    if len(by_size[True]) > 1 and min(by_size[True][1:]) < LONGER * max(by_size[False]):
        yield "its long and short lines are not where they should be"


def find_barrel_faults(
    claim: PictureClaim,
    region: Region,
    runs: Iterable[Run],
    marks: list[tuple[Fraction, str]],
    more: str,
    facts: Facts,
) -> Iterator[str]:
    """What is wrong with the whole barrel of a panel.

    Args:
        claim: what it must show.
        region: everything drawn in its panel.
        runs: every run of words there that is no sentence's.
        marks: each stop that is pointed at, and what is written there.
        more: what else the panel is made of.
        facts: of the syringe, and how it is held.
    """
    runs, turn = tuple(runs), TURNS[facts.direction]
    yield from _find_size_faults(runs)
    scale = read_scale(region, runs, turn, facts.line_every)
    if scale is None:
        yield "its scale cannot be read"
        return
    if (scale.first, scale.last) != (Fraction(0), facts.last):
        yield f"its scale runs from {scale.first} to {scale.last}"
    yield from _find_whole_number_faults(scale, facts)
    yield from _find_scale_faults(claim, scale, facts.long_steps)
    yield from find_mark_faults(scale, turn, read_points(region), marks)
    made = count_window(scale, claim, facts) + count_things(more)
    yield from find_thing_faults(made, region, [_find_bore_box(scale, region, turn)])


def _find_whole_number_faults(scale: Scale, facts: Facts) -> Iterator[str]:
    """From 0 on evenly, as far as there is room."""
    last = facts.last
    step = scale.numbers[1] - scale.numbers[0] if len(scale.numbers) > 1 else last
    numbers = tuple(step * index for index in range(len(scale.numbers)))
    if step % facts.numbered_every or scale.numbers != numbers or last - numbers[-1] >= step:
        yield f"its numbers are {', '.join(map(str, scale.numbers))}"


def find_blank_faults(region: Region, runs: Iterable[Run], stops: tuple[Fraction, ...], facts: Facts) -> Iterator[str]:
    """What is wrong with an empty whole barrel: no plunger, nothing in it, a numbered wedge at each stop alone.

    Args:
        region: everything drawn there.
        runs: every run of words there that is no sentence's.
        stops: lines with a wedge.
        facts: of the syringe, and how it is held.
    """
    runs, turn = tuple(runs), TURNS[facts.direction]
    yield from _find_size_faults(runs)
    scale = read_scale(region, runs, turn, facts.line_every)
    barrels = [s for s in region.shapes if name_mark(s) == "outline 4" and is_upright(s)]
    if scale is None or len(barrels) != 1:
        yield "its scale cannot be read"
        return
    if (scale.first, scale.last) != (Fraction(0), facts.last) or scale.bore is not None:
        yield f"its scale runs from {scale.first} to {scale.last}, or it has a stopper"
    half = barrels[0].outline_mm / 2
    walls = sorted(turn(x, y)[1] for x, y in barrels[0].points)
    low, high = walls[0] + half, walls[-1] - half
    beside = [turn(run.x_mm + run.width_mm / 2, run.y_mm)[1] for run in runs if not run.bold]
    bore = (low, high) if sum(beside) / max(len(beside), 1) < low else (high, low)
    yield from _find_whole_number_faults(scale, facts)
    yield from find_length_faults(scale.lines, facts.long_steps)
    places = [along for along, _, _ in scale.lines]
    ends = [(turn(s.x1_mm, s.y1_mm), turn(s.x2_mm, s.y2_mm)) for s in region.strokes]
    lines = [
        (a[1], b[1]) for a, b in ends if any(abs(a[0] - place) + abs(b[0] - place) < ON_LINE_MM for place in places)
    ]
    if any(min(abs(one - bore[0]), abs(other - bore[0])) > ON_LINE_MM for one, other in lines):
        yield "its lines do not begin at the wall of its numbers"
    marks = [(stop, write_number(stop)) for stop in stops]
    yield from find_mark_faults(scale._replace(bore=bore), turn, read_points(region), marks)
    made = [f"{len(scale.lines) + 1} line, outline 4", "outline 4" if facts.is_oral else "solid 4, line"]
    yield from find_thing_faults(count_things(*made, *["solid 3"] * len(stops)), region, ())


def find_sign_faults(sign: str, region: Region) -> Iterator[str]:
    """The sign beside a title; of a clock its hands."""
    name, _, time = sign.partition(" ")
    # No sign holds a filling; a clock's hand at half past seven is as slanted as one.
    seen = Counter(map(name_mark, region.strokes)) + Counter(map(name_mark, region.shapes))
    seen["line"] += seen.pop("slant", 0)
    yield from _find_count_faults(count_things(SIGNS[name]), +seen)
    faces = [box_of(shape) for shape in region.shapes if name_mark(shape) == "outline 48"]
    if name != "clock" or len(faces) != 1:
        return
    x, y = faces[0].middle
    turns = []
    for stroke in region.strokes:
        ends = sorted(
            ((stroke.x1_mm, stroke.y1_mm), (stroke.x2_mm, stroke.y2_mm)), key=lambda end: math.dist(end, (x, y))
        )
        if math.dist(ends[0], (x, y)) < 0.08 * (faces[0].right - faces[0].left):  # a hand begins at the middle
            far = ends[1][0] - x, ends[1][1] - y
            turns.append((math.hypot(*far), math.atan2(far[0], -far[1]) / (2 * math.pi) % 1))
    hour, minute = (int(part) for part in time.split(":"))
    meant = [(hour % 12 + minute / 60) / 12, minute / 60]
    if len(turns) != 2 or any(
        abs((one - other + 0.5) % 1 - 0.5) > 0.005 for (_, one), other in zip(sorted(turns), meant, strict=True)
    ):
        yield f"its clock does not show {time}"
