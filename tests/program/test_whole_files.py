"""A file appears whole or not at all; what stood there is replaced only on success and never by accident."""

from __future__ import annotations

import errno
import fcntl
import json
import os
import signal
import stat
import subprocess
import sys
import time
from pathlib import Path

import pytest
from support.program import run_program
from support.regimen_texts import MIXED, change_text

from fillcards.files import FinishedFile, write_files
from fillcards.problems import OutputError
from fillcards.readback import gate
from fillcards.readback.gate import CardMismatch, Making

pytestmark = pytest.mark.usefixtures("ready_cards")


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


NAMES = ("card-1.png", "card-2.png", "card-3.png")


def _write_old(folder: Path) -> None:
    for name in NAMES:
        (folder / name).write_bytes(b"old")


@pytest.mark.parametrize("step", range(1, 7))
@pytest.mark.parametrize("fault", [OSError(errno.EACCES, os.strerror(errno.EACCES)), KeyboardInterrupt()])
def test_a_break_between_two_names_leaves_the_old_files(
    step: int, fault: BaseException, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whichever of the six renames of three files over three older ones breaks off."""
    replace, calls = Path.replace, []

    def replace_or_fail(self: Path, target: Path) -> Path:
        calls.append(target)
        if len(calls) == step:
            raise fault
        return replace(self, target)

    _write_old(tmp_path)
    monkeypatch.setattr(Path, "replace", replace_or_fail)
    with pytest.raises((OutputError, KeyboardInterrupt)):
        write_files(FinishedFile(tmp_path / name, b"new") for name in NAMES)
    assert {name: (tmp_path / name).read_bytes() for name in _list_names(tmp_path)} == dict.fromkeys(NAMES, b"old")


@pytest.mark.parametrize("step", range(1, 7))
def test_a_kill_between_two_names_never_mixes_old_and_new(step: int, tmp_path: Path) -> None:
    """Just before each of the renames: what stands there is all old or all new, and the next run sweeps up."""
    _write_old(tmp_path)
    killed = f"""
import os, signal, sys
from pathlib import Path
from fillcards.files import FinishedFile, write_files
steps = []
def count(name, arguments):
    if name == "os.rename":
        steps.append(name)
        if len(steps) == {step}:
            os.kill(os.getpid(), signal.SIGKILL)
sys.addaudithook(count)
write_files(FinishedFile(Path(sys.argv[1], name), b"new") for name in {NAMES!r})
"""
    ran = subprocess.run([sys.executable, "-c", killed, tmp_path], check=False)
    assert ran.returncode == -signal.SIGKILL
    assert len({(tmp_path / name).read_bytes() for name in NAMES if (tmp_path / name).exists()}) <= 1
    write_files((FinishedFile(tmp_path / "other.pdf", b"new"),))
    assert set(_list_names(tmp_path)) <= {*NAMES, "other.pdf"}


def test_a_card_that_fails_a_gate_is_not_written(regimen_file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Bytes that do not say what the regimen says reach nobody, in no form."""

    def refuse(pdf: bytes, _text: str, _making: Making, _syringes: str | None) -> None:
        raise CardMismatch((f"{len(pdf)} bytes say something else",))

    monkeypatch.setattr(gate, "require_same_pdf", refuse)
    for name in ("card.pdf", "card.svg", "card.png"):
        assert run_program("make", regimen_file, "-o", regimen_file.with_name(name)).code == 4
    assert _list_names(regimen_file.parent) == ["regimen.yaml"]


@pytest.mark.parametrize("ending", ["svg", "png"])
def test_several_pages_become_numbered_files(ending: str, regimen_file: Path) -> None:
    """One file a page, with the card code, its number and how many there are; their order is that of their names."""
    in_24_pt = change_text(MIXED, ("  name: Juniper Testcase", "  name: Juniper Testcase\n  text_size: 24 pt"))
    regimen_file.write_text(in_24_pt, encoding="utf-8")
    ran = run_program("make", "--json", regimen_file, "-o", regimen_file.with_name(f"card.{ending}"))
    names = _list_names(regimen_file.parent)
    count = len(names) - 1
    code = json.loads(ran.out)["card_code"]
    assert ran.code == 0
    assert count > 9
    assert names == [
        *(f"card-{code}-{number:02}-of-{count}.{ending}" for number in range(1, count + 1)),
        "regimen.yaml",
    ]


def test_pages_of_a_changed_card_stand_beside_the_old_ones(regimen_file: Path) -> None:
    """Not one name is shared, all old pages stay as they were, and whoever prints is told which they are."""
    out = regimen_file.with_name("card.svg")
    assert run_program("make", regimen_file, "-o", out).code == 0
    old = {path.name: path.read_bytes() for path in regimen_file.parent.glob("*.svg")}
    regimen_file.write_text(change_text(MIXED, ("clear: 8 units", "clear: 7 units")), encoding="utf-8")
    ran = run_program("make", regimen_file, "-o", out)
    assert ran.code == 0
    found = {path.name: path.read_bytes() for path in regimen_file.parent.glob("*.svg")}
    assert old.items() < found.items()
    assert len({name[:9] for name in found}) == 2
    assert all(name in ran.err for name in old)


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
    older, newer = regimen_file.with_name("older.pdf"), regimen_file.with_name("newer.yaml")
    older.write_text(MIXED, encoding="utf-8")
    before = older.read_bytes()
    assert run_program("new", "--from", older, "-o", newer).code == 0
    changed = change_text(
        newer.read_text(encoding="utf-8"), ("date:", "date: 2026-11-25"), ("clear: 8 units", "clear: 7 units")
    )
    newer.write_text(changed, encoding="utf-8")
    assert run_program("make", newer, "--replacing", older, "-o", older).code == 2
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


def _leave_folder(folder: Path) -> Path:
    left = folder / ".fillcards-0123456789ab.tmp"
    left.mkdir()
    (left / "0123456789ab.tmp").write_bytes(b"half a card")
    return left


def test_what_a_killed_run_left_is_taken_away(tmp_path: Path) -> None:
    """At once, whatever it was writing; nothing of another name, and no link is followed."""
    left = _leave_folder(tmp_path)
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    (elsewhere / "file").write_bytes(b"somebody's")
    (tmp_path / ".fillcards-ffffffffffff.tmp").symlink_to(elsewhere)
    others = [tmp_path / name for name in (".fillcards-notes.tmp", ".card.pdf.0123456789ab.tmp", "card.pdf.tmp")]
    for path in others:
        path.write_bytes(b"left")
    write_files([FinishedFile(tmp_path / "card.pdf", b"new")])
    assert not left.exists()
    assert all(path.exists() for path in (*others, elsewhere / "file"))


def test_what_another_run_is_writing_stays(tmp_path: Path) -> None:
    """Its folder is locked for as long as its process lives, as flock(2) has it, however old the folder is."""
    left = _leave_folder(tmp_path)
    os.utime(left, (0, 0))
    holder = os.open(left, os.O_RDONLY)
    try:
        fcntl.flock(holder, fcntl.LOCK_EX)
        write_files([FinishedFile(tmp_path / "card.pdf", b"new")])
        assert left.exists()
    finally:
        os.close(holder)
    write_files([FinishedFile(tmp_path / "card.pdf", b"new")])
    assert not left.exists()


@pytest.mark.parametrize(("age_s", "is_swept"), [(60, False), (7200, True)])
def test_without_locks_age_tells(age_s: int, is_swept: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """On a disk that has none, what nobody has touched for two hours goes, and nothing younger."""

    def fail(*_: int) -> None:
        raise OSError(errno.ENOLCK, os.strerror(errno.ENOLCK))

    monkeypatch.setattr(fcntl, "flock", fail)
    left = _leave_folder(tmp_path)
    os.utime(left, (time.time() - age_s,) * 2)
    write_files([FinishedFile(tmp_path / "card.pdf", b"new")])
    assert left.exists() is not is_swept
