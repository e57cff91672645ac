"""Random cards, without a regimen: what the layout must be able to place whatever the wording says."""

from __future__ import annotations

from hypothesis import strategies as st

from fillcards.card.model import (
    Band,
    Block,
    Card,
    Figure,
    FigurePair,
    FillSheets,
    Heading,
    Paragraph,
    Points,
    Steps,
    Stop,
    Table,
    Weight,
    WriteIn,
)
from fillcards.picture.items import Drawing, Line

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
)


def _make_fill(name: str, band: str | None, stops: list[Stop], barrels: FigurePair, after: list[Block]) -> FillSheets:
    front: list[Block] = [Heading(1, name), Paragraph("Sample Patient", Weight.FACT)]
    if band is not None:
        front.insert(0, Band(band))
    front += [*stops, Paragraph("Past the line: throw it away and start again.", Weight.STRONG)]
    return FillSheets(name, "First line 8 · Total line 26", tuple(front), barrels, tuple(after))


@st.composite
def make_cards(draw: st.DrawFn) -> Card:
    """A card of one or two fills and a maker's page."""
    band = draw(st.none() | st.just("Not yet checked. Do not use."))
    fills = []
    for _ in range(draw(st.integers(1, 2))):
        stops = draw(st.lists(STOPS, min_size=1, max_size=2))
        barrels = FigurePair(tuple(draw(st.lists(FIGURES, min_size=len(stops), max_size=len(stops)))))
        after = draw(st.lists(AFTER, min_size=1, max_size=6))
        fills.append(_make_fill(draw(SHORT), band, stops, barrels, after))
    table = Table(("What", "Why"), ((draw(WORDS), draw(WORDS)), (draw(WORDS), draw(WORDS))))
    makers: tuple[Block, ...] = (Heading(1, "For whoever prints and checks"), table, Paragraph(draw(WORDS)))
    return Card("Sample card", "en", "K7QX", band, tuple(fills), makers, "card code K7QX")
