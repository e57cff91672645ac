"""The print jobs of a run: in the roster's order, each once, whatever stops it. A stand-in for ``lp`` keeps them."""

from __future__ import annotations

import datetime
import fcntl
import json
from pathlib import Path
from typing import Any

import pytest
from support.batches import InlinePool, list_cards
from support.printers import install_lp, list_printed, release_text
from support.program import Ran, run_program
from support.regimen_texts import MIXED, change_text

from fillcards.output.printer import print_jobs
from fillcards.verbs import batch

pytestmark = pytest.mark.usefixtures("ready_cards")


@pytest.fixture
def inbox(tmp_path: Path) -> Path:
    """Three regimens: two that are checked, one that is not."""
    folder = tmp_path / "regimens"
    folder.mkdir()
    for number, dose in enumerate((4, 6), start=1):
        name = ("Juniper Testcase", f"{('Alder', 'Rowan')[number - 1]} Testcase")
        text = change_text(MIXED, ("clear: 8 units", f"clear: {dose} units"), name)
        (folder / f"{number}.yaml").write_text(release_text(text), encoding="utf-8")
    (folder / "3.yaml").write_text(MIXED, encoding="utf-8")
    return folder


def run(folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, *more: str) -> Ran:
    """The program with the stand-ins, small cards on paper of their own."""
    monkeypatch.setattr(batch, "_open_pool", lambda _: InlinePool())
    form = ("--as", "small", "--size", "a5")
    return run_program("batch", folder, "-o", tmp_path / "cards", *form, "--print", *more)


def test_released_cards_are_printed_in_order(inbox: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Two jobs; the card that nobody has checked is refused with its reason, and exit code 1 says so."""
    printer = install_lp(tmp_path / "bin")
    monkeypatch.setenv("PATH", str(printer))
    ran = run(inbox, tmp_path, monkeypatch)
    assert ran.code == 1
    assert "CHECK-" in ran.err
    assert "print jobs: 2 sent" in ran.out
    cards = [list_cards(tmp_path / "cards")[f"row-{number:06}.pdf"] for number in (1, 2)]
    assert [job.pdf for job in list_printed(printer)] == cards


def test_a_run_that_was_stopped_goes_on(inbox: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The printer takes one job and then none: exit code 3; once it works again the other one is sent, none twice."""
    broken, mended = install_lp(tmp_path / "bin", most=1), install_lp(tmp_path / "bin2")
    monkeypatch.setenv("PATH", str(broken))
    ran = run(inbox, tmp_path, monkeypatch)
    assert ran.code == 3
    assert "row-000002.pdf: the patient's sides not printed" in ran.err
    assert "1 job sent before it" in ran.err
    assert "3 prescriptions: 2 made" in ran.out
    monkeypatch.setenv("PATH", str(mended))
    ran = run(inbox, tmp_path, monkeypatch, "--json")
    assert json.loads(ran.out)["print_jobs"] == {"jobs": 1, "before": 1, "perhaps_twice": []}
    assert list_printed(broken)[0].pdf != list_printed(mended)[0].pdf
    assert len(list_printed(mended)) == 1


def test_a_job_that_may_have_been_taken_is_sent_and_told(
    inbox: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Stopped after the queue has taken it and before its line: better a sheet twice than none, and somebody looks."""
    printer = install_lp(tmp_path / "bin")
    monkeypatch.setenv("PATH", str(printer))

    def stop(*asked: Any) -> tuple[str, ...]:
        print_jobs(*asked)
        raise KeyboardInterrupt

    with monkeypatch.context() as stopped:
        stopped.setattr("fillcards.batch.printing.print_jobs", stop)
        run(inbox, tmp_path, monkeypatch)
    assert len(list_printed(printer)) == 1
    ran = run(inbox, tmp_path, monkeypatch)
    assert "print jobs: 2 sent" in ran.out
    assert "perhaps printed twice, since a run was stopped while it printed: row-000001.pdf" in ran.err
    assert "perhaps" not in run(inbox, tmp_path, monkeypatch).err


def test_a_check_of_another_day_prints_no_card_anew(
    inbox: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As after midnight: the day of the check stands on each side, and the card is the one that was printed."""
    printer = install_lp(tmp_path / "bin")
    monkeypatch.setenv("PATH", str(printer))
    run(inbox, tmp_path, monkeypatch)
    for path in inbox.iterdir():
        text = path.read_text(encoding="utf-8")
        path.write_text(text.replace("checked_on: 2026-11-26", "checked_on: 2026-11-27"), encoding="utf-8")
    ran = run(inbox, tmp_path, monkeypatch)
    assert "0 sent; 2 sent by an earlier run" in ran.out
    assert len(list((tmp_path / "cards").glob("2*"))) == 2


def test_words_that_changed_since_are_not_printed(inbox: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Between the cards and the printer: exit code 3, and no job is sent."""
    printer = install_lp(tmp_path / "bin")
    monkeypatch.setenv("PATH", str(printer))
    monkeypatch.setattr("fillcards.batch.printing.hash_all_words", lambda: "other words")
    ran = run(inbox, tmp_path, monkeypatch)
    assert ran.code == 3
    assert "row-000001.pdf: not printed, nor what follows it: the words of cards changed" in ran.err
    assert list_printed(printer) == []


def test_a_torn_line_is_printed_again(inbox: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What a kill left half written says nothing: better a sheet twice than none."""
    printer = install_lp(tmp_path / "bin")
    monkeypatch.setenv("PATH", str(printer))
    run(inbox, tmp_path, monkeypatch)
    kept = tmp_path / "cards" / "fillcards-printed.jsonl"
    kept.write_bytes(kept.read_bytes()[:-10])
    assert "1 sent; 1 sent by an earlier run" in run(inbox, tmp_path, monkeypatch).out
    assert "0 sent; 2 sent by an earlier run" in run(inbox, tmp_path, monkeypatch).out


def test_what_was_sent_names_nobody(inbox: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """File, code and the queue's answer."""
    monkeypatch.setenv("PATH", str(install_lp(tmp_path / "bin")))
    run(inbox, tmp_path, monkeypatch)
    lines = (tmp_path / "cards" / "fillcards-printed.jsonl").read_text(encoding="utf-8")
    assert "Juniper" not in lines
    assert lines.count("request id is office-") == 2


def test_a_list_of_jobs_that_is_none_is_refused(inbox: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Exit code 3: nobody guesses what was printed."""
    printer = install_lp(tmp_path / "bin")
    monkeypatch.setenv("PATH", str(printer))
    (tmp_path / "cards").mkdir()
    (tmp_path / "cards" / "fillcards-printed.jsonl").write_text("printed: all\n", encoding="utf-8")
    ran = run(inbox, tmp_path, monkeypatch)
    assert ran.code == 3
    assert "does not say what was printed" in ran.err
    assert list_printed(printer) == []


def test_a_vial_past_its_day_is_not_printed_on_the_next(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A card that was released on an earlier day is asked about again: its vial may not be used any more."""
    printer = install_lp(tmp_path / "bin", most=0)
    monkeypatch.setenv("PATH", str(printer))
    folder = tmp_path / "regimens"
    folder.mkdir()
    opened = ("kind: insulin isophane\n", "kind: insulin isophane\n    opened: 2026-11-02\n    use_within: 28 days\n")
    (folder / "1.yaml").write_text(release_text(change_text(MIXED, opened)), encoding="utf-8")
    assert run(folder, tmp_path, monkeypatch).code == 3
    assert list(list_cards(tmp_path / "cards")) == ["row-000001.pdf"]
    for module in ("arguments", "batch"):
        monkeypatch.setattr(f"fillcards.verbs.{module}.find_today", lambda: datetime.date(2026, 11, 30))
    ran = run(folder, tmp_path, monkeypatch)
    assert ran.code == 1
    assert "RELEASE-005" in ran.err


def test_without_lp_no_card_is_made(inbox: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Exit code 3 before anything is begun."""
    monkeypatch.setenv("PATH", str(tmp_path / "empty"))
    ran = run(inbox, tmp_path, monkeypatch)
    assert ran.code == 3
    assert "program lp" in ran.err
    assert not (tmp_path / "cards").exists()


def test_one_run_prints_at_a_time(inbox: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """While another run holds the list of jobs nothing is sent: exit code 3."""
    printer = install_lp(tmp_path / "bin")
    monkeypatch.setenv("PATH", str(printer))
    (tmp_path / "cards").mkdir()
    with (tmp_path / "cards" / "fillcards-printed.jsonl").open("ab") as held:
        fcntl.flock(held, fcntl.LOCK_EX)
        ran = run(inbox, tmp_path, monkeypatch)
    assert ran.code == 3
    assert "another run is printing" in ran.err
    assert list_printed(printer) == []
