"""The readback's own fingerprint: every value of the file counts, the check itself does not."""

from __future__ import annotations

from datetime import date

import pytest
from support.finished_cards import read_starter

from fillcards.readback.expect import Expecting
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


@pytest.mark.parametrize(("checker", "is_checked"), [
    ("Dan Moe", True),
    ("Cara Low", False),
    ("C. Low", False),
    ("CL", False),
    ("Sample Patient", False),
])  # fmt: skip
def test_a_check_by_the_preparer_or_the_patient_is_none(checker: str, is_checked: bool) -> None:
    """The band says so in the second reading too, whatever the card says."""
    facts = read_facts(TEXT)._replace(
        prepared_by="Cara Low", checked_by=checker, checked_on=date(2025, 11, 26), checked_code="ABCD"
    )
    assert Expecting(facts, "ABCD").is_checked() is is_checked


def test_an_animal_has_no_name_of_a_checker() -> None:
    """A checker may be called like the animal."""
    facts = read_facts(TEXT)._replace(is_animal=True, name="Max", prepared_by="Cara Low", checked_by="Max Moe")
    facts = facts._replace(checked_on=date(2025, 11, 26), checked_code="ABCD")
    assert Expecting(facts, "ABCD").is_checked()


def test_the_check_leaves_the_fingerprint() -> None:
    """Who prepared and checked may be written down after the code was read."""
    checked = TEXT.replace('checked_by: ""', "checked_by: Another Person")
    assert checked != TEXT
    assert compute_fingerprint(read_facts(TEXT)) == compute_fingerprint(read_facts(checked))
