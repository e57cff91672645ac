"""``batch --watch`` by the program itself, with real cards, until it is stopped from the keyboard."""

from __future__ import annotations

from pathlib import Path
from threading import Event

import pytest
from support.printers import install_lp, list_printed, release_text
from support.program import Ran, run_program
from support.regimen_texts import MIXED

pytestmark = pytest.mark.usefixtures("ready_cards")


def watch(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, *more: str | Path) -> Ran:
    """Two looks, then Ctrl+C."""
    looks: list[float] = []

    def wait(_: Event, timeout: float | None = None) -> bool:
        looks.append(timeout or 0.0)
        if len(looks) == 2:
            raise KeyboardInterrupt
        return False

    monkeypatch.setattr(Event, "wait", wait)
    return run_program("batch", "--watch", tmp_path / "inbox", "-o", tmp_path / "cards", *more)


def test_a_card_and_a_refusal(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A line for each file; the end is that of every program that is stopped from the keyboard."""
    inbox = tmp_path / "inbox"
    inbox.mkdir()
    (inbox / "good.yaml").write_text(MIXED, encoding="utf-8")
    (inbox / "wrong.yaml").write_text("fillcards: 2\n", encoding="utf-8")
    ran = watch(tmp_path, monkeypatch)
    assert ran.code == 130
    assert "nothing is lost" in ran.err
    assert f"good.yaml: made {tmp_path / 'cards' / 'good.pdf'}, card code " in ran.out
    assert f"wrong.yaml: set apart; reasons: {inbox / 'refused' / 'wrong.yaml.reasons.txt'}" in ran.out
    assert (tmp_path / "cards" / "good.pdf").read_bytes().startswith(b"%PDF-")


def test_a_released_card_is_printed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Two jobs for the checked one; the other is set apart for want of a check."""
    printer = install_lp(tmp_path / "bin")
    monkeypatch.setenv("PATH", str(printer))
    inbox = tmp_path / "inbox"
    inbox.mkdir()
    (inbox / "checked.yaml").write_text(release_text(MIXED), encoding="utf-8")
    (inbox / "open.yaml").write_text(MIXED, encoding="utf-8")
    ran = watch(tmp_path, monkeypatch, "--print")
    assert "open.yaml: set apart" in ran.out
    assert "CHECK-" in ran.out
    assert {job.pdf for job in list_printed(printer)} == {(tmp_path / "cards" / "checked.pdf").read_bytes()}
    assert len(list_printed(printer)) == 2
    assert ", printed\n" in ran.out
    (inbox / "checked.yaml").write_text(release_text(MIXED), encoding="utf-8")
    ran = watch(tmp_path, monkeypatch, "--print")
    assert "not printed again: it was before (fillcards-printed.jsonl)" in ran.out
    assert len(list_printed(printer)) == 2
