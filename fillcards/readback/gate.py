"""The gate: the bytes of a finished PDF say exactly what the file's text means, or nobody gets them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import partial
from typing import Final, NamedTuple

from fillcards.problems import ReadbackFault
from fillcards.readback.entries import require_plain_entries
from fillcards.readback.expect import Expecting
from fillcards.readback.fingerprint import CODE_LENGTH, compute_fingerprint
from fillcards.readback.looks import find_seen_faults
from fillcards.readback.marks import PageMarks, cut_cards
from fillcards.readback.model import Compared, FillClaims, Order, UnreadableCard
from fillcards.readback.own import read_own
from fillcards.readback.page_objects import read_page_marks
from fillcards.readback.pdfium import open_document, open_page
from fillcards.readback.regimen_text import Facts, NotUnderstood, read_facts
from fillcards.readback.sheets import SHEETS, list_log, list_practice, say_sheet_title
from fillcards.readback.sides import (
    LARGE,
    LARGE_PRINT,
    LARGEST_STEPS_PT,
    SMALL,
    SMALL_FOOT_TO_PT,
    STAFF,
    Part,
    Section,
    compare_deck,
    compare_fill,
    compare_panels,
    compare_rest,
    compare_vials,
    find_section,
    split_sections,
)
from fillcards.readback.staff import Kept, compare_staff
from fillcards.readback.tags import (
    Head,
    Told,
    find_alt_faults,
    find_heading_faults,
    find_tag_faults,
    is_said_in_order,
    list_alt_groups,
    read_head,
    read_tags,
)
from fillcards.readback.words import Side, read_side

MOST_TOLD: Final = 20


class CardMismatch(ReadbackFault):
    """The card does not say what the file means.

    Attributes:
        differences: each as a sentence: where, what it says, what it should say.
    """

    def __init__(self, differences: tuple[str, ...]) -> None:
        self.differences = differences
        more = f"\n  and {len(differences) - MOST_TOLD} more" if len(differences) > MOST_TOLD else ""
        told = "".join(f"\n  {each}" for each in differences[:MOST_TOLD])
        super().__init__(
            f"the finished card does not say what the file means, in {len(differences)} places{told}{more}"
        )


class Making(NamedTuple):
    """How a file was made, where its bytes alone do not say it.

    Attributes:
        form: ``fridge``, ``small``, ``raised``, ``barrel``, ``teaching`` or ``log``.
        code: of the card; ``None``: the readback's own, from the file's words.
        fingerprint: likewise.
        size_mm: width and height of a small card; ``None``: of the page.
        has_backs: of small cards, whether every second page is the back of the one before it.
        fill, draw: of one stop alone on a page, from 1.
        kept: what its register says of it; ``None``: it is in none.
    """

    form: str = "fridge"
    code: str | None = None
    fingerprint: str | None = None
    size_mm: tuple[float, float] | None = None
    has_backs: bool = True
    fill: int = 1
    draw: int = 1
    kept: Kept | None = None


FRIDGE: Final = Making()


def require_same_pdf(data: bytes, regimen_text: str, making: Making = FRIDGE, syringes: str | None = None) -> None:
    """The gate of every form on pages.

    Args:
        data: the finished PDF, our own.
        regimen_text: text of the accepted file it was made from.
        making: its form, and what belongs to that.
        syringes: text of the user's own syringes file.

    Raises:
        CardMismatch: with every difference.
        OutputError: the typeface is not installed.
    """
    try:
        differences = find_differences(data, read_facts(regimen_text, syringes), making)
    except (UnreadableCard, NotUnderstood) as error:
        differences = (f"it cannot be read back: {error}",)
    if differences:
        raise CardMismatch(differences)


def find_differences(data: bytes, facts: Facts, making: Making = FRIDGE) -> tuple[str, ...]:
    """Every difference between a card and the file, in sentences; none for a right card.

    Raises:
        UnreadableCard: the bytes are no card, or cannot be read for certain.
    """
    seen = look(data)
    fingerprint = making.fingerprint or compute_fingerprint(facts)
    expecting = Expecting(facts, making.code or fingerprint[:CODE_LENGTH])
    claims = expecting.claims
    found = list(seen.faults)
    head = seen.head
    title = say_sheet_title(making.form, expecting) if making.form in SHEETS else claims.title.text
    if (head.title, head.language) != (title, claims.language):
        found.append(f'title and language are "{head.title}" and "{head.language}", should be "{title}"')
    if not head.keeps_size:
        found.append("it does not ask to be printed at its own size")
    # A sheet of small cards that lies down is turned like a page; what else lies down is a deck, read from both sides.
    is_down = making.form == "small" and seen.sides[0].width_mm > seen.sides[0].height_mm
    if head.edge != (edge := "short" if is_down else "long"):
        found.append(f"it asks to be turned over along {head.edge} edge, should be the {edge} one")
    pages = cut_small_sides(seen.sides, making) if making.form == "small" else seen.sides
    sides = [read_side(marks, claims.language) for marks in pages]
    compared = compare_sides(sides, expecting, making._replace(fingerprint=fingerprint))
    found += compared.faults
    if not is_said_in_order(seen.told, compared.in_row):
        found.append("staff: it is read in another order than it should be")
    found += find_tag_faults(seen.told, sides, claims, compared.orders)
    if making.form != "barrel":
        found += find_heading_faults(seen.told, head.bookmarks, sides, making.form)
    is_shared = len({side.marks.number for side in sides}) < len(sides)
    found += find_alt_faults(seen.told, compared.alts, is_shared=is_shared)
    return tuple(found)


def compare_sides(sides: Sequence[Side], expecting: Expecting, making: Making) -> Compared:
    """The one comparison of every form on pages: its parts in their order, each on a section of the sides."""
    what = "card" if making.form == "small" else "section"
    sections = [list(sides)] if making.form == "barrel" else split_sections(sides, expecting.facts.language)
    compared = Compared([], [], [], [])
    if sections is None:
        compared.faults.append(f"the sides do not count from 1 to their number in each {what}")
        return compared
    if making.form in TURNED:
        compared.faults.extend("a section with an odd number of sides" for each in sections if len(each) % 2)
    if making.form not in {*SHEETS, "barrel"}:
        is_deck = expecting.facts.reader_pt > LARGEST_STEPS_PT
        compared.alts.extend(list_alt_groups(expecting.claims, making.form, is_deck=is_deck))
    heads: Order = []
    left: list[Side] = []
    for part in PARTS[making.form](expecting, making):
        at = find_section(sections, part.titles)
        if at is None:
            compared.faults.append(f"{part.name}: there is no such {what}")
            continue
        left += [side for each in sections[:at] for side in each]
        section = Section(sections[at], part.name, part.rules, part.expecting)
        del sections[: at + 1]
        part.compare(section)
        compared.faults.extend(section.finish())
        compared.alts.extend(section.alts)
        compared.orders.extend(section.orders)
        compared.in_row.extend(section.in_row)
        heads = section.heads or heads
    compared.orders.extend([heads] if heads else [])
    left += [side for each in sections for side in each]
    compared.faults.extend(f"side {side.marks.number}: a {what} that was not asked for" for side in left)
    return compared


def list_large(expecting: Expecting, making: Making) -> Iterator[Part]:
    """A large card: the patient's sides, then the staff sheet. A deck's steps are for a helper, in plain size."""
    claims, helper, reader_pt = expecting.claims, expecting.say("helper-title"), expecting.facts.reader_pt
    rules = LARGE_PRINT if reader_pt > SMALL_FOOT_TO_PT else LARGE
    for number, fill in enumerate(claims.fills, start=1):
        if reader_pt > LARGEST_STEPS_PT:
            yield Part(f"deck {number}", (fill.title,), rules, expecting, partial(compare_deck, fill=fill))
            compare = partial(compare_fill, fill=fill, helper=helper)
            yield Part(f"helper {number}", (fill.title, helper), LARGE, expecting, compare)
        else:
            yield Part(f"fill {number}", (fill.title,), rules, expecting, partial(compare_fill, fill=fill))
    yield Part("vials", (claims.vials.title,), rules, expecting, compare_vials)
    for_staff = expecting.for_staff
    compare = partial(compare_staff, own=expecting, fingerprint=making.fingerprint or "", kept=making.kept)
    yield Part("staff", (for_staff.say("staff-title"),), STAFF, for_staff, compare)


def list_small(expecting: Expecting, _: Making) -> Iterator[Part]:
    """Small cards: of each fill its own."""
    for number, fill in enumerate(expecting.claims.fills, start=1):
        yield Part(f"fill {number}", (fill.title,), SMALL, expecting, partial(compare_fill, fill=fill))


def list_barrel(expecting: Expecting, making: Making) -> Iterator[Part]:
    """The page that shows one stop alone."""
    fill = expecting.claims.fills[making.fill - 1]
    stop = fill._replace(panels=fill.panels[making.draw - 1 :][:1])
    yield Part("picture", (fill.title,), SMALL, expecting, partial(compare_stop_alone, fill=stop))


def compare_stop_alone(section: Section, fill: FillClaims) -> None:
    """One side, with the one panel of the fill."""
    claims = section.claims
    if len(section.sides) != 1:
        section.tell(f"{len(section.sides)} pages, where one is meant")
    for sentence in (fill.title, claims.band, *claims.whose, claims.foot):
        section.want(sentence, side=0, least_pt=SMALL.foot_pt)
    compare_panels(section, fill, [])
    compare_rest(section)
    section.alts.append(([fill.panels[0].alt.text],))


def _list_raised(expecting: Expecting, _: Making) -> Iterator[Part]:
    from fillcards.readback.raised import list_raised  # few cards have such pages

    return list_raised(expecting)


PARTS: Final[Mapping[str, Callable[[Expecting, Making], Iterable[Part]]]] = {
    "fridge": list_large,
    "small": list_small,
    "raised": _list_raised,
    "barrel": list_barrel,
    "teaching": lambda expecting, _: list_practice(expecting),
    "log": lambda expecting, _: list_log(expecting),
}
"""The parts of each form, in the order of its sides."""
TURNED: Final = frozenset(("fridge", *SHEETS))
"""Forms printed on both sides: no two sections of theirs share a sheet."""


def cut_small_sides(marks: Iterable[PageMarks], making: Making) -> list[PageMarks]:
    """The sides of small cards, alone or several on a sheet, in the order of the cards.

    Raises:
        UnreadableCard: a page is no sheet of cards of that size.
    """
    pages = []
    for index, page in enumerate(marks):
        size_mm = making.size_mm or (page.width_mm, page.height_mm)
        pages.append(cut_cards(page, size_mm, is_back=making.has_backs and bool(index % 2)))
    step = 2 if making.has_backs else 1
    cards = [
        card for at in range(0, len(pages), step) for both in zip(*pages[at : at + step], strict=True) for card in both
    ]
    return [card for card in cards if card.runs]


class Seen(NamedTuple):
    """A file as it was looked at: marks and tags of each page, what looks otherwise than it says, what it is called."""

    sides: list[PageMarks]
    told: list[Told | None]
    faults: list[str]
    head: Head


def look(data: bytes) -> Seen:
    """Every page of a file; of one that is not as we write it, its dictionaries first.

    Raises:
        UnreadableCard: the bytes are no card, or cannot be read for certain.
    """
    own = read_own(data)
    if own is None:
        require_plain_entries(data)
    sides, told, faults = list[PageMarks](), list[Told | None](), list[str]()
    with open_document(data) as (document, count):
        for index in range(count):
            with open_page(document, index) as page:
                marks = own[index] if own else read_page_marks(page, index + 1)
                sides.append(marks)
                told.append(read_tags(page, marks))
                faults.extend(f"page {index + 1}: {fault}" for fault in find_seen_faults(marks, page))
        return Seen(sides, told, faults, read_head(document))
