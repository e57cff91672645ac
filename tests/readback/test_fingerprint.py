"""The readback's own fingerprint: every value of the file counts, the check itself does not."""

from __future__ import annotations

import pytest
from support.finished_cards import read_starter

from fillcards.readback.fingerprint import compute_fingerprint
from fillcards.readback.regimen_text import read_facts

TEXT = read_starter("two-insulins-twice-a-day")


@pytest.mark.parametrize(("old", "new"), [
    ("regular: 11 units", "regular: 12 units"),
    ("555-0142", "555-0144"),
    ("one rubber band", "a paper clip"),
    ("2025-11-23", "2025-11-24"),
    ("barrel: needle_up", "barrel: needle_left"),
    ("paper: letter", "paper: a4"),
    ("Sample Patient", "Sample Person"),
    ("minutes_before: 30", "minutes_before: 20"),
    ("scale_length: 48.37 mm", "scale_length: 48.38 mm"),
])  # fmt: skip
def test_value_changes_the_fingerprint(old: str, new: str) -> None:
    """No value of the file can change and leave the code as it was."""
    assert old in TEXT
    assert compute_fingerprint(read_facts(TEXT)) != compute_fingerprint(read_facts(TEXT.replace(old, new, 1)))


def test_the_check_leaves_the_fingerprint() -> None:
    """Who prepared and checked may be written down after the code was read."""
    checked = TEXT.replace('checked_by: ""', "checked_by: Another Person")
    assert checked != TEXT
    assert compute_fingerprint(read_facts(TEXT)) == compute_fingerprint(read_facts(checked))
