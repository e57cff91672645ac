"""How a card looks, as far as the reader relies on it, restated on purpose: nothing here is imported from the code that
draws, so that a change there which the reader was not told of is noticed instead of believed.

A test outside the package holds both sides against each other. Lengths in mm, type sizes in pt.
"""

from __future__ import annotations

from typing import Final

# The page (design, 3.3).
SIDE_MARGIN_MM: Final = 15.0
"""Free at both sides and the foot of every page, and at the top of the maker's."""
PATIENT_TOP_MM: Final = 22.0
"""Free at the top of a patient's page, for a magnet."""
PICTURE_BORDER_MM: Final = 5.0
"""Round a single picture on a page of its own, which has no foot."""
EDGE_EASE_MM: Final = 0.05
OVERLAP_EASE_MM: Final = 0.3
"""Boxes of text may reach so far into each other: the last letter of a line has a little air of its own."""
LEAST_PATIENT_PT: Final = 14.0
LEAST_MAKER_PT: Final = 10.0
SIZE_EASE_PT: Final = 0.01

# The small card (design, 3.3).
SMALL_MARGIN_MM: Final = 6.0
STAPLE_MM: Final = 15.0
"""Free in the top left corner of every side, and in the top right one of every side but the front."""
LEAST_SMALL_PT: Final = 12.0
LEAST_STROKE_MM: Final = 0.25
"""Two dots of 203 dpi."""
CUT_MARK_MM: Final = 6.0
SMALL_FIGURE_LEAST_PT: Final = 42.0
SMALL_TITLE_LEAST_PT: Final = 21.0

# Type.
FIGURE_LEAST_PT: Final = 90.0
"""A bold number at least this large is one of the two large figures."""
TITLE_LEAST_PT: Final = 40.0
"""Bold words at least this large name the fill."""
LINE_PITCHES: Final = (1.3, 1.16)
"""From one line of a paragraph to the next, in type sizes: running text, and the fill's name."""
DARKEST_GREY: Final = 0x60
"""A mark lighter than this (0 black, 255 white) is no mark: 7:1 on white needs 0x59 (WCAG 2.1, SC 1.4.6)."""

STOP_LABELS: Final = ("First line", "Total line", "Fill line")
"""The two lines of a mixed fill, and the only one of a single medicine."""

# The barrel.
LINE_WIDTHS_MM: Final = (0.2, 1.0)
"""A graduation line is between these; the rules of the page are heavier, its hairlines have no numbers."""
ON_LINE_MM: Final = 0.05
"""Things that belong to a line are no further from it than this."""
NUMBERS_KEPT: Final = (1, 2, 5, 10, 20, 50)
"""Where numbers would touch, a scale keeps every second, fifth ... of them."""
NUMBER_REACH_MM: Final = (0.2, 8.0)
"""Between the ends of the lines and the edge of their numbers: the wall and a little air."""
TIP_WIDTHS_MM: Final = (2.0, 90.0)
"""Across the base of the pointed head of a stop mark."""
ARROW_BAR_LEAST_MM: Final = 1.2
"""The bar of the arrow that marks a first line, or the only one."""
TAG_OUTLINE_LEAST_MM: Final = 0.8
"""The frame round the number of a total line."""
LABEL_REACH_MM: Final = 30.0
"""From the point of a stop mark to its number."""
RING_MM: Final = (0.7, 3.0)
"""Thickness of the stopper's ring, whose edge nearest the needle is read."""
HUB_REACH_MM: Final = 8.0
"""From the zero line to the near end of the needle's hub."""
HUB_LENGTHS_MM: Final = (1.0, 30.0)
"""In a close-up of large print the hub reaches to the end of the picture, half as far as its stop's label is wide."""
LONGEST_EMPTY_MM: Final = 4.2
"""A liquid column shorter than this may hold no stroke of its pattern; a pattern ends no further than this from it."""
DOT_MM: Final = (0.6, 1.5)
"""Diameter of the dots of a pattern; the dots of a close-up that stand beside counted lines are larger."""
COUNTING_DOT_MM: Final = (1.6, 2.6)
SHELL_CORNERS: Final = 11
"""A whole barrel with its flanges has at least as many corners; a piece of one has fewer."""

# What must hold between paper and syringe.
LEAST_ENLARGEMENT: Final = 2.0
"""An enlarged scale is at least so many times the standard's shortest, so that nobody takes it for life size."""
LIFE_SIZE_EASE_MM: Final = 0.05
PRINT_BAR_MM: Final = 100.0
STOP_EASE_LINES: Final = 0.1
"""A stop further than this from its line, in gaps between lines, is in the wrong place."""
SCALE_EASE_MM: Final = 0.02
"""A number of a scale further than this from where the others put it does not belong to the scale."""

# What stands on a page beside text and pictures.
RULE_WIDTHS_MM: Final = (0.2, 1.8)
RULE_LEAST_MM: Final = 9.0
"""Rules, and lines to write on, are level, and no shorter than this."""
BULLET_EM: Final = 0.3
BULLET_REACH_EM: Final = 1.6
"""A bullet is no larger than this, and no further left of its line, in sizes of its type."""
FRAME_CORNERS: Final = 4
SCAN_CODE_HEADING: Final = "For a phone"
MODULE_MM: Final = (0.8, 3.0)
"""Side of one module of a code to scan: dark rectangles, one module high and some long."""
OVER_TEXT_EASE_MM: Final = 0.25
"""Text is taken to be this much smaller on all sides when a mark beside it is looked at."""
