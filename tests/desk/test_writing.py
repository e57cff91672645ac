"""Leaving a blank: what goes into the file, and which earlier answers are void with it. And what is shown of it."""

from __future__ import annotations

import datetime
import re
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
import yaml

from fillcards.desk.blanks import DAY_WORDS, find_group, list_blanks, list_parts
from fillcards.desk.live import Look, draw, look_at
from fillcards.desk.text_edit import CannotEdit, Plain, find_plain, read_plain
from fillcards.desk.writing import NoSuchBlank, add_item, list_offers, remove_item, take_offer, write_blank, write_new
from fillcards.output.svg import write_svg
from fillcards.pipeline import place_regimen
from fillcards.problems import Severity
from fillcards.regimen import keys
from fillcards.regimen.model import ReplacedStop, Replaces
from fillcards.regimen.schema import read_regimen

STARTERS = sorted((Path(__file__).parents[2] / "templates_yaml").glob("*.yaml"))
TEXT = (Path(__file__).parents[2] / "templates_yaml" / "two-insulins-twice-a-day.yaml").read_text(encoding="utf-8")
TODAY = datetime.date(2025, 11, 26)
WORKDAYS = list(DAY_WORDS[:5])


def find(text: str, path: str) -> object:
    """What stands at a path of a text."""
    return find_plain(read_plain(text), path)


def list_codes(text: str) -> set[str]:
    """The codes of what refuses."""
    return {problem.code for problem in look_at(text, TODAY).problems if problem.severity is Severity.REFUSE}


@pytest.mark.parametrize("path", STARTERS, ids=lambda path: str(path.stem))
def test_every_value_of_every_starter_has_a_blank(path: Path) -> None:
    """But for the format, the sample's mark, and the check, which the desk writes itself."""
    tree = read_plain(path.read_text(encoding="utf-8"))
    blanks = list_blanks(list_parts(tree))
    labels = [blank.label for blank in blanks.values()]
    assert len(set(labels)) == len(labels)

    def walk(node: object, at: str) -> list[str]:
        if isinstance(node, dict):
            return [each for key, value in node.items() for each in walk(value, f"{at}.{key}" if at else key)]
        if isinstance(node, list) and node and not isinstance(node[0], str):
            return [each for number, value in enumerate(node, 1) for each in walk(value, f"{at}[{number}]")]
        return [at]

    own = {
        "fillcards",
        "sample",
        *(f"review.{key}" for key in ("prepared_by", "checked_by", "checked_on", "checked_code")),
    }
    syringe = {f"syringe.{key}" for key in ("scale", "capacity", "line_every", "numbered_every")}
    missing = [each for each in walk(tree, "") if each not in blanks and each not in own | syringe]
    assert missing == []


def test_every_key_of_the_format_has_a_blank() -> None:
    """A key that is added to the table of keys must get a place on the page."""
    medicine = {"kind": "other", "strength": "1 mg/mL"}
    text = write_new(TODAY)
    for key, value in medicine.items():
        text = write_blank(text, f"medicines.first.{key}", value)
    text = write_blank(write_blank(text, "syringe/row", "another"), "fills[1].days", WORKDAYS)
    text = write_blank(text, "fills[1].draw/0", "first")
    paths = {path.rpartition(".")[2].partition("/")[0] for path in list_blanks(list_parts(read_plain(text)))}
    of_person = (*keys.PATIENT_KEYS, *keys.PRINT_KEYS, *keys.SYRINGE_KEYS, *keys.MEDICINE_KEYS, *keys.FILL_KEYS)
    of_clinic = (*keys.CONTACT_KEYS, *keys.CLINIC_SAYS_KEYS, keys.NOTES, keys.PRESCRIPTION, keys.LANGUAGE)
    wanted = {key.name for key in (*of_person, *of_clinic)}
    assert wanted <= paths


def test_another_barrel_takes_all_its_numbers_and_no_old_length() -> None:
    """A length that was measured on the other barrel is not this one's."""
    text = write_blank(TEXT, "syringe/row", "3")
    assert find(text, "syringe") == {
        "scale": "U-100",
        "capacity": "1 mL",
        "line_every": "1 unit",
        "numbered_every": "10 units",
        "needle": "fixed",
    }


def test_nothing_is_chosen_in_a_new_file() -> None:
    """No barrel, no medicine, no time, no dose."""
    tree = read_plain(write_new(TODAY))
    blanks = list_blanks(list_parts(tree))
    filled = {path: blank.value for path, blank in blanks.items() if blank.value}
    assert set(filled) == {"patient.kind", "print.paper", "print.barrel", "fills[1].draw/0", "language", "review.date"}


def test_another_medicine_has_no_dose() -> None:
    """A dose belongs to its medicine; that a pair may be mixed was read on other labels."""
    text = add_item(TEXT, "medicine")
    text = write_blank(text, "medicines.isophane.mixing_checked_by", "Anna Writer")
    text = write_blank(text, "fills[1].draw/1", "first")
    assert find(text, "fills[1].draw") == {"regular": "11 units", "first": ""}
    assert find(text, "medicines.isophane.mixing_checked_by") is None
    with pytest.raises(CannotEdit):
        write_blank(TEXT, "fills[1].draw/1", "regular")


def test_days_without_a_medicine_are_asked_and_void_with_the_days() -> None:
    """The question comes with the days, is answered by choosing days, and is asked again once they change."""
    text = write_blank(write_blank(TEXT, "fills[1].days", WORKDAYS), "fills[2].days", WORKDAYS)
    assert "WHEN-004" in list_codes(text)
    for key in ("regular", "isophane"):
        assert f"medicines.{key}.none_on" in list_blanks(list_parts(read_plain(text)))
        text = write_blank(text, f"medicines.{key}.none_on", ["saturday", "sunday"])
    assert "WHEN-004" not in list_codes(text)
    text = write_blank(text, "fills[1].days", WORKDAYS[:4])
    assert find(text, "medicines.regular.none_on") == ["saturday", "sunday"]  # the other fill still covers Friday
    text = write_blank(text, "fills[2].days", WORKDAYS[:4])
    assert find(text, "medicines.regular.none_on") is None
    assert "WHEN-004" in list_codes(text)


def test_the_clinics_own_is_offered_and_taken_only_for_nothing() -> None:
    """Phones and usual barrel, as its file has them; what is there already is never replaced."""
    contacts: Plain = [{"who": "Clinic", "phone": "555-0177"}, {"who": "Ward", "phone": "555-0178"}]
    syringe: Plain = {"scale": "U-100", "capacity": "1 mL", "line_every": "1 unit", "needle": "fixed"}
    clinic: Plain = {"contacts": contacts, "syringe": syringe}
    text = write_new(TODAY)
    assert list_offers(read_plain(text), clinic) == {
        "contacts": "Clinic, 555-0177, Ward, 555-0178",
        "syringe": "U-100, 1 mL, 1 unit, fixed",
    }
    text = take_offer(take_offer(text, "contacts", clinic), "syringe", clinic)
    tree = read_plain(text)
    assert (find_plain(tree, "contacts"), find_plain(tree, "syringe")) == (contacts, syringe)
    assert list_offers(tree, clinic) == list_offers(read_plain(TEXT), clinic) == list_offers(tree, None) == {}
    with pytest.raises(NoSuchBlank):
        take_offer(TEXT, "syringe", clinic)


def test_a_vial_that_is_drawn_stays() -> None:
    """So does the only fill; what nobody needs goes."""
    with pytest.raises(CannotEdit):
        remove_item(TEXT, "medicines.regular")
    text = remove_item(add_item(TEXT, "medicine"), "medicines.first")
    assert read_plain(text) == read_plain(TEXT)
    with pytest.raises(CannotEdit):
        remove_item(remove_item(TEXT, "fills[1]"), "fills[1]")


def test_a_further_fill_has_the_same_medicines_and_no_dose() -> None:
    """As breakfast had; nothing of it is taken over but which vials."""
    text = add_item(TEXT, "fill")
    assert find(text, "fills[3]") == {"when": "", "draw": {"regular": "", "isophane": ""}}


@pytest.mark.parametrize(
    "path", ["review.checked_by", "fills[9].when", "sample", "syringe.scale.x", "", "replaces.card_code"]
)
def test_what_is_no_blank_is_not_written(path: str) -> None:
    """Least of all a check."""
    with pytest.raises(NoSuchBlank):
        write_blank(TEXT, path, "Somebody")


def test_nothing_is_corrected() -> None:
    """What was typed stands in the file as typed, right or wrong; its problem is the reader's."""
    for value in ("11 U", "11,5 units", "11", ".5 units", "11 units "):
        text = write_blank(TEXT, "fills[1].draw.regular", value)
        assert yaml.load(text, yaml.CBaseLoader)["fills"][0]["draw"]["regular"] == value


def test_each_problem_stands_under_its_own_sentence() -> None:
    """The longest path that it begins with."""
    parts = list_parts(read_plain(TEXT))
    assert find_group(parts, "fills[2].draw.regular") == "fills[2]"
    assert find_group(parts, "patient.text_size") == "print"
    assert find_group(parts, "patient.born") == "patient"
    assert find_group(parts, "medicines.isophane.opened") == "medicines.isophane"
    assert find_group(parts, "notes") == ""


def test_a_way_out_serves_every_fill_or_is_not_shown() -> None:
    """9.5 units of a 25 unit total fit a barrel that the breakfast's 34 do not: it is not named."""
    both = write_blank(TEXT, "fills[2].draw.regular", "9.5 units")
    (problem,) = (each for each in look_at(both, TODAY).problems if each.code == "LINE-002")
    assert "0.3 mL" not in problem.remedy
    assert "ask the prescriber" in problem.remedy
    alone = remove_item(both, "fills[1]")
    (problem,) = (each for each in look_at(alone, TODAY).problems if each.code == "LINE-002")
    assert "0.3 mL U-100 with a line every 0.5 units" in problem.remedy
    unread = write_blank(both, "fills[1].draw.regular", "11")
    (problem,) = (each for each in look_at(unread, TODAY).problems if each.code == "LINE-002")
    assert "0.3 mL" not in problem.remedy


def test_a_problem_stops_the_picture_of_its_own_fill_alone() -> None:
    """And the picture says which; a medicine's problem stops each fill that draws it, a missing phone none."""
    text = write_blank(TEXT, "fills[2].draw.regular", "9.5 units")
    assert draw(look_at(text, TODAY), 2, 1).words == "No card while a problem stands: 9.5 units would be line 9.5."
    assert draw(look_at(text, TODAY), 1, 1).words.startswith("Lines 11 and 34 ")
    text = write_blank(TEXT, "medicines.regular.strength", "100")
    assert [draw(look_at(text, TODAY), number, 1).svg for number in (1, 2)] == ["", ""]
    text = write_blank(TEXT, "contacts[1].phone", "")
    assert draw(look_at(text, TODAY), 1, 1).svg
    assert draw(look_at(TEXT, TODAY), 1, 0).words.startswith("Your vials ")


def test_the_picture_of_a_changed_card_is_the_finished_one() -> None:
    """One fill is looked at; the other is there all the same, and was told as stopped, under another card's code."""
    older = read_regimen(TEXT)
    stops = tuple(
        ReplacedStop(fill.when, fill.days_given, medicine, Fraction(line))
        for fill, lines in zip(older.fills, ((9, 31), (9, 25)), strict=True)
        for medicine, line in zip(("insulin regular", "insulin isophane"), lines, strict=True)
    )
    changed = replace(older, replaces=Replaces("QK7E", "QK7E", None, stops))
    finished = place_regimen(changed).placed
    page = next(page for page in finished.pages if page.section == "fill 2")
    svg = draw(Look(changed, True, ()), 2, 1).svg
    assert re.findall(r' d="([^"]+)"', svg) == re.findall(r' d="([^"]+)"', write_svg(page, finished).decode())
