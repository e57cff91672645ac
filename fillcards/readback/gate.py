"""The gate: the bytes of a finished PDF say exactly what the file's text means, or nobody gets them."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final, NamedTuple

from fillcards.catalogue.papers import load_papers
from fillcards.catalogue.scales import load_scales, read_scales
from fillcards.problems import OutputError, ReadbackFault
from fillcards.readback.compare import compare_barrel, compare_large, compare_small
from fillcards.readback.expect import Expecting
from fillcards.readback.entries import require_plain_entries
from fillcards.readback.marks import PageMarks, read_page_marks
from fillcards.readback.model import UnreadableCard
from fillcards.readback.pdfium import open_document, open_page
from fillcards.readback.proof import find_seen_faults
from fillcards.readback.regimen_text import NotUnderstood, read_facts
from fillcards.readback.render import Easel
from fillcards.readback.sides import LARGEST_STEPS_PT
from fillcards.readback.staff import list_staff_pictures
from fillcards.readback.tags import Told, find_tag_faults, read_tags, read_title
from fillcards.regimen.fingerprint import CODE_LENGTH, compute_fingerprint
from fillcards.regimen.schema import read_regimen

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
        super().__init__(f"the finished card does not say what the file means, in {len(differences)} places{told}{more}")


class Source(NamedTuple):
    """What a card is held against: the regimen file's own text, and the user's syringes file."""

    text: str
    syringes: str | None = None


def require_same_pdf(
    data: bytes, source: Source, form: str = "fridge", *, small: str | None = None, has_backs: bool = True
) -> None:
    """The gate of every form on pages.

    Args:
        data: the finished PDF, our own.
        source: the accepted file it was made from.
        form: ``fridge`` or ``small``.
        small: the paper a small card is as large as; left out: the file's own.
        has_backs: of small cards, whether every second page is the back of the one before it.

    Raises:
        CardMismatch: with every difference.
        OutputError: the typeface is not installed, or this form cannot be read back.
    """
    if form not in {"fridge", "small"}:
        raise OutputError(f"--as {form}: pages of this form cannot be read back yet, so none is given away")
    _require(lambda: find_differences(data, source, form, small=small, has_backs=has_backs))


def require_same_barrel(data: bytes, source: Source, fill_number: int, draw_number: int) -> None:
    """The page of one stop; fills and draws count from 1.

    Raises:
        CardMismatch: with every difference.
    """
    _require(lambda: _find_barrel_differences(data, source, fill_number, draw_number))


def require_same_text(data: bytes, source: Source) -> None:
    """The plain text.

    Raises:
        CardMismatch: with every difference.
    """
    from fillcards.readback import other_forms

    other_forms.require_same_text(data, source.text, find_code(source), source.syringes)


def require_same_html(data: bytes, source: Source) -> None:
    """The page for the screen.

    Raises:
        CardMismatch: with every difference.
    """
    from fillcards.readback import other_forms

    other_forms.require_same_html(data, source.text, find_code(source), source.syringes)


def require_same_words(files: tuple[tuple[str, ...], ...], source: Source) -> None:
    """The words handed to the voice, one tuple a file.

    Raises:
        CardMismatch: with every difference.
    """
    from fillcards.readback import other_forms

    other_forms.require_same_words(files, source.text, find_code(source), source.syringes)


def require_same_brf(data: bytes, source: Source, cells: int, lines: int, contraction: str) -> None:
    """The braille file.

    Args:
        data: the file.
        source: what it was made from.
        cells: of a line.
        lines: of a page.
        contraction: ``uncontracted`` or ``contracted``.

    Raises:
        CardMismatch: with every difference.
        OutputError: liblouis is missing.
    """
    from fillcards.readback import other_forms

    other_forms.require_same_brf(
        data,
        source.text,
        find_code(source),
        (cells, lines),
        is_contracted=contraction == "contracted",
        syringes=source.syringes,
    )


def require_same_svg(pictures: tuple[bytes, ...], pdf: bytes, source: Source) -> None:
    """Pages as svg files, against the PDF that has passed its gate.

    Raises:
        CardMismatch: with every difference.
    """
    from fillcards.readback import other_forms

    other_forms.require_same_svg(pictures, pdf, source.text, find_code(source))


def require_same_png(pictures: tuple[bytes, ...], pdf: bytes, dpi: int) -> None:
    """Pages as png files, likewise.

    Raises:
        CardMismatch: with every difference.
    """
    from fillcards.readback import other_forms

    other_forms.require_same_png(pictures, pdf, dpi)


def find_code(source: Source) -> str:
    """The card code, worked out from the file once more."""
    return _find_fingerprint(source)[:CODE_LENGTH]


def _find_fingerprint(source: Source) -> str:
    scales = read_scales(source.syringes) + load_scales() if source.syringes else None
    return compute_fingerprint(read_regimen(source.text, scales))


def _require(find: Callable[[], tuple[str, ...]]) -> None:
    try:
        differences = find()
    except (UnreadableCard, NotUnderstood) as error:
        differences = (f"it cannot be read back: {error}",)
    if differences:
        raise CardMismatch(differences)


def find_differences(
    data: bytes, source: Source, form: str = "fridge", *, small: str | None = None, has_backs: bool = True
) -> tuple[str, ...]:
    """Every difference between a card and the file, in sentences; none for a right card.

    Raises:
        UnreadableCard: it is no card.
        NotUnderstood: the file is not a regimen.
    """
    require_plain_entries(data)
    facts = read_facts(source.text, source.syringes)
    seen = look(data)
    expecting = Expecting(facts, find_code(source))
    claims = expecting.card()
    if form == "small":
        paper = load_papers()[small or facts.paper]
        size_mm = float(paper.width_mm), float(paper.height_mm)
        return (*compare_small(seen.sides, expecting, claims, size_mm, has_backs=has_backs), *seen.faults)
    alts = [expecting.say(f"alt-staff-{name}") for name in list_staff_pictures(facts)]
    is_deck = facts.reader_pt > LARGEST_STEPS_PT
    tags = find_tag_faults(seen.told, seen.title, claims, alts, is_deck=is_deck)
    return (*compare_large(seen.sides, expecting, claims, _find_fingerprint(source)), *seen.faults, *tags)


def _find_barrel_differences(data: bytes, source: Source, fill_number: int, draw_number: int) -> tuple[str, ...]:
    require_plain_entries(data)
    facts = read_facts(source.text, source.syringes)
    seen = look(data)
    claims = Expecting(facts, find_code(source)).card()
    return (*compare_barrel(seen.sides, claims, facts, fill_number - 1, draw_number - 1), *seen.faults)


class Seen(NamedTuple):
    """A file as it was looked at: marks and tags of every page, what does not look as it says, title and language."""

    sides: list[PageMarks]
    told: list[Told | None]
    faults: list[str]
    title: tuple[str, str]


def look(data: bytes) -> Seen:
    """Every page of a file."""
    easel = Easel()
    seen = Seen([], [], [], ("", ""))
    with open_document(data) as (document, count):
        for index in range(count):
            with open_page(document, index) as page:
                marks = read_page_marks(page, index + 1)
                seen.sides.append(marks)
                seen.told.append(read_tags(page, marks))
                seen.faults.extend(f"page {index + 1}: {fault}" for fault in find_seen_faults(marks, page, easel))
        return seen._replace(title=read_title(document))
