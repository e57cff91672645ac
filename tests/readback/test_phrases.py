"""Sentences are told apart by their patterns, and by nothing that is done to find the pattern sooner."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fillcards.readback.phrases import _BOLD, _LIGHT, _SENTENCES, OTHER, find_constant_words, find_phrases

TABLES = {"bold": _BOLD, "light": _LIGHT, "sentence": _SENTENCES}
EVERY = tuple((table, kind) for table, patterns in TABLES.items() for kind in patterns)


def list_kinds(patterns: Mapping[str, str], text: str) -> Iterator[str]:
    """The kinds whose pattern matches all of a text: every pattern is tried."""
    return (kind for kind, pattern in patterns.items() if re.fullmatch(pattern, text))


@pytest.mark.parametrize(("table", "kind"), EVERY)
@settings(max_examples=25)
@given(data=st.data())
def test_what_a_pattern_matches_holds_its_constant_words(table: str, kind: str, data: st.DataObject) -> None:
    """So no sentence is passed over because words are missing that it need not have."""
    pattern = TABLES[table][kind]
    text = data.draw(st.from_regex(pattern, fullmatch=True))
    assert any(words in text for words in find_constant_words(pattern))


@pytest.mark.parametrize(("table", "kind"), EVERY)
@settings(max_examples=25)
@given(data=st.data())
def test_a_phrase_is_of_the_first_kind_that_matches(table: str, kind: str, data: st.DataObject) -> None:
    """Found soon or by trying all patterns one after the other: it is the same."""
    text = data.draw(st.from_regex(TABLES[table][kind].replace(".+", r"[A-Z][a-z ]*[0-9]?"), fullmatch=True))
    whole = TABLES["bold" if table == "bold" else "light"]
    first = next(list_kinds(whole, text), None)
    found = [found_kind for found_kind, *_ in find_phrases(text, bold=table == "bold")]
    if first is not None:
        assert found == [first]
    elif len(found) == 1:
        assert found == [next(list_kinds(_SENTENCES, text), OTHER)]


@pytest.mark.parametrize(
    ("pattern", "words"),
    [
        (r"Pull it to (?P<line>[0-9]+)\.", ("Pull it to ",)),
        (r"Lines? [0-9]{2} of them\.", (" of them.",)),
        (r"It was (?:one|two \(2\))\.|They were .+ of (?:a(?:b)?)?x", ("It was ", "They were ")),
        (r".*", ("",)),
        (r"ab{2}c", ("a",)),
    ],
)
def test_constant_words_leave_out_whatever_may_be_otherwise(pattern: str, words: tuple[str, ...]) -> None:
    """Groups, sets, repeated letters and letters that may be missing are no constant words."""
    assert find_constant_words(pattern) == words
