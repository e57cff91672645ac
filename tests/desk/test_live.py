"""What pages say of a file: blanks by their names, never keys; and what is to be answered before a second person."""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterator
from pathlib import Path

from fillcards.desk import blanks
from fillcards.desk.live import LEFT_EMPTY, Look, draw, look_at, tell
from fillcards.desk.text_edit import put, read_plain
from fillcards.desk.writing import add_item, write_blank, write_new
from fillcards.problems import FillcardsError
from fillcards.regimen import keys

TESTS = Path(__file__).parents[1]
TEXT = (TESTS.parent / "templates_yaml" / "two-insulins-twice-a-day.yaml").read_text(encoding="utf-8")
TODAY = datetime.date(2025, 11, 26)
KEYS = {
    key.name
    for name, table in vars(keys).items()
    if name.endswith("_KEYS") and isinstance(table, tuple)
    for key in table
    if isinstance(key, keys.Key)
}


def look_on_page(text: str) -> Look:
    """As a page looks at a text."""
    tree = read_plain(text)
    return tell(look_at(text, TODAY), tree, blanks.list_parts(tree))


def list_empty(text: str) -> dict[str, str]:
    """What is to be filled in: the name of each blank by its path."""
    return {each.place.key: each.found for each in look_on_page(text).problems if each.code in LEFT_EMPTY}


def list_examples() -> Iterator[str]:
    """Every file of these tests that a page would open, right or wrong."""
    for path in sorted(TESTS.rglob("*.yaml")):
        text = path.read_bytes().decode("utf-8", "replace")
        if "fillcards:" not in text:
            continue
        try:
            read_plain(text)
        except FillcardsError:
            continue
        yield text


def test_no_problem_on_a_page_speaks_of_keys() -> None:
    """Of all that any example is refused or cautioned for: no key that is no word, none in quotes, no line to add."""
    joined = "|".join(key for key in KEYS if "_" in key)
    bare = re.compile(rf'\b(?:{joined})\b|"(?:{"|".join(KEYS)}):?"|\bkeys?\b|(?:add|delete) th\w+ line\b|kind: |\[')
    heard: set[str] = set()
    for text in list_examples():
        for problem in look_on_page(text).problems:
            if problem.code.startswith(("FORM-001", "FORM-002", "FORM-003", "FORM-005", "YAML-")):
                continue  # Only another program writes these; they are mended in the file.
            heard.add(problem.code)
            said = problem.found, problem.expected, problem.remedy
            assert [each for each in said if bare.search(each)] == []
    assert len(heard) > 60


def test_days_are_never_answered_by_an_untouched_blank() -> None:
    """A file may leave them out; on the page they are to settle, and there is no picture of a card for each day."""
    text = put(TEXT, "fills[1].days", None)
    assert "each day" in list_empty(text)["fills[1].days"]
    assert draw(look_on_page(text), 1, 1).svg == ""
    assert draw(look_on_page(text), 2, 1).svg
    assert list_empty(write_blank(text, "fills[1].days", list(blanks.DAY_WORDS))) == {}


def test_what_the_second_person_types_is_to_settle() -> None:
    """Name, birth date but of an animal, and the words of every label; in a file with gaps as in one that is whole."""
    text = TEXT
    for path in ("patient.name", "patient.born", "medicines.isophane.on_the_label"):
        text = put(text, path, "")
    wanted = {"patient.name", "patient.born", "medicines.isophane.on_the_label"}
    assert set(list_empty(text)) == wanted
    assert set(list_empty(put(text, "patient.kind", "animal"))) == wanted - {"patient.born"}
    assert wanted < set(list_empty(put(text, "fills[1].when", "")))


def test_an_empty_blank_is_told_once_by_its_name() -> None:
    """A barrel's three numbers are one choice; nobody is told of keys, or of a fault."""
    text = add_item(write_new(TODAY), "fill")
    empty = list_empty(text)
    assert empty["syringe/row"] == "syringe"
    assert empty["fills[2].draw.first"] == "dose of vial “first”"
    assert empty["contacts[1].phone"] == "phone"
    assert [each for each in look_on_page(text).problems if each.code not in LEFT_EMPTY] == []
    assert draw(look_on_page(text), 1, 1).words.startswith("No card yet. To settle: ")


def test_a_catalogue_medicine_keeps_nothing_of_another() -> None:
    """What only another medicine states has no blank any more: it would be refused, and nobody could mend it."""
    text = write_blank(TEXT, "medicines.regular.kind", "other")
    for key, value in (("name", "sample medicine"), ("look", "clear"), ("air", "none")):
        text = write_blank(text, f"medicines.regular.{key}", value)
    assert read_plain(write_blank(text, "medicines.regular.kind", "insulin regular")) == read_plain(TEXT)
