"""The reader restates what it relies on; here both sides are held against each other."""

from __future__ import annotations

from fillcards.layout import n_up, pages, sheets, sizes, staple, staple_front
from fillcards.picture import barrel_frame, barrel_parts, close_up, print_check, stop_marks
from fillcards.picture.items import Ink
from fillcards.picture.patterns import TEXTURES, Pattern
from fillcards.plan import paper_choice
from fillcards.plan.print_size import LARGEST_BODY_PT, SMALLEST_FIGURE_PT, SMALLEST_WHEN_PT
from fillcards.readback import conventions as said
from fillcards.readback import small_cards
from fillcards.wording.english import labels, makers


def test_the_page() -> None:
    """Margins and least sizes."""
    assert said.SIDE_MARGIN_MM == sizes.MARGIN_MM
    assert said.PATIENT_TOP_MM == sizes.MAGNET_MM
    assert said.LEAST_PATIENT_PT == sizes.LEAST_PATIENT_PT
    assert said.LEAST_MAKER_PT == sizes.LEAST_MAKER_PT
    assert set(said.LINE_PITCHES) == {sizes.LINE_PITCH, sizes.TITLE_PITCH}


def test_the_small_card() -> None:
    """Margins, the staple's corner, least sizes, cut marks."""
    assert said.SMALL_MARGIN_MM == sizes.SMALL_MARGIN_MM
    assert said.STAPLE_MM == sizes.STAPLE_MM
    assert said.LEAST_SMALL_PT == sizes.LEAST_SMALL_PT == paper_choice.LEAST_SMALL_CARD_PT
    assert said.LEAST_STROKE_MM == sizes.LEAST_STROKE_MM
    assert said.CUT_MARK_MM == n_up.CUT_MARK_MM
    assert said.SMALL_FIGURE_LEAST_PT == min(staple_front.FIGURE_SIZES_PT) > max(staple.BODY_SIZES_PT)
    assert said.SMALL_TITLE_LEAST_PT <= staple.TITLE_TO_BODY * sizes.LEAST_SMALL_PT
    assert max(staple.BODY_SIZES_PT) < said.SMALL_TITLE_LEAST_PT
    assert small_cards.EMPTY == sheets.EMPTY_SIDE
    assert small_cards.MAKERS_FOOT == pages.MAKERS_TITLE


def test_large_figures_and_names() -> None:
    """A figure is at least so large, and so is a fill's name; no text is as large as the smallest figure's limit."""
    assert said.FIGURE_LEAST_PT <= SMALLEST_FIGURE_PT
    assert said.TITLE_LEAST_PT <= SMALLEST_WHEN_PT
    assert said.FIGURE_LEAST_PT <= LARGEST_BODY_PT


def test_inks() -> None:
    """Both dark inks pass, white does not."""
    assert Ink.BLACK.value * 255 <= Ink.GREY.value * 255 <= said.DARKEST_GREY < Ink.WHITE.value * 255


def test_the_barrel() -> None:
    """Lines, marks, stopper and dots are within the limits by which they are told apart."""
    least_mm, most_mm = said.LINE_WIDTHS_MM
    assert least_mm <= barrel_frame.LINE_MM <= close_up.LINE_MM <= most_mm < stop_marks.BAR_MM
    assert said.ARROW_BAR_LEAST_MM <= stop_marks.BAR_MM
    assert said.TAG_OUTLINE_LEAST_MM <= stop_marks.TAG_OUTLINE_MM
    assert said.TIP_WIDTHS_MM[0] <= 2 * stop_marks.HEAD_HALF_MM
    assert said.RING_MM[0] <= barrel_parts.THINNEST_RING_MM <= barrel_parts.THICKEST_RING_MM <= said.RING_MM[1]
    assert said.RING_MM[0] <= close_up.RING_MM <= said.RING_MM[1]
    assert said.DOT_MM[0] <= TEXTURES[Pattern.DOTS].ink_mm <= said.DOT_MM[1] < said.COUNTING_DOT_MM[0]
    assert said.COUNTING_DOT_MM[0] <= close_up.DOT_MM <= said.COUNTING_DOT_MM[1]
    assert said.HUB_LENGTHS_MM[0] < barrel_parts.HUB_MM < said.HUB_LENGTHS_MM[1]


def test_graduation_lines_are_told_from_stop_lines() -> None:
    """The longest graduation line is at most half as long as the shortest stop line."""
    longest = max(barrel_frame.LONG_TO_BORE, close_up.LONG_TO_BORE)
    assert 1.5 * longest < 1
    assert barrel_frame.SHORT_TO_LONG * 2.5 > 1
    assert longest * 2.5 < 1


def test_what_is_promised_on_paper() -> None:
    """The bar to measure, and twice the standard's shortest scale."""
    from fillcards.layout.barrels import LEAST_ENLARGEMENT

    assert said.PRINT_BAR_MM == print_check.BAR_MM
    assert said.LEAST_ENLARGEMENT == LEAST_ENLARGEMENT


def test_words() -> None:
    """Labels of the stops, and the foot of the maker's page."""
    assert set(said.STOP_LABELS) == {labels.FIRST_LINE, labels.TOTAL_LINE, labels.FILL_LINE}
    assert makers.TITLE == "For whoever prints and checks"
