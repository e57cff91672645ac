"""What the program tells staff on the terminal about line gaps and sources."""

from __future__ import annotations

from fillcards.catalogue.sources import Evidence, Source
from fillcards.verbs.check import write_line_gaps, write_sources


def test_a_barrel_too_fine_for_its_reader_is_told() -> None:
    """Lines nearer than this reader can tell apart are told with what serves instead; others without."""
    needed, first, second = write_line_gaps(("before breakfast", "bedtime"), (1.2, 2.0), 0.8, 1.5)
    assert "1.5 mm apart" in needed
    assert first.startswith("before breakfast: lines 1.2 mm apart (1.5 times the standard's)")
    assert "too fine" in first
    assert second == "bedtime: lines 2 mm apart (2.5 times the standard's) on the whole barrel."


def test_nothing_known_of_the_reader_is_said() -> None:
    """Without an acuity or a size, no barrel is called too fine."""
    needed, told = write_line_gaps(("bedtime",), (0.5,), 0.8, 0)
    assert needed.startswith("Nothing is known")
    assert "too fine" not in told


def test_a_source_says_how_its_value_was_obtained() -> None:
    """What was read in the source itself needs no word; what is from memory says so."""
    seen = Source("ISO 8537:2007", "table 1", Evidence.SEEN, address="https://example.org")
    memory = Source("Label", "", Evidence.MEMORY)
    assert write_sources((seen, memory)) == (
        "ISO 8537:2007, table 1. https://example.org",
        "Label (from memory, not confirmed).",
    )


def test_of_a_deck_no_side_is_said_to_call_the_lines_too_fine() -> None:
    """Its whole barrels are on the helper's sheet, whose reader tells their lines apart."""
    _, told = write_line_gaps(("bedtime",), (2.0,), 0.8, 4.0, is_deck=True)
    assert "too fine for this reader" in told
    assert "the card says so" not in told
