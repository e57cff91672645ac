"""What every embedded font of a PDF has beside its glyphs: the tag of a subset, and its codes back to characters."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from typing import Final

MOST_IN_A_BLOCK: Final = 100


def make_subset_tag(content: str) -> str:
    """Six capital letters (ISO 32000-1, 9.6.4), one set of letters for one set of glyphs.

    Args:
        content: what is in the subset, in words.
    """
    digest = hashlib.sha256(content.encode()).digest()
    return "".join(chr(ord("A") + byte % 26) for byte in digest[:6])


def write_to_unicode(
    name: str, code_bytes: int, characters: Iterable[tuple[int, str]], first: tuple[str, ...] = ()
) -> str:
    """Codes back to characters (ISO 32000-1, 9.10.3), for search, copying and reading aloud.

    Args:
        name: of the font.
        code_bytes: how long a code is.
        characters: each code with what it stands for.
        first: blocks before theirs, as they stand in the file.
    """
    digits = 2 * code_bytes
    entries = [f"<{code:0{digits}X}> <{text.encode('utf-16-be').hex().upper()}>" for code, text in characters]
    blocks = [*first]
    for start in range(0, len(entries), MOST_IN_A_BLOCK):
        block = entries[start : start + MOST_IN_A_BLOCK]
        blocks.append("\n".join((f"{len(block)} beginbfchar", *block, "endbfchar")))
    body = "\n".join(blocks)
    return (
        "/CIDInit /ProcSet findresource begin\n12 dict begin\nbegincmap\n"
        "/CIDSystemInfo <</Registry (Adobe)/Ordering (UCS)/Supplement 0>> def\n"
        f"/CMapName /{name}-UCS def\n/CMapType 2 def\n"
        f"1 begincodespacerange\n<{'0' * digits}> <{'F' * digits}>\nendcodespacerange\n{body}\n"
        "endcmap\nCMapName currentdict /CMap defineresource pop\nend\nend"
    )
