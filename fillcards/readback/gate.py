"""The gate: the bytes of a finished PDF say exactly what the file's text means, or nobody gets them."""

from __future__ import annotations

from typing import Final, NamedTuple

from fillcards.problems import ReadbackFault
from fillcards.readback.compare import compare_barrel, compare_large, compare_small, list_small_sides
from fillcards.readback.entries import require_plain_entries
from fillcards.readback.expect import Expecting
from fillcards.readback.fingerprint import CODE_LENGTH, compute_fingerprint
from fillcards.readback.marks import PageMarks, read_page_marks
from fillcards.readback.model import UnreadableCard
from fillcards.readback.own import read_own
from fillcards.readback.pdfium import open_document, open_page
from fillcards.readback.proof import find_seen_faults
from fillcards.readback.regimen_text import Facts, NotUnderstood, read_facts
from fillcards.readback.render import Easel
from fillcards.readback.saying import STAFF_LANGUAGE, say
from fillcards.readback.sheets import SHEETS, compare_log, compare_practice, say_sheet_title
from fillcards.readback.sides import LARGEST_STEPS_PT
from fillcards.readback.staff import ANY_KEPT, Kept, list_head, list_pairs_said, list_staff_pictures, list_tail
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
from fillcards.readback.words import Side

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
    claims = expecting.card()
    found = list(seen.faults)
    head = seen.head
    title = say_sheet_title(making.form, expecting) if making.form in SHEETS else claims.title.text
    if (head.title, head.language) != (title, claims.language):
        found.append(f'title and language are "{head.title}" and "{head.language}", should be "{title}"')
    if not head.keeps_size:
        found.append("it does not ask to be printed at its own size")
    sides = [Side(marks) for marks in seen.sides]
    alts = list(list_alt_groups(claims, making.form, is_deck=facts.reader_pt > LARGEST_STEPS_PT))
    orders: list[list[frozenset[str]]] = []
    if making.form == "small":
        size_mm = making.size_mm or (seen.sides[0].width_mm, seen.sides[0].height_mm)
        sides = list_small_sides(seen.sides, size_mm, has_backs=making.has_backs)
        found += compare_small(sides, expecting, claims)
    elif making.form == "raised":
        from fillcards.readback.raised import compare_raised

        found += compare_raised(sides, expecting, claims)
    elif making.form in SHEETS:
        told, alts, orders = (compare_log if making.form == "log" else compare_practice)(sides, expecting, claims)
        found += told
    elif making.form == "barrel":
        found += compare_barrel(sides, claims, facts, making.fill, making.draw)
        alts = [([claims.fills[making.fill - 1].panels[making.draw - 1].alt.text],)]
    else:
        found += compare_large(sides, expecting, claims, fingerprint, making.kept)
        for_staff = expecting.for_staff()
        kept = None if making.kept is ANY_KEPT else making.kept
        of_staff = claims if for_staff is expecting else for_staff.card()
        has_pairs = for_staff is not expecting
        tail = list_tail(for_staff, of_staff.vials.title, fingerprint, kept, has_pairs=has_pairs)
        pairs = list_pairs_said(for_staff, claims, of_staff) if has_pairs else ()
        parts = *list_head(for_staff), *tail, *pairs
        known = (each.text for each in parts if making.kept is not ANY_KEPT or not each.id.startswith("staff-check-"))
        if not is_said_in_order(seen.told, known):
            found.append("staff: it is read in another order than it should be")
        alts.append(([say(STAFF_LANGUAGE, f"alt-staff-{name}").text for name in list_staff_pictures(facts)],))
    found += find_tag_faults(seen.told, sides, claims, orders)
    if making.form not in {"barrel", *SHEETS}:
        found += find_heading_faults(seen.told, head.bookmarks, sides, is_raised=making.form == "raised")
    is_shared = len({side.marks.number for side in sides}) < len(sides)
    found += find_alt_faults(seen.told, alts, is_shared=is_shared)
    return tuple(found)


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
    easel, sides, told, faults = Easel(), list[PageMarks](), list[Told | None](), list[str]()
    with open_document(data) as (document, count):
        for index in range(count):
            with open_page(document, index) as page:
                marks = own.sides[index] if own else read_page_marks(page, index + 1)
                sides.append(marks)
                told.append(own.told[index] if own else read_tags(page, marks))
                faults.extend(f"page {index + 1}: {fault}" for fault in find_seen_faults(marks, page, easel))
        return Seen(sides, told, faults, read_head(document))
