"""Real cards as they are heard: read aloud by our own walk, by pdfium's tree, and held against both checkers.

``tests/golden/read_aloud/`` holds what a screen reader says, for a person to judge; ``--update-golden`` writes it anew.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from fractions import Fraction
from io import BytesIO
from pathlib import Path
from typing import Any, Final, NamedTuple

import outloud
import pdfua
import pikepdf
import pypdf
import pytest
from hypothesis import HealthCheck, Phase, assume, given, settings
from hypothesis import strategies as st
from support.card_text import list_texts
from support.fifths import TURNED, keep_a_fifth
from support.pdf_walk import check_tagging
from support.plans import STARTERS, build_card, make_plans, plan_starter
from support.read_aloud import list_kids, read_aloud
from support.shares import try_of_100

from fillcards.card.model import Card
from fillcards.catalogue.papers import load_papers
from fillcards.layout.model import PlacedCard
from fillcards.layout.place import place_card
from fillcards.output.pdf import write_pdf
from fillcards.plan.model import Plan
from fillcards.plan.print_size import choose_print_size
from fillcards.problems import RegimenRefused
from fillcards.regimen.model import Patient
from fillcards.wording.messages import say

GOLDEN: Final = Path(__file__).parents[1] / "golden" / "read_aloud" / "two-insulins-twice-a-day.txt"
MIXED: Final = next(path for path in STARTERS if path.stem == GOLDEN.stem)
PLANNED_RULES: Final = {"HDG-004", "ORD-002"}
"""Rules the second checker itself has only planned."""


class Made(NamedTuple):
    """A card, its pages and its PDF."""

    card: Card
    placed: PlacedCard
    pdf: bytes


def make_card(plan: Plan, size_pt: Fraction | None = None, paper: str = "letter") -> Made:
    """A plan's card at its reader's size, or another."""
    reader = plan.regimen.patient if size_pt is None else Patient(text_size_pt=size_pt)
    card = build_card(plan)
    placed = place_card(card, choose_print_size(reader), load_papers()[paper])
    return Made(card, placed, write_pdf(placed))


@pytest.fixture(scope="module")
def starters() -> dict[str, Made]:
    """Every starter's card."""
    plans = {path.stem: plan_starter(path) for path in STARTERS}
    return {name: make_card(plan, paper=plan.regimen.print.paper) for name, plan in plans.items()}


@pytest.fixture(scope="module")
def mixed_pdf(starters: dict[str, Made]) -> bytes:
    """The card of two insulins, two fills."""
    return starters[MIXED.stem].pdf


STARTER = pytest.mark.parametrize("name", [path.stem for path in STARTERS])


def test_the_card_is_heard_as_the_golden_text(mixed_pdf: bytes, request: pytest.FixtureRequest) -> None:
    """What is spoken is what a person has read and found right."""
    spoken = read_aloud(mixed_pdf)
    if request.config.getoption("--update-golden"):
        GOLDEN.write_text(spoken, encoding="utf-8")
    assert spoken == GOLDEN.read_text(encoding="utf-8")


@STARTER
def test_steps_are_heard_in_order(starters: dict[str, Made], name: str) -> None:
    """Every step's words, whole, in the card's order, each once a fill; and after the front of its fill."""
    made = starters[name]
    heard = " ".join(read_aloud(made.pdf).split())
    place = 0
    for fill in made.card.fills:
        for text in list_texts((fill.title, fill.panels[-1].count, tuple(step.say for step in fill.steps))):
            place = heard.find(text, place)
            assert place >= 0, text


@STARTER
def test_each_section_has_its_bookmark(starters: dict[str, Made], name: str) -> None:
    """One for each fill, named by its title, then what holds for all, then the sheet for staff."""
    made = starters[name]
    reader = pypdf.PdfReader(BytesIO(made.pdf))
    entries = [entry for entry in reader.outline if isinstance(entry, pypdf.generic.Destination)]
    titles = (tuple(fill.title for fill in made.card.fills), made.card.vials.title, made.card.staff_title)
    assert [entry.title for entry in entries] == list_texts(titles)
    for number, entry in enumerate(entries[: len(made.card.fills)], start=1):
        first = next(i for i, page in enumerate(made.placed.pages) if page.fill_number == number)
        assert reader.get_destination_page_number(entry) == first


@STARTER
def test_each_picture_says_its_words(starters: dict[str, Made], name: str) -> None:
    """The words that replace each step's picture stand in the structure, as often as the card has them."""
    made = starters[name]
    with pikepdf.open(BytesIO(made.pdf)) as document:
        said = [str(figure["/Alt"]) for figure in find_elements(document, "Figure")]
    for fill in made.card.fills:
        for alt in list_texts(tuple(step.alt for step in fill.steps)):
            said.remove(alt)


def assert_first_checker_is_clean(pdf: bytes, path: Path) -> None:
    """No finding of any kind, and every rule ran: a rule that was skipped proves nothing."""
    path.write_bytes(pdf)
    report = pdfua.validate(str(path))
    assert (report.findings, report.skipped) == ((), ())
    assert len(report.outcomes) >= 12


def assert_second_checker_is_clean(pdf: bytes, path: Path, front_says: tuple[str, ...] = ()) -> None:
    """No finding, and no rule crashed or skipped but those that compare with a source file.

    Each side says of itself whether it is checked and whom to call, and is heard to say so, even where that stands at
    the edge of three sides. The checker, which goes by the place alone, is overruled there. Its evidence is the
    beginnings of some printed lines.
    """
    path.write_bytes(pdf)
    result = outloud.check(str(path))
    assert result.error is None
    found = [finding.to_dict() for finding in result.findings]
    repeated = (each for each in found if each["rule"] == "PAG-001")
    overruled = [each for each in repeated if all(_is_said(line, front_says) for line in each["evidence"].split("; "))]
    assert [each for each in found if each not in overruled] == []
    unrun = {run.rule for run in result.runs if run.status in {"skipped", "crashed", "not-implemented"}}
    assert {rule for rule in unrun if not rule.startswith("SEM-")} <= PLANNED_RULES


def _is_said(line: str, front_says: tuple[str, ...]) -> bool:
    return any(line.rstrip("…") in words for words in front_says)


@pytest.mark.parametrize("name", keep_a_fifth([path.stem for path in TURNED], every=4))
def test_both_checkers_are_clean_on_a_starter(starters: dict[str, Made], name: str, tmp_path: Path) -> None:
    """Held against both published checkers and our own walk."""
    card, _, pdf = starters[name]
    assert check_tagging(pdf) == []
    assert_first_checker_is_clean(pdf, tmp_path / "card.pdf")
    call, wrong = list_texts((card.stop_call, say("wrong-other-sheet", text=card.vials.title)))
    front_says = (f"{call} {wrong}", *list_texts((card.band, *(fill.below for fill in card.fills))))
    assert_second_checker_is_clean(pdf, tmp_path / "card.pdf", front_says)


SIZES_PT = st.sampled_from(("18", "24", "32", "36", "48"))


def check_random_card(plan: Plan, size_pt: str, paper: str, folder: Path) -> None:
    """A random regimen at a size on a paper, held against both checkers and our own walk."""
    try:
        pdf = make_card(plan, Fraction(size_pt), paper).pdf
    except RegimenRefused:
        assume(False)
        raise
    assert check_tagging(pdf) == []
    assert_first_checker_is_clean(pdf, folder / "card.pdf")
    assert_second_checker_is_clean(pdf, folder / "card.pdf")


PAPERS = st.sampled_from(("letter", "a4"))


@settings(
    try_of_100(25),
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
    phases=[Phase.generate],  # the checkers take a second a card: a failing one is looked at as it is
)
@given(make_plans(), SIZES_PT, PAPERS)
def test_random_cards_are_clean(tmp_path: Path, plan: Plan, size_pt: str, paper: str) -> None:
    """Both checkers and our own walk find nothing on random cards."""
    check_random_card(plan, size_pt, paper, tmp_path)


# Seeded faults on the real card.


def find_elements(document: pikepdf.Pdf, role: str) -> list[Any]:
    """Elements of a role in reading order."""

    def below(element: Any) -> Iterator[Any]:
        for kid in list_kids(element):
            if isinstance(kid, pikepdf.Dictionary) and "/S" in kid:
                yield kid
                yield from below(kid)

    root: Any = document.Root
    return [element for element in below(root["/StructTreeRoot"]) if element["/S"] == f"/{role}"]


def edit_content(document: pikepdf.Pdf, old: bytes, new: bytes) -> None:
    """Replace the first occurrence in the content of page one."""
    content = document.pages[0].Contents.read_bytes()
    assert old in content
    document.pages[0].Contents = document.make_stream(content.replace(old, new, 1))


def tree_of(document: pikepdf.Pdf) -> Any:
    """The root of the structure tree."""
    root: Any = document.Root
    return root["/StructTreeRoot"]


def first_row(document: pikepdf.Pdf) -> Any:
    """The way back from page one."""
    return tree_of(document)["/ParentTree"]["/Nums"][1]


def swap(array: Any, one: int, other: int) -> None:
    """Two entries of an array change places."""
    kept = list(array)
    kept[one], kept[other] = kept[other], kept[one]
    array[one], array[other] = kept[one], kept[other]


def lose_struct_parents(document: pikepdf.Pdf) -> None:
    """Page one does not say where its way back is."""
    del document.pages[0]["/StructParents"]


def share_struct_parents(document: pikepdf.Pdf) -> None:
    """Two pages share one way back."""
    document.pages[1]["/StructParents"] = 0


def swap_parent_tree(document: pikepdf.Pdf) -> None:
    """Two pieces lead back to each other's elements."""
    swap(first_row(document), 0, 1)


def shorten_parent_tree(document: pikepdf.Pdf) -> None:
    """The last piece of page one leads nowhere."""
    row = first_row(document)
    del row[len(row) - 1]


def lose_parent_tree(document: pikepdf.Pdf) -> None:
    """No way back at all."""
    del tree_of(document)["/ParentTree"]


def reset_next_key(document: pikepdf.Pdf) -> None:
    """The next key is one in use."""
    tree_of(document)["/ParentTreeNextKey"] = 1


def orphan_heading(document: pikepdf.Pdf) -> None:
    """The fill's name is painted and belongs to no element."""
    del find_elements(document, "H1")[0]["/K"]


def claim_twice(document: pikepdf.Pdf) -> None:
    """A step's label claims the words of its body."""
    find_elements(document, "Lbl")[0]["/K"] = find_elements(document, "LBody")[0]["/K"]


def claim_unpainted(document: pikepdf.Pdf) -> None:
    """A heading claims what is not there."""
    find_elements(document, "H1")[0]["/K"] = 99


def name_wrong_parent(document: pikepdf.Pdf) -> None:
    """A heading names another element as its parent."""
    find_elements(document, "H1")[0]["/P"] = tree_of(document)


def lose_page(document: pikepdf.Pdf) -> None:
    """A heading does not say on which page it is."""
    del find_elements(document, "H1")[0]["/Pg"]


def unmark(document: pikepdf.Pdf) -> None:
    """The file does not say that it is tagged."""
    del document.Root["/MarkInfo"]


def lose_tree(document: pikepdf.Pdf) -> None:
    """No structure tree."""
    del document.Root["/StructTreeRoot"]


def paint_outside(document: pikepdf.Pdf) -> None:
    """A stroke that is neither content nor artifact."""
    edit_content(document, b"EMC", b"EMC 0 0 m 9 9 l S")


def nest_artifact(document: pikepdf.Pdf) -> None:
    """An artifact inside content."""
    edit_content(document, b"/H1<</MCID 1>>BDC", b"/H1<</MCID 1>>BDC /Artifact BMC EMC")


def repeat_number(document: pikepdf.Pdf) -> None:
    """Two pieces with one number."""
    edit_content(document, b"<</MCID 1>>", b"<</MCID 0>>")


def tag_as_other(document: pikepdf.Pdf) -> None:
    """Painted as a paragraph, in the tree as a heading."""
    edit_content(document, b"/H1<</MCID 1>>", b"/P<</MCID 1>>")


def lose_number(document: pikepdf.Pdf) -> None:
    """Content without a number."""
    edit_content(document, b"/H1<</MCID 1>>BDC", b"/H1 BMC")


def lose_end(document: pikepdf.Pdf) -> None:
    """Content that never ends."""
    content = document.pages[0].Contents.read_bytes()
    document.pages[0].Contents = document.make_stream(content[: content.rindex(b"EMC")])


def end_twice(document: pikepdf.Pdf) -> None:
    """Content that ends twice."""
    edit_content(document, b"EMC", b"EMC EMC")


def turn_into_artifact(document: pikepdf.Pdf) -> None:
    """The fill's name is painted as an artifact, and never spoken."""
    edit_content(document, b"/H1<</MCID 1>>BDC", b"/Artifact BMC")


def lose_alt(document: pikepdf.Pdf) -> None:
    """A picture without words."""
    del find_elements(document, "Figure")[0]["/Alt"]


def empty_alt(document: pikepdf.Pdf) -> None:
    """A picture with blank words."""
    find_elements(document, "Figure")[0]["/Alt"] = " "


def swap_alts(document: pikepdf.Pdf) -> None:
    """The first barrel says what the total's says: a wrong dose for whoever listens."""
    one, other = find_elements(document, "Figure")[:2]
    one["/Alt"], other["/Alt"] = str(other["/Alt"]), str(one["/Alt"])


def skip_heading(document: pikepdf.Pdf) -> None:
    """A heading of level 4 under one of level 1."""
    find_elements(document, "H2")[0]["/S"] = pikepdf.Name("/H4")


def swap_steps(document: pikepdf.Pdf) -> None:
    """Step 10 is spoken before step 9."""
    swap(find_elements(document, "L")[1]["/K"], 0, 1)


def swap_bodies(document: pikepdf.Pdf) -> None:
    """Two steps of one page have each other's words, numbers still in order."""
    one, other = (list_kids(body)[0] for body in find_elements(document, "LBody")[8:10])
    one["/K"], other["/K"] = int(other["/K"]), int(one["/K"])


def swap_stops(document: pikepdf.Pdf) -> None:
    """The order words of both stops change places in the tree."""
    headings = find_elements(document, "H2")[:2]
    section = find_elements(document, "Sect")[0]
    places = [i for i, kid in enumerate(section["/K"]) if kid.objgen in {each.objgen for each in headings}]
    swap(section["/K"], *places)


def swap_sections(document: pikepdf.Pdf) -> None:
    """Supper is read before breakfast."""
    swap(find_elements(document, "Document")[0]["/K"], 0, 1)


def free_item(document: pikepdf.Pdf) -> None:
    """A step stands outside its list."""
    section, steps = find_elements(document, "Sect")[0], find_elements(document, "L")[0]
    item = steps["/K"][0]
    item["/P"] = section
    del steps["/K"][0]
    section["/K"].append(item)


def unwrap_body(document: pikepdf.Pdf) -> None:
    """The list of steps holds a body without its item; the list before it has no numbers."""
    steps = find_elements(document, "L")[1]
    body = steps["/K"][0]["/K"][1]
    body["/P"] = steps
    steps["/K"][0]["/K"] = steps["/K"][0]["/K"][0]
    steps["/K"].append(body)


def lose_language(document: pikepdf.Pdf) -> None:
    """A voice of the wrong language reads the card."""
    del document.Root["/Lang"]


def lose_title(document: pikepdf.Pdf) -> None:
    """The window shows the file's name."""
    del document.Root["/ViewerPreferences"]


def lose_section_title(document: pikepdf.Pdf) -> None:
    """A section without its name."""
    del find_elements(document, "Sect")[0]["/T"]


OTHERWISE: Final = "is heard otherwise"
SEEDS: list[tuple[Callable[[pikepdf.Pdf], None], str]] = [
    (lose_struct_parents, "page 0 has no StructParents"),
    (share_struct_parents, "StructParents 0 stands on 2 pages"),
    (swap_parent_tree, "page 0: the parent tree leads to other elements"),
    (shorten_parent_tree, "page 0: the parent tree leads to other elements"),
    (lose_parent_tree, "no parent tree"),
    (reset_next_key, "ParentTreeNextKey"),
    (orphan_heading, "content (0, 1) is painted and belongs to no element"),
    (claim_twice, "belongs to 2 elements"),
    (claim_unpainted, "content (0, 99) is in the tree and never painted"),
    (name_wrong_parent, "a /H1 does not name its parent"),
    (lose_page, "content 1 of a /H1 is on no page"),
    (unmark, "MarkInfo"),
    (lose_tree, "no structure tree"),
    (paint_outside, "page 0: S outside any marked content"),
    (nest_artifact, "/Artifact begins inside /H1"),
    (repeat_number, "content (0, 0) is painted twice"),
    (tag_as_other, "content (0, 1) is painted as /P and belongs to a /H1"),
    (lose_number, "/H1 has no number"),
    (lose_end, "never ends"),
    (end_twice, "EMC without a beginning"),
    (turn_into_artifact, "content (0, 1) is in the tree and never painted"),
    (lose_alt, "a Figure has no words"),
    (empty_alt, "a Figure has no words"),
    (swap_alts, OTHERWISE),
    (skip_heading, "H4 follows a heading of level 1"),
    (swap_steps, OTHERWISE),
    (swap_bodies, "the parent tree leads to other elements"),
    (swap_stops, OTHERWISE),
    (swap_sections, "is read after page"),
    (free_item, "a LI stands in a Sect"),
    (unwrap_body, "a LBody stands in a L"),
    (lose_language, "no language"),
    (lose_title, "no title to show"),
    (lose_section_title, "a Sect has no title"),
]


def find_faults(pdf: bytes, sound: str) -> list[str]:
    """What our own walk finds: faults of the tagging, and a card that is heard otherwise than it should be."""
    faults = check_tagging(pdf)
    # A tree that cannot be walked has been found already, and cannot be read aloud.
    if not faults and read_aloud(pdf) != sound:
        faults.append(OTHERWISE)
    return faults


@pytest.mark.parametrize("name", keep_a_fifth([seed.__name__ for seed, _ in SEEDS]))
def test_a_seeded_fault_on_the_real_card_is_found(name: str, mixed_pdf: bytes) -> None:
    """The sound card with one thing broken is found unsound, for that reason."""
    seed, words = next(each for each in SEEDS if each[0].__name__ == name)
    with pikepdf.open(BytesIO(mixed_pdf)) as document:
        seed(document)
        out = BytesIO()
        document.save(out)
    assert any(words in fault for fault in find_faults(out.getvalue(), GOLDEN.read_text(encoding="utf-8")))


def test_saving_alone_is_no_fault(mixed_pdf: bytes) -> None:
    """Only the seeds make it fail: the card rewritten by another program is sound and heard as before."""
    out = BytesIO()
    with pikepdf.open(BytesIO(mixed_pdf)) as document:
        document.save(out)
    assert find_faults(out.getvalue(), GOLDEN.read_text(encoding="utf-8")) == []
