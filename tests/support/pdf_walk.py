"""An own walk over a tagged PDF, because the published checkers miss seeded faults (``tests/output/test_pdf_walk.py``).

Reads with pikepdf, which did not write the file. Rules from ISO 32000-1, 14.6 to 14.8, and ISO 14289-1, 7.1.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from io import BytesIO
from typing import Any

import pikepdf

PAINTING = frozenset(["S", "s", "f", "F", "f*", "B", "B*", "b", "b*", "Tj", "TJ", "'", '"', "Do", "sh", "BI"])

Content = tuple[int, int]
"""Page from 0 and marked-content number."""


def check_tagging(pdf: bytes) -> list[str]:
    """Every fault in the tagging, in words; none for a sound file."""
    with pikepdf.open(BytesIO(pdf)) as document:
        return list(_find_faults(document))


def _find_faults(document: pikepdf.Pdf) -> Iterator[str]:
    root: Any = document.Root
    if not root.get("/MarkInfo", pikepdf.Dictionary()).get("/Marked", False):
        yield "MarkInfo does not say Marked"
    tree: Any = root.get("/StructTreeRoot")
    if tree is None:
        yield "no structure tree"
        return
    pages = {page.obj.objgen: index for index, page in enumerate(document.pages)}
    painted: dict[Content, str] = {}
    for index, page in enumerate(document.pages):
        yield from _read_content(index, page, painted)
    yield from _check_meaning(document, tree)
    owners: dict[Content, list[Any]] = {}
    yield from _walk_kids(tree, tree, None, pages, owners)
    yield from _check_page_order(tree, pages)
    for content in sorted(set(painted) - set(owners)):
        yield f"content {content} is painted and belongs to no element"
    for content in sorted(set(owners) - set(painted)):
        yield f"content {content} is in the tree and never painted"
    for content, elements in sorted(owners.items()):
        if len(elements) > 1:
            yield f"content {content} belongs to {len(elements)} elements"
        role = str(elements[0]["/S"])
        if painted.get(content, role) != role:
            yield f"content {content} is painted as {painted[content]} and belongs to a {role}"
    yield from _check_way_back(document, tree, owners)


def list_instructions(page: pikepdf.Page) -> list[tuple[list[Any], str]]:
    """A page's content as operands and operator."""
    instructions: list[Any] = list(pikepdf.parse_content_stream(page))
    return [(list(each.operands), str(each.operator)) for each in instructions]


def _read_content(index: int, page: pikepdf.Page, painted: dict[Content, str]) -> Iterator[str]:
    """Collect a page's marked content; every stroke of paint must stand inside exactly one piece or artifact."""
    open_marks: list[str] = []
    for operands, name in list_instructions(page):
        if name in {"BDC", "BMC"}:
            tag = str(operands[0])
            if open_marks:
                yield f"page {index}: {tag} begins inside {open_marks[-1]}"
            open_marks.append(tag)
            number = operands[1].get("/MCID") if name == "BDC" else None
            if tag == "/Artifact":
                if number is not None:
                    yield f"page {index}: an artifact has a number"
            elif number is None:
                yield f"page {index}: {tag} has no number"
            else:
                content = (index, int(number))
                if content in painted:
                    yield f"content {content} is painted twice"
                painted[content] = tag
        elif name == "EMC":
            if not open_marks:
                yield f"page {index}: EMC without a beginning"
            else:
                open_marks.pop()
        elif name in PAINTING and not open_marks:
            yield f"page {index}: {name} outside any marked content"
    if open_marks:
        yield f"page {index}: {open_marks[-1]} never ends"


def _walk_kids(
    element: Any, parent: Any, page: Any, pages: dict[tuple[int, int], int], owners: dict[Content, list[Any]]
) -> Iterator[str]:
    if element is not parent and element.get("/P", pikepdf.Dictionary()).objgen != parent.objgen:
        yield f"a {element['/S']} does not name its parent"
    page = element.get("/Pg", page)
    kids = element.get("/K")
    listed = list(kids) if isinstance(kids, pikepdf.Array) else [] if kids is None else [kids]
    for kid in listed:
        if isinstance(kid, int):
            if page is None:
                yield f"content {kid} of a {element['/S']} is on no page"
            else:
                owners.setdefault((pages[page.objgen], kid), []).append(element)
        elif kid.get("/Type") == "/MCR":
            place = kid.get("/Pg", page)
            owners.setdefault((pages[place.objgen], int(kid["/MCID"])), []).append(element)
        else:
            yield from _walk_kids(kid, element, page, pages, owners)


PARENTS = {
    "LI": {"L"},
    "Lbl": {"LI"},
    "LBody": {"LI"},
    "TR": {"Table", "THead", "TBody", "TFoot"},
    "TH": {"TR"},
    "TD": {"TR"},
    "Sect": {"Document", "Sect"},
}
"""What may hold an element (ISO 32000-1, tables 336 and 337)."""
HOLDERS = {
    "L": {"LI"},
    "LI": {"Lbl", "LBody"},
    "Table": {"TR"},
    "TR": {"TH", "TD"},
    "Document": {"Sect", "P", "Figure"},
}
"""What an element may hold, and nothing else."""


def _check_meaning(document: pikepdf.Pdf, tree: Any) -> Iterator[str]:
    """What a reader needs beyond the plumbing: language, title, words for pictures, nesting, headings, numbering."""
    root: Any = document.Root
    if not str(root.get("/Lang", "")):
        yield "no language"
    if not str(document.docinfo.get("/Title", "")) or not root.get("/ViewerPreferences", {}).get("/DisplayDocTitle"):
        yield "no title to show"
    level = 0
    for element, parent in _list_elements(tree.get("/K"), None):
        role, above = str(element["/S"])[1:], None if parent is None else str(parent["/S"])[1:]
        if role == "Figure" and not str(element.get("/Alt", "")).strip():
            yield "a Figure has no words"
        if role in PARENTS and above not in PARENTS[role]:
            yield f"a {role} stands in a {above}"
        if above in HOLDERS and role not in HOLDERS[above]:
            yield f"a {above} holds a {role}"
        if role == "Sect":
            level = 0
            if not str(element.get("/T", "")).strip():
                yield "a Sect has no title"
        if role[:1] == "H" and role[1:].isdigit():
            if int(role[1:]) > level + 1:
                yield f"{role} follows a heading of level {level}"
            level = int(role[1:])


def _list_elements(kids: Any, parent: Any) -> Iterator[tuple[Any, Any]]:
    """Every element below, with the one that holds it, in reading order."""
    for kid in list(kids) if isinstance(kids, pikepdf.Array) else [] if kids is None else [kids]:
        if isinstance(kid, pikepdf.Dictionary) and "/S" in kid:
            yield kid, parent
            yield from _list_elements(kid.get("/K"), kid)


def _check_page_order(tree: Any, pages: dict[tuple[int, int], int]) -> Iterator[str]:
    """What is read never goes back to an earlier page."""
    reached = 0
    for element, _ in _list_elements(tree.get("/K"), None):
        page = element.get("/Pg")
        if page is None:
            continue
        if pages[page.objgen] < reached:
            yield f"a {element['/S']} of page {pages[page.objgen]} is read after page {reached}"
        reached = pages[page.objgen]


def _check_way_back(document: pikepdf.Pdf, tree: Any, owners: dict[Content, list[Any]]) -> Iterator[str]:
    """Parent tree against structure tree, both ways."""
    if "/ParentTree" not in tree:
        yield "no parent tree"
        return
    rows = {key: list(row) for key, row in pikepdf.NumberTree(tree["/ParentTree"]).items()}
    if int(tree.get("/ParentTreeNextKey", -1)) <= max(rows):
        yield "ParentTreeNextKey is not above every key"
    keys = [page.get("/StructParents") for page in document.pages]
    for key, count in Counter(keys).items():
        if key is not None and count > 1:
            yield f"StructParents {key} stands on {count} pages"
    for index, key in enumerate(keys):
        expected = {number: elements[0].objgen for (page, number), elements in owners.items() if page == index}
        if key is None:
            if expected:
                yield f"page {index} has no StructParents"
            continue
        found = {number: element.objgen for number, element in enumerate(rows.get(int(key), []))}
        if found != expected:
            yield f"page {index}: the parent tree leads to other elements than the structure tree"


def list_roles(pdf: bytes) -> list[str]:
    """Roles in reading order, each indented by its depth."""

    def walk(element: Any, depth: int) -> Iterator[str]:
        yield "  " * depth + str(element["/S"])[1:]
        kids = element.get("/K")
        for kid in list(kids) if isinstance(kids, pikepdf.Array) else [] if kids is None else [kids]:
            if isinstance(kid, pikepdf.Dictionary) and "/S" in kid:
                yield from walk(kid, depth + 1)

    with pikepdf.open(BytesIO(pdf)) as document:
        return list(walk(document.Root["/StructTreeRoot"]["/K"], 0))
