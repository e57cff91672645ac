"""The reader of braille files: right files pass in both grades on any paper, and every seeded fault is told.

Outside sources: liblouis for the cells of the few words and characters that the reader knows by itself.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from support.any_regimens import make_regimens
from support.plans import EXAMPLES, STARTERS, build_card, make_plans, plan_example, plan_replacing, plan_starter
from support.touch import back_translate

from fillcards import pipeline
from fillcards.finishing import write_pages
from fillcards.options import Ending
from fillcards.output.brf import write_brf
from fillcards.plan.fills import plan_fills
from fillcards.plan.model import Plan
from fillcards.plan.replacing import compare_replaced
from fillcards.problems import ReadbackFault, RegimenRefused
from fillcards.readback.braille import require_same_braille
from fillcards.readback.brf import CHARACTERS, CONTRACTED, list_numbers, read_brf, read_words
from fillcards.regimen.model import Regimen
from fillcards.regimen.schema import read_regimen
from fillcards.wording.braille import BraillePaper, Contraction

PAPERS = (BraillePaper(), BraillePaper(28, 20))
ACCEPTED = tuple(sorted((Path(__file__).parents[1] / "regimens" / "accepted").glob("*.yaml")))


@cache
def write(name: str, contraction: Contraction) -> bytes:
    """The braille file of an example."""
    return write_brf(build_card(plan_example(name)), BraillePaper(), contraction)


def require(data: bytes, regimen: Regimen, contraction: Contraction, paper: BraillePaper = PAPERS[0]) -> None:
    """The gate."""
    is_contracted = contraction is Contraction.CONTRACTED
    require_same_braille(data, regimen, paper.cells, paper.lines, is_contracted=is_contracted)


def require_plan_passes(plan: Plan, paper: BraillePaper, **more: object) -> None:
    """The file of a plan in both grades."""
    card = build_card(plan, **more)  # type: ignore[arg-type]  # passed on by name
    for contraction in Contraction:
        require(write_brf(card, paper, contraction), plan.regimen, contraction, paper)


@pytest.mark.parametrize("paper", PAPERS, ids=str)
@pytest.mark.parametrize("path", [*STARTERS, *ACCEPTED], ids=lambda path: path.stem)
def test_right_files_pass(path: Path, paper: BraillePaper) -> None:
    """Every starter and every accepted example of a file, in both grades."""
    require_plan_passes(plan_fills(read_regimen(path.read_text(encoding="utf-8"))), paper)


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_sort_of_card_passes(name: str) -> None:
    """One and two medicines, by any route, on the narrowest paper on which all of them fit."""
    require_plan_passes(plan_example(name), BraillePaper(24, 15))


def test_a_card_that_replaces_another_passes() -> None:
    """The old figures stand in the part on what is new, and the old code on page one; with a code to scan as well."""
    plan = plan_replacing()
    more = {"replaced_fingerprint": "D2F4" * 8, "changes": compare_replaced(plan), "has_scan_code": True}
    require_plan_passes(plan, PAPERS[0], **more)


def test_a_mark_with_numbers_passes() -> None:
    """Numbers of the user's own words are held to their places and are no amounts."""
    regimen = EXAMPLES["mixed"]
    first, second = regimen.medicines
    marked = replace(first, vial_mark="8 dots", on_the_label="insulin 8, 2026")
    opened = replace(second, vial_mark="number 26", opened=date(2026, 11, 2), expires=date(2027, 1, 31))
    require_plan_passes(
        plan_fills(replace(regimen, medicines=(marked, opened), notes="Room 12, 1/2 past 8")), PAPERS[0]
    )


@settings(max_examples=100, deadline=None)
@given(make_plans(), st.sampled_from(PAPERS), st.sampled_from(Contraction))
def test_random_plans_pass(plan: Plan, paper: BraillePaper, contraction: Contraction) -> None:
    """Any plan on either paper in either grade."""
    require(write_brf(build_card(plan), paper, contraction), plan.regimen, contraction, paper)


@pytest.mark.campaign
@settings(max_examples=1000, deadline=None)
@given(make_regimens(), st.sampled_from((*PAPERS, BraillePaper(32, 27))), st.sampled_from(Contraction))
def test_many_random_files_pass(regimen: Regimen, paper: BraillePaper, contraction: Contraction) -> None:
    """A thousand regimens with several fills, days, names and contacts."""
    try:
        data = write_brf(build_card(plan_fills(regimen)), paper, contraction)
    except RegimenRefused:
        return
    require(data, regimen, contraction, paper)


Seed = Callable[[str], str]


def put(old: str, new: str, *, all_of_them: bool = False) -> Seed:
    """A fault that writes something else, once or everywhere. The pattern must be there."""

    def change(text: str) -> str:
        changed, count = re.subn(old, new, text, count=0 if all_of_them else 1)
        assert count
        return changed

    return change


def _list_step_lines(text: str, number: str) -> str:
    """The lines of one step of the first fill."""
    found = re.search(rf"^#{number}4 .*\r\n(?:  .*\r\n)*", text, re.MULTILINE)
    assert found
    return found[0]


def _drop_step(text: str) -> str:
    """With blank lines in its place, so that the page stays as long."""
    lines = _list_step_lines(text, "AF")
    return text.replace(lines, "\r\n" * lines.count("\r\n"), 1)


def _swap_steps(text: str) -> str:
    """Two steps change places and keep the count."""
    one, other = _list_step_lines(text, "I"), _list_step_lines(text, "AB")
    swapped = text.replace(one, "@@", 1).replace(other, one.replace("#I4", "#AB4"), 1)
    return swapped.replace("@@", other.replace("#AB4", "#I4"), 1)


def _swap_lines_of_steps(text: str) -> str:
    """First and total line change places in all steps of the first fill."""
    start, end = text.index("\n#A4 "), text.index("#BD4 ")
    steps = text[start:end].replace("#H UNITS", "@@").replace("#BF UNITS", "#H UNITS").replace("@@", "#BF UNITS")
    steps = "\r\n".join(line[:40] for line in steps.split("\r\n"))
    return text[:start] + steps + text[end:]


def _drop_last_page(text: str) -> str:
    return text[: text.rstrip("\f").rindex("\f") + 1]


def _drop_first_set(text: str) -> str:
    """All pages of the first fill."""
    pages = text.split("\f")
    second = next(i for i, page in enumerate(pages) if i and re.search(r"PAGE #A (OF|\() ", page))
    return "\f".join(pages[second:])


def _drop_set(text: str) -> str:
    """The pages for every fill, the last of the file."""
    pages = text.split("\f")[:-1]
    last = max(i for i, page in enumerate(pages) if re.search(r"PAGE #A (OF|\() ", page))
    return "".join(page + "\f" for page in pages[:last])


def _swap_heads(text: str) -> str:
    """The head of the second fill's second page goes on the first fill's second page."""
    heads = re.findall(r"(?<=\f)(,(?:BEFORE|2F) (?:.*\r\n)+?)\r\n", text)
    one, other = heads[0], next(head for head in heads if head.split("\r\n")[0] != heads[0].split("\r\n")[0])
    return text.replace(one, other, 1)


FAULTS: dict[str, tuple[Seed, str]] = {
    "first and total line swapped in the steps": (_swap_lines_of_steps, "steps, number"),
    "a digit of a step changed": (put(r"(#BA4 (?:.*\r\n  )?.*)#BF UNITS", r"\1#BG UNITS"), "steps, number .* read 27"),
    "the air of one vial for the other": (put(r"(#I4 .*)#AH UNITS", r"\1#H UNITS"), "steps, number .* read 8"),
    "a step dropped": (_drop_step, "numbers of the steps"),
    "two steps swapped": (_swap_steps, "steps, number"),
    "number sign missing in a step": (put(r"(#AE4 (?:.*\r\n  )?.*)#H UNITS", r"\1H UNITS"), "steps, number"),
    "number sign missing before a step": (put(r"#AC4 ", "AC4 "), "numbers of the steps"),
    "unit of a step changed": (put(r"(#AB4 .*)#H UNITS", r"\1#H M,L"), "steps, number"),
    "figure of a stop changed": (put(r"#BF UNITS1", "#BC UNITS1"), "numbers of the total line"),
    "figure in words changed": (
        put(r"(?:TWENTY|TW5TY)-SIX", "SIXTY-SIX"),
        "total line in words: read 66, meant 26|total line in words: read none",
    ),
    "labels of the lines changed": (put(r"    ,(FIRST LINE|F/ L9E)3", "    ,TOTAL LINE3"), "label of the first line"),
    "count from another number": (put(r"#C (\S+ L\S+) PA(ST|/) #E4", r"#D \1 PA\2 #E4"), "numbers of the first"),
    "sum changed": (put(r'"6 #AH "7', '"6 #AG "7'), "numbers of the total line"),
    "lines under the name changed": (put(r"  ,(FIRST LINE|F/ L9E) #H1", r"  ,\1 #I1"), "lines under the name"),
    "page number changed": (put(r"PAGE #C (OF|\()", r"PAGE #D \1"), "page numbers"),
    "the head of another fill": (_swap_heads, "heads of the pages|lines at the top"),
    "the head's line changed": (put(r"(?<=\f)(,(?:BEFORE|2F) (?:[^#\f]|\r\n)*)#H1", r"\1#I1"), "lines at the top"),
    "the warning gone from a page": (put(r"(?<=\f)((?:.+\r\n)+?),SAMPLE", r"\1,PAMPLE"), "heads|band: sample"),
    "the title of another fill": (
        put(r"(    ,(?:BEFORE|2F)) (BREAKFAST|BR1KFA/)\r\n\r\n", r"\1 LUNCH\r\n\r\n"),
        "name of the fill: read another",
    ),
    "a telephone number changed": (put("#EEE-", "#EEF-", all_of_them=True), "a number or a date: read 556"),
    "a number of a picture changed": (
        put(r"(,PICTURE3 (?:[^#]|#)*?)#H UNITS", r"\1#AH UNITS"),
        "a number or a date: read 18",
    ),
    "a date changed": (put(r"#BE (,NOV\S+) #BJBF", r"#BD \1 #BJBF"), "a number or a date: read 24-11-2026"),
    "minutes changed": (put(r"#CJ (M\S+)", r"#C \1"), "a number or a date: read 3"),
    "the strength of another vial": (put(r"#AJJ (UNITS_/M,L)", r"#EJJ \1"), "steps, number"),
    "another syringe": (put(r"U-#AJJ", "U-#DJ"), "a number or a date: read 40"),
    "the code of another card": (put(r",,?[A-Z#,;]+(?= +PAGE)", ",,ABZY", all_of_them=True), "card code at the feet"),
    "a line longer than the paper": (put(r"(UNITS4)\r\n", r"\1 AND AGAIN AND AGAIN AND AGAIN AND ON\r\n"), "a line of"),
    "a page too long": (put(r"\r\n\r\n\r\n", "\r\n\r\n\r\n\r\n"), "lines, on paper of 25"),
    "a letter that is no cell": (put("UNITS", "uNITS"), "no cell of braille"),
    "a byte outside ASCII": (put("UNITS", "UNIT\xe9"), "no cell of braille"),
    "the file cut short": (lambda text: text[: len(text) // 2], "does not end with the end of a page"),
    "the last page missing": (_drop_last_page, "page numbers"),
    "the sheets for every fill missing": (_drop_set, "sets of pages"),
    "a fill missing": (_drop_first_set, "sets of pages"),
    "nothing at all": (lambda _: "", "does not end"),
}


@pytest.mark.parametrize("contraction", Contraction)
@pytest.mark.parametrize("fault", FAULTS)
def test_a_seeded_fault_is_found(fault: str, contraction: Contraction) -> None:
    """Each fault holds the file back, and the report says where it is."""
    seed, words = FAULTS[fault]
    text = write("mixed", contraction).decode("ascii")
    changed = seed(text)
    assert changed != text
    with pytest.raises(ReadbackFault, match=words):
        require(changed.encode("latin-1"), EXAMPLES["mixed"], contraction)


@pytest.mark.parametrize("contraction", Contraction)
@pytest.mark.parametrize(
    ("name", "old", "new"),
    [
        ("single", "#AB4E UNITS", "#ABE UNITS"),
        ("units on mL", "#J4E M,L", "#E M,L"),
        ("by mouth", "#C M,L", "#CJ M,L"),
        ("weekly", "#AJ", "#AJJ"),
    ],
)
def test_a_lost_point_or_one_zero_too_many(name: str, old: str, new: str, contraction: Contraction) -> None:
    """Wherever a decimal point is lost or a zero added, at one place alone, the file is held back."""
    text = write(name, contraction).decode("ascii")
    places = [found.start() for found in re.finditer(rf"{re.escape(old)}(?![A-J])", text)]
    assert len(places) > 5
    for place in places:
        changed = text[:place] + new + text[place + len(old) :]
        with pytest.raises(ReadbackFault):
            require(re.sub(r" +(?= PAGE)", " ", changed).encode("ascii"), EXAMPLES[name], contraction)


def test_another_regimen_is_found() -> None:
    """The braille of 8 and 26 does not pass for a regimen of 6 and 24."""
    other = replace(EXAMPLES["mixed"], fills=(EXAMPLES["W13"].fills[0], EXAMPLES["mixed"].fills[1]))
    with pytest.raises(ReadbackFault, match="numbers of the first line: read 8"):
        require(write("mixed", Contraction.UNCONTRACTED), other, Contraction.UNCONTRACTED)


def test_a_report_names_no_patient() -> None:
    """The name stands in the file and not in what is said of it."""
    text = write("mixed", Contraction.UNCONTRACTED).decode("ascii").replace("#BF", "#BG")
    with pytest.raises(ReadbackFault) as fault:
        require(text.encode("ascii"), EXAMPLES["mixed"], Contraction.UNCONTRACTED)
    assert "sample patient" not in str(fault.value).casefold()


def test_the_program_holds_a_wrong_file_back(monkeypatch: pytest.MonkeyPatch) -> None:
    """No braille file leaves the pipeline without passing the gate."""
    made = pipeline.place_regimen(EXAMPLES["mixed"])
    assert write_pages(made, Ending.BRF)
    wrong = replace(EXAMPLES["mixed"], fills=EXAMPLES["mixed"].fills[::-1])
    other = write_brf(build_card(plan_fills(wrong)), BraillePaper(), Contraction.UNCONTRACTED)
    monkeypatch.setattr("fillcards.output.brf.write_brf", lambda *_: other)
    with pytest.raises(ReadbackFault, match="numbers of the first line"):
        write_pages(made, Ending.BRF)


def test_the_characters_are_those_of_liblouis() -> None:
    """North American ASCII braille has 64 characters; liblouis knows each as a cell of six dots and no other."""
    assert len(CHARACTERS) == 64
    assert set(back_translate("".join(sorted(CHARACTERS)), "en-us-brf.dis", "en-ueb-g1.ctb")) - {"\ufffd"}
    assert sorted(CHARACTERS) == [chr(number) for number in range(0x20, 0x60)]


@pytest.mark.parametrize("cells", CONTRACTED)
def test_the_contracted_words_are_those_of_liblouis(cells: str) -> None:
    """Each word of the table, as liblouis reads its cells."""
    assert back_translate(cells, "en-us-brf.dis", "en-ueb-g2.ctb").casefold() == CONTRACTED[cells]


# Unified English Braille, section 6, from memory: numeric mode is ended by a blank, a hyphen or a colon.
@pytest.mark.parametrize(
    ("cells", "numbers"),
    [
        ("#BF UNITS4", ["26"]),
        ("#J4BE MG", ["0.25"]),
        ("#A1BCD M,L", ["1,234"]),
        ("#AB1 #CD4 ,E", ["12", "34"]),
        ("#EEE-#JADB", ["555", "0142"]),
        ("#JG3#CJ", ["07", "30"]),
        ("#A/B", ["1", "2"]),
        ("BF UNITS", []),
    ],
)
def test_numbers_of_cells(cells: str, numbers: list[str]) -> None:
    """Digits, points and commas are read as they stand; a point at the end of a sentence is not part of a number."""
    assert list_numbers(cells) == numbers


def test_words_that_are_not_known_are_not_guessed() -> None:
    """A contraction outside the table is no word; nor is a letter by letter spelling behind its indicator."""
    assert read_words(",2F BR1KFA/1 #JG3#CJ", is_contracted=True) == ["before", "breakfast,", "07:30"]
    assert read_words("RU2] XYZ ;;AB", is_contracted=True) == ["?", "?", "?"]


def test_a_starter_is_read_in_full() -> None:
    """The words of each starter's fills are known in both grades, so that their names are compared."""
    for path in STARTERS:
        for contraction in Contraction:
            plan = plan_starter(path)
            sets = read_brf(write_brf(build_card(plan), BraillePaper(), contraction), 40, 25)
            assert len(sets) == len(plan.fills) + 1
            for own in sets[:-1]:
                assert "?" not in read_words(own.title, is_contracted=contraction is Contraction.CONTRACTED)
