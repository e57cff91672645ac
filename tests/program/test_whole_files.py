"""A file appears whole or not at all; what stood there is replaced only on success and never by accident."""

from __future__ import annotations

import errno
import os
import stat
import time
from pathlib import Path

import pytest
from support.program import run_program
from support.regimen_texts import MIXED, change_text

from fillcards import gates
from fillcards.files import FinishedFile, write_files
from fillcards.problems import InternalFault, OutputError
from fillcards.regimen.model import Regimen


def _list_names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def _fill_disk_after(count: int, monkeypatch: pytest.MonkeyPatch) -> None:
    flush, calls = os.fsync, []

    def flush_or_fail(descriptor: int) -> None:
        calls.append(descriptor)
        if len(calls) > count:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        flush(descriptor)

    monkeypatch.setattr(os, "fsync", flush_or_fail)


def test_a_full_disk_leaves_the_old_card(regimen_file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The old file keeps its bytes and nothing half-written stays behind."""
    out = regimen_file.with_name("card.pdf")
    out.write_bytes(b"the old card")
    _fill_disk_after(0, monkeypatch)
    ran = run_program("make", regimen_file, "-o", out)
    assert ran.code == 3
    assert os.strerror(errno.ENOSPC) in ran.err
    assert out.read_bytes() == b"the old card"
    assert _list_names(regimen_file.parent) == ["card.pdf", "regimen.yaml"]


def test_pages_appear_together_or_not_at_all(regimen_file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The disk is full at the third page: no page appears."""
    _fill_disk_after(2, monkeypatch)
    ran = run_program("make", regimen_file, "-o", regimen_file.with_name("card.svg"))
    assert ran.code == 3
    assert _list_names(regimen_file.parent) == ["regimen.yaml"]


def test_a_break_between_two_names_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """If the second of two files cannot get its name, the message says which one is new already."""
    replace, calls = Path.replace, []

    def replace_or_fail(self: Path, target: Path) -> Path:
        calls.append(target)
        if len(calls) > 1:
            raise OSError(errno.EACCES, os.strerror(errno.EACCES))
        return replace(self, target)

    monkeypatch.setattr(Path, "replace", replace_or_fail)
    files = [FinishedFile(tmp_path / name, b"new") for name in ("card-1.png", "card-2.png")]
    with pytest.raises(OutputError, match=r"new already.*card-1\.png"):
        write_files(files)
    assert _list_names(tmp_path) == ["card-1.png"]


def test_a_card_that_fails_a_gate_is_not_written(regimen_file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Bytes that do not say what the regimen says reach nobody, in no form."""

    def refuse(pdf: bytes, regimen: Regimen) -> None:
        raise InternalFault(f"{len(pdf)} bytes say something else than {regimen.fills[0].when}")

    monkeypatch.setattr(gates, "require_same_meaning", refuse)
    for name in ("card.pdf", "card.svg", "card.png"):
        assert run_program("make", regimen_file, "-o", regimen_file.with_name(name)).code == 4
    assert _list_names(regimen_file.parent) == ["regimen.yaml"]


@pytest.mark.parametrize("ending", ["svg", "png"])
def test_several_pages_become_numbered_files(ending: str, regimen_file: Path) -> None:
    """One file a page, from 1, and none without a number."""
    ran = run_program("make", regimen_file, "-o", regimen_file.with_name(f"card.{ending}"))
    names = _list_names(regimen_file.parent)
    assert ran.code == 0
    assert len(names) > 3
    assert set(names) == {"regimen.yaml", *(f"card-{number}.{ending}" for number in range(1, len(names)))}


def test_pages_of_another_card_are_not_left_among_new_ones(regimen_file: Path) -> None:
    """A page numbered past the new card's last would be printed with it: refused, naming it, and nothing written."""
    left = regimen_file.with_name("card-31.png")
    left.write_bytes(b"an older, longer card")
    ran = run_program("make", regimen_file, "-o", regimen_file.with_name("card.png"))
    assert ran.code == 3
    assert "card-31.png" in ran.err
    assert _list_names(regimen_file.parent) == ["card-31.png", "regimen.yaml"]


@pytest.mark.parametrize("way", ["same name", "other spelling", "link"])
def test_a_card_never_takes_the_place_of_its_own_regimen(way: str, tmp_path: Path) -> None:
    """However the output is spelled, the regimen file stays."""
    regimen = tmp_path / "regimen.pdf"
    regimen.write_text(MIXED, encoding="utf-8")
    out = {"same name": regimen, "other spelling": tmp_path / ".." / tmp_path.name / "regimen.pdf"}.get(way)
    if out is None:
        out = tmp_path / "link.pdf"
        out.symlink_to(regimen)
    ran = run_program("make", regimen, "-o", out)
    assert ran.code == 2
    assert regimen.read_text(encoding="utf-8") == MIXED


def test_a_card_never_takes_the_place_of_the_older_regimen(regimen_file: Path) -> None:
    """Every file the command reads is safe from what it writes."""
    older = regimen_file.with_name("older.pdf")
    older.write_text(change_text(MIXED, ("clear: 8 units", "clear: 7 units")), encoding="utf-8")
    before = older.read_bytes()
    assert run_program("make", regimen_file, "--replacing", older, "-o", older).code == 2
    assert older.read_bytes() == before


def test_a_starter_never_takes_the_place_of_a_file(regimen_file: Path) -> None:
    """``new`` refuses a name that exists: it could be a regimen that somebody filled in."""
    assert run_program("new", "two-insulins-twice-a-day", "-o", regimen_file).code == 3
    assert regimen_file.read_text(encoding="utf-8") == MIXED


def test_a_link_stays_a_link(tmp_path: Path) -> None:
    """Writing to a link writes the file it leads to."""
    real, link = tmp_path / "real.pdf", tmp_path / "link.pdf"
    real.write_bytes(b"old")
    link.symlink_to(real)
    write_files([FinishedFile(link, b"new")])
    assert link.is_symlink()
    assert real.read_bytes() == b"new"


def test_a_file_closed_to_others_stays_closed(tmp_path: Path) -> None:
    """Replacing a file keeps its rights; a card holds a patient's data."""
    path = tmp_path / "card.pdf"
    path.write_bytes(b"old")
    path.chmod(0o600)
    write_files([FinishedFile(path, b"new")])
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert path.read_bytes() == b"new"


def test_a_device_is_not_replaced(regimen_file: Path) -> None:
    """A name that is no ordinary file is refused; ``-`` is there for that."""
    pipe = regimen_file.with_name("pipe.pdf")
    os.mkfifo(pipe)
    assert run_program("make", regimen_file, "-o", pipe).code == 3
    assert stat.S_ISFIFO(pipe.stat().st_mode)


def test_what_a_killed_run_left_is_taken_away(tmp_path: Path) -> None:
    """A temporary file of the same card that nobody has touched for two hours; no younger one, and no other file."""
    old, young = (tmp_path / f".card.pdf.{digits}.tmp" for digits in ("0123456789ab", "ba9876543210"))
    others = [tmp_path / name for name in (".card.pdf.notes.tmp", ".other.pdf.0123456789ab.tmp", "card.pdf.tmp")]
    for path in (old, young, *others):
        path.write_bytes(b"left")
        if path is not young:
            os.utime(path, (time.time() - 7200,) * 2)
    write_files([FinishedFile(tmp_path / "card.pdf", b"new")])
    assert not old.exists()
    assert all(path.exists() for path in (young, *others))
