"""A folder that is read-only, full or gone, a browser that sends twice, a desk killed between two writes."""

from __future__ import annotations

import os
import resource
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from support.desks import PASSPHRASE, TODAY, OpenDesk, RunningDesk, Visitor, make_card, open_desk, share_process

from fillcards.desk.app import Desk
from fillcards.desk.card_pages import _write_check
from fillcards.desk.draft_pages import _begin
from fillcards.desk.drafts import Stage, follow_drafts, hash_text, number_of
from fillcards.desk.people import Session
from fillcards.desk.server import open_desk as open_state
from fillcards.desk.server import read_clock, serve
from fillcards.problems import OutputError
from fillcards.regimen.fingerprint import compute_fingerprint, is_checked
from fillcards.regimen.schema import read_regimen
from fillcards.register import Event, Register

FILE = number_of("card.yaml")
REGISTER = "fillcards-register.sqlite3"
NOBODY = 65534


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """With one file that may be handed over."""
    (tmp_path / "card.yaml").write_text(make_card(), encoding="utf-8")
    return tmp_path


def sign_on(desk: OpenDesk) -> Visitor:
    """A writer."""
    visitor = Visitor(desk)
    visitor.sign_on("Writer Anna")
    return visitor


@pytest.fixture
def common_folder() -> Iterator[Path]:
    """A folder that every user of the system can reach."""
    path = Path(tempfile.mkdtemp())
    path.chmod(0o755)
    (path / "card.yaml").write_text(make_card(), encoding="utf-8")
    yield path
    shutil.rmtree(path)


@contextmanager
def as_nobody(folder: Path) -> Iterator[None]:
    """The folder may be read and not written: the system lets root write anywhere, so root is somebody else here."""
    is_root = os.geteuid() == 0
    folder.chmod(0o555)
    if is_root:
        os.seteuid(NOBODY)
    try:
        yield
    finally:
        if is_root:
            os.seteuid(0)
        folder.chmod(0o755)


def test_a_read_only_folder_is_refused_at_once(common_folder: Path) -> None:
    """Before anybody has typed a word: nothing could be kept."""
    with as_nobody(common_folder), pytest.raises(OutputError, match="the desk cannot write here: Permission denied"):
        serve(common_folder, 0, lambda _: None, opens_browser=False)
    assert [path.name for path in common_folder.iterdir()] == ["card.yaml"]


def test_a_folder_that_becomes_read_only_keeps_all_as_it_was(common_folder: Path) -> None:
    """Neither line nor file: the register comes first and says that it cannot be written."""
    desk, session = open_state(common_folder, read_clock), Session("s", "Writer Anna", read_clock())
    desk.register.add(Event.PERSON, "Writer Anna", details={"who": "Writer Anna", "what": "added"})
    text = desk.folder.read("card.yaml")
    newer = text.replace("62 units", "61 units")
    with as_nobody(common_folder), pytest.raises(OutputError, match="the register cannot be written"):
        desk.change("card.yaml", newer, session, "fills[1].draw.glargine", instead_of=text)
    assert desk.folder.read("card.yaml") == text
    desk.change("card.yaml", newer, session, "fills[1].draw.glargine", instead_of=text)
    assert [line.event for line in desk.register.read()] == [Event.PERSON, Event.CHANGED]


def limit_files(desk: RunningDesk, most: int) -> None:
    """The disk takes no more of a file than that, as a full one would; -1: all again."""
    size = resource.RLIM_INFINITY if most < 0 else most
    resource.prlimit(desk.process.pid, resource.RLIMIT_FSIZE, (size, resource.RLIM_INFINITY))


def test_a_full_disk_is_told_and_nothing_is_half_written(folder: Path) -> None:
    """File and register stay as they were, and the same blank is written once there is room."""
    with open_desk(folder) as desk:
        anna = sign_on(desk)
        anna.get(f"/write/{FILE}")
        before = (folder / "card.yaml").read_bytes()
        lines = Register(folder / REGISTER).read()
        limit_files(desk, 512)
        answer = anna.write(FILE, "fills[1].draw.glargine", "61 units", "62 units")
        assert answer.status == 409
        assert "cannot be written" in answer.json()["told"]
        assert anna.post("/new").status == 409
        assert (folder / "card.yaml").read_bytes() == before
        assert Register(folder / REGISTER).read() == lines
        assert Register(folder / REGISTER).find_fault() is None
        limit_files(desk, -1)
        assert anna.write(FILE, "fills[1].draw.glargine", "61 units", "62 units").json()["saved"]
    assert "glargine: 61 units" in (folder / "card.yaml").read_text(encoding="utf-8")
    assert sorted(path.name for path in folder.iterdir() if "tmp" in path.name or "journal" in path.name) == []


def test_a_disk_that_is_full_from_the_start_is_told_to_who_signs_on(folder: Path) -> None:
    """The first page says so in words; there is no half of a list of people."""
    with open_desk(folder) as desk:
        limit_files(desk, 16)
        body = f"name=Anna&passphrase={PASSPHRASE}&again={PASSPHRASE}".replace(" ", "+").encode()
        answer = Visitor(desk).send("POST", "/", body)
        assert answer.status == 409
        assert "cannot be written" in answer.text
        assert not (folder / "fillcards-people.json").exists()
        limit_files(desk, -1)
        sign_on(desk)


def test_a_folder_that_is_gone_midway_is_told_on_every_page(folder: Path) -> None:
    """In words, without a patient's name, and the desk goes on once it is back."""
    with share_process(folder) as desk:
        anna = sign_on(desk)
        anna.get(f"/write/{FILE}")
        away = folder.with_name("away")
        folder.rename(away)
        for path in ("/", "/check", "/given", "/people", f"/write/{FILE}", f"/give/{FILE}"):
            answer = anna.get(path)
            assert answer.status == 409, path
            assert "Sample Person" not in answer.text
            assert "Traceback" not in answer.text
        answer = anna.write(FILE, "fills[1].draw.glargine", "61 units", "62 units")
        assert answer.status == 409
        assert not folder.exists()
        away.rename(folder)
        assert anna.write(FILE, "fills[1].draw.glargine", "61 units", "62 units").json()["saved"]


def test_a_register_that_is_gone_is_not_begun_anew(folder: Path) -> None:
    """Its lines would be lost without a word: nothing is written until it is back."""
    with share_process(folder) as desk:
        anna = sign_on(desk)
        anna.get(f"/write/{FILE}")
        kept = (folder / REGISTER).read_bytes()
        (folder / REGISTER).unlink()
        answer = anna.write(FILE, "fills[1].draw.glargine", "61 units", "62 units")
        assert answer.status == 409
        assert "put the whole register back" in answer.json()["told"]
        (folder / REGISTER).write_bytes(kept)
        assert anna.write(FILE, "fills[1].draw.glargine", "61 units", "62 units").json()["saved"]
    assert Register(folder / REGISTER).find_fault() is None


def test_what_is_begun_twice_is_one_file(folder: Path) -> None:
    """A button pressed twice, a page sent again: as long as nobody has written in it, it is the same draft."""
    with share_process(folder) as desk:
        anna = sign_on(desk)
        one, again = (anna.post("/new").headers["location"] for _ in range(2))
        assert one == again
        number = one.rpartition("/")[2]
        anna.get(f"/write/{number}")
        assert anna.write(number, "patient.name", "Sample Other").json()["saved"]
        assert anna.post("/new").headers["location"] != one
    assert len(list(folder.glob("card-*.yaml"))) == 2


class _Killed(BaseException):
    """The desk ends here, as a kill would end it."""


def kill(*_: object, **__: object) -> None:
    """In place of the second of two writes."""
    raise _Killed


def open_checked_state(folder: Path) -> tuple[Desk, str]:
    """A desk whose second person has agreed."""
    desk, text = open_state(folder, read_clock), make_card()
    fingerprint = compute_fingerprint(read_regimen(text))
    details = {"text": hash_text(text), "writer": "Writer Anna"}
    desk.register.add(Event.HANDED, "Writer Anna", file="card.yaml", fingerprint=fingerprint, details=details)
    desk.register.add(Event.AGREED, "Checker Ben", file="card.yaml", fingerprint=fingerprint)
    return desk, text


def test_killed_before_the_line_of_a_check_all_is_done_again(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The file has the check, the register not yet: the page comes back, and there is one line in the end."""
    desk, text = open_checked_state(folder)
    regimen = read_regimen(text)
    monkeypatch.setattr(Register, "add", kill)
    with pytest.raises(_Killed):
        _write_check(desk, "card.yaml", text, desk.draft_of("card.yaml"), regimen)
    monkeypatch.undo()
    again = open_state(folder, read_clock)
    draft, text = again.draft_of("card.yaml"), again.folder.read("card.yaml")
    assert draft.stage is Stage.AGREED
    assert is_checked(read_regimen(text))
    _write_check(again, "card.yaml", text, draft, read_regimen(text))
    lines = again.register.read("card.yaml")
    assert [line.event for line in lines].count(Event.CHECKED) == 1
    assert again.draft_of("card.yaml").stage is Stage.CHECKED
    review = read_regimen(again.folder.read("card.yaml")).review
    assert (review.prepared_by, review.checked_by, review.checked_on) == ("Writer Anna", "Checker Ben", TODAY)


def test_killed_between_line_and_file_the_old_text_stands(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The register knows a text that no file has: nobody is taken for its writer, and the next one is written."""
    desk = open_state(folder, read_clock)
    text, session = desk.folder.read("card.yaml"), Session("s", "Writer Anna", read_clock())
    desk.known["card.yaml"] = hash_text(text)
    newer = text.replace("62 units", "61 units")
    monkeypatch.setattr("fillcards.desk.drafts.write_files", kill)
    with pytest.raises(_Killed):
        desk.change("card.yaml", newer, session, "fills[1].draw.glargine", instead_of=text)
    monkeypatch.undo()
    again = open_state(folder, read_clock)
    assert again.folder.read("card.yaml") == text
    assert hash_text(text) not in again.draft_of("card.yaml").writers
    again.change("card.yaml", newer, session, "fills[1].draw.glargine", instead_of=text)
    assert again.draft_of("card.yaml").writers[hash_text(newer)] == "Writer Anna"


def test_a_file_begun_and_then_gone_is_begun_anew(folder: Path) -> None:
    """What was begun is no promise that it is still there."""
    desk, session = open_state(folder, read_clock), Session("s", "Writer Anna", read_clock())
    text = make_card().replace("Sample Person", "Sample Other")

    def begin() -> str:
        return str(_begin(desk, text, session, "new").headers["location"])

    one = begin()
    assert begin() == one
    for path in folder.glob("card-*.yaml"):
        path.unlink()
    assert begin() != one
    with pytest.raises(OutputError):
        desk.folder.read(session.begun[0] + "x")
    assert list(follow_drafts(desk.register.read())) != []
