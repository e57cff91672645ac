"""Random cards: what the layout must be able to place whatever the wording says; only barrels come from regimens."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import strategies as st
from support.plans import EXAMPLES, SIZE, plan_example

from fillcards.card.model import (
    Band,
    Barrels,
    Block,
    Card,
    Figure,
    FigurePair,
    FillSheets,
    GeneralSheets,
    Heading,
    Paragraph,
    Points,
    Steps,
    Stop,
    Table,
    Weight,
    WriteIn,
)
from fillcards.card.pictures import build_barrels
from fillcards.picture.items import Drawing, Line
from fillcards.plan.print_size import PrintSize
from fillcards.regimen.model import BarrelDirection

WORDS = st.lists(
    st.sampled_from(
        (
            "push",
            "pull",
            "the",
            "plunger",
            "to",
            "line",
            "slowly",
            "insulin",
            "isophane",
            "breakfast",
            "thoroughly",
            "8",
            "units",
            "and",
            "wait",
        )
    ),
    min_size=1,
    max_size=14,
).map(" ".join)

SHORT = st.sampled_from(("Before breakfast", "07:30", "Before going to bed at night", "Noon"))
BANDS = st.none() | st.sampled_from(
    ("Not yet checked. Do not use.", "Sample, not for a patient. Not yet checked. Do not use.")
)


def draw_cross(width_mm: float, height_mm: float) -> Drawing:
    """A picture that touches all four sides of its box."""
    return Drawing(
        width_mm,
        height_mm,
        (
            Line(0.0, height_mm / 2, width_mm, height_mm / 2, 0.5),
            Line(width_mm / 2, 0.0, width_mm / 2, height_mm, 0.5),
        ),
    )


FIGURES = st.builds(
    lambda width, height, alt, caption: Figure(draw_cross(width, height), alt, caption),
    st.integers(20, 60).map(float),
    st.integers(20, 140).map(float),
    WORDS,
    st.none() | WORDS,
)

STOPS = st.builds(
    Stop,
    st.sampled_from(("First line", "Total line", "Line")),
    WORDS.map(lambda text: text[:40].strip()),
    st.sampled_from(("8", "26", "12.5", "135", "0.85")),
    st.sampled_from(("units", "mL", "line")),
    st.sampled_from(("eight", "twenty-six", "12 and a half")),
    st.lists(WORDS, min_size=1, max_size=2).map(tuple),
    st.none() | st.just("8 + 18 = 26"),
    st.booleans(),
)

TEXTS = st.lists(WORDS, min_size=1, max_size=12).map(tuple)

AFTER: st.SearchStrategy[Block] = st.one_of(
    st.builds(Heading, st.sampled_from((2, 3)), WORDS),
    st.builds(Paragraph, WORDS, st.sampled_from(Weight)),
    st.builds(Steps, TEXTS),
    st.builds(Points, TEXTS),
    FIGURES,
    st.lists(FIGURES, min_size=2, max_size=2).map(lambda pair: FigurePair(tuple(pair))),
    st.lists(SHORT, min_size=1, max_size=2).map(lambda labels: WriteIn(tuple(labels))),
    st.just(WriteIn(("Name of the animal (as the clinic knows it)",))),
)


def build_example_barrels(name: str, direction: BarrelDirection, size: PrintSize = SIZE) -> Barrels:
    """The barrels of an example's first fill, held as asked."""
    plan = plan_example(name)
    return replace(build_barrels(plan.fills[0], plan.regimen, size), direction=direction)


def _list_examples(draws: int) -> tuple[str, ...]:
    return tuple(name for name, regimen in EXAMPLES.items() if len(regimen.fills[0].draws) == draws)


_EXAMPLES_BY_DRAWS = {1: _list_examples(1), 2: _list_examples(2)}


def _build_front(name: str, band: str | None, stops: list[Stop], last: list[Block]) -> tuple[Block, ...]:
    bands = () if band is None else (Band(band),)
    past = Paragraph("Past the line: throw it away and start again.", Weight.STRONG)
    return (*bands, Heading(1, name), Paragraph("Sample Patient", Weight.FACT), *stops, past, *last)


@st.composite
def make_fills(draw: st.DrawFn, band: str | None) -> FillSheets:
    """A fill of one or two stops; page one may be full, and readers may need the barrel's lines further apart."""
    name, stops = draw(SHORT), draw(st.lists(STOPS, min_size=1, max_size=2))
    last: list[Block] = draw(st.lists(st.builds(Paragraph, WORDS, st.sampled_from(Weight)), max_size=3))
    example = draw(st.sampled_from(_EXAMPLES_BY_DRAWS[len(stops)]))
    barrels = replace(
        build_example_barrels(example, draw(st.sampled_from(BarrelDirection))),
        captions=tuple(draw(WORDS) for _ in stops),
        least_gap_mm=draw(st.sampled_from((0.0, 1.5, 4.0))),
        number_pt=draw(st.sampled_from((14.0, 28.0))),
    )
    after = draw(st.lists(AFTER, min_size=1, max_size=6))
    return FillSheets(
        name, "First line 8 · Total line 26", _build_front(name, band, stops, last), barrels, tuple(after)
    )


@st.composite
def make_cards(draw: st.DrawFn) -> Card:
    """A card of one or two fills, what holds for each of them, and a maker's page."""
    band = draw(BANDS)
    fills = draw(st.lists(make_fills(band), min_size=1, max_size=2))
    bands = () if band is None else (Band(band),)
    general = GeneralSheets(
        "Your vials", (*bands, Heading(1, "Your vials"), *draw(st.lists(AFTER, min_size=1, max_size=6)))
    )
    table = Table(("What", "Why"), ((draw(WORDS), draw(WORDS)), (draw(WORDS), draw(WORDS))))
    makers: tuple[Block, ...] = (Heading(1, "For whoever prints and checks"), table, Paragraph(draw(WORDS)))
    return Card("Sample card", "en", "K7QX", band, tuple(fills), general, makers, "card code K7QX", "K7QX")
