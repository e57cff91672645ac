"""What the program makes for fingers: raised pages, the braille file, and the options that go with them."""

from __future__ import annotations

import json
from pathlib import Path

import pypdfium2
import pytest
from support.program import run_program

from fillcards.output import louis


def test_raised_pages_as_pdf(regimen_file: Path) -> None:
    """The file has as many pages as the program says: those of each fill, then the key."""
    out = regimen_file.with_name("raised.pdf")
    ran = run_program("make", "--json", regimen_file, "--as", "raised", "-o", out)
    assert ran.code == 0, ran.err
    pages = json.loads(ran.out)["pages"]
    assert len(pypdfium2.PdfDocument(out.read_bytes())) == pages["total"]
    assert [each["section"] for each in pages["sections"]] == ["fill 1", "fill 2", "key"]


def test_raised_pages_as_svg(regimen_file: Path) -> None:
    """An SVG a page, in true size, with the words of the braille in its description."""
    ran = run_program(
        "make", regimen_file, "--as", "raised", "--medium", "embosser", "-o", regimen_file.with_name("r.svg")
    )
    assert ran.code == 0, ran.err
    files = sorted(regimen_file.parent.glob("r-*.svg"))
    svg = files[-2].read_text(encoding="utf-8")  # the last is the key
    assert 'width="215.9mm"' in svg
    assert "Before supper" in svg
    assert "<circle" in svg


def test_a_braille_file(regimen_file: Path) -> None:
    """The ending makes a braille file of the asked width, in plain ASCII."""
    out = regimen_file.with_name("card.brf")
    ran = run_program("make", regimen_file, "--cells", "30", "--lines", "20", "--braille", "contracted", "-o", out)
    assert ran.code == 0, ran.err
    pages = out.read_bytes().decode("ascii").split("\f")[:-1]
    assert {page.count("\r\n") for page in pages} == {20}
    assert max(len(line) for page in pages for line in page.split("\r\n")) <= 30


@pytest.mark.parametrize("options", [("--as", "raised", "-o", "raised.pdf"), ("-o", "card.brf")])
def test_two_runs_write_the_same_bytes(
    options: tuple[str, ...], regimen_file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The same regimen gives the same raised pages and the same braille."""
    monkeypatch.chdir(regimen_file.parent)
    written = []
    for _ in range(2):
        assert run_program("make", regimen_file, *options).code == 0
        written.append(Path(options[-1]).read_bytes())
    assert written[0] == written[1]


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (("--as", "raised", "-o", "card.brf"), "--as raised makes pages"),
        (("--as", "raised", "-o", "card.txt"), "--as raised makes pages"),
        (("--medium", "swell", "-o", "card.pdf"), "--medium goes with --as raised only"),
        (("--large-cell", "-o", "card.brf"), "--large-cell goes with --as raised only"),
        (("--raised-digits", "-o", "card.pdf"), "--raised-digits goes with --as raised only"),
        (("--growth", "0.2", "-o", "card.pdf"), "--growth goes with --as raised only"),
        (("--cells", "40", "-o", "card.pdf"), "--cells goes with a braille file"),
        (("--lines", "25", "--as", "raised", "-o", "card.pdf"), "--lines goes with a braille file"),
        (("--braille", "contracted", "-o", "card.pdf"), "--braille goes with"),
        (("--braille", "grade 3", "-o", "card.brf"), "uncontracted, contracted"),
        (("--medium", "sand", "--as", "raised", "-o", "card.pdf"), "swell, embosser"),
        (("--growth", "9", "--as", "raised", "-o", "card.pdf"), "0 to 0.7"),
        (("--growth", "nan", "--as", "raised", "-o", "card.pdf"), "not a length"),
        (("--cells", "12", "-o", "card.brf"), "20 to 100"),
        (("--cells", "4e1", "-o", "card.brf"), "whole number"),
        (("--lines", "5", "-o", "card.brf"), "15 to 100"),
    ],
)
def test_options_that_do_not_go_together(
    options: tuple[str, ...], words: str, regimen_file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An option that is unknown, out of range or of no use is wrong usage, and nothing is written."""
    monkeypatch.chdir(regimen_file.parent)
    ran = run_program("make", "regimen.yaml", *options)
    assert ran.code == 2
    assert words in ran.err
    assert [path.name for path in regimen_file.parent.iterdir()] == ["regimen.yaml"]


@pytest.mark.parametrize("options", [("--as", "raised", "-o", "raised.pdf"), ("-o", "card.brf")])
def test_without_liblouis(options: tuple[str, ...], regimen_file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where liblouis is not installed the program says what to install and writes nothing; a print card needs none."""
    monkeypatch.chdir(regimen_file.parent)
    monkeypatch.setattr(louis, "LIBRARY_NAMES", ("no-such-library.so",))
    louis._load.cache_clear()
    try:
        ran = run_program("make", "regimen.yaml", *options)
        assert ran.code == 3
        assert "install liblouis20 and liblouis-data" in ran.err
        assert [path.name for path in regimen_file.parent.iterdir()] == ["regimen.yaml"]
        assert run_program("make", "regimen.yaml", "-o", "card.pdf").code == 0
    finally:
        louis._load.cache_clear()


@pytest.mark.parametrize("options", [("--as", "raised", "-o", "raised.pdf"), ("-o", "card.brf")])
def test_a_character_without_braille(
    options: tuple[str, ...], regimen_file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A name that the typeface has and braille has not is refused with the file's name, and nothing is written."""
    monkeypatch.chdir(regimen_file.parent)
    text = regimen_file.read_text(encoding="utf-8")
    regimen_file.write_text(text.replace("Juniper Testcase", "Juniper \u25ca Testcase"), encoding="utf-8")
    ran = run_program("make", "regimen.yaml", *options)
    assert ran.code == 1
    assert "regimen.yaml" in ran.err
    assert [path.name for path in regimen_file.parent.iterdir()] == ["regimen.yaml"]
