"""Every way a run can end has its exit code and one message of use; nobody is shown a traceback."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest
from support.program import run_program
from support.regimen_texts import MIXED, change_text

from fillcards.card.model import Card
from fillcards.catalogue.model import Paper
from fillcards.layout import place
from fillcards.layout.model import PlacedCard
from fillcards.layout.place import place_card
from fillcards.plan.print_size import PrintSize
from fillcards.verbs.answers import ExitCode


def test_a_card_that_is_made_ends_with_0(regimen_file: Path) -> None:
    """Done is 0, and the file is there."""
    out = regimen_file.with_name("card.pdf")
    assert run_program("make", regimen_file, "-o", out).code == 0
    assert out.read_bytes().startswith(b"%PDF-")


@pytest.mark.parametrize("verb", ["check", "make", "barrel", "choose", "supply"])
def test_a_refused_file_ends_with_1(verb: str, regimen_file: Path) -> None:
    """A dose without its unit is refused by every verb that reads a regimen."""
    regimen_file.write_text(change_text(MIXED, ("clear: 8 units", "clear: 8")), encoding="utf-8")
    options = {"make": ("-o", regimen_file.with_name("card.pdf"))}
    options["barrel"] = ("--fill", "1", *options["make"])  # type: ignore[assignment] # one option more
    ran = run_program(verb, regimen_file, *options.get(verb, ()))
    assert ran.code == 1
    assert f"{regimen_file}:" in ran.err


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ((), "VERB"),
        (("brew",), "brew"),
        (("make", "regimen.yaml"), "-o"),
        (("make", "regimen.yaml", "-o", "card.docx"), ".pdf, .svg, .png"),
        (("make", "regimen.yaml", "-o", "card"), ".pdf, .svg, .png"),
        (("make", "regimen.yaml", "-o", "card.html", "--as", "small"), "makes pages: .pdf, .svg, .png"),
        (("make", "regimen.yaml", "-o", "card.pdf", "--size", "a6"), "--size goes with --as small only"),
        (("make", "regimen.yaml", "-o", "card.pdf", "--as", "small", "--size", "a4"), "there are: half_letter"),
        (("make", "regimen.yaml", "-o", "card.pdf", "--as", "small", "--n-up", "a6"), "there are: letter, a4"),
        (("make", "regimen.yaml", "-o", "card.pdf", "--scan-code"), "--scan-code"),
        (("make", "regimen.yaml", "-o", "card.pdf", "--as", "poster"), "there are: fridge, small, raised"),
        (("make", "regimen.yaml", "-o", "card.pdf", "--as", "staple"), "--as staple is now called --as small"),
        (("make", "regimen.yaml", "-o", "card.pdf", "--as", "tactile"), "--as tactile is now called --as raised"),
        (("batch", ".", "-o", "cards", "--as", "staple"), "--as staple is now called --as small"),
        (("batch", ".", "-o", "cards", "--as", "tactile"), "--as tactile is now called --as raised"),
        (("make", "regimen.yaml", "-o", "card.pdf", "--scale", "2"), "--scale"),
        (("make", "regimen.yaml", "-o", "card.pdf", "--repl", "older.yaml"), "--repl"),
        (("make", "--json", "regimen.yaml", "-o", "-"), "--json"),
        (("make", "-", "-o", "card.pdf", "--replacing", "-"), "read once"),
        (("barrel", "regimen.yaml", "--fill", "1", "-o", "barrel.html"), "there are: .pdf, .svg, .png"),
        (("barrel", "regimen.yaml", "--fill", "3", "-o", "barrel.svg"), "there are 1 to 2"),
        (("barrel", "regimen.yaml", "--fill", "0", "-o", "barrel.svg"), "there are 1 to 2"),
        (("barrel", "regimen.yaml", "--fill", "1", "--draw", "3", "-o", "barrel.svg"), "there are 1 to 2"),
        (("check",), "at least one"),
        (("check", "--explain", "NO-999"), "NO-999"),
        (("check", "--codes", "regimen.yaml"), "go alone"),
        (("check", "--sources"), "at least one"),
        (("check", "-", "-"), "read once"),
        (("new", "no-such-starter", "-o", "new.yaml"), "two-insulins-twice-a-day"),
        (("new", "two-insulins-twice-a-day"), "-o FILE"),
        (("supply", "--from", "1.12.2026", "regimen.yaml"), "2026-12-01"),
        (("supply", "--from", "20261201", "regimen.yaml"), "2026-12-01"),
        (("supply", "--from", "9999-12-31", "regimen.yaml"), "from 2000 to 2099"),
        (("supply", "--from", "2100-01-01", "regimen.yaml"), "from 2000 to 2099"),
        (("supply", "--from", "1999-12-31", "regimen.yaml"), "from 2000 to 2099"),
    ],
)
def test_wrong_usage_ends_with_2(
    arguments: tuple[str, ...], words: str, regimen_file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What does not exist or does not go together is refused, with the words that would have passed."""
    monkeypatch.chdir(regimen_file.parent)
    ran = run_program(*arguments)
    assert ran.code == 2
    assert words in ran.err
    assert ran.out == ""
    assert [path.name for path in regimen_file.parent.iterdir()] == [regimen_file.name]


@pytest.mark.parametrize(
    "arguments",
    [
        ("check", "missing.yaml"),
        ("make", "missing.yaml", "-o", "card.pdf"),
        ("make", "regimen.yaml", "-o", "no/folder/card.pdf"),
        ("make", "regimen.yaml", "-o", "card.pdf", "--replacing", "missing.yaml"),
        ("make", "regimen.yaml", "-o", "card.pdf", "--syringes", "missing.yaml"),
        ("make", ".", "-o", "card.pdf"),
        ("make", "regi\0men.yaml", "-o", "card.pdf"),
        ("make", "regimen.yaml", "-o", "ca\0rd.pdf"),
        ("make", "regimen.yaml", "-o", f"{'c' * 300}.pdf"),
    ],
)
def test_a_file_that_cannot_be_used_ends_with_3(
    arguments: tuple[str, ...], regimen_file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The message names the file and the reason in one line."""
    monkeypatch.chdir(regimen_file.parent)
    ran = run_program(*arguments)
    assert ran.code == 3
    assert len(ran.err.splitlines()) == 1
    assert [path.name for path in regimen_file.parent.iterdir()] == [regimen_file.name]


def test_a_folder_in_the_place_of_the_card_ends_with_3(regimen_file: Path) -> None:
    """A folder is not replaced by a file."""
    out = regimen_file.with_name("card.pdf")
    out.mkdir()
    ran = run_program("make", regimen_file, "-o", out)
    assert ran.code == 3
    assert out.is_dir()


@pytest.mark.parametrize("day", ["2000-01-01", "2099-12-31"])
def test_supply_counts_from_the_first_and_the_last_day_a_file_may_name(day: str, regimen_file: Path) -> None:
    """The days at both ends of what the file's own dates allow are counted from."""
    assert run_program("supply", "--from", day, regimen_file).code == 0


def test_one_unreadable_file_does_not_hide_the_others(regimen_file: Path) -> None:
    """``check`` goes on with the next file, and the worst exit code stands."""
    ran = run_program("check", regimen_file.with_name("missing.yaml"), regimen_file)
    assert ran.code == 3
    assert f"{regimen_file}: accepted" in ran.out


def _break(monkeypatch: pytest.MonkeyPatch, fault: BaseException) -> None:
    def run(*_: object) -> ExitCode:
        raise fault

    monkeypatch.setattr("fillcards.verbs.make.run", run)


def test_a_fault_of_ours_ends_with_4(regimen_file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The message asks for a report and names type and place of the fault, never a value, and no traceback."""
    _break(monkeypatch, ValueError("Juniper Testcase, 8 units"))
    ran = run_program("make", regimen_file, "-o", regimen_file.with_name("card.pdf"))
    assert ran.code == 4
    assert "ValueError in " in ran.err
    assert "report" in ran.err
    assert "Juniper" not in ran.err
    assert "units" not in ran.err
    assert "Traceback" not in ran.err


@pytest.mark.parametrize("name", ["card.pdf", "card.svg", "card.png"])
def test_an_unsound_page_ends_with_4(name: str, regimen_file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Pages on which two things overlap are a fault of ours: they reach nobody, in no form."""

    def place_twice(card: Card, size: PrintSize, paper: Paper) -> PlacedCard:
        placed = place_card(card, size, paper)
        first = placed.pages[0]
        return replace(placed, pages=(first._replace(placed=(*first.placed, first.placed[1])), *placed.pages[1:]))

    monkeypatch.setattr(place, "place_card", place_twice)
    ran = run_program("make", regimen_file, "-o", regimen_file.with_name(name))
    assert ran.code == 4
    assert "InternalFault" in ran.err
    assert [path.name for path in regimen_file.parent.iterdir()] == [regimen_file.name]


def test_a_run_stopped_by_hand_says_so(regimen_file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Stopping from the keyboard is no fault; shells expect 128 + 2."""
    _break(monkeypatch, KeyboardInterrupt())
    ran = run_program("make", regimen_file, "-o", regimen_file.with_name("card.pdf"))
    assert ran.code == 130
    assert "nothing was written" in ran.err


def test_the_sides_that_make_tells_add_up(tmp_path: Path) -> None:
    """Two fills at one time, each on its days, have one name: their sides are told together."""
    text = change_text(
        MIXED,
        ("before breakfast\n", "before breakfast\n    days: [monday, tuesday, wednesday, thursday, friday]\n"),
        ("before supper\n", "before breakfast\n    days: [saturday, sunday]\n"),
    )
    path = tmp_path / "regimen.yaml"
    path.write_text(text, encoding="utf-8")
    ran = run_program("make", path, "-o", tmp_path / "card.pdf")
    told = re.search(r"pages +(\d+): (.+)", ran.out)
    assert told, ran.out
    assert sum(int(count) for count in re.findall(r" (\d+)(?:,|$)", told[2])) == int(told[1])
