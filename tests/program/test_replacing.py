"""``new --from`` and ``--replacing``: a card that replaces an older one."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from support.program import Ran, run_program
from support.regimen_texts import MIXED, change_text

from fillcards.regimen.fingerprint import compute_card_code, compute_fingerprint
from fillcards.regimen.schema import read_regimen
from fillcards.strict_yaml import TextMapping, TextScalar, read_tree

WEEK = "    days: [monday, tuesday, wednesday, thursday, friday]\n"
WEEKEND = "    days: [saturday, sunday]\n"
TWICE = change_text(
    MIXED,
    ("    draw: {clear: 8 units, cloudy: 18 units}", f"{WEEK}    draw: {{clear: 8 units, cloudy: 18 units}}"),
    ("before supper\n", f"before breakfast\n{WEEKEND}"),
    ("  date: 2026-11-25", "  prepared_by: 'A. O''Person'\n  checked_by: \"B. Other\"  # who\n  date: 2026-11-02"),
)


def write_newer(folder: Path, older: str = TWICE, *changes: tuple[str, str]) -> tuple[Path, Path]:
    """An older file, and the one that ``new --from`` makes of it, its date filled in and changed."""
    old, new = folder / "older.yaml", folder / "newer.yaml"
    old.write_text(older, encoding="utf-8")
    assert run_program("new", "--from", old, "-o", new).code == 0
    text = new.read_text(encoding="utf-8")
    new.write_text(change_text(text, ("  date:", "  date: 2026-11-25"), *changes), encoding="utf-8")
    return old, new


WEEKEND_DOSE = ("clear: 6 units", "clear: 7 units")


def test_a_new_file_is_the_older_one_with_its_review_blank(tmp_path: Path) -> None:
    """Doses and all else stay; who prepared and checked, when and for which code, has to be written anew."""
    old, new = write_newer(tmp_path)
    before = read_regimen(old.read_text(encoding="utf-8"))
    after = read_regimen(new.read_text(encoding="utf-8"))
    assert (after.fills, after.medicines, after.syringe) == (before.fills, before.medicines, before.syringe)
    assert (after.review.prepared_by, after.review.checked_by, after.review.checked_code) == (None, None, None)
    assert "# who" in new.read_text(encoding="utf-8")


def test_a_new_file_names_the_card_it_replaces(tmp_path: Path) -> None:
    """The whole fingerprint, the date, and each stop: 8 and 18 stop at 8 and 26, 6 and 12 at 6 and 18."""
    old, new = write_newer(tmp_path)
    said = read_regimen(new.read_text(encoding="utf-8")).replaces
    assert said is not None
    assert said.fingerprint == compute_fingerprint(read_regimen(old.read_text(encoding="utf-8")))
    assert str(said.dated) == "2026-11-02"
    assert [int(stop.line) for stop in said.stops] == [8, 26, 6, 18]


def test_a_new_file_is_refused_until_its_date_is_written(tmp_path: Path) -> None:
    """The older card's date is not the new card's."""
    old, new = tmp_path / "older.yaml", tmp_path / "newer.yaml"
    old.write_text(TWICE, encoding="utf-8")
    run_program("new", "--from", old, "-o", new)
    ran = run_program("check", new)
    assert (ran.code, "review.date" in ran.err) == (1, True)


def test_a_second_change_names_the_second_card(tmp_path: Path) -> None:
    """What the older file itself replaced is taken out: a card replaces one card."""
    _, second = write_newer(tmp_path, TWICE, WEEKEND_DOSE)
    third = tmp_path / "third.yaml"
    assert run_program("new", "--from", second, "-o", third).code == 0
    text = third.read_text(encoding="utf-8")
    assert text.count("replaces:") == 1
    assert compute_fingerprint(read_regimen(second.read_text(encoding="utf-8"))) in text


def test_a_sample_stays_a_sample(tmp_path: Path) -> None:
    """A copy of invented doses is invented."""
    _, new = write_newer(tmp_path, f"{TWICE}sample: true\n")
    assert read_regimen(new.read_text(encoding="utf-8")).is_sample


def test_a_file_in_braces_is_not_guessed_at(tmp_path: Path) -> None:
    """Where the program cannot put a key into the text it says so and writes nothing."""
    lines = [
        line for line in TWICE.splitlines() if not line.startswith(("review", "  prepared", "  checked", "  date"))
    ]
    old, new = tmp_path / "older.yaml", tmp_path / "newer.yaml"
    old.write_text("\n".join((*lines, "review: {date: 2026-11-02, checked_by: B.", "  Other}", "")), encoding="utf-8")
    ran = run_program("new", "--from", old, "-o", new)
    assert (ran.code, new.exists()) == (3, False)


def test_a_refused_older_file_is_copied_into_nothing(tmp_path: Path) -> None:
    """No card was made from it, so none can be replaced."""
    old, new = tmp_path / "older.yaml", tmp_path / "newer.yaml"
    old.write_text(TWICE.replace("clear: 8 units", "clear: 8"), encoding="utf-8")
    ran = run_program("new", "--from", old, "-o", new)
    assert (ran.code, new.exists()) == (1, False)
    assert ran.err.startswith(f"{old}:")


def make(new: Path, *more: str | Path) -> Ran:
    """The card of the new file as text."""
    return run_program("make", new, "-o", new.with_name("card.txt"), *more)


def test_two_fills_at_one_time_on_different_days_are_told_apart(tmp_path: Path) -> None:
    """An educator's commonest change: the weekend's dose alone; 7 and 12 make 19."""
    old, new = write_newer(tmp_path, TWICE, WEEKEND_DOSE)
    ran = make(new, "--replacing", old)
    assert ran.code == 0, ran.err
    assert "Saturday and Sunday, before breakfast: The lines are now 7, then 19. The lines were 6, then 18." in ran.out
    assert "Monday to Friday, before breakfast: Here the old card has the same lines." in ran.out


def test_a_check_tells_what_is_new(tmp_path: Path) -> None:
    """Whoever checks sees old and new lines before anything is printed."""
    old, new = write_newer(tmp_path, TWICE, WEEKEND_DOSE)
    line = "Saturday and Sunday, before breakfast: The lines are now 7, then 19. The lines were 6, then 18."
    assert f"  changed    {line}" in run_program("check", new, "--replacing", old).out
    assert line in json.loads(run_program("check", new, "--json").out)["files"][0]["changes"]


def test_an_exchanged_medicine_is_told_on_the_card(tmp_path: Path) -> None:
    """Under the same key and at the same lines stands another insulin."""
    _, new = write_newer(tmp_path, TWICE, ("kind: insulin regular", "kind: insulin glulisine"))
    assert make(new).code == 0
    card = new.with_name("card.txt").read_text(encoding="utf-8")
    assert "New: insulin glulisine, to line 8." in card
    assert "o change" not in card


@pytest.mark.parametrize("ending", ["pdf", "svg", "html", "txt", "brf"])
def test_no_option_alters_a_page(ending: str, tmp_path: Path) -> None:
    """With and without the older file beside it the card has the same bytes in every form."""
    old, new = write_newer(tmp_path, TWICE, WEEKEND_DOSE)
    folders = tmp_path / "one", tmp_path / "two"
    for folder, more in zip(folders, ((), ("--replacing", old)), strict=True):
        folder.mkdir()
        assert run_program("make", new, "-o", folder / f"card.{ending}", *more).code == 0
    one, two = ({path.name: path.read_bytes() for path in folder.iterdir()} for folder in folders)
    assert one == two


def test_a_card_tells_which_card_to_throw_away(tmp_path: Path) -> None:
    """The code is the older card's own, as its check printed it."""
    old, new = write_newer(tmp_path, TWICE, WEEKEND_DOSE)
    (answer,) = json.loads(run_program("check", "--json", old).out)["files"]
    make(new)
    card = new.with_name("card.txt").read_text(encoding="utf-8")
    assert f"Throw away card {answer['card_code']}." in card


def test_changes_are_told_to_programs(tmp_path: Path) -> None:
    """The same list as JSON."""
    _, new = write_newer(tmp_path, TWICE, WEEKEND_DOSE)
    changes = json.loads(make(new, "--json").out)["changes"]
    assert "Saturday and Sunday, before breakfast: The lines are now 7, then 19. The lines were 6, then 18." in changes


@pytest.mark.parametrize("verb", ["make", "check"])
@pytest.mark.parametrize(
    ("change", "code"),
    [
        (("Juniper Testcase", "Rowan Testcase"), "CHANGE-001"),
        (("clear: 6 units", "clear: 5 units"), "CHANGE-003"),
        (("date: 2026-11-02", "date: 2026-11-26"), "CHANGE-004"),
    ],
    ids=["another patient", "another card", "a newer card"],
)
def test_a_wrong_older_file_is_refused(change: tuple[str, str], code: str, verb: str, tmp_path: Path) -> None:
    """Another patient's, another card's or a newer file; the message names neither patient, and no card is made."""
    old, new = write_newer(tmp_path, TWICE, WEEKEND_DOSE)
    old.write_text(change_text(TWICE, change), encoding="utf-8")
    out = tmp_path / "card.pdf"
    ran = run_program(verb, new, "--replacing", old, *(("-o", out) if verb == "make" else ()))
    assert (ran.code, out.exists()) == (1, False)
    assert code in ran.err
    assert "Juniper" not in ran.err
    assert "Rowan" not in ran.err


def test_an_older_file_that_is_true_is_accepted(tmp_path: Path) -> None:
    """``check --replacing`` finds nothing where ``new --from`` wrote the file."""
    old, new = write_newer(tmp_path, TWICE, WEEKEND_DOSE)
    ran = run_program("check", new, "--replacing", old)
    assert (ran.code, "CHANGE" in ran.err) == (0, False)


def test_a_refused_older_file_is_named(tmp_path: Path) -> None:
    """A problem of the older file is told with the older file's name."""
    old, new = write_newer(tmp_path, TWICE, WEEKEND_DOSE)
    old.write_text(TWICE.replace("clear: 8 units", "clear: 8"), encoding="utf-8")
    ran = run_program("check", new, "--replacing", old)
    assert ran.code == 1
    assert ran.err.startswith(f"{old}:")


def test_a_new_file_has_no_value_left_in_its_review(tmp_path: Path) -> None:
    """Quoted in either way, with a doubled quote, or with a remark behind it."""
    old, new = tmp_path / "older.yaml", tmp_path / "newer.yaml"
    old.write_text(TWICE, encoding="utf-8")
    run_program("new", "--from", old, "-o", new)
    tree = read_tree(new.read_text(encoding="utf-8"))
    review = tree.find_value("review") if isinstance(tree, TextMapping) else None
    assert isinstance(review, TextMapping)
    assert [value.text for _, value in review.entries if isinstance(value, TextScalar)] == ["", "", ""]


@pytest.mark.parametrize(("code", "is_told"), [("AAAA", True), (None, False)])
def test_an_older_file_that_was_changed_since_its_check_is_told(
    tmp_path: Path, code: str | None, is_told: bool
) -> None:
    """The code on paper is the one that was checked; whether its lines are those of the file is for a person to see."""
    text = change_text(MIXED, ("  date: 2026-11-25\n", "  date: 2026-11-02\n"))
    old = tmp_path / "older.yaml"
    old.write_text(text, encoding="utf-8")
    own = code or compute_card_code(read_regimen(text))
    review = f"  prepared_by: A. Person\n  checked_by: B. Other\n  checked_on: 2026-11-02\n  checked_code: {own}\n"
    old.write_text(text + review, encoding="utf-8")
    ran = run_program("new", "--from", old, "-o", tmp_path / "newer.yaml")
    assert ran.code == 0
    assert (f"checked as {own}, and changed since" in ran.err) is is_told
