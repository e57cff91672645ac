"""Right cards whose bytes were edited afterwards: what an eye would read otherwise does not pass.

Each edit was found by changing cards at random (``tests/campaign/fuzz_measure.py``), or is a near relative of one that
was. The places of the marks are taken from the finished page.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from typing import Any

import pikepdf
import pytest
from support.plans import EXAMPLES
from support.program import run_program
from support.regimen_texts import MIXED

from fillcards.finishing import write_barrel
from fillcards.options import Ending
from fillcards.output.pdf import write_pdf
from fillcards.pipeline import place_regimen
from fillcards.problems import ReadbackFault
from fillcards.readback.cells import read_lines
from fillcards.readback.compare import compare_with_regimen, require_same_barrel
from fillcards.readback.marks import read_page_marks
from fillcards.readback.measure import measure_pdf
from fillcards.readback.model import UnreadableCard
from fillcards.readback.pdfium import MM_PER_PT, open_document, open_page
from fillcards.readback.scales import find_scales

REGIMEN = EXAMPLES["mixed"]
"""8 and 18 units: the total line is 26, on a barrel of 50 whose needle points up."""


@dataclass(frozen=True, slots=True)
class Barrel:
    """Where a barrel stands on its page, in points, y upward."""

    wall: float
    bore: float
    zero: float
    last: float
    longest: float

    def find_height(self, value: float) -> float:
        """Of a line of the scale."""
        return self.zero + (self.last - self.zero) * value / 50


@pytest.fixture(scope="module")
def barrel_pdf() -> bytes:
    """The second draw of the first fill, alone on a page."""
    return write_barrel(place_regimen(REGIMEN), 1, 2, Ending.PDF)


@pytest.fixture(scope="module")
def card_pdf() -> bytes:
    """The whole card."""
    return write_pdf(place_regimen(REGIMEN).placed)


@pytest.fixture(scope="module")
def barrel(barrel_pdf: bytes) -> Barrel:
    """Where it stands."""
    with open_document(barrel_pdf) as (document, _), open_page(document, 0) as page:
        marks = read_page_marks(page, 1)
    (scale,) = find_scales(marks)
    # The stopper's ring is the only dark bar that begins at the wall.
    (ring,) = (
        shape
        for shape in marks.shapes
        if len(shape.points) == 4 and shape.fill == 0 and abs(shape.left_mm - scale.wall_mm) < 0.05
    )
    heights = (marks.height_mm - scale.places_mm[0], marks.height_mm - scale.places_mm[-1])
    lengths = scale.wall_mm, ring.right_mm - scale.wall_mm, *heights, max(scale.lengths_mm)
    return Barrel(*(length / MM_PER_PT for length in lengths))


def edit(pdf: bytes, page: int, change: Callable[[bytes], bytes]) -> bytes:
    """A file whose page has other contents."""
    out = BytesIO()
    with pikepdf.open(BytesIO(pdf)) as document:
        contents = document.pages[page - 1].Contents.read_bytes()
        changed = change(contents)
        assert changed != contents
        document.pages[page - 1].Contents = document.make_stream(changed)
        document.save(out)
    return out.getvalue()


def _whiten_half_of_the_dots(contents: bytes) -> bytes:
    lines = contents.split(b"\n")
    dots = [index for index, line in enumerate(lines) if line.endswith(b" c f")]
    assert len(dots) > 100
    lines.insert(dots[-1] + 1, b"0 g")
    lines.insert(dots[len(dots) // 2], b"/DeviceCMYK cs 0 0 0 0 k")
    return b"\n".join(lines)


def _bar(grey: float, b: Barrel, value: float, left: float = 0, short: float = 0, height: float = 5) -> str:
    """A bar below a line of the scale, so many points from both walls."""
    return f"{grey} g {b.wall + left} {b.find_height(value) - height} {b.bore - left - short} {height} re f"


def _line(b: Barrel, value: float, left: float, right: float, rise: float = 0) -> str:
    y = b.find_height(value)
    return f"0 G 2 w {b.wall + left} {y} m {b.wall + right} {y + rise} l S"


def _head(b: Barrel, value: float) -> str:
    tip, base, y = b.wall + b.bore + 4, b.wall + b.bore + 20, b.find_height(value)
    return f"0 g {tip} {y} m {base} {y - 8} l {base} {y + 8} l f"


NOTHINGS = "belong to nothing: 1"
DRAWN: dict[str, tuple[Callable[[Barrel], str], str]] = {
    "white over the liquid": (
        lambda b: _bar(1, b, 12, b.longest + 1, height=b.find_height(12) - b.find_height(20)),
        "a liquid without ink",
    ),
    "second stopper": (lambda b: _bar(0, b, 20), f"no stopper|{NOTHINGS}"),
    "bar inside the bore": (lambda b: _bar(0, b, 20, b.longest + 2, 2), NOTHINGS),
    "grey bar inside the bore": (lambda b: _bar(0.5, b, 20, b.longest + 2, 2), NOTHINGS),
    "bar behind the stopper": (lambda b: _bar(0, b, 40, b.longest + 2, 2), NOTHINGS),
    "line inside the bore": (lambda b: _line(b, 20, b.longest + 2, b.bore + 20), NOTHINGS),
    "slanted line behind the stopper": (lambda b: _line(b, 40, b.bore / 2, b.bore / 2 + 9, 9), f"liquid|{NOTHINGS}"),
    "arrow head without a line": (lambda b: _head(b, 20), NOTHINGS),
}


@pytest.mark.parametrize("name", DRAWN)
def test_a_mark_that_belongs_to_nothing_is_stopped(name: str, barrel_pdf: bytes, barrel: Barrel) -> None:
    """Whatever could be taken for another place to stop, or for another end of the liquid."""
    draw, words = DRAWN[name]
    drawn = edit(barrel_pdf, 1, lambda contents: contents + f"\n{draw(barrel)}".encode())
    with pytest.raises(ReadbackFault, match=words):
        require_same_barrel(drawn, REGIMEN, 1, 2)


def test_a_liquid_that_fades_is_stopped(barrel_pdf: bytes) -> None:
    """Dots in white are there for the file and not for the eye; the right barrel passes."""
    require_same_barrel(barrel_pdf, REGIMEN, 1, 2)
    with pytest.raises(ReadbackFault, match="a liquid without ink"):
        require_same_barrel(edit(barrel_pdf, 1, _whiten_half_of_the_dots), REGIMEN, 1, 2)


@pytest.mark.parametrize("other", [b"(-1 )", b"( )", b"(A)"])
def test_a_scale_without_one_of_its_numbers_is_stopped(other: bytes, barrel_pdf: bytes) -> None:
    """Somebody counts from each of them; where they are thinned, they are thinned evenly."""
    renumbered = edit(barrel_pdf, 1, lambda contents: contents.replace(b"(40 )", other))
    with pytest.raises(ReadbackFault, match="numbers: read 0, 5, 10, 15, 20, 25, 30, 35, 45, 50, meant"):
        require_same_barrel(renumbered, REGIMEN, 1, 2)


@pytest.mark.parametrize("place", ["head", "foot"])
def test_a_page_that_names_another_fill_is_stopped(place: str, card_pdf: bytes) -> None:
    """The sheet of one time is not to be taken for another's: head and foot of every page are held to the name."""

    def rename(contents: bytes) -> bytes:
        assert contents.count(b"(Before breakfast)") == 2
        first, middle, last = contents.split(b"(Before breakfast)")
        names = (b"(Before supper)", b"(Before breakfast)")
        return first + names[place != "head"] + middle + names[place == "head"] + last

    assert not compare_with_regimen(measure_pdf(card_pdf), REGIMEN)
    differences = compare_with_regimen(measure_pdf(edit(card_pdf, 2, rename)), REGIMEN)
    assert any(f"name of the fill at the {place}" in str(each) for each in differences)


def test_text_over_text_is_stopped(card_pdf: bytes) -> None:
    """Both lines look as they would without the other, and neither can be read."""

    def write_over(contents: bytes) -> bytes:
        lines = contents.split(b"\n")
        texts = [index for index, line in enumerate(lines) if b" Td (" in line]
        one, other = texts[-4], texts[-3]
        place, words = lines[one].split(b" Td (")[0].split()[-2:], lines[other].split(b" Td (")
        lines[other] = b" ".join([*words[0].split()[:-2], *place]) + b" Td (" + words[1]
        return b"\n".join(lines)

    differences = compare_with_regimen(measure_pdf(edit(card_pdf, 4, write_over)), REGIMEN)
    assert any("lines of text over each other: 1" in str(each) for each in differences)


@pytest.mark.parametrize("mode", ["disable", "generate"])
@pytest.mark.parametrize(
    ("entry", "reason"), [("UserUnit", "a unit of their own"), ("OpenAction", "a program"), ("Names", "a program")]
)
def test_an_entry_that_pdfium_does_not_tell_of_is_found(entry: str, reason: str, mode: str, card_pdf: bytes) -> None:
    """Also where the program that saved the card packed its dictionaries (ISO 32000-1, 7.5.7)."""
    script = pikepdf.Dictionary(S=pikepdf.Name.JavaScript, JS=pikepdf.String("app.alert(1)"))
    out = BytesIO()
    with pikepdf.open(BytesIO(card_pdf)) as document:
        match entry:
            case "UserUnit":
                document.pages[0].UserUnit = 2
            case "OpenAction":
                document.Root.OpenAction = script
            case _:
                names = pikepdf.Array([pikepdf.String("a"), script])
                document.Root.Names = pikepdf.Dictionary(JavaScript=pikepdf.Dictionary(Names=names))
        document.save(out, object_stream_mode=pikepdf.ObjectStreamMode[mode])
    with pytest.raises(UnreadableCard, match=reason):
        measure_pdf(out.getvalue())


def _act(kind: str, **entries: Any) -> Callable[[pikepdf.Pdf], None]:
    """Something that is done when the card is opened."""

    def change(document: pikepdf.Pdf) -> None:
        document.Root.OpenAction = pikepdf.Dictionary(S=pikepdf.Name(f"/{kind}"), **entries)

    return change


def _attach(document: pikepdf.Pdf) -> None:
    document.attachments["other.txt"] = b"another dose"


def _associate(document: pikepdf.Pdf) -> None:
    contents = document.make_stream(b"another dose")
    document.Root.AF = pikepdf.Array(
        [pikepdf.Dictionary(Type=pikepdf.Name.Filespec, EF=pikepdf.Dictionary(F=contents))]
    )


def _lead_from_outline(document: pikepdf.Pdf) -> None:
    action = pikepdf.Dictionary(S=pikepdf.Name.URI, URI=pikepdf.String("http://example.invalid"))
    document.Root.Outlines.First.A = action


def _add_field(document: pikepdf.Pdf) -> None:
    document.Root.AcroForm = pikepdf.Dictionary(Fields=pikepdf.Array([]))


ACTIVE: dict[str, tuple[Callable[[pikepdf.Pdf], None], str]] = {
    "launch": (_act("Launch", F=pikepdf.String("calc.exe")), "it starts another program"),
    "address": (_act("URI", URI=pikepdf.String("http://example.invalid")), "it leads to an address"),
    "address in the outline": (_lead_from_outline, "it leads to an address"),
    "another document": (_act("GoToR", F=pikepdf.String("other.pdf")), "it opens another file"),
    "sending": (_act("SubmitForm", F=pikepdf.String("http://example.invalid")), "it sends data away"),
    "taking in": (_act("ImportData", F=pikepdf.String("other.fdf")), "it takes data in"),
    "hiding": (_act("Hide", T=pikepdf.String("a")), "it hides or shows"),
    "printing": (_act("Named", N=pikepdf.Name.Print), "it acts on the program"),
    "sound": (_act("Rendition"), "it plays something"),
    "attachment": (_attach, "it carries another file"),
    "associated file": (_associate, "it carries another file"),
    "form": (_add_field, "it is a form"),
}


@pytest.mark.parametrize("mode", ["disable", "generate"])
@pytest.mark.parametrize("name", ACTIVE)
def test_a_card_that_does_something_is_no_card(name: str, mode: str, card_pdf: bytes, tmp_path: Path) -> None:
    """Every kind of action and every file within (ISO 32000-1, 12.6.4, 7.11): ``measure`` never says it is right."""
    change, reason = ACTIVE[name]
    regimen, card = tmp_path / "regimen.yaml", tmp_path / "card.pdf"
    regimen.write_text(MIXED, encoding="utf-8")
    with pikepdf.open(BytesIO(card_pdf)) as document:
        change(document)
        document.save(card, object_stream_mode=pikepdf.ObjectStreamMode[mode])
    for options in ((), ("--against", regimen)):
        ran = run_program("measure", card, *options)
        assert ran.code == 3
        assert reason in ran.err
        assert ran.out == ""


def test_everything_that_a_card_does_is_told(card_pdf: bytes) -> None:
    """Each thing once."""
    with pytest.raises(UnreadableCard, match="it holds a program, and it starts another program, and it carries"):
        measure_pdf(card_pdf + b"<</S/Launch/A/JavaScript/B/JavaScript/C/EmbeddedFiles/D/Filespec>>")


def test_a_longer_name_is_another(card_pdf: bytes) -> None:
    """What only begins like one of the names says nothing."""
    assert measure_pdf(card_pdf + b"\n% /Launched /URIs /SoundOff\n") == measure_pdf(card_pdf)


def test_a_filter_may_be_written_in_numbers_too(card_pdf: bytes) -> None:
    """Else what is packed would be taken for plain, and never unpacked."""
    out = BytesIO()
    with pikepdf.open(BytesIO(card_pdf)) as document:
        document.Root.OpenAction = pikepdf.Dictionary(S=pikepdf.Name.Launch, F=pikepdf.String("calc.exe"))
        document.save(out, object_stream_mode=pikepdf.ObjectStreamMode.generate)
    spoiled = out.getvalue().replace(b"/Filter ", b"/F#69lter ")
    with pytest.raises(UnreadableCard, match="it starts another program"):
        measure_pdf(spoiled)


def test_a_name_may_be_written_in_numbers(card_pdf: bytes) -> None:
    """Every letter of a name may be its number (ISO 32000-1, 7.3.5)."""
    with pytest.raises(UnreadableCard, match="a unit of their own"):
        measure_pdf(card_pdf.replace(b"/MediaBox", b"/User#55n#69t 2 /MediaBox", 1))


def test_packed_dictionaries_are_no_fault(card_pdf: bytes) -> None:
    """The same card with its dictionaries packed says the same."""
    out = BytesIO()
    with pikepdf.open(BytesIO(card_pdf)) as document:
        document.save(out, object_stream_mode=pikepdf.ObjectStreamMode.generate)
    assert b"/ObjStm" in out.getvalue()
    assert measure_pdf(out.getvalue()) == measure_pdf(card_pdf)


def test_two_dots_in_one_place_are_no_braille() -> None:
    """They have no distance to measure a cell by."""
    assert read_lines([(10.0, 10.0), (10.0, 10.0), (12.34, 10.0)]) == ()
