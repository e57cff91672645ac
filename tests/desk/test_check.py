"""From the writer to the patient without a browser: who may check, what is kept of it, and what is sent twice."""

from __future__ import annotations

import subprocess
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from support.desks import PASSPHRASE, TODAY, OpenDesk, Visitor, make_card, share_process
from support.prescriptions import build_dosage, build_request, write_json

from fillcards.desk.drafts import Stage, follow_drafts, number_of
from fillcards.desk.writing import write_check
from fillcards.regimen.fingerprint import compute_card_code, is_checked
from fillcards.regimen.schema import read_regimen
from fillcards.register import Event, Register, list_cards

FILE = number_of("card.yaml")
ENTRY = {
    "name": "Sample Person",
    "born": "1951-05-12",
    "count": "1",
    "fill-1-when": "at bedtime",
    "fill-1-days": "every day",
    "fill-1-dose-1": "62 units",
    "fill-1-medicine-1": "insulin glargine",
    "fill-1-no-minutes": "yes",
    "fill-1-route": "under the skin",
    "scale": "U-100",
    "last": "100",
    "label-1": "insulin glargine",
    "strength-1": "100 units/mL",
}


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[OpenDesk]:
    """With one card, ready to be handed over."""
    (tmp_path / "card.yaml").write_text(make_card(), encoding="utf-8")
    with share_process(tmp_path) as running:
        yield running


def sign_on(desk: OpenDesk, *names: str) -> list[Visitor]:
    """A window for each; the first adds the others."""
    visitors = [Visitor(desk) for _ in names]
    visitors[0].sign_on(names[0])
    for visitor, name in zip(visitors[1:], names[1:], strict=True):
        visitors[0].add_person(name)
        visitor.sign_on(name)
    return visitors


def read_register(desk: OpenDesk) -> Register:
    """Its lines."""
    return Register(desk.folder / "fillcards-register.sqlite3")


def count(desk: OpenDesk, event: Event) -> int:
    """How many lines tell of that."""
    return sum(line.event is event for line in read_register(desk).read())


def test_two_differences_ask_for_a_third_person(desk: OpenDesk) -> None:
    """Each is kept with both entries; a reason comes before the next; then neither of the two may check."""
    anna, ben, cleo = sign_on(desk, "Anna Writer", "Ben Checker", "Cleo Third")
    for number in (1, 2):
        assert anna.post(f"/write/{FILE}/hand", reason="looked again").headers["location"].endswith("/check")
        answer = ben.post(f"/check/{FILE}", **ENTRY | {"fill-1-dose-1": "6 units"})
        assert "Something differs" in answer.text
        assert "unit" not in answer.text
        assert "does not wait" in ben.post(f"/check/{FILE}", **ENTRY).text
        assert count(desk, Event.DIFFERED) == number
        assert anna.post(f"/write/{FILE}/hand").headers["location"].endswith("#reason")
    anna.post(f"/write/{FILE}/hand", reason="looked again")
    assert "a third person" in ben.get("/check").text
    assert "a third person" in ben.get(f"/check/{FILE}").text
    assert "does not wait for your check" in ben.post(f"/check/{FILE}", **ENTRY).text
    assert cleo.post(f"/check/{FILE}", **ENTRY).headers["location"].endswith(f"/look/{FILE}")
    kept = [line.details for line in read_register(desk).read() if line.event is Event.DIFFERED]
    assert "six units of insulin glargine" in kept[0]["typed"][1]
    assert "sixty-two units of insulin glargine" in kept[0]["file"][1]


def test_nothing_is_done_twice_or_by_the_wrong_person(desk: OpenDesk) -> None:
    """Handed, compared, looked through, given: each once, however often it is sent, and none without a passphrase."""
    anna, ben = sign_on(desk, "Anna Writer", "Ben Checker")
    for _ in range(2):
        anna.post(f"/write/{FILE}/hand")
    assert count(desk, Event.HANDED) == 1
    assert "You wrote this draft" in anna.get(f"/check/{FILE}").text
    assert "only its writer can open it" in ben.get(f"/write/{FILE}").text
    assert "insulin" in anna.get(f"/write/{FILE}").text
    for _ in range(2):
        ben.post(f"/check/{FILE}", **ENTRY)
    assert (count(desk, Event.AGREED), count(desk, Event.DIFFERED)) == (1, 0)
    assert "nothing to look through" in anna.get(f"/look/{FILE}").text
    assert anna.get(f"/look/{FILE}/1.svg").status == 404
    assert "Not to be given" in anna.get(f"/give/{FILE}").text
    assert ben.get(f"/look/{FILE}").text.count("<img") == 6
    assert ben.get(f"/look/{FILE}/6.svg").body.startswith(b"<?xml")
    assert ben.post(f"/look/{FILE}", passphrase="three wrong words").status == 403
    for _ in range(2):
        ben.post(f"/look/{FILE}", passphrase=PASSPHRASE)
    assert count(desk, Event.CHECKED) == 1
    assert "Any change makes its check void" in anna.get(f"/write/{FILE}").text
    assert "Hand to the second person" in anna.get(f"/write/{FILE}?anyway=1").text
    text = (desk.folder / "card.yaml").read_text(encoding="utf-8")
    review = read_regimen(text).review
    assert (review.prepared_by, review.checked_by, review.checked_on) == ("Anna Writer", "Ben Checker", TODAY)
    assert is_checked(read_regimen(text))
    give = {"to": "the son", "ruler": "yes", "passphrase": PASSPHRASE}
    assert "Print the card first" in ben.post(f"/give/{FILE}", **give).text
    assert ben.get(f"/give/{FILE}/card.txt").status == 200
    assert "with a ruler" in ben.post(f"/give/{FILE}", **give | {"ruler": ""}).text
    for _ in range(2):
        ben.post(f"/give/{FILE}", **give)
    assert count(desk, Event.GIVEN) == 1
    (card,) = list_cards(read_register(desk).read())
    assert (card.now, card.check) == ("valid", "checked here by Ben Checker")
    pdf = desk.folder / "card.pdf"
    pdf.write_bytes(ben.get(f"/give/{FILE}/fridge.pdf").body)
    said = subprocess.run(["pdftotext", "-raw", pdf, "-"], capture_output=True, text=True, check=True).stdout
    assert "The check was done at the desk" in said
    assert f"line {len(read_register(desk).read()) - 1}," in said
    assert "begin the card that replaces it" in anna.get(f"/write/{FILE}").text
    assert "Hand to the second person" not in anna.get(f"/write/{FILE}?anyway=1").text
    assert anna.write(FILE, "patient.name", "Another Person", "Sample Person").status == 409
    newer = anna.post(f"/change/{FILE}").headers["location"]
    assert (
        f"The card {card.code}, which this one replaces: insulin glargine to line 62." in anna.send("GET", newer).text
    )
    assert anna.post(f"/change/{newer.rpartition('/')[2]}").status == 409
    ben.post(f"/card/{card.fingerprint}", what="ended", words="the dose was stopped", passphrase=PASSPHRASE)
    assert "It is not printed again" in ben.get(f"/give/{FILE}/card.txt").text


def test_a_change_takes_a_draft_back(desk: OpenDesk) -> None:
    """By a window, or by another program: what was handed over is no longer what would be checked."""
    anna, ben = sign_on(desk, "Anna Writer", "Ben Checker")
    anna.post(f"/write/{FILE}/hand")
    path = desk.folder / "card.yaml"
    path.write_text(path.read_text(encoding="utf-8").replace("62 units", "60 units"), encoding="utf-8")
    assert (
        "changed after it was handed over" in ben.post(f"/check/{FILE}", **ENTRY | {"fill-1-dose-1": "60 units"}).text
    )
    assert count(desk, Event.AGREED) == 0
    anna.get(f"/write/{FILE}")
    anna.write(FILE, "fills[1].draw.glargine", "61 units", "60 units")
    assert follow_drafts(read_register(desk).read())["card.yaml"].stage is Stage.WRITING


def test_a_check_typed_into_the_file_is_stated_not_done_here(desk: OpenDesk) -> None:
    """It may be printed; the register and the page say whose word it is."""
    (anna,) = sign_on(desk, "Anna Writer")
    path = desk.folder / "card.yaml"
    text = path.read_text(encoding="utf-8")
    code = compute_card_code(read_regimen(text))
    path.write_text(write_check(text, "Anna Writer", "Dora Elsewhere", TODAY, code), encoding="utf-8")
    assert "Check by Dora Elsewhere stated in the file" in anna.get(f"/give/{FILE}").text
    assert anna.get(f"/give/{FILE}/card.txt").status == 200
    (card,) = list_cards(read_register(desk).read())
    assert card.check == "check by Dora Elsewhere stated in the file"


def test_many_may_print_at_once(desk: OpenDesk) -> None:
    """Two windows and a browser that loads twice: each gets the whole card, and each print its line."""
    (anna,) = sign_on(desk, "Anna Writer")
    path = desk.folder / "card.yaml"
    text = path.read_text(encoding="utf-8")
    code = compute_card_code(read_regimen(text))
    path.write_text(write_check(text, "Anna Writer", "Dora Elsewhere", TODAY, code), encoding="utf-8")
    with ThreadPoolExecutor(6) as pool:
        names = ("fridge.pdf", "card.txt", "fridge.pdf", "log.pdf", "card.html", "practice.pdf")
        answers = list(pool.map(lambda name: anna.get(f"/give/{FILE}/{name}"), names))
    assert [answer.status for answer in answers] == [200] * 6
    assert count(desk, Event.MADE) == 4
    assert read_register(desk).find_fault() is None


def test_what_nobody_answered_is_not_handed_over(desk: OpenDesk) -> None:
    """No day is pressed and no word of the label is there: the file may leave both out, the desk may not."""
    (anna,) = sign_on(desk, "Anna Writer")
    path = desk.folder / "card.yaml"
    text = path.read_text(encoding="utf-8")
    for line in ("    days: every day\n", "    on_the_label: insulin glargine\n"):
        assert line in text
        path.write_text(text.replace(line, ""), encoding="utf-8")
        assert "1 to settle first" in anna.get(f"/write/{FILE}").text
        assert anna.post(f"/write/{FILE}/hand").headers["location"].endswith(f"/write/{FILE}")
    assert count(desk, Event.HANDED) == 0


def test_what_the_file_cannot_hold_is_a_problem(desk: OpenDesk) -> None:
    """One vial twice in a syringe: told as a problem under its sentence, and the file stays as it was."""
    (anna,) = sign_on(desk, "Anna Writer")
    before = (desk.folder / "card.yaml").read_text(encoding="utf-8")
    answer = anna.write(FILE, "fills[1].draw/1", "glargine").json()
    assert "Problem: this cannot be put into the file" in answer["boxes"]["fills[1]"]
    assert not answer["saved"]
    assert (desk.folder / "card.yaml").read_text(encoding="utf-8") == before


def test_slips_do_not_count(desk: OpenDesk) -> None:
    """A form that cannot be read is shown again with what was typed, and is no submission."""
    anna, ben = sign_on(desk, "Anna Writer", "Ben Checker")
    anna.post(f"/write/{FILE}/hand")
    answer = ben.post(f"/check/{FILE}", **ENTRY | {"fill-1-dose-1": "62"})
    assert "an amount with its unit" in answer.text
    assert 'value="at bedtime"' in answer.text
    assert count(desk, Event.DIFFERED) == 0
    assert ben.post(f"/check/{FILE}", **ENTRY).headers["location"].endswith(f"/look/{FILE}")


def test_a_prescription_file_becomes_a_draft(desk: OpenDesk) -> None:
    """What was understood stands in it, what was not is blank and told; what is no prescription leaves nothing."""
    (anna,) = sign_on(desk, "Anna Writer")
    before = set(desk.folder.glob("*.yaml"))
    answer = anna.send("POST", f"{anna.base}/prescription", b"not a prescription", Accept="application/json")
    assert (answer.status, set(desk.folder.glob("*.yaml"))) == (409, before)
    request = build_request("insulin aspart", build_dosage(7))
    answer = anna.send("POST", f"{anna.base}/prescription", write_json(request), Accept="application/json")
    assert answer.status == 200, answer.text
    page = anna.send("GET", answer.json()["go"])
    assert 'value="7 units"' in page.text
    (path,) = set(desk.folder.glob("*.yaml")) - before
    assert path.name not in answer.json()["boxes"]
    assert "insulin aspart" in path.read_text(encoding="utf-8")
