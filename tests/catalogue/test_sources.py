"""Every row and every code of this area rests on a source that is on record."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from types import ModuleType
from typing import Final

import pytest

import fillcards
from fillcards.catalogue import medicines, papers, scales
from fillcards.catalogue.medicines import load_medicines
from fillcards.catalogue.papers import load_papers
from fillcards.catalogue.scales import load_scales
from fillcards.catalogue.sources import Evidence, load_sources
from fillcards.own_data import load_own_rows
from fillcards.problems import InternalFault
from fillcards.strict_yaml import read_tree

SOURCES_BY_ROW: list[tuple[str, tuple[str, ...]]] = [
    *((str(row), row.sources) for row in load_scales()),
    *((row.kind, row.sources) for row in load_medicines().values()),
    *((row.name, row.sources) for row in load_papers().values()),
]
OUR_DATA: Final = (
    *("codes.yaml", "catalogue/medicines.yaml", "catalogue/papers.yaml"),
    *("catalogue/scales.yaml", "catalogue/sources.yaml"),
)
LOADERS: Final = [
    (medicines, load_medicines.__wrapped__),
    (papers, load_papers.__wrapped__),
    (scales, load_scales.__wrapped__),
]


def test_no_row_lacks_a_source() -> None:
    """Each row and code names at least one source."""
    assert [row for row, sources in SOURCES_BY_ROW if not sources] == []


def test_every_key_is_on_record() -> None:
    """Each key that a row or code names is a key of the file of sources."""
    assert {key for _, sources in SOURCES_BY_ROW for key in sources} - load_sources().keys() == set()


@pytest.mark.parametrize("value", ["", "sources:", "sources: []", "sources: design"])
@pytest.mark.parametrize(("module", "load"), LOADERS, ids=lambda each: getattr(each, "__name__", ""))
def test_a_row_without_a_source_does_not_load(
    module: ModuleType, load: Callable[[], object], value: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The loader refuses a row whose list of sources is missing, empty or no list."""
    path = Path(str(module.__file__)).with_suffix(".yaml")
    text = re.sub("sources: .*", value, path.read_text(encoding="utf-8"), count=1)
    (tmp_path / path.name).write_text(text, encoding="utf-8")
    monkeypatch.setattr(module, "__file__", str(tmp_path / "module.py"))
    with pytest.raises(InternalFault, match="is not written as the others are"):
        load()


def test_no_name_stands_twice() -> None:
    """Two rows of one name would be one, the later."""
    assert len(load_medicines()) == len(load_own_rows(str(medicines.__file__), "medicines"))
    assert len(load_papers()) == len(load_own_rows(str(papers.__file__), "papers"))


@pytest.mark.parametrize("name", OUR_DATA)
def test_our_own_data_can_be_read_strictly(name: str) -> None:
    """No key stands twice in a data file, and nothing in it has another meaning than its text."""
    assert read_tree((Path(fillcards.__file__).parent / name).read_text(encoding="utf-8"))


def test_what_is_from_memory_says_so() -> None:
    """The table of ISO 7886-1 was not seen, and its record says so (facts, "Not sourced")."""
    sources = load_sources()
    for key in ("iso-7886-1-1993", "memory-labels", "memory-nursing-teaching"):
        assert sources[key].evidence is Evidence.MEMORY


def test_no_row_rests_on_memory_in_silence() -> None:
    """A medicine or a paper rests on none; a barrel that rests on one says what of it is not confirmed."""
    remembered = {key for key, source in load_sources().items() if source.evidence is Evidence.MEMORY}
    assert [row.kind for row in load_medicines().values() if remembered & set(row.sources)] == []
    assert [row.name for row in load_papers().values() if remembered & set(row.sources)] == []
    assert [row for row in load_scales() if remembered & set(row.sources) and not row.not_confirmed] == []


@pytest.mark.parametrize("word", ["memory", "damaged", "not seen"])
def test_a_note_hides_no_doubt(word: str) -> None:
    """What a note would say of a row's own doubt stands under ``not_confirmed``, where the card finds it."""
    notes = [row.note for row in load_scales()]
    notes += [row.note for row in load_medicines().values()]
    notes += [row.note for row in load_papers().values()]
    assert [note for note in notes if word in note] == []


def test_the_damaged_reading_is_told() -> None:
    """The record of ISO 8537:2007 warns of the damaged tolerance constant."""
    assert "damaged" in load_sources()["iso-8537-2007"].note


def test_common_practice_has_no_source() -> None:
    """What is only common practice is marked as that and points nowhere."""
    practice = load_sources()["common-practice"]
    assert (practice.evidence, practice.where, practice.address) == (Evidence.COMMON_PRACTICE, "no source", "")


def test_addresses_are_addresses() -> None:
    """An address is a web address without spaces, or empty."""
    pattern = re.compile(r"https?://\S+")
    assert [
        key for key, source in load_sources().items() if source.address and not pattern.fullmatch(source.address)
    ] == []
