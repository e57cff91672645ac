"""The journal survives a kill at any byte, forgets nothing that was whole, and knows its own files from others."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from fillcards.batch.outcome import MadeCard
from fillcards.batch.run_folder import JOURNAL_NAME, Journal, read_job
from fillcards.problems import OutputError

JOB = "0123456789abcdef"


def make_card(number: int, sha256: str = "5" * 64) -> MadeCard:
    """A card as the journal gives it back."""
    codes = ("CHECK-001",)
    return MadeCard(f"row-{number:06}.pdf", sha256, 1000 + number, "ABCD", "ABCD" * 13, 9, "", codes, is_new=False)


def write_journal(folder: Path, count: int) -> bytes:
    """A journal of so many cards and one file about the run."""
    with Journal(folder, JOB) as journal:
        for number in range(count):
            journal.note_card(make_card(number))
        journal.claim("fillcards-summary.csv", "7" * 64)
    return (folder / JOURNAL_NAME).read_bytes()


def list_found(folder: Path, count: int) -> list[MadeCard | None]:
    """What a new run finds."""
    with Journal(folder, JOB) as journal:
        return [journal.find(make_card(number).file_name) for number in range(count)]


def test_what_was_added_is_found_again(tmp_path: Path) -> None:
    """Every card, and the claim with its bytes alone."""
    write_journal(tmp_path, 3)
    assert list_found(tmp_path, 4) == [*(make_card(n) for n in range(3)), None]
    with Journal(tmp_path, JOB) as journal:
        assert journal.has_claimed("fillcards-summary.csv", "7" * 64)
        assert not journal.has_claimed("fillcards-summary.csv", "8" * 64)
        assert not journal.has_claimed("fillcards-summary.csv", None)


def test_the_last_of_two_lines_counts(tmp_path: Path) -> None:
    """A card that was made anew is known by its new bytes."""
    with Journal(tmp_path, JOB) as journal:
        journal.note_card(make_card(1))
        journal.note_card(make_card(1, "6" * 64))
    with Journal(tmp_path, JOB) as journal:
        assert journal.find("row-000001.pdf") == make_card(1, "6" * 64)


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
        with Journal(tmp_path, JOB) as journal:
            journal.note_card(make_card(9))
        assert list_found(tmp_path, 10)[9] == make_card(9)


@pytest.mark.parametrize(
    "line",
    [
        b"",
        b"\0" * 80,
        b"[]",
        b"{}",
        b'{"file_name": "a.pdf"}',
        b"\xff",
        b'{"claim": 3}',
        b'{"file_name": 1, "sha256": 2}',
    ],
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
    with pytest.raises(OutputError, match="is not this run's journal"):
        Journal(tmp_path, JOB)
    assert path.read_bytes() == data


def test_a_journal_says_of_which_job_it_is(tmp_path: Path) -> None:
    """Whole it does; torn in its head, or not there, it says nothing."""
    assert read_job(tmp_path) is None
    head, *_ = write_journal(tmp_path, 2).splitlines(keepends=True)
    assert read_job(tmp_path) == JOB
    (tmp_path / JOURNAL_NAME).write_bytes(head[:-3])
    assert read_job(tmp_path) is None


def test_a_journal_of_another_job_is_left_alone(tmp_path: Path) -> None:
    """Refused, with not a byte changed."""
    before = write_journal(tmp_path, 2)
    with pytest.raises(OutputError, match="is not this run's journal"):
        Journal(tmp_path, "another")
    assert (tmp_path / JOURNAL_NAME).read_bytes() == before
