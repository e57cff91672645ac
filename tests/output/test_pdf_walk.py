"""The tests' own walk can fail: each seeded fault is found, and said in words."""

from __future__ import annotations

from collections.abc import Callable
from io import BytesIO
from typing import Any

import pikepdf
import pytest
from support.pdf_walk import check_tagging
from support.placed_cards import make_card

from fillcards.output.pdf import write_pdf


def _find(document: pikepdf.Pdf, role: str) -> Any:
    return next(o for o in document.objects if isinstance(o, pikepdf.Dictionary) and o.get("/S") == f"/{role}")


def _edit_content(document: pikepdf.Pdf, old: bytes, new: bytes) -> None:
    content = document.pages[0].Contents.read_bytes()
    assert old in content
    document.pages[0].Contents = document.make_stream(content.replace(old, new, 1))


def _drop_struct_parents(document: pikepdf.Pdf) -> None:
    del document.pages[0]["/StructParents"]


def _same_struct_parents(document: pikepdf.Pdf) -> None:
    document.pages[1]["/StructParents"] = 0


def _swap_parent_tree(document: pikepdf.Pdf) -> None:
    row = document.Root["/StructTreeRoot"]["/ParentTree"]["/Nums"][1]
    row[0], row[1] = row[1], row[0]


def _shorten_parent_tree(document: pikepdf.Pdf) -> None:
    row = document.Root["/StructTreeRoot"]["/ParentTree"]["/Nums"][1]
    del row[len(row) - 1]


def _drop_parent_tree(document: pikepdf.Pdf) -> None:
    del document.Root["/StructTreeRoot"]["/ParentTree"]


def _reset_next_key(document: pikepdf.Pdf) -> None:
    document.Root["/StructTreeRoot"]["/ParentTreeNextKey"] = 1


def _orphan_content(document: pikepdf.Pdf) -> None:
    del _find(document, "H1")["/K"]


def _claim_twice(document: pikepdf.Pdf) -> None:
    _find(document, "Lbl")["/K"] = _find(document, "LBody")["/K"]


def _claim_unpainted(document: pikepdf.Pdf) -> None:
    _find(document, "H1")["/K"] = 99


def _wrong_parent(document: pikepdf.Pdf) -> None:
    _find(document, "H1")["/P"] = document.Root["/StructTreeRoot"]


def _drop_page(document: pikepdf.Pdf) -> None:
    del _find(document, "H1")["/Pg"]


def _unmark(document: pikepdf.Pdf) -> None:
    del document.Root["/MarkInfo"]


def _drop_tree(document: pikepdf.Pdf) -> None:
    del document.Root["/StructTreeRoot"]


def _paint_outside(document: pikepdf.Pdf) -> None:
    _edit_content(document, b"EMC", b"EMC 0 0 m 9 9 l S")


def _nest_artifact(document: pikepdf.Pdf) -> None:
    _edit_content(document, b"/H1<</MCID 0>>BDC", b"/H1<</MCID 0>>BDC /Artifact BMC EMC")


def _repeat_number(document: pikepdf.Pdf) -> None:
    _edit_content(document, b"<</MCID 1>>", b"<</MCID 0>>")


def _tag_as_other(document: pikepdf.Pdf) -> None:
    _edit_content(document, b"/H1<</MCID 0>>", b"/P<</MCID 0>>")


def _lose_number(document: pikepdf.Pdf) -> None:
    _edit_content(document, b"/H1<</MCID 0>>BDC", b"/H1 BMC")


def _lose_end(document: pikepdf.Pdf) -> None:
    content = document.pages[0].Contents.read_bytes()
    document.pages[0].Contents = document.make_stream(content[: content.rindex(b"EMC")])


def _end_twice(document: pikepdf.Pdf) -> None:
    _edit_content(document, b"EMC", b"EMC EMC")


SEEDS: list[tuple[Callable[[pikepdf.Pdf], None], str]] = [
    (_drop_struct_parents, "page 0 has no StructParents"),
    (_same_struct_parents, "StructParents 0 stands on 2 pages"),
    (_swap_parent_tree, "page 0: the parent tree leads to other elements"),
    (_shorten_parent_tree, "page 0: the parent tree leads to other elements"),
    (_drop_parent_tree, "no parent tree"),
    (_reset_next_key, "ParentTreeNextKey"),
    (_orphan_content, "content (0, 0) is painted and belongs to no element"),
    (_claim_twice, "belongs to 2 elements"),
    (_claim_unpainted, "content (0, 99) is in the tree and never painted"),
    (_wrong_parent, "a /H1 does not name its parent"),
    (_drop_page, "content 0 of a /H1 is on no page"),
    (_unmark, "MarkInfo"),
    (_drop_tree, "no structure tree"),
    (_paint_outside, "page 0: S outside any marked content"),
    (_nest_artifact, "/Artifact begins inside /H1"),
    (_repeat_number, "content (0, 0) is painted twice"),
    (_tag_as_other, "content (0, 0) is painted as /P and belongs to a /H1"),
    (_lose_number, "/H1 has no number"),
    (_lose_end, "never ends"),
    (_end_twice, "EMC without a beginning"),
]


@pytest.mark.parametrize(("seed", "words"), SEEDS, ids=[seed.__name__[1:] for seed, _ in SEEDS])
def test_walk_finds_the_seeded_fault(seed: Callable[[pikepdf.Pdf], None], words: str) -> None:
    """A sound file with one thing broken is found unsound, for that reason."""
    with pikepdf.open(BytesIO(write_pdf(make_card()))) as document:
        seed(document)
        out = BytesIO()
        document.save(out)
    assert any(words in fault for fault in check_tagging(out.getvalue()))


def test_walk_accepts_the_same_file_saved_by_another_program() -> None:
    """Only the seeds make it fail: a file rewritten by pikepdf without a change is sound."""
    with pikepdf.open(BytesIO(write_pdf(make_card()))) as document:
        out = BytesIO()
        document.save(out)
    assert check_tagging(out.getvalue()) == []
