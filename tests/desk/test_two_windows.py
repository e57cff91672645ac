"""Two windows on one file, another program beside them, a killed server: nothing is lost, doubled or written over."""

from __future__ import annotations

import http.client
import os
import random
import re
import shutil
import sqlite3
import threading
import time
from pathlib import Path
from typing import Any

import pytest
import yaml
from support.desks import Answer, OpenDesk, Visitor, make_card, open_desk, share_process

from fillcards.desk.draft_pages import _find_files
from fillcards.desk.drafts import STAGE_AFTER, Stage, follow_drafts, hash_text, number_of
from fillcards.desk.server import open_desk as open_state
from fillcards.desk.server import read_clock
from fillcards.register import Event, Register

STARTER = Path(__file__).parents[2] / "templates_yaml" / "two-insulins-twice-a-day.yaml"
FILE = number_of("card.yaml")
PATHS = (
    *("patient.name", "patient.second_identifier", "fills[1].draw.regular", "fills[1].draw.isophane"),
    *("fills[2].draw.regular", "fills[2].draw.isophane", "contacts[1].who", "contacts[2].phone", "notes"),
)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """With one file, which another program wrote."""
    shutil.copy(STARTER, tmp_path / "card.yaml")
    return tmp_path


def read(folder: Path) -> Any:
    """The file, by another reader."""
    return yaml.load((folder / "card.yaml").read_text(encoding="utf-8"), yaml.CBaseLoader)


def find(tree: Any, path: str) -> str:
    """What stands at a path."""
    for step in path.replace("[", ".").replace("]", "").split("."):
        tree = tree[int(step) - 1] if step.isdecimal() else tree[step]
    return str(tree)


def open_windows(desk: OpenDesk) -> tuple[Visitor, Visitor]:
    """Two people, each in a window of their own, both with the file open."""
    one, other = Visitor(desk), Visitor(desk)
    one.sign_on("Writer Anna")
    if "Checker Ben" not in one.get("/people").text:
        one.add_person("Checker Ben")
    other.sign_on("Checker Ben")
    for each in (one, other):
        assert each.get(f"/write/{FILE}").status == 200
    return one, other


def test_each_window_keeps_the_others_words(folder: Path) -> None:
    """Different blanks are both written; the same blank is written by the first and told to the second."""
    with share_process(folder) as desk:
        one, other = open_windows(desk)
        assert one.write(FILE, "fills[1].draw.regular", "12 units", "11 units").json()["saved"]
        assert other.write(FILE, "fills[1].draw.isophane", "24 units", "23 units").json()["saved"]
        answer = other.write(FILE, "fills[1].draw.regular", "13 units", "11 units")
        assert answer.status == 409
        assert "12 units" in answer.json()["told"]
    assert read(folder)["fills"][0]["draw"] == {"regular": "12 units", "isophane": "24 units"}


def test_another_programs_words_are_told_and_kept(folder: Path) -> None:
    """Nothing is written over them until somebody has looked at the file as it is now."""
    with share_process(folder) as desk:
        one, _ = open_windows(desk)
        path = folder / "card.yaml"
        changed = path.read_text(encoding="utf-8").replace("9 units", "8 units")
        path.write_text(changed, encoding="utf-8")
        answer = one.write(FILE, "fills[1].draw.regular", "12 units", "11 units")
        assert answer.status == 409
        assert "Another program" in answer.json()["told"]
        assert path.read_text(encoding="utf-8") == changed
        assert one.get(f"/write/{FILE}").status == 200
        assert one.write(FILE, "fills[1].draw.regular", "12 units", "11 units").json()["saved"]
    draws = [fill["draw"] for fill in read(folder)["fills"]]
    assert draws == [{"regular": "12 units", "isophane": "23 units"}, {"regular": "8 units", "isophane": "16 units"}]


def test_a_file_that_went_away_is_told(folder: Path) -> None:
    """Gone midway, and come back as something else."""
    with share_process(folder) as desk:
        one, _ = open_windows(desk)
        (folder / "card.yaml").unlink()
        assert one.write(FILE, "notes", "Keep it cool.").status == 409
        (folder / "card.yaml").write_text("fillcards: 2\n", encoding="utf-8")
        assert "another version of the format" in one.get(f"/write/{FILE}").text


def test_without_its_line_nothing_is_written(folder: Path) -> None:
    """A register that cannot be used any more is told, and the file stays as it was."""
    with share_process(folder) as desk:
        one, _ = open_windows(desk)
        (folder / "fillcards-register.sqlite3").unlink()
        (folder / "fillcards-register.sqlite3").mkdir()
        answer = one.write(FILE, "fills[1].draw.regular", "12 units", "11 units")
        assert answer.status == 409
        assert "register" in answer.json()["told"]
    assert read(folder)["fills"][0]["draw"]["regular"] == "11 units"


def test_a_question_that_makes_no_sense_is_told_without_a_value(folder: Path) -> None:
    """Neither a missing part nor another type ends the desk, and no word of the file comes back."""
    with share_process(folder) as desk:
        one, _ = open_windows(desk)
        senseless: list[Any] = [{}, [], {"path": 7, "value": {"a": 1}}]
        for asked in (*senseless, {"path": "patient.name", "value": None, "write": True}):
            answer = one.ask(f"/write/{FILE}/blank", asked)
            assert answer.status == 409
            assert "Sample Patient" not in answer.text
        assert one.get(f"/write/{FILE}").status == 200
    assert read(folder)["patient"]["name"] == "Sample Patient"


def test_ten_thousand_files_are_no_hindrance(folder: Path) -> None:
    """The first page shows those changed last; a search finds any other."""
    text = STARTER.read_text(encoding="utf-8")
    for number in range(10_000):
        (folder / f"a{number}.yaml").write_text(text, encoding="utf-8")
    (folder / "other.yaml").write_text(text.replace("Sample Patient", "Neil Lind"), encoding="utf-8")
    now = time.time()
    os.utime(folder / "card.yaml", (now + 60, now + 60))
    os.utime(folder / "other.yaml", (now - 60, now - 60))
    with share_process(folder) as desk:
        one, _ = open_windows(desk)
        first = one.get("/").text
        assert f"/write/{FILE}" in first
        assert "12 of 10002 files" in first
        assert list_shown(one.post("/", find="neil")) == {"other"}
        assert "There may be more" in one.post("/", find="a1 yaml").text


def list_shown(page: Answer) -> set[str]:
    """The files that a page leads to, by their names without the ending."""
    return set(re.findall(r"/write/[0-9a-f]{12}\">([^<]+)\.yaml<", page.text))


@pytest.mark.parametrize(
    ("words", "names"),
    [
        ("åsa o'neil", {"quoted"}),
        ("ÅSA", {"quoted", "escaped"}),
        ("neil", {"quoted", "plain"}),
        ("record 3310 neil", {"plain"}),
        ("escaped.y", {"escaped"}),
        ("plain lindqvist", {"plain"}),
        ("neil nobody", set()),
        ("rubber band", set()),
    ],
)
def test_a_search_reads_what_the_file_means(folder: Path, words: str, names: set[str]) -> None:
    """Every word in the file's name, its patient's, or a number, however they are quoted; in nothing else."""
    text = STARTER.read_text(encoding="utf-8")
    patients = {"quoted": "'Åsa O''Neil'", "escaped": r'"\u00c5sa Lind"', "plain": "Neil Lindqvist"}
    for name, patient in patients.items():
        number = "record 3310" if name == "plain" else ""
        written = text.replace("Sample Patient", patient).replace("sample ward, bed 2", number)
        (folder / f"{name}.yaml").write_text(written, encoding="utf-8")
    desk = open_state(folder, read_clock)
    assert {name.removesuffix(".yaml") for name in _find_files(desk, desk.folder.list_names(), words)} == names


@pytest.mark.parametrize("edits", [60, pytest.param(500, marks=pytest.mark.campaign)])
def test_many_edits_in_two_windows_and_a_killed_server(folder: Path, edits: int) -> None:
    """Every edit that was answered is in the file, once in the register, and the file is whole after each kill.

    The kill comes at a chosen edit, a moment after it was sent, however slow the machine is.
    """
    chance = random.Random(16)
    current = {path: find(read(folder), path) for path in PATHS}
    asked = answered = 0
    for part in range(1, 5):
        last = edits * part // 4
        with open_desk(folder) as desk:
            windows = open_windows(desk)
            while asked < last:
                asked += 1
                path = chance.choice(PATHS)
                value = make_value(path, asked)
                killer = threading.Timer(chance.uniform(0.0, 0.05), desk.kill)
                if asked == last and part < 4:
                    killer.start()
                try:
                    answer = windows[asked % 2].write(FILE, path, value, current[path])
                    assert answer.json()["saved"], answer.text
                except (OSError, http.client.HTTPException, ValueError):
                    if not killer.ident:
                        raise
                else:
                    answered += 1
                    current[path] = value
                if killer.ident:
                    killer.join()
            assert (desk.process.poll() is not None) is (part < 4)
        # What was under way when the server was killed is there whole, or not at all.
        now = {path: find(read(folder), path) for path in PATHS}
        assert sum(now[each] != current[each] for each in PATHS) <= 1
        current = now
    register = Register(folder / "fillcards-register.sqlite3")
    assert register.find_fault() is None
    lines = [line for line in register.read("card.yaml") if line.event is Event.CHANGED]
    texts = [line.details["text"] for line in lines]
    assert len(set(texts)) == len(texts)
    assert answered <= len(lines) <= edits
    text = (folder / "card.yaml").read_text(encoding="utf-8")
    assert follow_drafts(lines)["card.yaml"].writers[hash_text(text)] in {"Writer Anna", "Checker Ben"}
    assert text.count("# ") == STARTER.read_text(encoding="utf-8").count("# ")


def make_value(path: str, number: int) -> str:
    """Another value for each edit, of the kind that the blank takes."""
    if ".draw." in path:
        return f"{number} units"
    return (
        f"555-{number:04}" if "phone" in path else "Word " + "".join("abcdefghij"[int(digit)] for digit in str(number))
    )


def test_a_draft_written_elsewhere_is_its_handers(folder: Path) -> None:
    """Nobody at the desk wrote it: whoever hands it over stands for it, and so cannot check it."""
    (folder / "card.yaml").write_text(make_card(), encoding="utf-8")
    with share_process(folder) as desk:
        one, other = open_windows(desk)
        answer = one.post(f"/write/{FILE}/hand")
        assert answer.headers["location"].endswith("/check"), one.get(f"/write/{FILE}").text
        one.post(f"/write/{FILE}/hand")
        assert "You wrote this draft" in one.get("/check").text
        assert "check draft 1" in other.get("/check").text
        assert "Sample Person" not in other.get(f"/check/{FILE}").text
    register = Register(folder / "fillcards-register.sqlite3")
    draft = follow_drafts(register.read())["card.yaml"]
    assert (draft.stage, draft.writer, draft.number) == (Stage.WAITING, "Writer Anna", 1)


def test_a_file_waits_by_its_last_line_that_moves_it(folder: Path) -> None:
    """A card that the program makes of it meanwhile, or a reason, leaves it where it stands."""
    register = Register(folder / "register.sqlite3")
    events = {
        "waits.yaml": (Event.CHANGED, Event.HANDED, Event.MADE),
        "explained.yaml": (Event.HANDED, Event.DIFFERED, Event.EXPLAINED, Event.HANDED),
        "written.yaml": (Event.HANDED, Event.CHANGED),
        "checked.yaml": (Event.HANDED, Event.AGREED, Event.CHECKED, Event.MADE),
    }
    for file, told in events.items():
        for event in told:
            register.add(event, "Writer Anna", file=file, details={"text": "", "writer": "Writer Anna"})
    waiting = {file for file, draft in follow_drafts(register.read()).items() if draft.stage is Stage.WAITING}
    assert set(register.list_files(Event.HANDED, STAGE_AFTER)) == waiting == {"waits.yaml", "explained.yaml"}


def test_lines_cannot_be_changed_in_place(folder: Path) -> None:
    """The file of the register itself refuses; whoever gets round that is found by the chain."""
    register = Register(folder / "register.sqlite3")
    for number in range(3):
        register.add(Event.ENDED, "Writer Anna", details={"reason": f"reason {number}"})
    with sqlite3.connect(register.path) as connection:
        for statement in ("UPDATE lines SET by = 'x'", "DELETE FROM lines"):
            with pytest.raises(sqlite3.DatabaseError, match="only added"):
                connection.execute(statement)
        connection.execute("DROP TRIGGER no_update")
        connection.execute("UPDATE lines SET by = 'Somebody' WHERE number = 2")
    connection.close()
    assert register.find_fault() == "line 2 was altered, or a line before it taken out"
