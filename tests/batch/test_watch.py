"""A watched folder: files are taken whole, one by one; what a kill or a second process does. Waiting is played."""

from __future__ import annotations

import datetime
import json
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from support.prescriptions import build_request, write_json
from support.program import run_program
from support.regimen_texts import MIXED, change_text

from fillcards.batch import make_row
from fillcards.batch import watch as watch_module
from fillcards.batch.watch import Told, Watch, watch_folder
from fillcards.files import lock_folder
from fillcards.options import Options
from fillcards.problems import OutputError
from fillcards.regimen.model import Regimen
from fillcards.register import Event, Register

TODAY = datetime.date(2026, 11, 29)
READY = ["finished", "refused"]


def place_nothing(regimen: Regimen, options: Options) -> SimpleNamespace:
    """No pages."""
    return SimpleNamespace(regimen=regimen, options=options, problems=())


def write_little(made: SimpleNamespace, _: object) -> tuple[bytes]:
    """A few bytes that depend on the file, and on what its sheet for staff tells, in place of a card."""
    return (b"%PDF-stand-in " + f"{made.regimen.text} {made.options.keeping}".encode(),)


@pytest.fixture(autouse=True)
def quick_cards(monkeypatch: pytest.MonkeyPatch) -> None:
    """Cards of a few bytes: these tests are about files."""
    monkeypatch.setattr(make_row, "place_regimen", place_nothing)
    monkeypatch.setattr(make_row, "write_pages", write_little)


@pytest.fixture
def inbox(tmp_path: Path) -> Path:
    """The folder that is watched."""
    folder = tmp_path / "inbox"
    folder.mkdir()
    return folder


def do_nothing() -> None:
    """Between two looks."""


def vary(number: int) -> str:
    """A regimen, another for each even number of units."""
    return change_text(MIXED, ("clear: 8 units", f"clear: {number} units"))


def watch(inbox: Path, *between: Callable[[], object], **more: Any) -> list[Told]:
    """Look as often as it takes for two looks after everything that happens between looks has happened."""
    told: list[Told] = []
    happenings: list[Callable[[], object]] = [*between, do_nothing]

    def wait(_: float) -> bool:
        if not happenings:
            return True
        happenings.pop(0)()
        return False

    asked = Watch(inbox, inbox.parent / "cards", Options(), lambda: TODAY)
    watch_folder(asked._replace(**more), told.append, wait)
    return told


def list_names(folder: Path) -> list[str]:
    """What lies in a folder, but for locks."""
    return sorted(path.name for path in folder.iterdir() if not path.name.startswith("."))


def test_a_regimen_becomes_a_card(inbox: Path) -> None:
    """The card beside the others, the file among the finished, nothing left in the inbox."""
    (inbox / "one.yaml").write_text(MIXED, encoding="utf-8")
    (told,) = watch(inbox)
    assert (told.name, told.result) == ("one.yaml", "made")
    assert list_names(inbox) == READY
    assert (inbox / "finished" / "one.yaml").read_text(encoding="utf-8") == MIXED
    assert list_names(inbox.parent / "cards") == ["one.pdf"]


def test_a_prescription_becomes_a_draft(inbox: Path) -> None:
    """Never a card."""
    (inbox / "rx.json").write_bytes(write_json(build_request()))
    (told,) = watch(inbox)
    assert told.result == "draft"
    assert list_names(inbox.parent / "cards") == ["rx-draft.yaml"]
    assert list_names(inbox / "finished") == ["rx.json"]


@pytest.mark.parametrize(
    ("name", "data", "words"),
    [
        ("bad.yaml", change_text(MIXED, ("clear: 8 units", "clear: 8")).encode(), "QTY-"),
        ("bad.json", b"{}", "FHIR-"),
        ("half.json", b'{"resourceType": "Bund', "found"),
        ("noise.yml", bytes(range(256)), "found"),
        ("empty.yaml", b"", "found"),
    ],
)
def test_a_bad_file_is_set_apart_with_its_reasons(inbox: Path, name: str, data: bytes, words: str) -> None:
    """The file as it was, and beside it what is wrong, by code, place, expectation and remedy."""
    (inbox / name).write_bytes(data)
    (told,) = watch(inbox)
    assert told.result == "refused"
    assert told.codes
    assert list_names(inbox) == READY
    assert (inbox / "refused" / name).read_bytes() == data
    reasons = (inbox / "refused" / f"{name}.reasons.txt").read_text(encoding="utf-8")
    assert words in reasons
    assert "  do " in reasons
    assert list_names(inbox.parent / "cards") == []


def test_a_fault_of_ours_sets_one_file_apart(inbox: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The next file is taken all the same; the report names nobody."""

    def stumble(regimen: Regimen, options: Options) -> SimpleNamespace:
        if "clear: 4 units" in regimen.text:
            raise ZeroDivisionError("Juniper")
        return place_nothing(regimen, options)

    monkeypatch.setattr(make_row, "place_regimen", stumble)
    (inbox / "a.yaml").write_text(vary(4), encoding="utf-8")
    (inbox / "b.yaml").write_text(vary(6), encoding="utf-8")
    first, second = watch(inbox)
    assert first.is_fault
    assert second.result == "made"
    reasons = (inbox / "refused" / "a.yaml.reasons.txt").read_text(encoding="utf-8")
    assert "fault in Fillcards" in reasons
    assert "Juniper" not in reasons


def test_a_growing_file_is_not_taken(inbox: Path) -> None:
    """A regimen without its second fill is a valid one: it is taken only when a look found it as the look before."""
    half, rest = MIXED[: MIXED.index("  - when: before supper")], MIXED[MIXED.index("  - when: before supper") :]
    path = inbox / "slow.yaml"
    path.write_text(half, encoding="utf-8")

    def go_on() -> None:
        with path.open("a", encoding="utf-8") as file:
            file.write(rest)

    (told,) = watch(inbox, go_on)
    assert told.result == "made"
    assert (inbox / "finished" / "slow.yaml").read_text(encoding="utf-8") == MIXED


def test_a_file_that_is_open_for_writing_is_not_taken(inbox: Path) -> None:
    """However long its writer rests between two parts."""
    path = inbox / "slow.yaml"
    file = path.open("w", encoding="utf-8")
    file.write(MIXED[: MIXED.index("  - when: before supper")])
    file.flush()
    assert watch(inbox, do_nothing, do_nothing) == []
    file.close()
    assert len(watch(inbox)) == 1


def test_a_file_that_is_moved_in_is_taken(inbox: Path) -> None:
    """Its old time does not count, only that it stays as it is."""
    (inbox / "new.yaml.part").write_text(MIXED, encoding="utf-8")
    told = watch(inbox, lambda: (inbox / "new.yaml.part").rename(inbox / "new.yaml"))
    assert [(each.name, each.result) for each in told] == [("new.yaml.part", "left alone"), ("new.yaml", "made")]


def test_what_is_no_regimen_stays_and_is_told_once(inbox: Path) -> None:
    """A roster, a link, a folder: none is touched."""
    (inbox / "roster.csv").write_text("a,b\n", encoding="utf-8")
    (inbox / "sub").mkdir()
    (inbox.parent / "outside.yaml").write_text(MIXED, encoding="utf-8")
    (inbox / "link.yaml").symlink_to(inbox.parent / "outside.yaml")
    told = watch(inbox, do_nothing, do_nothing)
    assert sorted(each.name for each in told) == ["link.yaml", "roster.csv"]
    assert list_names(inbox) == ["finished", "link.yaml", "refused", "roster.csv", "sub"]


def test_another_file_of_the_same_name_gets_a_number(inbox: Path) -> None:
    """Card and file alike; the first ones stay as they are. The very same file again makes nothing more."""
    for text in (vary(4), vary(6), vary(4)):
        (inbox / "one.yaml").write_text(text, encoding="utf-8")
        watch(inbox)
    assert list_names(inbox / "finished") == ["one-2.yaml", "one.yaml"]
    assert list_names(inbox.parent / "cards") == ["one-2.pdf", "one.pdf"]
    assert (inbox / "finished" / "one-2.yaml").read_text(encoding="utf-8") == vary(6)


def test_a_file_of_somebody_else_is_not_overwritten(inbox: Path) -> None:
    """A card's name that is taken is left to its owner."""
    (inbox.parent / "cards").mkdir()
    (inbox.parent / "cards" / "one.pdf").write_bytes(b"mine")
    (inbox / "one.yaml").write_text(MIXED, encoding="utf-8")
    watch(inbox)
    assert (inbox.parent / "cards" / "one.pdf").read_bytes() == b"mine"
    assert list_names(inbox.parent / "cards") == ["one-2.pdf", "one.pdf"]


@pytest.mark.parametrize("number", [1, 100, 250])
def test_a_long_name_is_no_stop(inbox: Path, number: int) -> None:
    """As long as a system allows, in letters of two bytes too: good or bad, it leaves the inbox."""
    for ending, text in ((".yaml", MIXED), (".yml", "")):
        (inbox / f"{('é' * number).encode()[:250].decode('utf-8', 'ignore')}{ending}").write_text(text, "utf-8")
    assert sorted(each.result for each in watch(inbox)) == ["made", "refused"]
    assert list_names(inbox) == READY


def test_the_register_has_one_line_a_card(inbox: Path) -> None:
    """Also where the very same file comes twice."""
    register = Register(inbox.parent / "register.sqlite3")
    for _ in range(2):
        (inbox / "one.yaml").write_text(MIXED, encoding="utf-8")
        watch(inbox, register=register)
    assert len(register.read()) == 1
    assert list_names(inbox.parent / "cards") == ["one.pdf"]


def test_a_card_is_dated_by_the_register_before_its_own_line(inbox: Path) -> None:
    """So a card made again, after a kill or for a file dropped again, has the same bytes; the next is dated by it."""
    register = Register(inbox.parent / "register.sqlite3")
    for name, number in (("one.yaml", 8), ("two.yaml", 10), ("one.yaml", 8)):
        (inbox / name).write_text(vary(number), encoding="utf-8")
        watch(inbox, register=register)
    one, two = (path.read_text(encoding="utf-8") for path in sorted((inbox.parent / "cards").glob("*.pdf")))
    assert "Keeping(line=0" in one
    assert f"Keeping(line=1, head='{register.read()[0].hash}'" in two


@pytest.mark.parametrize("how", ["ended", "replaced"])
def test_a_card_that_is_over_is_not_made_again(inbox: Path, how: str) -> None:
    """Set apart with what the register calls it, and nothing printed or written."""
    register = Register(inbox.parent / "register.sqlite3")
    (inbox / "one.yaml").write_text(MIXED, encoding="utf-8")
    watch(inbox, register=register)
    fingerprint = register.read()[0].fingerprint
    if how == "ended":
        register.add(Event.ENDED, "Ada", fingerprint=fingerprint, details={"reason": "treatment stopped"})
    else:
        register.add(Event.GIVEN, "Ada", fingerprint="f" * 64, details={"to": "her", "replaces": fingerprint})
    (inbox.parent / "cards" / "one.pdf").unlink()
    (inbox / "again.yaml").write_text(MIXED, encoding="utf-8")
    (told,) = watch(inbox, register=register)
    assert (told.result, told.codes) == ("refused", ("ROSTER-021",))
    assert how in (inbox / "refused" / "again.yaml.reasons.txt").read_text(encoding="utf-8")
    assert list_names(inbox.parent / "cards") == []


def test_an_older_file_makes_no_card_after_a_newer_one(inbox: Path) -> None:
    """Dropped again, or dropped with other words and the older doses: set apart, until the newer card has ended."""
    register = Register(inbox.parent / "register.sqlite3")
    older, newer = (f"{vary(number)}prescription: RX-1\n" for number in (8, 10))
    for text in (older, newer):
        (inbox / "one.yaml").write_text(text, encoding="utf-8")
        watch(inbox, register=register)
    for text in (older, f"{older}notes: Keep it cool.\n"):
        (inbox / "again.yaml").write_text(text, encoding="utf-8")
        (told,) = watch(inbox, register=register)
        assert (told.result, told.codes) == ("refused", ("ROSTER-021",))
    register.add(Event.ENDED, "Ada", fingerprint=register.read()[-1].fingerprint, details={"reason": "mistake"})
    (inbox / "again.yaml").write_text(older, encoding="utf-8")
    (told,) = watch(inbox, register=register)
    assert told.result == "made"


def test_one_process_watches_a_folder(inbox: Path) -> None:
    """A second one is told, and touches nothing."""
    (inbox / "one.yaml").write_text(MIXED, encoding="utf-8")
    with lock_folder(inbox), pytest.raises(OutputError, match="another run is using this folder"):
        watch(inbox)
    assert list_names(inbox) == ["finished", "one.yaml", "refused"]


@pytest.mark.parametrize("stop_after", ["write_files", "_move"])
def test_a_run_that_is_stopped_anywhere_goes_on(inbox: Path, monkeypatch: pytest.MonkeyPatch, stop_after: str) -> None:
    """Between card and move, and after the move: the next run ends with one card and one finished file each."""
    for number in (4, 6):
        (inbox / f"{number}.yaml").write_text(vary(number), encoding="utf-8")
    real = getattr(watch_module, stop_after)

    def stop(*given: object) -> None:
        real(*given)
        raise KeyboardInterrupt

    with monkeypatch.context() as patch:
        patch.setattr(watch_module, stop_after, stop)
        with pytest.raises(KeyboardInterrupt):
            watch(inbox)
    watch(inbox)
    assert list_names(inbox) == READY
    assert list_names(inbox / "finished") == ["4.yaml", "6.yaml"]
    assert list_names(inbox.parent / "cards") == ["4.pdf", "6.pdf"]


PROGRAM = """
import sys
from types import SimpleNamespace
from typing import Any
from fillcards.batch import watch
watch.LOOK_EVERY_S = 0.01
watch.place_regimen = lambda regimen, _: SimpleNamespace(regimen=regimen, problems=())
watch.write_pages = lambda made, _: (b"%PDF-stand-in " + made.regimen.text.encode(),)
from fillcards.cli import main
sys.exit(main(sys.argv[1:], sys.stdin, sys.stdout, sys.stderr))
"""


def test_kills_lose_and_double_nothing(inbox: Path) -> None:
    """Twelve files, one of them bad, and the process killed after every third: all come out, each once."""
    for number in range(2, 24, 2):
        (inbox / f"{number:02}.yaml").write_text(vary(number), encoding="utf-8")
    (inbox / "bad.yaml").write_text("fillcards: 1\n", encoding="utf-8")
    cards = inbox.parent / "cards"
    command = [sys.executable, "-c", PROGRAM, "batch", "--watch", str(inbox), "-o", str(cards), "--json"]
    while any(inbox.glob("*.yaml")):
        with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as process:
            assert process.stdout is not None
            for _ in range(3):
                if not any(inbox.glob("*.yaml")):
                    break
                assert json.loads(process.stdout.readline())["name"].endswith(".yaml")
            process.send_signal(signal.SIGKILL)
    names = [f"{number:02}" for number in range(2, 24, 2)]
    assert list_names(inbox / "finished") == [f"{name}.yaml" for name in names]
    assert list_names(cards) == [f"{name}.pdf" for name in names]
    assert list_names(inbox / "refused") == ["bad.yaml", "bad.yaml.reasons.txt"]


def test_a_broken_printer_stops_the_watch_and_loses_nothing(inbox: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The file stays in the inbox until its card is printed; then it is, once."""
    monkeypatch.setattr("fillcards.batch.printing.list_print_jobs", lambda *_: [SimpleNamespace(first=1, last=2)])
    sent: list[bytes] = []

    def send(pdf: bytes, *_: object) -> tuple[str]:
        if not sent:
            sent.append(b"")
            raise OutputError("no paper")
        sent.append(pdf)
        return ("taken",)

    monkeypatch.setattr("fillcards.batch.printing.print_jobs", send)
    (inbox / "one.yaml").write_text(MIXED, encoding="utf-8")
    with pytest.raises(OutputError, match="no paper"):
        watch(inbox, printer="")
    assert list_names(inbox) == ["finished", "one.yaml", "refused"]
    watch(inbox, printer="")
    assert list_names(inbox) == READY
    assert len(sent) == 2


@pytest.mark.parametrize(
    ("arguments", "code", "words"),
    [
        (("inbox", "-o", "inbox"), 2, "name another after -o"),
        (("inbox", "-o", "cards", "--one-file"), 2, "--one-file is of no use with --watch"),
        (("inbox", "-o", "cards", "--processes", "2"), 2, "--processes is of no use with --watch"),
        (("nowhere", "-o", "cards"), 3, "is not a folder"),
    ],
)
def test_what_does_not_go_with_it_is_told(
    inbox: Path, monkeypatch: pytest.MonkeyPatch, arguments: tuple[str, ...], code: int, words: str
) -> None:
    """Before anything is touched."""
    monkeypatch.chdir(inbox.parent)
    ran = run_program("batch", "--watch", *arguments)
    assert ran.code == code
    assert words in ran.err
    assert list_names(inbox) == []
