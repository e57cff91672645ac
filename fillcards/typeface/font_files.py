"""Where the font files are. They come with a package of their own, whose code is slow to load and not needed."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path
from typing import Final

from fillcards.problems import OutputError
from fillcards.typeface.metrics import read_widths_file

PACKAGE: Final = "fontpkg-atkinson-hyperlegible"
_REMEDY: Final = f'install it again: pip install "{PACKAGE}==1.6"'


@lru_cache(maxsize=2)
def find_font_file(bold: bool) -> Path:
    """The font file of a weight, byte for byte the one whose widths were measured.

    Raises:
        OutputError: it is not installed, or is another version; says what to install.
    """
    # Both are in use by the time a card is written, but not where a file is only checked.
    import hashlib
    from importlib.util import find_spec

    style = "Bold" if bold else "Regular"
    spec = find_spec(PACKAGE.replace("-", "_"))
    folders = spec.submodule_search_locations if spec else None
    if not folders:
        raise OutputError(f'the typeface is not installed: pip install "{PACKAGE}==1.6"')
    path = Path(folders[0], "files", f"AtkinsonHyperlegible-{style}.ttf")
    try:
        digest = hashlib.sha256(path.read_bytes()).hexdigest()
    except OSError as error:
        raise OutputError(f"the font file {path.name} cannot be read ({error.strerror}); {_REMEDY}") from error
    # Widths of another version would let text run into its neighbours without anybody being told.
    if f"# {style} SHA-256 {digest}\n" not in read_widths_file():
        raise OutputError(f"the font file {path.name} is not the version this program measures text by; {_REMEDY}")
    return path
