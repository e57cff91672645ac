"""Compiles the messages: ``python tests/wording/make_messages.py`` after every change of a ``.po`` file."""

from __future__ import annotations

from collections.abc import Iterable
from io import BytesIO
from pathlib import Path
from typing import Final

from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po

FOLDER: Final = Path(__file__).parents[2] / "fillcards" / "wording"


def read_catalogue(language: str) -> Catalog:
    """The messages of a language as its ``.po`` file has them.

    Raises:
        PoFileError: the file is not well formed.
    """
    with (FOLDER / f"{language}.po").open("rb") as file:
        return read_po(file, locale=language, abort_invalid=True)


class _Plain(Catalog):
    """A catalogue whose header says nothing of today or of who wrote it, so that the same words give the same bytes."""

    @property
    def mime_headers(self) -> list[tuple[str, str]]:
        """What ``gettext`` needs to read the words and to choose a form."""
        return [("Content-Type", "text/plain; charset=utf-8"), ("Plural-Forms", self.plural_forms)]

    @mime_headers.setter
    def mime_headers(self, headers: Iterable[tuple[str, str]]) -> None:
        """Nothing more is kept."""


def compile_messages(language: str) -> bytes:
    """The bytes of the ``.mo`` file."""
    plain = _Plain(locale=language)
    for message in read_catalogue(language):
        if message.id:
            plain[message.id] = message
    out = BytesIO()
    write_mo(out, plain)
    return out.getvalue()


def write_all() -> None:
    """Write every ``.mo`` file beside its ``.po`` file."""
    for path in sorted(FOLDER.glob("*.po")):
        path.with_suffix(".mo").write_bytes(compile_messages(path.stem))


if __name__ == "__main__":
    write_all()
