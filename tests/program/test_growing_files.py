"""A file that grows piece by piece keeps the promise of every other: whole under its name, or not there."""

from __future__ import annotations

import errno
import hashlib
import os
from pathlib import Path

import pytest

from fillcards.files import FinishedFile, GrowingFile, compute_file_sha256, write_files
from fillcards.problems import OutputError


def _list_names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


@pytest.fixture
def unfinished(tmp_path: Path) -> Path:
    """The folder of unfinished files, beside the finished ones."""
    folder = tmp_path / "unfinished"
    folder.mkdir()
    return folder


def test_a_growing_file_appears_when_it_is_finished(tmp_path: Path, unfinished: Path) -> None:
    """Not before, and then with every piece; what it says of itself is true."""
    path = tmp_path / "run.pdf"
    with GrowingFile(path, unfinished) as file:
        file.write(b"one ")
        file.write(b"two")
        assert not path.exists()
        file.finish()
    assert path.read_bytes() == b"one two"
    assert file.sha256 == hashlib.sha256(b"one two").hexdigest()
    assert compute_file_sha256(path) == file.sha256
    assert _list_names(tmp_path) == ["run.pdf", "unfinished"]
    assert _list_names(unfinished) == []


@pytest.mark.parametrize("fault", [KeyboardInterrupt, ValueError])
def test_a_growing_file_that_is_not_finished_leaves_the_old_one(
    fault: type[BaseException], tmp_path: Path, unfinished: Path
) -> None:
    """However it ends, what stood there stands there, and nothing else does."""
    path = tmp_path / "run.pdf"
    path.write_bytes(b"old")

    def break_off() -> None:
        with GrowingFile(path, unfinished) as file:
            file.write(b"new")
            raise fault

    with pytest.raises(fault):
        break_off()
    assert path.read_bytes() == b"old"
    assert _list_names(tmp_path) == ["run.pdf", "unfinished"]
    assert _list_names(unfinished) == []


def test_a_full_disk_is_told_by_name(tmp_path: Path, unfinished: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """At the end, when everything must be on the disk."""

    def fail(_: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "fsync", fail)
    with (
        GrowingFile(tmp_path / "run.pdf", unfinished) as file,
        pytest.raises(OutputError, match=r"run\.pdf: cannot be written"),
    ):
        file.finish()
    assert _list_names(tmp_path) == ["unfinished"]
    assert _list_names(unfinished) == []


def test_unfinished_files_stand_where_they_are_told_to(tmp_path: Path, unfinished: Path) -> None:
    """Both ways of writing keep their temporary files in the folder that whoever cleans up knows."""
    with GrowingFile(tmp_path / "run.pdf", unfinished) as file:
        file.write(b"half")
        assert len(_list_names(unfinished)) == 1
        assert _list_names(tmp_path) == ["unfinished"]
    write_files((FinishedFile(tmp_path / "card.pdf", b"whole"),), unfinished)
    assert _list_names(tmp_path) == ["card.pdf", "unfinished"]
    assert _list_names(unfinished) == []


def test_a_file_that_is_not_there_has_no_digest(tmp_path: Path) -> None:
    """And a folder cannot be read as one."""
    assert compute_file_sha256(tmp_path / "none") is None
    with pytest.raises(OutputError, match="cannot be read"):
        compute_file_sha256(tmp_path)


@pytest.mark.parametrize("leads_to", ["a file", "nothing"])
def test_a_run_follows_no_link(leads_to: str, tmp_path: Path, unfinished: Path) -> None:
    """Whatever it leads to, both ways of writing refuse it, and nothing is written at its other end."""
    elsewhere, link = tmp_path / "elsewhere", tmp_path / "link.pdf"
    if leads_to == "a file":
        elsewhere.write_bytes(b"old")
    link.symlink_to(elsewhere)
    with pytest.raises(OutputError, match=r"link\.pdf: is a link"):
        GrowingFile(link, unfinished)
    with pytest.raises(OutputError, match=r"link\.pdf: is a link"):
        write_files((FinishedFile(link, b"new"),), unfinished)
    assert (elsewhere.read_bytes() if elsewhere.exists() else None) == (b"old" if leads_to == "a file" else None)
    assert link.is_symlink()
