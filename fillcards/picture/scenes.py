"""The scenes: one small picture a step, put together from the kit. Black on white, no frames, no faces, no perspective.

Every measure is in gaps of the pen, so a scene grows with the reader's type and nowhere else. With the ink pen of 18 pt
most scenes are 22 mm by 36 mm; a window of the scale is 30 mm wide. The needle always points up here (down into a vial
that stands), whichever way the poster's barrel lies.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from fractions import Fraction
from functools import lru_cache, partial
from typing import Final, TypeAlias

from fillcards.picture.items import Drawing, Item, place_drawing
from fillcards.picture.kit import (
    BAND_PITCH,
    CAP_HEIGHT,
    HEAD_HALF,
    PLUG,
    Region,
    Vial,
    draw_hollow_arrow,
    draw_label,
    draw_turning_arrow,
    draw_vial,
    enclose,
    measure_vial,
    point_down,
    point_up,
    stretch_ribbon,
)
from fillcards.picture.pen import Pen, PictureTooSmall, make_ink_pen
from fillcards.picture.scale_view import StopMark, choose_window, draw_close_up
from fillcards.picture.scene import Filling, Scene, SceneKind, SceneWords, VialLook
from fillcards.picture.small_syringe import HUB, Small
from fillcards.picture.things import (
    draw_cap,
    draw_eye,
    draw_hand,
    draw_magnifier,
    draw_mouth,
    draw_paw,
    draw_rolled_vial,
    draw_sharps_box,
    draw_skin,
    draw_tap,
    draw_wiping_hand,
)
from fillcards.regimen.model import BarrelDirection

HEIGHT: Final = 57.0
"""Of a scene, in gaps of the pen."""
LEAST_BARREL: Final = 14.5
LEAST_AIR_BARREL: Final = 8.8
INJECT_BARREL: Final = 12.0
BUBBLE_BARREL: Final = 8.8
MOST_BARREL: Final = 24.0
STANDING: Final = 16.2
TURNED: Final = 17.6
STANDING_LEVEL: Final = 9.2
TURNED_LEVEL: Final = -4.0
LESS_OVER_BUBBLES: Final = 1.4
NEEDLE_INSIDE: Final = 8.0
NEEDLE_SHOWN: Final = 1.2
"""Zero line to last line at least: where liquid is drawn, where it holds air alone, over skin, with bubbles; and at
most. A vial without bands that stands or is upside down; its level from the cap, or from the base, and by how much less
over bubbles; the needle's point inside, from the cap; the needle between hub and cap."""
EASE_MM: Final = 1e-3
"""Measured at one size and drawn at another, a scene may differ by the last digits of a sum."""
BETWEEN: Final = 5.2
"""From one vial to the next."""
WORD_PAST_CAP: Final = 3.6
"""How far beside the cap the word at the needle may reach."""
ROD_ARROW: Final = 14.0
PUSH_ARROW: Final = 8.0
PUSH_GAP: Final = 1.4
OUT_ARROW_X: Final = 6.4
"""The hollow arrow beside a rod that is pulled; that on the thumb rest of one that is pushed, and what is between; how
far that of a needle taken out is from where its word begins."""
INTO_SKIN: Final = 7.6
INTO_MUSCLE: Final = 12.8
"""The needle from hub to point where it is put in."""
BUBBLE_BORE: Final = 11.6
"""Of a syringe with bubbles, so that liquid is seen beside them."""
BORE: Final = 13.0
TOTAL_HEIGHT: Final = 55.0
WHOLE_ENDS: Final = 17.5
"""Of a window: inside the barrel; its least height for a total, where a whole barrel stands beside it, and what that
one has of needle, flanges and rod beyond its scale."""
LEAST_PITCH: Final = 3.05
MOST_PITCH: Final = 5.0
WINDOW_GAPS: Final = (11, 13)
"""Lines of a window: how far apart, and the least and the most there are from first to last."""

Items: TypeAlias = Iterator[Item]


def draw_scene(scene: Scene, words: SceneWords, pen: Pen, width_mm: float, height_mm: float) -> Drawing:
    """One scene, as large as the pen makes it; only a window of the scale takes more of the box's height.

    Args:
        scene: what it shows.
        words: in the card's language.
        pen: how heavy, how large.
        width_mm: of the box.
        height_mm: of the box.

    Raises:
        PictureTooSmall: the scene does not fit in the box.
        ValueError: a stop is not on the scale, or the scene lacks what its kind needs.
    """
    drawing = _draw(scene, words, pen, height_mm)
    if drawing.width_mm > width_mm + EASE_MM or drawing.height_mm > height_mm + EASE_MM:
        needed = f"{drawing.width_mm:.1f} mm by {drawing.height_mm:.1f} mm"
        raise PictureTooSmall(f"the scene {scene.kind.name} needs {needed}, on {width_mm:.1f} mm by {height_mm:.1f} mm")
    return drawing


MOST_WINDOW: Final = 1000.0
"""In gaps: higher than any window whose lines stand as far apart as they may."""


def least_size_mm(scene: Scene, words: SceneWords, pen: Pen) -> tuple[float, float]:
    """Width and height of the smallest box that holds the scene, and any higher one."""
    if scene.kind is not SceneKind.CHECK:
        width_mm, height_mm = _measure_for_one_pt(scene, words)
        return width_mm * pen.text_pt, height_mm * pen.text_pt
    # A barrel's shoulder before the zero line is as long in every size. A window of the scale has more numbers, and may
    # be wider, where its lines are further apart.
    least, highest = (_draw(scene, words, pen, most * pen.gap_mm, is_draft=True) for most in (0.0, MOST_WINDOW))
    return max(least.width_mm, highest.width_mm), least.height_mm


@lru_cache(maxsize=128)
def _measure_for_one_pt(scene: Scene, words: SceneWords) -> tuple[float, float]:
    """In print a scene grows with the reader's type in every measure, and layouts try many sizes."""
    drawing = _draw(scene, words, make_ink_pen(1.0), 0.0)
    return drawing.width_mm, drawing.height_mm


def _draw(scene: Scene, words: SceneWords, pen: Pen, height_mm: float, *, is_draft: bool = False) -> Drawing:
    if scene.stop is not None and not 0 <= scene.stop <= scene.syringe.last_line:
        raise ValueError(f"{scene.stop} is not on a scale from 0 to {scene.syringe.last_line}")
    if scene.kind is SceneKind.CHECK:
        return _draw_check(scene, pen, height_mm, is_draft=is_draft)
    return enclose(SCENES[scene.kind](scene, words, pen))[0]


def _stack(text: str, pen: Pen) -> Drawing:
    """A number with its unit under it, or a word."""
    labels = [pen.build_label(part, bold=True) for part in text.split(" ")]
    items: list[Item] = []
    y_mm = 0.0
    for label in labels:
        items += place_drawing(label, 0.0, y_mm)
        y_mm += label.height_mm + 1.4 * pen.gap_mm
    return Drawing(max(label.width_mm for label in labels), y_mm - 1.4 * pen.gap_mm, tuple(items))


def _measure_banded(look: VialLook, pen: Pen, length: float) -> Vial:
    """A vial longer by what its bands take, so that they never hide its liquid."""
    return measure_vial(look, pen, length=length + BAND_PITCH * look.bands)


def _lengthen(small: Small, beside_mm: float) -> Small:
    """The syringe, its barrel longer by what the scene's height leaves beside a vial."""
    gap_mm = small.pen.gap_mm
    rest_mm = beside_mm + small.end_mm + HUB * gap_mm + small.thumb_mm - small.length * gap_mm
    return small._replace(length=min(max(HEIGHT - rest_mm / gap_mm, small.length), MOST_BARREL))


def _draw_push(small: Small) -> Item:
    """Pushed: on the thumb rest, in line with the rod; the arrow of one that is pulled stands beside it."""
    tip_mm = small.thumb_mm + PUSH_GAP * small.pen.gap_mm
    tail = small.axes.place(tip_mm + PUSH_ARROW * small.pen.gap_mm, 0.0)
    return draw_hollow_arrow(tail, small.axes.place(tip_mm, 0.0), small.pen)


def _around_needle(pen: Pen, reach: float) -> tuple[Region, ...]:
    side_mm = pen.stroke_mm / 2 + 0.9 * pen.gap_mm
    return (Region(0.0, (reach + 0.8) * pen.gap_mm, -side_mm, side_mm),)


def _list_looks(scene: Scene) -> tuple[VialLook, ...]:
    return scene.vials or (VialLook(Filling.FIRST),)


def _draw_drawing(scene: Scene, words: SceneWords, pen: Pen) -> Items:
    """A vial upside down over the barrel; the stop at its wedge; an arrow the way the plunger moves, or both ways: all
    pushed back, then pulled again.
    """
    gap_mm, look = pen.gap_mm, _list_looks(scene)[0]
    pushes = scene.kind in (SceneKind.BUBBLE, SceneKind.ORAL_BUBBLE)
    if scene.stop is None:
        raise ValueError(f"a scene {scene.kind.name} without a stop")
    spare = LESS_OVER_BUBBLES * pushes
    vial = _measure_banded(look, pen, TURNED - spare)
    shown, reach = (0.0, 0.0) if look.is_bottle else (NEEDLE_SHOWN, NEEDLE_INSIDE)
    small = Small(point_up(), scene.syringe, pen, LEAST_BARREL, scene.stop, scene.portions, shown + reach)
    if pushes:
        small = small._replace(length=BUBBLE_BARREL, bore=BUBBLE_BORE, has_bubbles=True)
    small = _lengthen(small, vial.length_mm + (shown + (PUSH_ARROW + PUSH_GAP) * pushes) * gap_mm)
    tip_mm = -small.end_mm - (HUB + shown) * gap_mm
    # The tip stands on the plug, which is lower than a cap.
    vial_axes = point_down(0.0, tip_mm + (CAP_HEIGHT - PLUG) * gap_mm if look.is_bottle else tip_mm)
    level_mm, holes = vial.length_mm + (TURNED_LEVEL + spare) * gap_mm, _around_needle(pen, reach)
    yield from draw_vial(vial_axes, look, pen, vial, level_mm=level_mm, holes=holes, has_plug=look.is_bottle)
    yield from small.draw()
    # Beside the rod that it moves; number and wedge, on the other side, are where it stops.
    x_mm, bottom_mm = -small.flange_reach_mm - (HEAD_HALF + 1.3) * gap_mm, small.thumb_mm - gap_mm
    yield draw_hollow_arrow((x_mm, bottom_mm - (ROD_ARROW - 1.0) * gap_mm), (x_mm, bottom_mm), pen)
    if pushes:
        yield _draw_push(small)
        # Not every time: only where there is a bubble.
        doubt = pen.build_label(words.doubt, bold=True)
        yield from place_drawing(doubt, small.outer_mm + 3.0 * gap_mm, small.locate(Fraction(0)))
    else:
        yield small.draw_wedge()
        y_mm = small.locate(scene.stop) - pen.build_label("0", bold=True).height_mm / 2
        yield from place_drawing(_stack(scene.stop_text, pen), small.outer_mm + 5.8 * gap_mm, y_mm)


def _draw_air(scene: Scene, words: SceneWords, pen: Pen) -> Items:
    """Air pushed into a standing vial: no wedge, nothing in the barrel, the needle's point above the liquid."""
    gap_mm, look = pen.gap_mm, _list_looks(scene)[0]
    pushes_air = scene.kind is not SceneKind.NO_AIR
    word = pen.build_label(words.out if scene.kind is SceneKind.AIR_OUT else words.stay, bold=True)
    air, amount = pen.build_label(words.air, bold=True), _stack(scene.air_text or "0", pen)
    between_mm = 1.4 * gap_mm
    vial, needle = _measure_banded(look, pen, STANDING), NEEDLE_SHOWN + NEEDLE_INSIDE
    small = Small(point_down(), scene.syringe, pen, LEAST_AIR_BARREL, scene.air or Fraction(0), (), needle)
    small = _lengthen(small, vial.length_mm + (NEEDLE_SHOWN + (PUSH_ARROW + PUSH_GAP) * pushes_air) * gap_mm)
    cap_mm = small.end_mm + (HUB + NEEDLE_SHOWN) * gap_mm
    yield from draw_vial(point_up(0.0, cap_mm), look, pen, vial, level_mm=STANDING_LEVEL * gap_mm)
    yield from small.draw()
    x_mm = small.outer_mm + 2.5 * gap_mm
    word_mm = cap_mm + WORD_PAST_CAP * gap_mm - word.height_mm
    yield from place_drawing(word, x_mm, word_mm)
    if pushes_air:
        yield _draw_push(small)
        y_mm = -small.thumb_mm - (PUSH_GAP + PUSH_ARROW) * gap_mm
        for label in (air, amount):
            yield from place_drawing(label, x_mm, y_mm)
            y_mm += label.height_mm + between_mm
    if scene.kind is SceneKind.AIR_OUT:
        # Beside the vial, past its bands, under the word.
        arrow_x_mm, tip_mm = x_mm + OUT_ARROW_X * gap_mm, word_mm + word.height_mm + 2.4 * gap_mm
        yield draw_hollow_arrow((arrow_x_mm, tip_mm + 2 * PUSH_ARROW * gap_mm), (arrow_x_mm, tip_mm), pen)


def _draw_check(scene: Scene, pen: Pen, height_mm: float, *, is_draft: bool) -> Drawing:
    """A window of the scale round the stop; for a total, both portions on a small whole barrel beside it."""
    if scene.stop is None:
        raise ValueError("a scene CHECK without a stop")
    gap_mm = pen.gap_mm
    window = choose_window(scene.syringe, scene.stop, *WINDOW_GAPS)
    gaps = float((window.last - window.first) / scene.syringe.line_every)

    marks = (StopMark(scene.stop, scene.stop_text.split(" ")[0]),)
    draw = partial(
        draw_close_up,
        *(scene.syringe, window, scene.portions, scene.stop, BarrelDirection.NEEDLE_UP, pen),
        number_pt=pen.text_pt,
        marks=marks,
        bore_mm=BORE * gap_mm,
        has_end_piece=True,
    )
    is_total = len(scene.portions) > 1
    if is_total:
        height_mm = max(height_mm, TOTAL_HEIGHT * gap_mm)
    least = draw(pitch_mm=LEAST_PITCH * gap_mm, is_draft=True)
    spare_mm = (height_mm - least.drawing.height_mm) / gaps
    pitch_mm = min(LEAST_PITCH * gap_mm + max(0.0, spare_mm - 1e-6), MOST_PITCH * gap_mm)
    close = draw(pitch_mm=pitch_mm, is_draft=is_draft)
    # What the window shows past its last line may grow with the pitch as well.
    excess_mm = close.drawing.height_mm - max(height_mm, least.drawing.height_mm)
    if excess_mm > 0:
        close = draw(pitch_mm=max(LEAST_PITCH * gap_mm, pitch_mm - excess_mm / gaps), is_draft=is_draft)
    items = [*close.drawing.items]
    if is_total:
        # The window of a total shows dots alone: the whole barrel beside it says that both are in it.
        above_mm, below_mm = close.edge_y_mm, close.drawing.height_mm - close.edge_y_mm
        clear_mm = pen.build_label("0").height_mm / 2 + 2.0 * gap_mm
        length = (max(above_mm, below_mm) - clear_mm) / gap_mm - WHOLE_ENDS
        whole = Small(point_up(), scene.syringe, pen, length, scene.stop, scene.portions, 3.0, bore=6.0)
        small = enclose(whole.draw())[0]
        y_mm = close.drawing.height_mm - small.height_mm if below_mm >= above_mm else 0.0
        items += place_drawing(small, max(0.0, close.edge_x_mm - 2.0 * gap_mm - small.width_mm), y_mm)
    return enclose(items)[0]


def _draw_inject(scene: Scene, words: SceneWords, pen: Pen) -> Items:
    """The needle ends between the curves, or past both where the muscle is."""
    gap_mm, is_deep = pen.gap_mm, scene.kind is SceneKind.INJECT_MUSCLE
    stop = scene.stop or Fraction(0)
    needle = INTO_MUSCLE if is_deep else INTO_SKIN
    small = Small(point_down(), scene.syringe, pen, INJECT_BARREL - is_deep, stop, scene.portions, needle)
    skin_mm = small.end_mm + (HUB + 4.4) * gap_mm
    yield from draw_skin(pen, -12.5 * gap_mm, skin_mm, 35.0)
    yield from small.draw()
    yield _draw_push(small)
    label = pen.build_label(words.muscle if is_deep else words.skin, bold=True)
    word = (5.0 * gap_mm - label.width_mm / 2, 10.4) if is_deep else (small.outer_mm - 4.0 * gap_mm, 9.4)
    yield from place_drawing(label, word[0], skin_mm + word[1] * gap_mm)
    if scene.kind is SceneKind.INJECT_ANIMAL:
        # Far from the needle's point, or it would be where to inject.
        yield from draw_paw(pen, -12.8 * gap_mm, -small.thumb_mm + 5.0 * gap_mm)


def _draw_sharps(scene: Scene, _: SceneWords, pen: Pen) -> Items:
    """All of the syringe inside the box, and over the slot of the lid the arrow by which it fell."""
    gap_mm = pen.gap_mm
    yield from draw_sharps_box(pen, 0.0, 0.0)
    yield from Small(point_down(9.8 * gap_mm, 24.8 * gap_mm), scene.syringe, pen, 11.0, needle=4.6).draw()
    yield draw_hollow_arrow((15.3 * gap_mm, -12.4 * gap_mm), (15.3 * gap_mm, 1.4 * gap_mm), pen)


def _draw_wash(scene: Scene, _: SceneWords, pen: Pen) -> Items:
    gap_mm = pen.gap_mm
    yield from draw_tap(pen, 0.0, 0.0)
    yield from draw_hand(pen, -1.0 * gap_mm, 23.0 * gap_mm)
    yield from Small(point_up(26.0 * gap_mm, 17.0 * gap_mm), scene.syringe, pen, MOST_BARREL, needle=8.0).draw()
    if not scene.syringe.is_oral:
        yield from draw_cap(pen, 29.0 * gap_mm, 1.0 * gap_mm)


def _draw_labels(scene: Scene, _: SceneWords, pen: Pen) -> Items:
    gap_mm, x_mm = pen.gap_mm, 0.0
    looks = _list_looks(scene)
    length = 26.5 + BAND_PITCH * max(look.bands for look in looks)
    for look in looks:
        vial = measure_vial(look, pen, length=length)
        axes = point_up(x_mm + vial.width_mm / 2, 0.0)
        hole, items = draw_label(axes, vial, pen, 10.2, 3)
        bands_mm = hole.far + (1.0 + BAND_PITCH * look.bands / 2) * gap_mm
        yield from draw_vial(axes, look, pen, vial, level_mm=8.2 * gap_mm, holes=(hole,), bands_mm=bands_mm)
        yield from items
        x_mm += vial.width_mm + BETWEEN * gap_mm
    yield from draw_magnifier(pen, max(0.0, x_mm / 2 - 10 * gap_mm), (length + 2.4) * gap_mm)


def _draw_roll_and_tip(scene: Scene, words: SceneWords, pen: Pen) -> Items:
    """A vial seen from its end, rolled between two hands; below, a vial turned over and back."""
    gap_mm, look = pen.gap_mm, _list_looks(scene)[0]._replace(bands=0)
    times = pen.build_label(words.times, bold=True)
    yield from draw_rolled_vial(look, pen, 0.0, 0.0)
    yield draw_turning_arrow((11.4 * gap_mm, 13.0 * gap_mm), (10.4 * gap_mm, 10.4 * gap_mm), (42.0, -34.0), pen)
    yield from place_drawing(times, 18.6 * gap_mm, 0.0)
    top_mm = 39.4 * gap_mm
    vial = measure_vial(look, pen, width=7.6, length=17.6)
    apart_mm = vial.width_mm + max(times.width_mm + 3.0 * gap_mm, 18.7 * gap_mm)
    standing = point_up(vial.width_mm / 2, top_mm)
    turned = point_down(vial.width_mm / 2 + apart_mm, top_mm + vial.length_mm)
    for axes, level in ((standing, 9.6), (turned, 12.4)):
        yield from draw_vial(axes, look, pen, vial, level_mm=level * gap_mm)
    middle_mm = (vial.width_mm + apart_mm) / 2
    radii = apart_mm / 2 - 0.3 * gap_mm, 8.0 * gap_mm
    yield draw_turning_arrow((middle_mm, top_mm - 1.2 * gap_mm), radii, (192.0, 348.0), pen, both_ways=True)
    yield from place_drawing(times, middle_mm - times.width_mm / 2, top_mm + 4.0 * gap_mm)


def _draw_shake(scene: Scene, _: SceneWords, pen: Pen) -> Items:
    gap_mm, look = pen.gap_mm, _list_looks(scene)[0]
    vial = measure_vial(look, pen, width=16.0, length=38.0)
    yield from draw_vial(point_up(), look, pen, vial, level_mm=13.0 * gap_mm)
    for side in (-1, 1):
        for reach in (11.4, 14.2):
            points = [(side * (reach + 1.0 * (step % 2)) * gap_mm, (8.0 + 4.0 * step) * gap_mm) for step in range(7)]
            yield stretch_ribbon(points, pen.stroke_mm)


def _draw_row(scene: Scene, _: SceneWords, pen: Pen) -> Items:
    """Vials side by side at eye level, an eye below; for wiping, two fingers rub a pad to and fro on each top."""
    gap_mm, x_mm, between_mm = pen.gap_mm, 0.0, BETWEEN * pen.gap_mm
    looks = _list_looks(scene)
    length = (18.4 if scene.kind is SceneKind.LOOK_AND_WIPE else 27.0) + BAND_PITCH * max(look.bands for look in looks)
    for look in looks:
        vial = measure_vial(look, pen, width=13.0 if len(looks) > 1 else 17.0, length=length)
        axes = point_up(x_mm + vial.width_mm / 2, 0.0)
        yield from draw_vial(axes, look, pen, vial, level_mm=STANDING_LEVEL * gap_mm)
        if scene.kind is SceneKind.LOOK_AND_WIPE:
            half_mm, y_mm = 7.0 * gap_mm, -17.4 * gap_mm
            yield from draw_wiping_hand(pen, axes.x_mm, -gap_mm)
            ends = (axes.x_mm - half_mm, y_mm), (axes.x_mm + half_mm, y_mm)
            yield draw_hollow_arrow(*ends, pen, both_ways=True)
        x_mm += vial.width_mm + between_mm
    yield from draw_eye(pen, (x_mm - between_mm) / 2 - 9.0 * gap_mm, (length + 1.4) * gap_mm)


def _draw_oral_syringe(scene: Scene, _: SceneWords, pen: Pen) -> Items:
    """No number: beside a syringe it would be where to pull to."""
    yield from Small(point_up(), scene.syringe, pen, 40.0, bore=11.0).draw()


def _draw_by_mouth(scene: Scene, _: SceneWords, pen: Pen) -> Items:
    gap_mm = pen.gap_mm
    yield from draw_mouth(pen, 0.0, 0.0)
    axes = point_up(28.0 * gap_mm, 16.4 * gap_mm)
    small = Small(axes, scene.syringe, pen, MOST_BARREL - 4, scene.stop or Fraction(0), scene.portions)
    yield from small.draw()
    yield _draw_push(small)


def _draw_rinse(scene: Scene, _: SceneWords, pen: Pen) -> Items:
    gap_mm = pen.gap_mm
    yield from draw_tap(pen, 0.0, 0.0)
    yield from Small(point_up(9.0 * gap_mm, 28.0 * gap_mm), scene.syringe, pen, MOST_BARREL - 4, bore=8.0).draw()


SCENES: Final[dict[SceneKind, Callable[[Scene, SceneWords, Pen], Items]]] = {
    SceneKind.WASH: _draw_wash,
    SceneKind.LABELS: _draw_labels,
    SceneKind.ROLL_AND_TIP: _draw_roll_and_tip,
    SceneKind.SHAKE: _draw_shake,
    **dict.fromkeys((SceneKind.LOOK_AND_WIPE, SceneKind.LOOK), _draw_row),
    **dict.fromkeys((SceneKind.AIR_OUT, SceneKind.AIR_STAY, SceneKind.NO_AIR), _draw_air),
    **dict.fromkeys((SceneKind.DRAW, SceneKind.BUBBLE, SceneKind.ORAL_DRAW, SceneKind.ORAL_BUBBLE), _draw_drawing),
    **dict.fromkeys((SceneKind.INJECT, SceneKind.INJECT_MUSCLE, SceneKind.INJECT_ANIMAL), _draw_inject),
    SceneKind.SHARPS: _draw_sharps,
    SceneKind.ORAL_SYRINGE: _draw_oral_syringe,
    SceneKind.BY_MOUTH: _draw_by_mouth,
    SceneKind.RINSE: _draw_rinse,
}
