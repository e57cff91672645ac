"""Claims about the small scenes, measured on their items as ``picture/kit.py`` describes them."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import combinations

import pytest
from support.pictures import (
    ALL_SYRINGES,
    EASE_MM,
    is_inside,
    make_syringe,
    measure_box,
    meet,
    name_syringe,
    pick_lines,
)

from fillcards.catalogue.model import ScaleName
from fillcards.picture.items import Dot, Drawing, Ink, Line, Polygon, Text
from fillcards.picture.pen import Pen, PictureTooSmall, make_ink_pen
from fillcards.picture.scene import Filling, Portion, Scene, SceneKind, SceneWords, VialLook
from fillcards.picture.scenes import draw_scene, least_size_mm
from fillcards.quantities import write_number
from fillcards.regimen.model import BarrelDirection, Needle, Syringe

WORDS = SceneWords("AIR", "out", "stay", "10×", "skin", "muscle", "?")
UP = BarrelDirection.NEEDLE_UP
KIND = SceneKind
DRAWN = (KIND.DRAW, KIND.BUBBLE)
ORAL = (KIND.ORAL_DRAW, KIND.ORAL_BUBBLE)
BUBBLES = (KIND.BUBBLE, KIND.ORAL_BUBBLE)
AIR = (KIND.AIR_OUT, KIND.AIR_STAY)
INJECT = (KIND.INJECT, KIND.INJECT_MUSCLE, KIND.INJECT_ANIMAL)
SIZES_PT = (18, 24, 36)
HALF_ML = make_syringe("U-100", "0.5", "1")
THREE_ML = make_syringe("mL", "3", "0.1")


def make_scene(kind: SceneKind, syringe: Syringe | None = None, stop: Fraction | None = None) -> Scene:
    """A scene of a kind, of two medicines where it is about two vials, its stop two thirds up the scale if left out."""
    if kind in ORAL or kind in (KIND.ORAL_SYRINGE, KIND.BY_MOUTH, KIND.RINSE):
        syringe = replace(syringe or THREE_ML, needle=Needle.NONE)
    syringe = syringe or HALF_ML
    every = syringe.line_every
    stop = stop if stop is not None else syringe.last_line * 2 / 3 // every * every
    first = stop / 3 // every * every
    portions: tuple[Portion, ...] = (Portion(Fraction(0), stop, Filling.FIRST),)
    if first:
        portions = (
            Portion(Fraction(0), first, Filling.FIRST),
            Portion(first, stop, Filling.SECOND),
        )
    looks: tuple[VialLook, ...] = (VialLook(Filling.FIRST, 1), VialLook(Filling.SECOND, 2))
    if kind not in (KIND.LABELS, KIND.LOOK_AND_WIPE):
        looks = (VialLook(Filling.SECOND, 0 if kind in ORAL else 2, kind in ORAL),)
    return Scene(kind, syringe, looks, portions, stop, stop, "34", "23")


def draw(scene: Scene, pen: Pen) -> Drawing:
    """The scene in the smallest box that holds it."""
    return draw_scene(scene, WORDS, pen, *least_size_mm(scene, WORDS, pen))


def find_barrel(drawing: Drawing) -> Polygon:
    """The upright barrel: the tallest outlined shape of 4 corners."""
    shapes = [item for item in drawing.items if isinstance(item, Polygon) and item.outline_mm]
    four = [item for item in shapes if len(item.points_mm) == 4]
    return max(four, key=lambda item: max(y for _, y in item.points_mm) - min(y for _, y in item.points_mm))


def find_edge(drawing: Drawing, *, needle_up: bool) -> tuple[float, float]:
    """Of a small syringe: the stopper's edge nearest the needle, and the share of the scale it stands at."""
    barrel = find_barrel(drawing)
    gap_mm = barrel.outline_mm / 1.5
    xs, ys = zip(*barrel.points_mm, strict=True)
    inner = min(xs) + barrel.outline_mm / 2, max(xs) - barrel.outline_mm / 2
    stoppers = [
        item
        for item in drawing.items
        if isinstance(item, Polygon)
        and item.fill is Ink.BLACK
        and len(item.points_mm) == 4
        and min(x for x, _ in item.points_mm) == pytest.approx(inner[0], abs=EASE_MM)
        and max(x for x, _ in item.points_mm) == pytest.approx(inner[1], abs=EASE_MM)
        and min(ys) < min(y for _, y in item.points_mm) < max(ys)
    ]
    assert len(stoppers) == 1
    heights = [y for _, y in stoppers[0].points_mm]
    away = 1 if needle_up else -1
    near, far = (min(ys), max(ys)) if needle_up else (max(ys), min(ys))
    zero = near + away * (barrel.outline_mm / 2 + gap_mm)
    last = far - away * 2.4 * gap_mm
    edge = min(heights) if needle_up else max(heights)
    return edge, (edge - zero) / (last - zero)


def find_arrows(drawing: Drawing, corners: int = 7) -> list[Polygon]:
    """The hollow arrows."""
    return [item for item in drawing.items if isinstance(item, Polygon) and len(item.points_mm) == corners]


def find_vials(drawing: Drawing) -> list[tuple[Polygon, Polygon]]:
    """Each vial's outline with its cap."""
    shapes = [item for item in drawing.items if isinstance(item, Polygon) and len(item.points_mm) == 8]
    return list(
        zip(
            [item for item in shapes if item.outline_mm],
            [item for item in shapes if item.fill is Ink.BLACK],
            strict=True,
        )
    )


def is_upright(vial: tuple[Polygon, Polygon]) -> bool:
    """Whether the cap is above the vial."""
    outline, cap = vial
    return max(y for _, y in cap.points_mm) < max(y for _, y in outline.points_mm) - 1


@pytest.mark.parametrize("kind", [*DRAWN, *ORAL], ids=lambda kind: kind.name)
@pytest.mark.parametrize("syringe", ALL_SYRINGES, ids=name_syringe)
def test_edge_and_wedge_stand_at_every_stop(syringe: Syringe, kind: SceneKind) -> None:
    """The stopper's edge is at exactly stop / last line, and the wedge's tip at the same height."""
    pen = make_ink_pen(18)
    for stop in pick_lines(syringe):
        drawing = draw(make_scene(kind, syringe, stop), pen)
        edge, share = find_edge(drawing, needle_up=True)
        assert share == pytest.approx(float(stop / syringe.last_line), abs=1e-9)
        if kind not in BUBBLES:
            (wedge,) = (item for item in drawing.items if isinstance(item, Polygon) and len(item.points_mm) == 3)
            assert wedge.fill is Ink.BLACK
            assert min(wedge.points_mm)[1] == pytest.approx(edge, abs=EASE_MM)


@pytest.mark.parametrize("kind", [*BUBBLES, KIND.ORAL_SYRINGE], ids=lambda kind: kind.name)
def test_where_nothing_stops_no_stop_is_shown(kind: SceneKind) -> None:
    """Pushed all back, or still empty: no wedge and no number, which would be read as where to push or pull to."""
    drawing = draw(make_scene(kind), make_ink_pen(18))
    assert not find_arrows(drawing, 3)
    words = [item.text for item in drawing.items if isinstance(item, Text)]
    assert words == (["?"] if kind in BUBBLES else [])


@pytest.mark.parametrize("kind", BUBBLES, ids=lambda kind: kind.name)
@pytest.mark.parametrize("filling", [Filling.FIRST, Filling.SECOND], ids=lambda filling: filling.value)
def test_liquid_is_seen_beside_the_bubbles(kind: SceneKind, filling: Filling) -> None:
    """Down to a fifth of the scale bubbles leave some filling, so that nobody takes the barrel for full of air."""
    scene = make_scene(kind)
    for fifth in range(1, 6):
        stop = scene.syringe.last_line * fifth / 5
        scene = replace(scene, stop=stop, portions=(Portion(Fraction(0), stop, filling),))
        drawing = draw(scene, make_ink_pen(18))
        barrel = find_barrel(drawing)
        (left, right), (top, bottom) = ((min(side), max(side)) for side in zip(*barrel.points_mm, strict=True))
        inside = [
            item
            for item in drawing.items
            if isinstance(item, Dot | Line)
            and left + 1 < item[0] < right - 1
            and top + 1 < item[1] < bottom
            and (isinstance(item, Dot) or (item.x1_mm != item.x2_mm and item.y1_mm != item.y2_mm))
        ]
        assert len(inside) >= 2
        assert find_arrows(drawing, 12)


@pytest.mark.parametrize("kind", [*DRAWN, *ORAL, *AIR, KIND.CHECK, *INJECT, KIND.BY_MOUTH, KIND.NO_AIR])
@pytest.mark.parametrize("share", [Fraction(1, 50), Fraction(1, 2), Fraction(1)])
def test_nothing_filled_lies_behind_the_stopper(kind: SceneKind, share: Fraction) -> None:
    """Within the bore the stopper is the only filled shape, so that nothing else can be read as its edge."""
    scene, pen = make_scene(kind), make_ink_pen(18)
    scene = make_scene(kind, scene.syringe, share * scene.syringe.last_line)
    drawing = draw(scene, pen)
    filled = [item for item in drawing.items if isinstance(item, Polygon) and item.fill is Ink.BLACK]
    stoppers = [
        item
        for item in filled
        if len(item.points_mm) == 4 and _measure_height(item) == pytest.approx(1.5 * pen.gap_mm, rel=1e-6)
    ]
    assert len(stoppers) == (len(scene.portions) if kind is KIND.CHECK else 1)
    for stopper in stoppers:
        left, top, right, bottom = measure_box(stopper)
        near = left, top - 3 * pen.gap_mm, right, bottom + 3 * pen.gap_mm
        others = [item for item in filled if item is not stopper and meet(near, measure_box(item))]
        # All the way in, the hub lies before the barrel's end; a wedge points at the barrel from outside.
        assert not [item for item in others if len(item.points_mm) == 4 and share > Fraction(1, 50)]


def _measure_height(item: Polygon) -> float:
    heights = [y for _, y in item.points_mm]
    return max(heights) - min(heights)


@pytest.mark.parametrize("kind", [KIND.DRAW, KIND.ORAL_DRAW], ids=lambda kind: kind.name)
@pytest.mark.parametrize("syringe", ALL_SYRINGES, ids=name_syringe)
def test_arrow_and_number_stand_on_both_sides_of_the_barrel(syringe: Syringe, kind: SceneKind) -> None:
    """The arrow moves the plunger; next to a number it was read as part of it."""
    for stop in pick_lines(syringe):
        drawing = draw(make_scene(kind, syringe, stop), make_ink_pen(18))
        (arrow,), barrel = find_arrows(drawing), find_barrel(drawing)
        (number,) = (item for item in drawing.items if isinstance(item, Text))
        assert max(x for x, _ in arrow.points_mm) < min(x for x, _ in barrel.points_mm)
        assert number.x_mm > max(x for x, _ in barrel.points_mm)


@pytest.mark.parametrize("syringe", ALL_SYRINGES, ids=name_syringe)
def test_check_shows_where_the_needle_is(syringe: Syringe) -> None:
    """Above every window there is a hub, with a needle unless the syringe has none, over the middle of the stopper."""
    pen = make_ink_pen(18)
    for needle in (syringe.needle, Needle.NONE):
        for stop in pick_lines(syringe):
            drawing = draw(make_scene(KIND.CHECK, replace(syringe, needle=needle), stop), pen)
            walls = [
                item
                for item in drawing.items
                if isinstance(item, Line) and item.x1_mm == item.x2_mm and item.width_mm == pen.outline_mm
            ]
            middle = (max(item.x1_mm for item in walls) + sorted(item.x1_mm for item in walls)[-2]) / 2
            hubs = [
                item
                for item in drawing.items
                if isinstance(item, Polygon)
                and len(item.points_mm) == 4
                and sum(x for x, _ in item.points_mm) / 4 > middle - 10 * pen.gap_mm
                and len({y for _, y in item.points_mm}) == 2
                and len({round(x, 6) for x, _ in item.points_mm}) == 4
            ]
            assert hubs
            assert max(y for hub in hubs for _, y in hub.points_mm) < min(
                item.y_mm for item in drawing.items if isinstance(item, Text)
            )


@pytest.mark.parametrize("kind", [*AIR, *INJECT], ids=lambda kind: kind.name)
@pytest.mark.parametrize("syringe", ALL_SYRINGES, ids=name_syringe)
def test_edge_stands_true_with_the_needle_down(syringe: Syringe, kind: SceneKind) -> None:
    """Air pulled in, and the dose before it is injected, are drawn to the line as well; neither has a wedge."""
    pen = make_ink_pen(18)
    for stop in pick_lines(syringe):
        drawing = draw(make_scene(kind, syringe, stop), pen)
        assert find_edge(drawing, needle_up=False)[1] == pytest.approx(float(stop / syringe.last_line), abs=1e-9)
        assert not find_arrows(drawing, 3)


@pytest.mark.parametrize("syringe", ALL_SYRINGES, ids=name_syringe)
def test_check_is_true_at_every_stop(syringe: Syringe) -> None:
    """In the close-up the stopper's edge and the wedge's tip are at the height of the stop's own line."""
    pen = make_ink_pen(18)
    for stop in pick_lines(syringe):
        drawing = draw(make_scene(KIND.CHECK, syringe, stop), pen)
        (wedge,) = (item for item in drawing.items if isinstance(item, Polygon) and len(item.points_mm) == 3)
        tip_x, tip_y = max(wedge.points_mm)
        edges = [
            min(y for _, y in item.points_mm)
            for item in drawing.items
            if isinstance(item, Polygon)
            and item.fill is Ink.BLACK
            and len(item.points_mm) == 4
            and min(x for x, _ in item.points_mm) > tip_x
            and max(x for x, _ in item.points_mm) - min(x for x, _ in item.points_mm) > 12 * pen.gap_mm
        ]
        assert edges == [pytest.approx(tip_y, abs=EASE_MM)]
        lines = [
            item.y1_mm
            for item in drawing.items
            if isinstance(item, Line) and item.y1_mm == item.y2_mm and min(item.x1_mm, item.x2_mm) > tip_x
        ]
        assert min(abs(line - tip_y) for line in lines) < EASE_MM
        texts = {item.text: item for item in drawing.items if isinstance(item, Text)}
        assert texts["34"].x_mm < tip_x


@pytest.mark.parametrize("kind", DRAWN + AIR + (KIND.NO_AIR,), ids=lambda kind: kind.name)
def test_vial_is_upright_for_air_and_turned_over_for_drawing(kind: SceneKind) -> None:
    """Cap above the vial where air goes in, below it where liquid is drawn."""
    (vial,) = find_vials(draw(make_scene(kind), make_ink_pen(18)))
    assert is_upright(vial) is (kind not in DRAWN)


@pytest.mark.parametrize(
    ("kind", "ways"),
    [
        (KIND.DRAW, (1,)),
        (KIND.ORAL_DRAW, (1,)),
        (KIND.BUBBLE, (1, -1)),
        (KIND.ORAL_BUBBLE, (1, -1)),
        (KIND.AIR_OUT, (1, -1)),
        (KIND.AIR_STAY, (1,)),
        *((kind, (1,)) for kind in INJECT),
        (KIND.SHARPS, (1,)),
    ],
    ids=lambda value: getattr(value, "name", value),
)
@pytest.mark.parametrize("share", [Fraction(1, 50), Fraction(1, 2), Fraction(1)])
def test_hollow_arrows_point_where_plunger_and_needle_go(
    kind: SceneKind, ways: tuple[int, ...], share: Fraction
) -> None:
    """Not filled: down where a plunger is pulled or pushed down, up where all goes back or the needle comes out."""
    scene = make_scene(kind)
    scene = make_scene(kind, scene.syringe, share * scene.syringe.last_line)
    arrows = find_arrows(draw(scene, make_ink_pen(18)))
    for arrow, way in zip(arrows, ways, strict=True):
        assert arrow.fill is None
        assert arrow.outline_mm > 0
        tip_y = arrow.points_mm[0][1]
        tail_y = {1: min, -1: max}[way](y for _, y in arrow.points_mm)
        assert (tip_y - tail_y) * way > 5


@pytest.mark.parametrize("kind", AIR, ids=lambda kind: kind.name)
def test_air_leaves_the_barrel_empty_and_the_needle_above_the_liquid(kind: SceneKind) -> None:
    """No filling above the vial; the needle's point is over the level."""
    drawing = draw(make_scene(kind), make_ink_pen(18))
    ((outline, cap),) = find_vials(drawing)
    neck = min(y for _, y in cap.points_mm)
    assert not any(isinstance(item, Dot) and item.y_mm < neck for item in drawing.items)
    (level,) = (item for item in drawing.items if isinstance(item, Line) and item.dash_mm)
    middle = sum(x for x, _ in outline.points_mm) / 8
    needle = max(
        max(item.y1_mm, item.y2_mm)
        for item in drawing.items
        if isinstance(item, Line) and abs(item.x1_mm - middle) < EASE_MM and abs(item.x2_mm - middle) < EASE_MM
    )
    assert neck < needle < level.y1_mm - 0.63
    word = "out" if kind is KIND.AIR_OUT else "stay"
    assert [item.text for item in drawing.items if isinstance(item, Text)] == [word, "AIR", "23"]


@pytest.mark.parametrize("bands", range(4))
@pytest.mark.parametrize(
    "kind", [KIND.DRAW, KIND.AIR_STAY, KIND.LOOK_AND_WIPE, KIND.LABELS], ids=lambda kind: kind.name
)
def test_bands_are_counted_and_apart_from_level_and_liquid(kind: SceneKind, bands: int) -> None:
    """So many heavy lines across the vial, off its foot; one broken level; dots that stay to be seen."""
    pen = make_ink_pen(18)
    drawing = draw(replace(make_scene(kind), vials=(VialLook(Filling.SECOND, bands),)), pen)
    heavy = [
        item.y1_mm
        for item in drawing.items
        if isinstance(item, Line) and item.width_mm == pytest.approx(1.5 * pen.outline_mm) and item.y1_mm == item.y2_mm
    ]
    assert len(heavy) == bands
    ((outline, _),) = find_vials(drawing)
    top, bottom = min(y for _, y in outline.points_mm), max(y for _, y in outline.points_mm)
    (level,) = (
        item.y1_mm for item in drawing.items if isinstance(item, Line) and item.dash_mm and top < item.y1_mm < bottom
    )
    assert all(abs(band - level) > pen.outline_mm + 2 * pen.gap_mm for band in heavy)
    assert all(0.18 < (band - top) / (bottom - top) < 0.82 for band in heavy)  # not a thick base
    seen = [item for item in drawing.items if isinstance(item, Dot) and top < item.y_mm < bottom]
    assert len(seen) >= 2
    assert all(abs(dot.y_mm - band) > pen.outline_mm + dot.diameter_mm / 2 for dot in seen for band in heavy)


@pytest.mark.parametrize("kind", SceneKind, ids=lambda kind: kind.name)
@pytest.mark.parametrize("size_pt", SIZES_PT)
def test_nothing_leaves_the_box(kind: SceneKind, size_pt: int) -> None:
    """Every item lies in the drawing, and the drawing in the box it was given."""
    scene, pen = make_scene(kind), make_ink_pen(size_pt)
    least = least_size_mm(scene, WORDS, pen)
    drawing = draw_scene(scene, WORDS, pen, least[0], 1.2 * least[1])
    assert is_inside(drawing)
    assert drawing.width_mm <= least[0] + EASE_MM
    assert drawing.height_mm <= 1.2 * least[1] + EASE_MM


@pytest.mark.parametrize("height", [1.0, 1.25, 1.4, 2.0])
@pytest.mark.parametrize("size_pt", SIZES_PT)
def test_a_window_of_any_height_is_as_wide_as_was_measured(size_pt: int, height: float) -> None:
    """Lines further apart have room for more numbers: line 10 of 20 mL, numbered every 2, has 12 as well."""
    scene = replace(
        make_scene(KIND.CHECK, replace(make_syringe("mL", "20", "1"), numbered_every=Fraction(2)), Fraction(10)),
        portions=(Portion(Fraction(0), Fraction(10), Filling.FIRST),),
        stop_text="10 mL",
    )
    pen = make_ink_pen(size_pt)
    width_mm, height_mm = least_size_mm(scene, WORDS, pen)
    assert draw_scene(scene, WORDS, pen, width_mm, height * height_mm).width_mm <= width_mm + EASE_MM


@pytest.mark.parametrize("kind", SceneKind, ids=lambda kind: kind.name)
def test_a_box_that_is_too_small_is_refused(kind: SceneKind) -> None:
    """Nothing is drawn smaller than the reader can see; the message says what was needed."""
    scene, pen = make_scene(kind), make_ink_pen(18)
    width_mm, height_mm = least_size_mm(scene, WORDS, pen)
    with pytest.raises(PictureTooSmall, match=kind.name):
        draw_scene(scene, WORDS, pen, width_mm - 0.1, height_mm)
    with pytest.raises(PictureTooSmall, match=kind.name):
        draw_scene(scene, WORDS, pen, width_mm, height_mm - 0.1)


@pytest.mark.parametrize("kind", SceneKind, ids=lambda kind: kind.name)
def test_scene_fits_the_step_of_the_card(kind: SceneKind) -> None:
    """At 18 pt 36 mm high and 22 mm wide, 25 where liquid is drawn, 30 for a window; half a millimetre of grace."""
    width_mm, height_mm = least_size_mm(make_scene(kind), WORDS, make_ink_pen(18))
    assert width_mm <= 0.5 + {KIND.CHECK: 30, KIND.DRAW: 25, KIND.ORAL_DRAW: 25}.get(kind, 22)
    assert height_mm <= 36.5


@pytest.mark.parametrize("kind", SceneKind, ids=lambda kind: kind.name)
@pytest.mark.parametrize("size_pt", [*SIZES_PT, 60])
def test_no_stroke_is_thinner_than_the_reader_needs(kind: SceneKind, size_pt: int) -> None:
    """0.035 mm for each point of the reader's type size, and half as much again for outlines of vials and barrels."""
    least_mm = 0.035 * size_pt
    items = draw(make_scene(kind), make_ink_pen(size_pt)).items
    for item in items:
        match item:
            case Line():
                assert item.width_mm >= least_mm - EASE_MM
                assert not item.dash_mm or min(item.dash_mm) >= least_mm - EASE_MM
            case Polygon():
                assert item.fill is Ink.BLACK or item.outline_mm >= least_mm - EASE_MM
            case Dot():
                assert item.diameter_mm >= least_mm - EASE_MM
            case Text():
                assert item.size_pt >= size_pt


@pytest.mark.parametrize("kind", SceneKind, ids=lambda kind: kind.name)
def test_dots_and_words_keep_the_least_gap(kind: SceneKind) -> None:
    """Between two dots, and between a word and any other item, at least the pen's gap is white."""
    pen = make_ink_pen(18)
    items = draw(make_scene(kind), pen).items
    dots = [item for item in items if isinstance(item, Dot)]
    for one, other in combinations(dots, 2):
        apart = ((one.x_mm - other.x_mm) ** 2 + (one.y_mm - other.y_mm) ** 2) ** 0.5
        assert apart - (one.diameter_mm + other.diameter_mm) / 2 >= pen.gap_mm - EASE_MM
    for word in (item for item in items if isinstance(item, Text)):
        left, top, right, bottom = measure_box(word)
        gap_mm = 0.9 * pen.gap_mm
        around = left - gap_mm, top - gap_mm, right + gap_mm, bottom + gap_mm
        shapes = [item for item in items if item is not word and meet(around, measure_box(item))]
        # A bent arrow's box is mostly white; that it keeps off the words is seen, not measured.
        assert [item for item in shapes if not (isinstance(item, Polygon) and len(item.points_mm) > 20)] == []


@pytest.mark.parametrize("kind", [*DRAWN, *ORAL, *AIR, KIND.CHECK, *INJECT, KIND.BY_MOUTH], ids=lambda kind: kind.name)
@pytest.mark.parametrize("syringe", ALL_SYRINGES, ids=name_syringe)
def test_words_and_arrows_keep_off_everything_at_every_stop(syringe: Syringe, kind: SceneKind) -> None:
    """Wherever the stop is and however long its number, neither a word nor the arrow comes near anything else."""
    pen = make_ink_pen(18)
    unit = " mL" if syringe.scale is ScaleName.ML else ""
    for stop in pick_lines(syringe):
        text = write_number(stop) + unit
        items = draw(replace(make_scene(kind, syringe, stop), stop_text=text, air_text=text), pen).items
        for item in items:
            if isinstance(item, Text) or (isinstance(item, Polygon) and len(item.points_mm) == 7):
                left, top, right, bottom = measure_box(item)
                gap_mm = 0.75 * pen.gap_mm
                around = left - gap_mm, top - gap_mm, right + gap_mm, bottom + gap_mm
                assert [other for other in items if other is not item and meet(around, measure_box(other))] == []


@pytest.mark.parametrize("kind", SceneKind, ids=lambda kind: kind.name)
def test_nothing_gets_smaller_as_type_grows(kind: SceneKind) -> None:
    """A larger reader's scene is larger in every stroke and word."""
    before = (0.0, 0.0, 0.0, 0.0)
    for size_pt in range(18, 80, 4):
        drawing = draw(make_scene(kind), make_ink_pen(size_pt))
        now = (
            drawing.width_mm,
            drawing.height_mm,
            min((item.width_mm for item in drawing.items if isinstance(item, Line)), default=9e9),
            min((item.size_pt for item in drawing.items if isinstance(item, Text)), default=9e9),
        )
        assert all(value >= earlier for value, earlier in zip(now, before, strict=True))
        before = now


def test_roll_and_tip_shows_no_shaking() -> None:
    """Both arrows are bent, one round a vial seen from its end, one to and fro over a vial and one upside down."""
    drawing = draw(make_scene(KIND.ROLL_AND_TIP), make_ink_pen(18))
    assert not find_arrows(drawing, 7)
    assert not find_arrows(drawing, 10)
    outlined = [len(item.points_mm) for item in drawing.items if isinstance(item, Polygon) and item.outline_mm]
    assert sorted(count for count in outlined if count > 20) == [29, 32, 36]  # an arrow, another to and fro, the vial
    vials = find_vials(drawing)
    assert [is_upright(vial) for vial in vials] == [True, False]
    assert [item.text for item in drawing.items if isinstance(item, Text)] == ["10×", "10×"]


def test_total_check_shows_both_portions() -> None:
    """A total's window has slants only at the needle's end, before the break; the whole barrel beside it shows both."""
    drawing = draw(make_scene(KIND.CHECK), make_ink_pen(18))
    slants = [
        item
        for item in drawing.items
        if isinstance(item, Line) and item.x1_mm != item.x2_mm and item.y1_mm != item.y2_mm
    ]
    (wedge,) = (item for item in drawing.items if isinstance(item, Polygon) and len(item.points_mm) == 3)
    tip_x = max(wedge.points_mm)[0]
    first = min(item.y_mm for item in drawing.items if isinstance(item, Text))
    assert any(max(item.x1_mm, item.x2_mm) < tip_x for item in slants)
    assert all(max(item.y1_mm, item.y2_mm) < first for item in slants if item.x1_mm > tip_x)
    assert any(item.x_mm > tip_x and item.y_mm > first for item in drawing.items if isinstance(item, Dot))


def test_no_small_scene_has_minor_lines() -> None:
    """Next to the walls of a drawing scene nothing could be counted: it says where, not how to count."""
    drawing = draw(make_scene(KIND.DRAW), make_ink_pen(18))
    barrel = find_barrel(drawing)
    xs = [x for x, _ in barrel.points_mm]
    inside = [
        item
        for item in drawing.items
        if isinstance(item, Line) and item.y1_mm == item.y2_mm and not item.dash_mm and min(xs) < item.x1_mm < max(xs)
    ]
    ys = [y for _, y in barrel.points_mm]
    assert not [item for item in inside if min(ys) < item.y1_mm < max(ys)]


def test_a_stop_off_the_scale_is_refused() -> None:
    """A scene never shows a place the barrel does not have."""
    with pytest.raises(ValueError, match="not on a scale"):
        draw(replace(make_scene(KIND.DRAW), stop=Fraction(51)), make_ink_pen(18))
