"""``make --as small``: small cards from the command line, through every gate."""

from __future__ import annotations

import io
import json
from pathlib import Path

import pikepdf
import pytest
from support.pdf_walk import check_tagging
from support.program import run_program
from support.regimen_texts import MIXED, change_text

from fillcards import pipeline
from fillcards.options import Form, Options, SmallOptions
from fillcards.readback import gate
from fillcards.readback.gate import CardMismatch, Making

pytestmark = pytest.mark.usefixtures("ready_cards")

MM_PER_PT = 25.4 / 72


def measure_pages_mm(path: Path) -> list[tuple[float, float]]:
    """Width and height of every page, by a library that did not write them."""
    with pikepdf.open(path) as document:
        boxes = [[float(edge) for edge in page.mediabox] for page in document.pages]
    return [(round(right * MM_PER_PT, 1), round(top * MM_PER_PT, 1)) for _, _, right, top in boxes]


@pytest.mark.parametrize(
    ("size", "width_mm", "height_mm"),
    [
        ("half_letter", 139.7, 215.9),
        ("a5", 148.0, 210.0),
        ("a6", 105.0, 148.0),
        ("4x6 in", 101.6, 152.4),
        ("4x6", 101.6, 152.4),
        ("100 x 150 mm", 100.0, 150.0),
        ("140x100", 100.0, 140.0),
        ("129 x 151.5 mm", 129.0, 151.5),
    ],
)
def test_every_page_is_as_large_as_a_card(regimen_file: Path, size: str, width_mm: float, height_mm: float) -> None:
    """Sizes of ISO 216, of letter cut in half, and of 4 by 6 inches; nothing else in the file."""
    out = regimen_file.with_name("cards.pdf")
    ran = run_program("make", regimen_file, "--as", "small", "--size", size, "-o", out)
    assert ran.code == 0
    assert set(measure_pages_mm(out)) == {(width_mm, height_mm)}
    # What is printed without a staff sheet must be told how its size is checked.
    assert "actual size (100 %)" in ran.out


def test_the_files_own_small_paper_is_the_size(tmp_path: Path) -> None:
    """Without ``--size`` the card is as large as the paper that the file names."""
    regimen, out = tmp_path / "regimen.yaml", tmp_path / "cards.pdf"
    regimen.write_text(change_text(MIXED, ("paper: letter", "paper: a6")), encoding="utf-8")
    assert run_program("make", regimen, "--as", "small", "-o", out).code == 0
    assert set(measure_pages_mm(out)) == {(105.0, 148.0)}


def test_sheets_of_cards_and_nothing_else(regimen_file: Path) -> None:
    """Two cards of A5 on an A4 that lies down, backs behind their fronts; no staff sheet among what is handed over."""
    out = regimen_file.with_name("cards.pdf")
    ran = run_program("make", regimen_file, "--as", "small", "--size", "a5", "--n-up", "a4", "--json", "-o", out)
    assert ran.code == 0, ran.err
    answer = json.loads(ran.out)
    assert set(measure_pages_mm(out)) == {(297.0, 210.0)}
    assert answer["sizes"]["cards_on_a_sheet"] == 2
    assert [section["section"] for section in answer["pages"]["sections"]] == ["sheet"]
    assert answer["pages"]["total"] % 2 == 0


def test_label_stock_has_fewer_pages_than_card(regimen_file: Path) -> None:
    """``--one-sided`` leaves the empty backs out."""
    counts = []
    for more in ((), ("--one-sided",)):
        out = regimen_file.with_name(f"cards{len(more)}.pdf")
        assert run_program("make", regimen_file, "--as", "small", "--size", "4x6 in", *more, "-o", out).code == 0
        counts.append(len(measure_pages_mm(out)))
    assert counts[1] <= counts[0]
    assert counts[0] % 2 == 0


@pytest.mark.parametrize("more", [(), ("--n-up", "a4"), ("--n-up", "letter")])
def test_small_cards_are_tagged(regimen_file: Path, more: tuple[str, ...]) -> None:
    """By the tests' own walk over the finished file; on sheets, a card's back is read before the next card's front."""
    out = regimen_file.with_name("cards.pdf")
    assert run_program("make", regimen_file, "--as", "small", "--size", "a6", *more, "-o", out).code == 0
    faults = check_tagging(out.read_bytes())
    assert [fault for fault in faults if not (more and " is read after page " in fault)] == []


@pytest.mark.parametrize("ending", ["svg", "png"])
def test_each_side_is_a_file(regimen_file: Path, ending: str) -> None:
    """As many pictures as the PDF has pages."""
    out = regimen_file.with_name(f"cards.{ending}")
    assert run_program("make", regimen_file, "--as", "small", "--size", "a5", "-o", out).code == 0
    names = {path.name for path in regimen_file.parent.glob(f"cards-*.{ending}")}
    (code,) = {name.split("-")[1] for name in names}
    assert names == {f"cards-{code}-{number}-of-{len(names)}.{ending}" for number in range(1, len(names) + 1)}
    assert len(names) >= 4


def test_a_fridge_card_on_a_small_paper_is_refused(tmp_path: Path) -> None:
    """Exit code 1, the code, the place, and what to do; nothing is written."""
    regimen, out = tmp_path / "regimen.yaml", tmp_path / "card.pdf"
    regimen.write_text(change_text(MIXED, ("paper: letter", "paper: a6")), encoding="utf-8")
    ran = run_program("make", regimen, "-o", out)
    assert ran.code == 1
    assert "PAPER-001" in ran.err
    assert "--as small" in ran.err
    assert not out.exists()


def test_a_small_card_of_unknown_size_is_refused(regimen_file: Path) -> None:
    """The file says letter, which is no card's size: those that are stand in the message."""
    out = regimen_file.with_name("card.pdf")
    ran = run_program("make", regimen_file, "--as", "small", "-o", out)
    assert ran.code == 1
    assert "half_letter, a5, a6, 4x6 in, 100 x 150 mm; or any size from 100 x 140 mm" in ran.err
    assert not out.exists()


@pytest.mark.parametrize("verb", [("check",), ("supply",), ("barrel", "--fill", "1", "-o", "-")])
def test_the_other_verbs_take_a_small_paper(tmp_path: Path, verb: tuple[str, ...]) -> None:
    """A file for small cards is checked as one; its barrel and its supply are told as for any other."""
    regimen = tmp_path / "regimen.yaml"
    regimen.write_text(change_text(MIXED, ("paper: letter", "paper: a6")), encoding="utf-8")
    assert run_program(*verb, regimen).code == 0


def test_no_small_card_without_the_gate(regimen_file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A gate that finds something keeps the file back, whatever the ending."""

    def refuse(_pdf: bytes, _text: str, _making: Making, _syringes: str | None) -> None:
        raise CardMismatch(("it does not say what it should",))

    monkeypatch.setattr(gate, "require_same_pdf", refuse)
    for ending in ("pdf", "png", "svg"):
        out = regimen_file.with_name(f"cards.{ending}")
        assert run_program("make", regimen_file, "--as", "small", "--size", "a5", "-o", out).code == 4
        assert sorted(path.name for path in regimen_file.parent.iterdir()) == ["regimen.yaml"]


def test_same_regimen_same_bytes() -> None:
    """Twice made, twice the same file."""
    regimen = pipeline.read_regimen_file(MIXED.encode())
    options = Options(form=Form.SMALL, small=SmallOptions(size="a6", sheet="a4"))
    assert pipeline.make_pdf(regimen, options) == pipeline.make_pdf(regimen, options)


def test_fonts_are_embedded_once(regimen_file: Path) -> None:
    """However many cards: at most two faces in the file."""
    out = regimen_file.with_name("cards.pdf")
    run_program("make", regimen_file, "--as", "small", "--size", "a6", "-o", out)
    with pikepdf.open(io.BytesIO(out.read_bytes())) as document:
        faces = [each for each in document.objects if isinstance(each, pikepdf.Dictionary) and "/FontFile2" in each]
    assert len(faces) == 2
