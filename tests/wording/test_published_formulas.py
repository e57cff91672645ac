"""The formulas by which sentences are graded are the published ones."""

from __future__ import annotations

import math

import pytest
import textstat


def test_smog_of_thirty_sentences_with_nine_long_words() -> None:
    """SMOG: 1.0430 times the root of 9, plus 3.1291, is 6.258 (insightsimaging, Table 2)."""
    text = " ".join(["The understanding nurse sat."] * 9 + ["The cat sat."] * 21)
    assert textstat.sentence_count(text) == 30
    assert textstat.polysyllabcount(text) == 9
    assert textstat.smog_index(text) == pytest.approx(1.0430 * math.sqrt(9) + 3.1291, abs=0.001)
    assert textstat.smog_index(text) == pytest.approx(6.258, abs=0.001)
