"""The typefaces of other scripts than plain Latin, and which language is set in which; data, with nothing loaded.

Fillcards Text comes first everywhere: what it has, digits above all, is set in it, but for a language whose letters it
lacks in part: words in two faces are hard to read. A language without a row here has no type that was looked at, and
no card.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib.util import find_spec
from pathlib import Path
from types import MappingProxyType
from typing import Final, NamedTuple

from fillcards.problems import OutputError


@dataclass(frozen=True, eq=False, slots=True)
class Face:
    """A variable font of a package; each is one of a kind.

    Attributes:
        name: as it begins in a PDF.
        package: to be imported; it is installed under the same name with hyphens.
        script: ISO 15924, as shapers want it.
        blocks: first and last code point of the letters that are taken from it.
        stops: likewise of what is taken from it as well where a whole line runs its way: spaces and punctuation.
        is_shaped: whether letters change with their neighbours; else each stands as it is.
        is_right_to_left: the way its script runs.
    """

    name: str
    package: str
    script: str
    blocks: tuple[tuple[int, int], ...]
    stops: tuple[tuple[int, int], ...] = ()
    is_shaped: bool = False
    is_right_to_left: bool = False


_LATIN_TO_CYRILLIC: Final = ((0x20, 0x7E), (0xA0, 0x24F), (0x400, 0x52F), (0x1E00, 0x1EFF), (0x2010, 0x2027))
SANS: Final = Face("NotoSans", "fontpkg_noto_sans", "Latn", _LATIN_TO_CYRILLIC)
DEVANAGARI: Final = Face(
    "NotoSansDevanagari",
    "fontpkg_noto_sans_devanagari",
    "Deva",
    ((0x900, 0x965), (0x970, 0x97F)),
    is_shaped=True,
)
ARABIC: Final = Face(
    "NotoSansArabic",
    "fontpkg_noto_sans_arabic",
    "Arab",
    ((0x20, 0x20), (0x60C, 0x60C), (0x61B, 0x61B), (0x61F, 0x61F), (0x620, 0x652), (0x66E, 0x6D3)),
    ((0x20, 0x2F), (0x3A, 0x3F), (0x5B, 0x5D), (0xA0, 0xBB), (0x2010, 0x2027)),
    is_shaped=True,
    is_right_to_left=True,
)
FACES: Final = (SANS, DEVANAGARI, ARABIC)
"""In the order in which they are asked for a letter."""


class LanguageRow(NamedTuple):
    """How a language is set.

    Attributes:
        face: of its words; ``None`` for Fillcards Text.
        size: what a reader's size of type is multiplied with, so that its hardest letters are as legible as those of
            Fillcards Text (optical simulation of both weights; the larger of both). Never below 1.
        rise, depth: how high and how deep its letters reach, in parts of the type size; 0 as those of Fillcards Text.
    """

    face: Face | None = None
    size: float = 1.0
    rise: float = 0.0
    depth: float = 0.0

    @property
    def is_right_to_left(self) -> bool:
        """The way its pages run."""
        return self.face is not None and self.face.is_right_to_left


LANGUAGES: Final[Mapping[str, LanguageRow]] = MappingProxyType(
    {
        "en": LanguageRow(),
        "es": LanguageRow(),
        "vi": LanguageRow(SANS, 1.67, 1.055, 0.24),
        "ru": LanguageRow(SANS, 1.07, 0.935, 0.24),
        "hi": LanguageRow(DEVANAGARI, 1.39, 0.9, 0.41),
        "ar": LanguageRow(ARABIC, 1.4, 0.95, 0.4),
    }
)
"""Every language with type of its own, by its BCP 47 tag."""


def find_missing_packages(language: str) -> tuple[str, ...]:
    """What must be installed before a card in a language can be made."""
    face = LANGUAGES[language].face
    needed = ("uharfbuzz", face.package) if face else ()
    return tuple(package.replace("_", "-") for package in needed if find_spec(package) is None)


def require_installed(language: str) -> None:
    """See to it that a language can be set.

    Raises:
        OutputError: a package is missing, or there is no type for the language.
    """
    if language not in LANGUAGES:
        raise OutputError(f'there is no typeface yet for cards in "{language}"')
    if missing := find_missing_packages(language):
        packages = ", ".join(missing)
        raise OutputError(f"cards in this language need {packages}: pip install 'fillcards[languages]'")


@lru_cache(maxsize=1)
def list_installed() -> tuple[Face, ...]:
    """Faces that are at hand, with what sets them."""
    return tuple(face for face in FACES if find_spec("uharfbuzz") and find_spec(face.package))


@lru_cache(maxsize=8)
def find_face_file(face: Face) -> Path:
    """The font file of a face: upright, all weights in one.

    Raises:
        OutputError: its package is not installed, or is another than those it was tried with.
    """
    spec = find_spec(face.package)
    folders = (spec.submodule_search_locations or ()) if spec else ()
    files = [file for folder in folders for file in Path(folder).rglob(f"{face.name}[[]*.ttf")]
    if len(files) != 1:
        raise OutputError(f"the typeface {face.name} is not installed: pip install 'fillcards[languages]'")
    return files[0]
