"""The journal survives a kill at any byte, forgets nothing that was whole, and knows its own files from others."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from fillcards.batch.journal import JOURNAL_NAME, Entry, Journal
from fillcards.batch.outcome import MadeCard
from fillcards.problems import OutputError


def make_card(number: int, sha256: str = "5" * 64) -> MadeCard:
    """A card as the journal gives it back."""
    return MadeCard(f"row-{number:06}.pdf", sha256, 1000 + number, "ABCD", "ABCD" * 13, 9, ("CHECK-001",), is_new=False)


def write_journal(folder: Path, count: int) -> bytes:
    """A journal of so many cards and one file about the run."""
    with Journal(folder) as journal:
        for number in range(count):
            journal.add(f"key {number}", make_card(number))
        journal.claim("fillcards-summary.csv", "7" * 64)
    return (folder / JOURNAL_NAME).read_bytes()


def list_found(folder: Path, count: int) -> list[Entry | None]:
    """What a new run finds."""
    with Journal(folder) as journal:
        return [journal.find(make_card(number).file_name) for number in range(count)]


def test_what_was_added_is_found_again(tmp_path: Path) -> None:
    """Every card with its key, and the claim with its bytes alone."""
    write_journal(tmp_path, 3)
    assert list_found(tmp_path, 4) == [*(Entry(f"key {n}", make_card(n)) for n in range(3)), None]
    with Journal(tmp_path) as journal:
        assert journal.has_claimed("fillcards-summary.csv", "7" * 64)
        assert not journal.has_claimed("fillcards-summary.csv", "8" * 64)
        assert not journal.has_claimed("fillcards-summary.csv", None)


def test_the_last_of_two_lines_counts(tmp_path: Path) -> None:
    """A card that was made anew is known by its new bytes."""
    with Journal(tmp_path) as journal:
        journal.add("old", make_card(1))
        journal.add("new", make_card(1, "6" * 64))
    with Journal(tmp_path) as journal:
        assert journal.find("row-000001.pdf") == Entry("new", make_card(1, "6" * 64))


def test_a_journal_torn_at_any_byte_keeps_every_whole_line(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Cut after each byte in turn: all lines before the cut are found, and what is added afterwards is found too."""
    monkeypatch.setattr(os, "fsync", lambda _: None)  # a thousand waits for the disk
    whole = write_journal(tmp_path, 2)
    path = tmp_path / JOURNAL_NAME
    for size in range(len(whole)):
        path.write_bytes(whole[:size])
        lines = whole[:size].count(b"\n")
        found = [entry is not None for entry in list_found(tmp_path, 2)]
        assert found == [lines >= 2, lines >= 3]
        with Journal(tmp_path) as journal:
            journal.add("later", make_card(9))
        assert list_found(tmp_path, 10)[9] == Entry("later", make_card(9))


@pytest.mark.parametrize(
    "line", [b"", b"\0" * 80, b"[]", b"{}", b'{"file": "a.pdf"}', b"\xff", b'{"claim": 3}', b'{"file": 1, "key": 2}']
)
def test_a_spoiled_line_is_passed_over(line: bytes, tmp_path: Path) -> None:
    """What a power cut leaves in the middle costs its own line, whose card is made again."""
    head, first, *rest = write_journal(tmp_path, 2).splitlines(keepends=True)
    (tmp_path / JOURNAL_NAME).write_bytes(b"".join((head, first, line + b"\n", *rest)))
    assert all(list_found(tmp_path, 2))


@pytest.mark.parametrize("data", [b"name,dose\n", b'{"fillcards_journal": 2}\n', b"\0" * 50])
def test_a_file_of_its_name_that_is_something_else_is_left_alone(data: bytes, tmp_path: Path) -> None:
    """Refused, with not a byte changed."""
    path = tmp_path / JOURNAL_NAME
    path.write_bytes(data)
    with pytest.raises(OutputError, match="is not a run's journal"):
        Journal(tmp_path)
    assert path.read_bytes() == data


def test_two_runs_do_not_share_a_folder(tmp_path: Path) -> None:
    """The second is refused while the first is at work, and not afterwards."""
    with Journal(tmp_path), pytest.raises(OutputError, match="another run is using this folder"):
        Journal(tmp_path)
    with Journal(tmp_path):
        pass


def test_cards_that_nobody_settles_are_left_over(tmp_path: Path) -> None:
    """Those of an earlier run, but none that this one has made."""
    write_journal(tmp_path, 3)
    with Journal(tmp_path) as journal:
        journal.settle("row-000001.pdf")
        journal.add("key", make_card(7))
        assert journal.list_unsettled() == ("row-000000.pdf", "row-000002.pdf")
