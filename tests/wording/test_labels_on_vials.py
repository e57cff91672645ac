"""What the card has the reader look for on a vial."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from fillcards.readback.expected import expect_label_words
from fillcards.wording.english.labels import write_label_words

sys.path.insert(0, str(Path(__file__).parents[1]))
from support.rule_regimens import make_insulin, make_other


@pytest.mark.parametrize(
    ("label", "said"),
    [
        (None, "sample medicine, 2.5 mg/mL"),
        ("Sample Medicine for injection", "Sample Medicine for injection, 2.5 mg/mL"),
        ("weekly shot 2.5 mg/mL", "sample medicine, weekly shot 2.5 mg/mL"),
    ],
)
def test_words_that_lack_the_generic_name_are_printed_with_it(label: str | None, said: str) -> None:
    """Of a medicine outside the catalogue the card prints both; the readback expects the same."""
    medicine = make_other("a", "sample medicine", "2.5 mg/mL", on_the_label=label)
    assert write_label_words(medicine) == said
    assert expect_label_words(medicine) == said


def test_a_catalogue_medicines_own_words_stand_alone() -> None:
    """A rule has made sure that they hold a generic name of it."""
    medicine = make_insulin("a", "insulin isophane", on_the_label="NPH")
    assert write_label_words(medicine) == expect_label_words(medicine) == "NPH, 100 units/mL"
