"""The register: what ``make`` and ``batch`` write to it, what ``register`` says of it, and what it refuses."""

from __future__ import annotations

import csv
import datetime
import io
import json
import re
import sqlite3
import subprocess
import threading
from pathlib import Path
from unittest.mock import Mock

import pytest
from support.program import run_program

from fillcards.regimen.fingerprint import compute_fingerprint
from fillcards.regimen.schema import read_regimen
from fillcards.register import Event, Register, add_made, describe_card, find_cards, list_cards

pytestmark = pytest.mark.usefixtures("ready_cards")

STARTER = Path(__file__).parents[2] / "templates_yaml" / "one-insulin-once-a-day.yaml"
TEXT = STARTER.read_text(encoding="utf-8")
REGIMEN = read_regimen(TEXT)
AT = datetime.datetime(2026, 11, 29, 10, 14, tzinfo=datetime.UTC)


@pytest.fixture
def register(tmp_path: Path) -> Register:
    """An empty one, at a fixed time."""
    return Register(tmp_path / "register.sqlite3", lambda: AT)


def test_made_is_not_given_and_given_replaces(register: Register) -> None:
    """The old card is over when the new one is given, not when it is made; ended and mended are told as well."""
    newer = read_regimen(TEXT.replace("62 units", "60 units"))
    old, new = compute_fingerprint(REGIMEN), compute_fingerprint(newer)

    def tell() -> list[str]:
        return [card.now for card in sorted(list_cards(register.read()), key=lambda card: card.fingerprint != old)]

    add_made(register, REGIMEN, "fridge pdf", "old.yaml")
    assert tell() == ["made, not given"]
    register.add(Event.GIVEN, "Anna", fingerprint=old, details={"to": "the daughter"})
    assert tell() == ["valid"]
    add_made(register, newer, "fridge pdf", "new.yaml")
    assert tell() == ["valid", "made, not given"]
    register.add(Event.GIVEN, "Anna", fingerprint=new, details={"to": "the daughter", "replaces": old})
    assert tell() == [f"replaced by {new[:4]}", "valid"]
    register.add(Event.ENDED, "Anna", fingerprint=new, details={"reason": "the dose was stopped"})
    assert tell() == [f"replaced by {new[:4]}", "ended: the dose was stopped"]
    register.add(Event.MENDED, "Anna", fingerprint=new, details={"reason": "it was the son"})
    (card,) = find_cards(list_cards(register.read()), new[:4])
    assert [line.details["reason"] for line in card.mended] == ["it was the son"]
    assert register.find_fault() is None


def test_doses_and_lines_cannot_be_taken_for_one_another() -> None:
    """A dose has its unit, a line its word; a weekly card its day."""
    assert describe_card(REGIMEN)["fills"] == ["Bedtime: insulin glargine 62 units; line 62"]
    weekly = read_regimen((STARTER.parent / "weekly-milligrams-on-a-unit-scale.yaml").read_text(encoding="utf-8"))
    (said,) = describe_card(weekly)["fills"]
    assert said.startswith("Evening (Sunday): weekly medicine example")
    assert said.endswith(" 0.25 mg; line 10")


@pytest.mark.parametrize("words", ["sample patient", "PATIENT sample", "1944"])
def test_a_card_is_found_by_its_words(register: Register, words: str) -> None:
    """By name and birth year in any order; nothing is found by a word that it lacks, or by none."""
    add_made(register, REGIMEN, "fridge pdf", "old.yaml")
    cards = list_cards(register.read())
    assert len(list(find_cards(cards, words))) == 1
    assert list(find_cards(cards, f"{words} elsewhere")) == []
    assert list(find_cards(cards, "  ")) == []


def test_make_adds_a_line_and_register_lists_it(tmp_path: Path) -> None:
    """Which card, for whom, from which file; the code is that of ``check``."""
    path = tmp_path / "register.sqlite3"
    ran = run_program("make", STARTER, "-o", tmp_path / "card.txt", "--register", path)
    assert ran.code == 0
    code = compute_fingerprint(REGIMEN)[:4]
    listed = run_program("register", path)
    assert listed.code == 0
    assert f"{code}  made, not given  Sample Patient, born 17 February 1944" in listed.out
    assert "insulin glargine 62 units; line 62" in listed.out
    assert "not checked" in listed.out
    answer = json.loads(run_program("register", path, "--json", "--find", code).out)
    assert [(card["card"], card["file"]) for card in answer["cards"]] == [(code, STARTER.name)]
    (row,) = csv.DictReader(io.StringIO(run_program("register", path, "--csv", "-").out))
    assert (row["card"], row["now"]) == (code, "made, not given")


def read_staff_sheet(card: Path) -> str:
    """The words of a fridge card's last two sides, by a library that did not write them."""
    return subprocess.run(
        ["pdftotext", "-f", "3", "-raw", card, "-"], capture_output=True, text=True, check=True
    ).stdout


def test_the_staff_sheet_tells_the_register_before_it(tmp_path: Path) -> None:
    """Of the first card there is none; of the next its last line and that line's hash, as ``--verify`` shows it."""
    path, card = tmp_path / "register.sqlite3", tmp_path / "card.pdf"
    assert run_program("make", STARTER, "-o", card, "--register", path).code == 0
    assert "register before" not in read_staff_sheet(card)
    verified = json.loads(run_program("register", path, "--verify", "--json").out)
    assert run_program("make", STARTER, "-o", card, "--register", path).code == 0
    said = " ".join(read_staff_sheet(card).split())
    head = re.search("The register before this print: line 1, ([0-9a-f ]+)", said)
    assert head is not None
    assert head[1].replace(" ", "")[:64] == verified["head"]
    assert run_program("measure", card, "--against", STARTER).code == 0


def test_a_roster_and_a_watch_date_their_staff_sheets_too(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """By the last line before the run, and before the card was first made."""
    register, folder = tmp_path / "register.sqlite3", tmp_path / "regimens"
    folder.mkdir()
    (folder / "one.yaml").write_text(TEXT, encoding="utf-8")
    head = Register(register).add(Event.PERSON, "Ada").hash
    asked = ("--register", register)
    assert run_program("batch", folder, "-o", tmp_path / "cards", "--processes", "1", *asked).code == 0
    monkeypatch.setattr(threading.Event, "wait", Mock(side_effect=[False, KeyboardInterrupt]))
    assert run_program("batch", "--watch", folder, "-o", tmp_path / "watched", *asked).code == 130
    for card in (*tmp_path.glob("cards/*/row-000001.pdf"), tmp_path / "watched" / "one.pdf"):
        said = " ".join(read_staff_sheet(card).split()).replace(" ", "")
        assert f"Theregisterbeforethisprint:line1,{head}" in said


def test_a_hash_on_paper_finds_its_line(register: Register) -> None:
    """A register that was written anew from its first line on is whole by itself; the paper knows better."""
    first = add_made(register, REGIMEN, "fridge pdf", "old.yaml")
    register.add(Event.GIVEN, "Anna", fingerprint=first.fingerprint, details={"to": "the son"})
    grouped = " ".join(first.hash[start : start + 4] for start in range(0, 64, 4))
    ran = run_program("register", register.path, "--verify", "--hash", grouped)
    assert (ran.code, "line 1 has this hash" in ran.out) == (0, True)
    other = Register(register.path.with_name("other.sqlite3"), lambda: AT)
    add_made(other, REGIMEN, "fridge pdf", "other.yaml")
    ran = run_program("register", other.path, "--verify", "--hash", grouped)
    assert (ran.code, "no line has this hash" in ran.err) == (1, True)
    assert run_program("register", other.path, "--hash", grouped).code == 2


def test_what_became_of_a_card_stands_in_list_and_table(register: Register) -> None:
    """To whom, measured, replaced, ended by whom, the paper, what was mended: in words, JSON and the table alike."""
    made = add_made(register, REGIMEN, "fridge pdf", "old.yaml")
    own = {"fingerprint": made.fingerprint}
    register.add(Event.GIVEN, "Anna", **own, details={"to": "the son", "ruler": True})
    register.add(Event.MENDED, "Ben", **own, details={"reason": "it was the daughter"})
    register.add(Event.ENDED, "Cleo", **own, details={"reason": "stopped"})
    register.add(Event.RETURNED, "Cleo", **own, details={"is_back": False})
    (row,) = csv.DictReader(io.StringIO(run_program("register", register.path, "--csv", "-").out))
    listed = run_program("register", register.path).out
    told = json.loads(run_program("register", register.path, "--json").out)["cards"][0]
    at = AT.isoformat()
    assert (row["to"], row["by"], row["measured with a ruler"]) == ("the son", "Anna", "yes")
    assert (row["now"], row["ended"], row["ended by"]) == ("ended: stopped", at, "Cleo")
    assert (row["paper"], row["mended"]) == ("did not come back", "it was the daughter")
    assert f"given {at} to the son by Anna, print measured with a ruler" in listed
    assert f"ended {at} by Cleo" in listed
    assert "its paper did not come back" in listed
    assert f"mended {at} by Ben: it was the daughter" in listed
    assert (told["to"], told["ended"], told["paper"]) == ("the son", at, "did not come back")
    assert told["mended"] == ["it was the daughter"]


def test_a_check_typed_into_the_file_is_stated(tmp_path: Path) -> None:
    """Nothing in the register shows how it was done, and the staff sheet does not say more."""
    path, card, regimen = tmp_path / "register.sqlite3", tmp_path / "card.pdf", tmp_path / "checked.yaml"
    text = TEXT.replace('prepared_by: ""', "prepared_by: A. Writer").replace('checked_by: ""', "checked_by: B. Checker")
    text = text.replace('checked_on: ""', "checked_on: 2025-11-25")
    code = compute_fingerprint(read_regimen(text))[:4]
    regimen.write_text(text.replace('checked_code: ""', f"checked_code: {code}"), encoding="utf-8")
    checked = read_regimen(regimen.read_text(encoding="utf-8"))
    register = Register(path, lambda: datetime.datetime(2025, 11, 25, 9, 0, tzinfo=datetime.UTC))
    fingerprint = compute_fingerprint(checked)

    def make() -> str:
        assert run_program("make", regimen, "-o", card, "--register", path).code == 0
        return read_staff_sheet(card)

    assert "This check is stated in the file." in make()
    # Somebody else's check, and one of another day, are not the one that the file tells of.
    register.add(Event.CHECKED, "C. Other", fingerprint=fingerprint)
    assert "This check is stated in the file." in make()
    register.add(Event.CHECKED, "B. Checker", fingerprint=fingerprint)
    assert "The check was done at the desk" in make()
    assert list_cards(register.read())[0].check == "checked here by B. Checker"
    assert run_program("measure", card, "--against", regimen).code == 0


def test_a_card_that_is_over_is_not_made_again(tmp_path: Path) -> None:
    """Ended or replaced: no card, and no line."""
    path, card = tmp_path / "register.sqlite3", tmp_path / "card.txt"
    assert run_program("make", STARTER, "-o", card, "--register", path).code == 0
    register = Register(path)
    register.add(Event.ENDED, "Anna", fingerprint=compute_fingerprint(REGIMEN), details={"reason": "stopped"})
    card.unlink()
    ran = run_program("make", STARTER, "-o", card, "--register", path)
    assert (ran.code, card.exists(), len(register.read())) == (1, False, 2)
    assert "is ended: stopped. It is not made again." in ran.err


def test_no_cell_is_a_formula(register: Register, tmp_path: Path) -> None:
    """A name that a spreadsheet would run is written as text."""
    details = describe_card(REGIMEN) | {"whose": "=HYPERLINK(1)", "form": "fridge pdf"}
    register.add(Event.MADE, "", fingerprint="ABCD" * 13, details=details)
    assert run_program("register", register.path, "--csv", tmp_path / "out.csv").code == 0
    (row,) = csv.DictReader(io.StringIO((tmp_path / "out.csv").read_text(encoding="utf-8")))
    assert row["for"] == "'=HYPERLINK(1)"


def test_verify_finds_what_was_altered_or_taken_out(register: Register) -> None:
    """And shows the last hash, to be kept elsewhere, while all is whole."""
    for number in range(4):
        register.add(Event.ENDED, "Anna", fingerprint="A" * 52, details={"reason": f"reason {number}"})
    ran = run_program("register", register.path, "--verify")
    assert (ran.code, register.read()[-1].hash in ran.out) == (0, True)
    with sqlite3.connect(register.path) as connection:
        connection.execute("DROP TRIGGER no_delete")
        connection.execute("DELETE FROM lines WHERE number = 2")
    connection.close()
    ran = run_program("register", register.path, "--verify")
    assert (ran.code, "line 2 is missing" in ran.err) == (1, True)


def test_batch_registers_each_card_once(tmp_path: Path) -> None:
    """A run that is started again adds nothing; one that was made before without a register is added now."""
    folder, out, path = tmp_path / "in", tmp_path / "cards", tmp_path / "register.sqlite3"
    folder.mkdir()
    (folder / "one.yaml").write_text(TEXT, encoding="utf-8")
    common = ("batch", folder, "-o", out, "--processes", "1")
    assert run_program(*common).code == 0
    for _ in range(2):
        assert run_program(*common, "--register", path).code == 0
    lines = Register(path).read()
    assert [(line.event, line.fingerprint) for line in lines] == [(Event.MADE, compute_fingerprint(REGIMEN))]


@pytest.mark.parametrize("content", [b"fillcards: 1\n" * 200, b""])
def test_another_file_is_no_register(tmp_path: Path, content: bytes) -> None:
    """Another program's file is refused and left as it is; no card is made beside it."""
    path = tmp_path / "other"
    path.write_bytes(content)
    ran = run_program("make", STARTER, "-o", tmp_path / "card.txt", "--register", path)
    if content:
        assert ran.code == 3
        assert path.read_bytes() == content
        assert not (tmp_path / "card.txt").exists()
    else:
        assert ran.code == 0
    assert run_program("register", tmp_path / "nowhere").code == 3


def test_a_register_is_never_an_input(tmp_path: Path) -> None:
    """Nor an output of the same command."""
    path = tmp_path / "register.sqlite3"
    assert run_program("make", STARTER, "-o", tmp_path / "card.txt", "--register", path).code == 0
    assert run_program("make", STARTER, "-o", path.with_suffix(".txt"), "--register", path).code == 0
    assert run_program("register", path, "--csv", path).code == 2
