"""``make --print``: what the system's ``lp`` is asked for. A stand-in for ``lp`` keeps what it is called with.

Names of options: RFC 8011 (sides, page-ranges), PWG 5100.13 (print-scaling), PWG 5101.1 (papers).
"""

from __future__ import annotations

import io
import json
import shutil
from pathlib import Path

import pikepdf
import pypdf
import pytest
from support.printers import Printed, install_lp, list_printed, release_text
from support.program import Ran, run_program
from support.regimen_texts import MIXED, change_text

pytestmark = pytest.mark.usefixtures("ready_cards")


@pytest.fixture
def printer(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The only program on the path is the stand-in for ``lp``."""
    folder = install_lp(tmp_path / "bin")
    monkeypatch.setenv("PATH", str(folder))
    return folder


def make(tmp_path: Path, *arguments: str | Path, text: str = MIXED, is_released: bool = True) -> Ran:
    """Make a card from a regimen's text, checked if so wanted."""
    regimen = tmp_path / "regimen.yaml"
    regimen.write_text(release_text(text) if is_released else text, encoding="utf-8")
    return run_program("make", regimen, *arguments)


def read_sides(job: Printed) -> list[str]:
    """The words of every side that comes out of the printer, by a library that did not write them."""
    first, last = map(int, job.options["page-ranges"].split("-"))
    return [page.extract_text() for page in pypdf.PdfReader(io.BytesIO(job.pdf)).pages[first - 1 : last]]


def test_a_card_is_two_jobs(tmp_path: Path, printer: Path) -> None:
    """The patient's sides on both sides of the paper, the staff sheet by itself; together they are the whole file."""
    ran = make(tmp_path, "--print")
    assert ran.code == 0, ran.err
    patient, staff = list_printed(printer)
    assert all("For staff" not in side for side in read_sides(patient))
    assert all("For staff" in side for side in read_sides(staff))
    assert len(read_sides(patient)) % 2 == 0
    with pikepdf.open(io.BytesIO(patient.pdf)) as document:
        assert len(read_sides(patient)) + len(read_sides(staff)) == len(document.pages)


def test_a_job_is_in_true_size_along_the_long_edge(tmp_path: Path, printer: Path) -> None:
    """Never scaled, never several on a page, whatever the printer's own settings are; the paper is the file's."""
    make(tmp_path, "--print")
    for job in list_printed(printer):
        assert job.options["print-scaling"] == "none"
        assert job.options["number-up"] == "1"
        assert job.options["sides"] == "two-sided-long-edge"
        assert job.options["media"] == "na_letter_8.5x11in"


def test_a_setting_of_the_queue_leaves_out_and_turns_round_nothing(tmp_path: Path, printer: Path) -> None:
    """Each is said, since a queue set to odd sides or booklets does so wherever a job is silent (lp(1), ``lpoptions``).

    Seen on a real queue: of a card of six sides three came out, or two on a side.
    """
    make(tmp_path, "--print")
    for job in list_printed(printer):
        told = {name: job.options.get(name) for name in ("page-set", "booklet", "mirror", "page-border")}
        assert told == {"page-set": "all", "booklet": "false", "mirror": "false", "page-border": "none"}


def test_the_printed_bytes_are_those_that_are_written(tmp_path: Path, printer: Path) -> None:
    """What passed its gates goes to the printer as it is, and into the file."""
    out = tmp_path / "card.pdf"
    assert make(tmp_path, "--print", "-o", out).code == 0
    assert {job.pdf for job in list_printed(printer)} == {out.read_bytes()}


def test_what_is_only_printed_leaves_no_file(tmp_path: Path, printer: Path) -> None:
    """Without ``-o`` nothing of a patient stays behind; each job is told with what the system called it."""
    ran = make(tmp_path, "--print")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["bin", "regimen.yaml"]
    assert "printed    the patient's sides (request id is office-1" in ran.out
    assert "printed    the staff sheet (request id is office-2" in ran.out
    assert len(list_printed(printer)) == 2


def test_the_queue_shows_no_name(tmp_path: Path, printer: Path) -> None:
    """A job is called by its card code: whoever stands at the printer learns no patient's name from its display."""
    make(tmp_path, "--print")
    for job in list_printed(printer):
        assert "Juniper" not in " ".join(job.words)
        assert "Fill card " in job.words[job.words.index("-t") + 1]


def test_a_named_printer_is_asked(tmp_path: Path, printer: Path) -> None:
    """By ``-d``; without a name the system's own printer."""
    make(tmp_path, "--print", "room-3")
    make(tmp_path, "--print")
    named, _, unnamed, _ = list_printed(printer)
    assert named.words[:2] == ("-d", "room-3")
    assert "-d" not in unnamed.words


@pytest.mark.parametrize(
    ("more", "sides"), [((), "two-sided-long-edge"), (("--one-sided",), "one-sided")], ids=["card", "label"]
)
def test_small_cards_are_one_job(tmp_path: Path, printer: Path, more: tuple[str, ...], sides: str) -> None:
    """No staff sheet; on label stock one-sided; on paper of the card's own size."""
    assert make(tmp_path, "--as", "small", "--size", "a6", *more, "--print").code == 0
    (job,) = list_printed(printer)
    assert job.options["sides"] == sides
    assert job.options["media"] == "iso_a6_105x148mm"


def test_raised_pages_have_no_back(tmp_path: Path, printer: Path) -> None:
    """Swell paper is printed on one side."""
    assert make(tmp_path, "--as", "raised", "--print").code == 0
    (job,) = list_printed(printer)
    assert job.options["sides"] == "one-sided"


def test_the_answers_of_a_practice_sheet_are_a_job_of_their_own(tmp_path: Path, printer: Path) -> None:
    """The patient is handed what comes out first; together the jobs are the whole file, and both are told."""
    ran = make(tmp_path, "--as", "teaching", "--print")
    assert ran.code == 0, ran.err
    patient, staff = list_printed(printer)
    assert all("answers" not in side.casefold() for side in read_sides(patient))
    assert all("answers" in side.casefold() for side in read_sides(staff))
    assert "printed    the answers, for staff (request id is office-2" in ran.out
    with pikepdf.open(io.BytesIO(patient.pdf)) as document:
        assert len(read_sides(patient)) + len(read_sides(staff)) == len(document.pages)


def test_a_log_is_one_job(tmp_path: Path, printer: Path) -> None:
    """All of it is the patient's."""
    assert make(tmp_path, "--as", "log", "--print").code == 0
    (job,) = list_printed(printer)
    with pikepdf.open(io.BytesIO(job.pdf)) as document:
        assert len(read_sides(job)) == len(document.pages)


def test_a_deck_lies_on_the_same_paper(tmp_path: Path, printer: Path) -> None:
    """Sides that lie down are on the paper that stands, and the staff sheet is still a job of its own."""
    text = change_text(MIXED, ("  name: Juniper Testcase", "  name: Juniper Testcase\n  text_size: 48 pt"))
    assert make(tmp_path, "--print", text=text).code == 0
    patient, staff = list_printed(printer)
    assert patient.options["media"] == staff.options["media"] == "na_letter_8.5x11in"
    assert all("For staff" in side for side in read_sides(staff))


def test_an_unchecked_card_is_not_printed(tmp_path: Path, printer: Path) -> None:
    """Exit code 1 and why; no job."""
    ran = make(tmp_path, "--print", is_released=False)
    assert ran.code == 1
    assert "CHECK-" in ran.err
    assert list_printed(printer) == []


def test_a_sample_is_not_printed(tmp_path: Path, printer: Path) -> None:
    """A sample is for nobody."""
    ran = make(tmp_path, "--print", text=f"{MIXED}sample: true\n")
    assert ran.code == 1
    assert "RELEASE-001" in ran.err
    assert list_printed(printer) == []


def test_without_lp_nothing_is_made(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Exit code 3, before the card is made: what is missing, and what to do."""
    monkeypatch.setenv("PATH", str(tmp_path / "empty"))
    out = tmp_path / "card.pdf"
    ran = make(tmp_path, "--print", "-o", out)
    assert ran.code == 3
    assert "program lp" in ran.err
    assert "actual size (100 %)" in ran.err
    assert not out.exists()


def test_a_printer_that_does_not_exist_is_told(tmp_path: Path, printer: Path) -> None:
    """Exit code 3, which printer, in the system's own words; the file that was asked for is there."""
    out = tmp_path / "card.pdf"
    ran = make(tmp_path, "--print", "nowhere", "-o", out)
    assert ran.code == 3
    assert 'not printed on printer "nowhere": lp: Error - The printer or class does not exist.' in ran.err
    assert f"{out} is written" in ran.err
    assert out.exists()
    assert list_printed(printer) == []


def test_a_job_that_was_sent_before_a_failure_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The patient's sides are on their way when the staff sheet is not taken."""
    monkeypatch.setenv("PATH", str(install_lp(tmp_path / "bin", most=1)))
    ran = make(tmp_path, "--print")
    assert ran.code == 3
    assert "the staff sheet not printed" in ran.err
    assert "already sent: the patient's sides (request id is office-1" in ran.err


@pytest.mark.skipif(shutil.which("lp") is None, reason="this system has no lp")
def test_the_systems_own_lp_tells_of_a_printer_that_is_not_there(tmp_path: Path) -> None:
    """The real program, asked for a printer that nobody has."""
    ran = make(tmp_path, "--print", "fillcards-no-such-printer")
    assert ran.code == 3
    assert 'the patient\'s sides not printed on printer "fillcards-no-such-printer": lp: ' in ran.err


def test_the_answer_for_programs_has_the_jobs(tmp_path: Path, printer: Path) -> None:
    """``--json``."""
    ran = make(tmp_path, "--json", "--print")
    assert json.loads(ran.out)["printed"][1].startswith("the staff sheet (request id is office-2")
    assert len(list_printed(printer)) == 2


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("make", "--print", "regimen.yaml"), "write --print after the file"),
        (("make", "regimen.yaml", "--print", "-o", "card.html"), "--print prints a PDF"),
        (("make", "regimen.yaml"), "name the card after -o, or print it with --print"),
    ],
)
def test_wrong_usage_is_told(arguments: tuple[str, ...], words: str, printer: Path) -> None:
    """Exit code 2."""
    ran = run_program(*arguments)
    assert ran.code == 2
    assert words in ran.err
    assert list_printed(printer) == []
