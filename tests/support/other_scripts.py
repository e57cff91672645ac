"""Lines of type in any script on a page of their own, and what the readback sees on it."""

from __future__ import annotations

from typing import Final

from fillcards.layout.model import Box, Element, Page, Placed, PlacedCard
from fillcards.output.pdf import write_pdf
from fillcards.picture.items import Text
from fillcards.readback.looks import find_seen_faults
from fillcards.readback.marks import PageMarks
from fillcards.readback.page_objects import read_page_marks
from fillcards.readback.pdfium import open_document, open_page
from fillcards.typeface import measure_width_mm

SENTENCES: Final = {
    "vi": "Kéo chậm đến vạch 34. Có bọt khí? Đẩy hết về lọ.",
    "ru": "Медленно наберите до линии 34. Есть пузырёк? Верните всё.",
    "hi": "धीरे-धीरे लाइन 34 तक खींचें। धुँधली शीशी को घुमाएँ।",
    "ar": "اسحب insulin regular ببطء حتى الخط 34. فقاعة؟ ادفع الكل إلى القارورة (كما تعلمت).",
}
NAMES: Final = {
    "Cyrillic": "Нина Иванова",
    "Vietnamese": "Nguyễn Thị Hạnh",
    "Devanagari": "नेहा शर्मा",
    "Arabic": "نور الهدى علي",
}
"""Names of nobody, for an English card."""
"""A sentence of each script, of our own; what they say is of no account here."""


def place_line(text: str, language: str, size_pt: float = 24.0, *, bold: bool = False) -> PlacedCard:
    """One line of type on a page."""
    width_mm = measure_width_mm(text, size_pt, bold, language)
    item = Text(20.0, 40.0, text, size_pt, bold, language=language)
    placed = Placed(Box(20.0, 25.0, width_mm, 22.0), (item,), 0)
    page = Page(40.0 + width_mm, 80.0, (placed,), None)
    return PlacedCard("Line", language, (page,), Element("Document", (Element("P", (0,)),)))


def read_marks(pdf: bytes) -> PageMarks:
    """The marks of the first page."""
    with open_document(pdf) as (document, _), open_page(document, 0) as page:
        return read_page_marks(page, 1)


def look_at(pdf: bytes, marks: PageMarks) -> list[str]:
    """What does not look on the first page as those marks say."""
    with open_document(pdf) as (document, _), open_page(document, 0) as page:
        return list(find_seen_faults(marks, page))


def make_line(text: str, language: str, size_pt: float = 24.0, *, bold: bool = False) -> bytes:
    """The file of one line."""
    return write_pdf(place_line(text, language, size_pt, bold=bold))
