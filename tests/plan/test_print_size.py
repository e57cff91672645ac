"""Print size from eyesight, against published reserves and the settled table of sizes."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from support.pictures import make_syringe

from fillcards.catalogue.near_vision import NearAcuity, measure_threshold_height_mm, parse_near_acuity
from fillcards.codes import list_codes
from fillcards.plan.print_size import (
    WIDEST_LINE_GAP_MM,
    PrintSize,
    check_print_serves,
    check_print_size,
    choose_print_size,
    measure_body_pt,
    measure_line_gap_mm,
    measure_scale_gap_mm,
)
from fillcards.problems import Place, Severity
from fillcards.quantities import convert_pt_to_mm
from fillcards.regimen.model import Patient
from fillcards.typeface import X_HEIGHT_EM


def make_reader(text: str, reserve: float = 2) -> Patient:
    """A patient with a near acuity, its entry in line 4 of a file."""
    return Patient(reads=parse_near_acuity(text, reserve), place=Place(4, 3, "patient"))


def make_asker(size_pt: str) -> Patient:
    """A patient whose file asks for a text size."""
    return Patient(text_size_pt=Fraction(size_pt))


def test_nothing_stated() -> None:
    """Without an acuity or a size the body is 18 pt, and the reason says that nothing was stated (ukaaf-g003)."""
    size = choose_print_size(Patient())
    assert size.body_pt == 18
    assert "states no near acuity" in size.why


# Worked from m-unit and colenbrander-near: threshold in pt of a face with x-height 0.519 em, reserves of 2 and 3 to 1.
@pytest.mark.parametrize(
    ("text", "reserve", "points_at_0_519"),
    [
        ("0.5 logMAR at 40 cm", 2, 20.1),
        ("0.5 logMAR at 40 cm", 3, 30.1),
        ("0.7 logMAR at 40 cm", 2, 31.9),
        ("0.7 logMAR at 40 cm", 3, 47.8),
        ("1 logMAR at 40 cm", 2, 63.6),
        ("1 logMAR at 25 cm", 2, 39.7),
        ("1 logMAR at 25 cm", 3, 59.6),
    ],
)
def test_worked_sizes(text: str, reserve: float, points_at_0_519: float) -> None:
    """The worked table comes out once its x-height is exchanged for ours, rounded up by less than half a point."""
    exact_pt = points_at_0_519 * 0.519 / X_HEIGHT_EM
    body_pt = choose_print_size(make_reader(text, reserve)).body_pt
    assert exact_pt - 0.1 <= body_pt < exact_pt + 0.6


def test_good_eyes_get_18_pt() -> None:
    """20/40 needs less than 18 pt at 2 to 1 (colenbrander-near: 12.7 pt), and 18 pt is the least."""
    size = choose_print_size(make_reader("20/40 at 40 cm"))
    assert size.body_pt == 18
    assert "the least on a patient's page" in size.why


def test_published_critical_size() -> None:
    """A reserve of 10^0.47 raises the size by 2.95 over the threshold (iovs-2413112)."""
    acuity = NearAcuity("", 1, 400, 10**0.47)
    threshold_pt = 31.8 * 0.519 / X_HEIGHT_EM  # colenbrander-near, 20/200 at 40 cm
    assert measure_body_pt(acuity) / threshold_pt == pytest.approx(2.951, rel=0.01)


@given(logmar=st.floats(-0.3, 2), distance_mm=st.floats(50, 1000), reserve=st.floats(1, 6))
def test_the_letter_is_large_enough(logmar: float, distance_mm: float, reserve: float) -> None:
    """The letter x of the computed size is never smaller than the threshold times the reserve, and in half points."""
    acuity = NearAcuity("", logmar, distance_mm, reserve)
    body_pt = measure_body_pt(acuity)
    assert convert_pt_to_mm(body_pt) * X_HEIGHT_EM >= reserve * measure_threshold_height_mm(acuity) * (1 - 1e-6)
    assert body_pt * 2 == int(body_pt * 2)


@given(first=st.floats(-0.3, 2), second=st.floats(-0.3, 2))
def test_worse_eyes_never_get_smaller_print(first: float, second: float) -> None:
    """A larger angle of resolution never gives a smaller body."""
    better, worse = sorted((first, second))
    sizes = [choose_print_size(Patient(reads=NearAcuity("", logmar, 400))) for logmar in (better, worse)]
    assert sizes[0].body_pt <= sizes[1].body_pt


@pytest.mark.parametrize("body", ["18", "24", "44.5", "96"])
def test_a_size_that_is_asked_for(body: str) -> None:
    """The file's own size is taken as it is, and the reason says so."""
    size = choose_print_size(make_asker(body))
    assert size.body_pt == float(body)
    assert f"{body} pt, as the file asks" in size.why


@pytest.mark.parametrize("size", ["17.5", "96.5"])
def test_a_size_out_of_reach_is_our_fault(size: str) -> None:
    """The schema refuses such a size; should one come through, no card is made of it."""
    with pytest.raises(ValueError, match="18 to 96"):
        choose_print_size(make_asker(size))


def test_the_reason_names_its_numbers() -> None:
    """The reason gives the acuity as written, the letter just read, the reserve and the size."""
    why = choose_print_size(make_reader("20/100 at 40 cm", 3)).why
    for part in ("50 pt", "20/100 at 40 cm", "2.91 mm", "3 times"):
        assert part in why


@pytest.mark.parametrize("patient", [Patient(), make_reader("20/63 at 40 cm"), make_asker("36")])
def test_no_caution_up_to_36_pt(patient: Patient) -> None:
    """Up to 36 pt there is nothing to warn of."""
    assert check_print_size(patient) == ()


def test_size_001_steps_in_36_pt() -> None:
    """Above 36 pt the maker is told that the steps are for a helper (card.md, sides)."""
    (problem,) = check_print_size(make_reader("20/200 at 40 cm"))
    assert (problem.code, problem.severity) == ("SIZE-001", Severity.CAUTION)
    assert (problem.place.line, problem.place.key) == (4, "patient.reads")
    assert "66.5 pt" in problem.found  # colenbrander-near: 63.6 pt at an x-height of 0.519 em
    assert "36 pt" in problem.expected
    assert "helper's sheet" in problem.remedy


def test_size_002_no_page_serves() -> None:
    """Past 83 pt the maker is sent to the forms that do not depend on print, and told the true need."""
    patient = make_reader("20/800 at 40 cm")
    problem = check_print_size(patient)[0]
    assert (problem.code, problem.severity) == ("SIZE-002", Severity.CAUTION)
    assert "raised pages" in problem.remedy
    assert "plain text" in problem.remedy
    size = choose_print_size(patient)
    # Four times the letter of 20/200, which needs more than 66 pt and at most 66.5.
    assert 264 < size.body_pt <= 266
    assert problem.found == f"a reader who needs {size.body_pt:g} pt"
    assert "No print has body text" in size.why


@pytest.mark.parametrize("size_pt", [83, 83.5])
def test_no_card_in_print_past_83_pt(size_pt: float) -> None:
    """The limit itself still serves (card.md, sides); past it, print is refused, and no smaller type is advised."""
    patient = make_needing(size_pt)
    refused = check_print_serves(patient)
    assert [problem.code for problem in refused] == (["LAYOUT-003"] if size_pt > 83 else [])
    assert {problem.code for problem in check_print_size(patient)} == {"SIZE-002" if size_pt > 83 else "SIZE-001"}
    assert not any("smaller" in problem.remedy for problem in refused)


# How far apart the lines of the standard's shortest barrels (iso-8537-2007) are at 40 cm, in minutes of arc.
@pytest.mark.parametrize(
    ("capacity_ml", "line_every", "arc_minutes"),
    [("0.3", "1", 11.75), ("0.3", "0.5", 5.87), ("0.5", "1", 7.39), ("1", "1", 4.90), ("1", "2", 9.80)],
)
def test_enlargement_at_which_lines_are_told_apart(capacity_ml: str, line_every: str, arc_minutes: float) -> None:
    """20/100 tells lines 10 minutes of arc apart (grating-acuity), 20 with a reserve of 2: so many times enlarged."""
    syringe = make_syringe("U-100", capacity_ml, line_every)
    real_mm = measure_scale_gap_mm(syringe, syringe.shortest_scale_length_mm)
    needed_mm = choose_print_size(make_reader("20/100 at 40 cm")).line_gap_mm
    assert needed_mm / real_mm == pytest.approx(20 / arc_minutes, rel=0.002)


def test_lines_need_less_room_than_letters() -> None:
    """A letter has five times the angle of resolution, a pair of lines two (m-unit, grating-acuity), one reserve."""
    acuity = parse_near_acuity("20/200 at 40 cm", 3)
    letter_mm = 3 * measure_threshold_height_mm(acuity)
    assert measure_line_gap_mm(acuity) == pytest.approx(letter_mm * 2 / 5)


def test_a_size_asked_for_tells_of_lines_too() -> None:
    """Whoever asks for a size is taken to need lines as far apart as the acuity that comes to the same size."""
    by_acuity = choose_print_size(make_reader("20/200 at 40 cm"))
    by_size = choose_print_size(Patient(text_size_pt=Fraction(by_acuity.body_pt)))
    # The size is rounded up to a half point.
    assert by_acuity.line_gap_mm <= by_size.line_gap_mm <= by_acuity.line_gap_mm * 1.01


def test_nothing_is_known_of_eyes_that_nobody_measured() -> None:
    """Without acuity and size no enlargement is asked for, and none is claimed to serve."""
    assert choose_print_size(Patient()).line_gap_mm == 0


def test_size_003_no_picture_serves() -> None:
    """Where lines would have to stand over 11 mm apart, the maker is sent to the raised and spoken forms."""
    patient = make_reader("20/500 at 40 cm")
    problems = {problem.code: problem for problem in check_print_size(patient)}
    assert {"SIZE-002", "SIZE-003"} == set(problems)
    problem = problems["SIZE-003"]
    assert (problem.severity, problem.place.key) == (Severity.CAUTION, "patient.reads")
    assert "11.64 mm" in problem.found  # 400 mm x tan 2' x 25 x 2
    assert "raised pages" in problem.remedy
    assert "plain text" in problem.remedy


def test_size_003_begins_above_11_mm() -> None:
    """The limit itself still serves."""
    logmar = math.log10(WIDEST_LINE_GAP_MM / 2 / 400 / math.tan(math.radians(2 / 60)))
    at_limit, over = (check_print_size(Patient(reads=NearAcuity("", logmar + d, 400))) for d in (-1e-9, 1e-6))
    assert "SIZE-003" not in {problem.code for problem in at_limit}
    assert "SIZE-003" in {problem.code for problem in over}


def make_needing(size_pt: float) -> Patient:
    """A reader at 40 cm whose letters, at a reserve of 2, take exactly that size (a letter has 5 minutes of arc)."""
    letter_mm = convert_pt_to_mm(size_pt) * X_HEIGHT_EM / 2
    return Patient(reads=NearAcuity("", math.log10(letter_mm / 400 / math.tan(math.radians(5 / 60))), 400))


@pytest.mark.parametrize(
    ("size_pt", "words", "others"),
    [
        (17, "the least on a patient's page", "No print"),
        (18, "Body text is 18 pt: ", "the least"),
        (24, "Body text is 24 pt: ", "the least"),
        (83, "Body text is 83 pt: ", "No print"),
        (84, "No print has body text of 84 pt: ", "the least"),
    ],
)
def test_the_reason_says_whether_the_size_is_the_one_needed(size_pt: float, words: str, others: str) -> None:
    """Only what is less or more than a page can have is told as such; the limits themselves serve."""
    why = choose_print_size(make_needing(size_pt)).why
    assert words in why
    assert others not in why


def test_a_caution_about_a_size_asked_for_points_at_it() -> None:
    """Where no acuity stands in the file, the text size is what has to be looked at."""
    (problem,) = check_print_size(make_asker("44"))
    assert (problem.code, problem.place.key) == ("SIZE-001", "patient.text_size")


@pytest.mark.parametrize(("gap_mm", "is_too_wide"), [(10.9, False), (11.1, True)])
def test_lines_stand_11_mm_apart_at_most(gap_mm: float, is_too_wide: bool) -> None:
    """Wider apart, a stop and the number it is counted from would not be seen together (design)."""
    logmar = math.log10(gap_mm / 2 / 400 / math.tan(math.radians(2 / 60)))
    codes = {problem.code for problem in check_print_size(Patient(reads=NearAcuity("", logmar, 400)))}
    assert ("SIZE-003" in codes) is is_too_wide


def test_every_caution_about_size_has_its_row() -> None:
    """What ``check --explain`` tells of; a caution without a row could not be looked up."""
    readers = make_reader("20/500 at 40 cm"), make_asker("44")
    codes = {problem.code for reader in readers for problem in check_print_size(reader)}
    assert codes == {"SIZE-001", "SIZE-002", "SIZE-003"} <= {row.code for row in list_codes()}


def test_a_size_made_without_eyes_claims_nothing_of_lines() -> None:
    """Unless told otherwise no enlargement is asked for."""
    assert PrintSize(18, "").line_gap_mm == 0
