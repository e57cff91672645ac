"""Names of several files that one run writes."""

from __future__ import annotations

from pathlib import Path

from fillcards.verbs.arguments import list_other_sets, number_files


def test_a_sound_file_says_which_fill_it_is(tmp_path: Path) -> None:
    """A meal or a time names no patient; what no file name may hold is left out, and earlier sets are still found."""
    paths = number_files(tmp_path / "card.wav", ("before breakfast", "07:30", "every fill"), "K7QM")
    names = [path.name for path in paths]
    assert names == [
        "card-K7QM-1-of-3-before-breakfast.wav",
        "card-K7QM-2-of-3-07-30.wav",
        "card-K7QM-3-of-3-every-fill.wav",
    ]
    paths[0].touch()
    assert list_other_sets((), tmp_path / "card.wav") == (names[0],)
