"""What the reader declares of pdfium is what the library's own bindings declare."""

from __future__ import annotations

import ctypes
from typing import Any

import pypdfium2_raw
import pytest

from fillcards.readback import pdfium


def tell(kind: Any) -> str:
    """A kind of argument in one letter: an address, nothing, a number with a point, or a whole one, with its length."""
    if kind is None:
        return "nothing"
    if kind is ctypes.c_void_p or kind is ctypes.c_char_p or hasattr(kind, "contents"):
        return "address"
    name = "real" if kind in {ctypes.c_float, ctypes.c_double} else "signed" if kind(-1).value < 0 else "unsigned"
    return f"{name} of {ctypes.sizeof(kind)}"


@pytest.mark.parametrize("name", sorted(pdfium.FUNCTIONS))
def test_a_function_is_declared_as_its_library_declares_it(name: str) -> None:
    """Number, kind and length of what it is given, and of what it gives back."""
    ours, theirs = getattr(pdfium.load_pdfium(), name), getattr(pypdfium2_raw, name)
    assert [tell(kind) for kind in ours.argtypes] == [tell(kind) for kind in theirs.argtypes]
    assert tell(ours.restype) == tell(theirs.restype)


@pytest.mark.parametrize(
    ("ours", "theirs"),
    [
        ("ERR_PASSWORD", "FPDF_ERR_PASSWORD"),
        ("FORMTYPE_NONE", "FORMTYPE_NONE"),
        ("PAGEOBJ_TEXT", "FPDF_PAGEOBJ_TEXT"),
        ("PAGEOBJ_PATH", "FPDF_PAGEOBJ_PATH"),
        ("SEGMENT_BEZIERTO", "FPDF_SEGMENT_BEZIERTO"),
        ("SEGMENT_MOVETO", "FPDF_SEGMENT_MOVETO"),
        ("TEXTRENDERMODE_FILL", "FPDF_TEXTRENDERMODE_FILL"),
        ("FONT_TRUETYPE", "FPDF_FONT_TRUETYPE"),
        ("BITMAP_GRAY", "FPDFBitmap_Gray"),
        ("RENDER_ANNOT", "FPDF_ANNOT"),
        ("RENDER_GRAYSCALE", "FPDF_GRAYSCALE"),
        ("RENDER_PRINTING", "FPDF_PRINTING"),
    ],
)
def test_a_number_of_the_library_is_the_library_s(ours: str, theirs: str) -> None:
    """Each is written down anew, so each is held against its source."""
    assert getattr(pdfium, ours) == getattr(pypdfium2_raw, theirs)


def test_matrix_and_rectangle_are_numbers_one_after_the_other() -> None:
    """So an array of them may stand for either."""
    for struct, count in ((pypdfium2_raw.FS_MATRIX, 6), (pypdfium2_raw.FS_RECTF, 4)):
        assert [kind for _, kind in struct._fields_] == [ctypes.c_float] * count


def test_a_library_that_lies_elsewhere_is_found_by_its_bindings(monkeypatch: pytest.MonkeyPatch) -> None:
    """A system may keep its own pdfium; the bindings were told where."""
    monkeypatch.setattr(pdfium, "find_spec", lambda _: None)
    assert pdfium._find_library() == pypdfium2_raw.bindings._libs["pdfium"]._name
