"""The style sheet and the script of the screen page: nothing in them hides, covers, shrinks or changes words.

The gate holds a page to these two files; what the files do is looked at here, once. A rule that is not known here is a
fault, since nobody has looked at what a browser makes of it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Final

import pytest

import fillcards.output

FOLDER: Final = Path(fillcards.output.__file__).parent
HIDDEN: Final = frozenset(
    ("article:first-child > .band", ".steps.one li:not(.now)", ".controls[hidden]", "nav, .controls", "header")
)
"""Rules that may take something away: the band twice on a screen, all steps but one, and what paper has no use for."""
_HIDING: Final = (
    "animation appearance bottom clip clip-path columns content content-visibility filter float left letter- "
    "spacing mask mix-blend-mode opacity order overflow overflow-x overflow-y perspective position right rotate "
    "scale text-indent text-overflow text-transform top transform translate transition visibility z-index zoom"
)
HIDING: Final = frozenset(_HIDING.split())
"""Properties with which words can be hidden, covered, moved away or changed; the style sheet has no use for them."""
COLOURS: Final = frozenset(("CanvasText", "Canvas", "inherit"))
WRITING: Final = re.compile(
    r"innerHTML|outerHTML|textContent|innerText|insertAdjacent|append|prepend|replace|remove\(|write\(|createElement"
    r"|\.style|\.title|\.data\b|nodeValue|fetch|eval|import"
)
"""What a script could change words with."""


def find_style_faults(style: str) -> Iterator[str]:
    """Rules that may hide something."""
    plain = re.sub(r"/\*.*?\*/", "", style, flags=re.DOTALL)
    for selector, text in re.findall(r"([^{}]*)\{([^{}]*)\}", plain):
        selector = " ".join(selector.rpartition(";")[2].split())
        pairs = (each.partition(":") for each in text.split(";") if each.strip())
        rules = {name.strip(): " ".join(value.split()) for name, _, value in pairs}
        if (rules.get("color") == "Canvas") is not (rules.get("background") == "CanvasText"):
            yield f'its style sheet may hide something: "{selector}" has words and ground alike'
        for name, value in rules.items():
            if not is_harmless(selector, name, value):
                yield f'its style sheet may hide something: "{selector}" has "{name}: {value}"'


def is_harmless(selector: str, name: str, value: str) -> bool:
    """Whether a rule can take nothing away."""
    if selector.startswith("@bottom-right"):
        return name in {"content", "font-size"}
    match name:
        case "display":
            return value != "none" or selector in HIDDEN
        case "color" | "background":
            return value in COLOURS
        case "font-size":
            # Of a whole em at least.
            return bool(re.match(r"(?:clamp\()?[1-9]|calc\(var\(--pt\) \* 1pt\)", value))
        case "font" | "width" | "height" | "max-width" | "max-height":
            return not re.match(r"-|0(?!\.?[1-9])", value)
        case _:
            return name not in HIDING and not value.startswith("-")


def test_the_style_sheet_hides_nothing() -> None:
    """Every rule is known, and takes nothing away that a reader needs."""
    assert list(find_style_faults((FOLDER / "screen.css").read_text(encoding="utf-8"))) == []


def test_the_script_changes_no_words() -> None:
    """It shows and hides steps, and that is all."""
    assert not WRITING.search((FOLDER / "screen.js").read_text(encoding="utf-8"))


@pytest.mark.parametrize("rule", [
    ".figure { display: none; }", "p { opacity: 0; }", ".below p { font-size: .1em; }", ".steps p { color: Canvas; }",
    "h1 { height: 0; }", "li { margin-left: -99em; }",
])  # fmt: skip
def test_what_hides_is_found(rule: str) -> None:
    """The search above can fail."""
    assert list(find_style_faults(rule))
