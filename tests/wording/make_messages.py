"""Compiles the messages and the data of languages: ``python tests/wording/make_messages.py`` after every change.

With a tag, such as ``pt``, it writes a blank ``.po`` file of that language beside the others, each message under its
English words.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable, Iterator
from io import BytesIO
from pathlib import Path
from typing import Final

from babel import Locale
from babel.messages.catalog import Catalog, Message
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po

if __name__ == "__main__":
    sys.path[:0] = [str(Path(__file__).parents[2]), str(Path(__file__).parents[1])]

from wording.language_data import write_data

FOLDER: Final = Path(__file__).parents[2] / "fillcards" / "wording"
SOURCES: Final = ("en", "en-values")
"""What every other language has: the sentences, and the words inside values, which English writes by rule."""
ENGLISH_ALONE: Final = ("staff-", "alt-staff-", "answers-")
"""What staff read is English with every card."""


def read_catalogue(name: str) -> Catalog:
    """The messages of a ``.po`` file.

    Raises:
        PoFileError: the file is not well formed.
    """
    with (FOLDER / f"{name}.po").open("rb") as file:
        return read_po(file, locale=name.partition("-")[0], abort_invalid=True)


def list_messages(name: str) -> Iterator[tuple[str, Message]]:
    """Its messages by their ids, in order."""
    for message in read_catalogue(name):
        if message.id:
            yield (message.id if isinstance(message.id, str) else message.id[0]), message


def list_names() -> tuple[str, ...]:
    """Every ``.po`` file there is."""
    return tuple(sorted(path.stem for path in FOLDER.glob("*.po")))


def list_translated() -> tuple[str, ...]:
    """The languages other than English."""
    return tuple(name for name in list_names() if name not in SOURCES)


class _Plain(Catalog):
    """A catalogue whose header says nothing of today or of who wrote it, so that the same words give the same bytes."""

    own_forms = ""

    @property
    def mime_headers(self) -> list[tuple[str, str]]:
        """What ``gettext`` needs to read the words and to choose a form."""
        return [
            ("Content-Type", "text/plain; charset=utf-8"),
            ("Plural-Forms", self.own_forms or self.plural_forms),
        ]

    @mime_headers.setter
    def mime_headers(self, headers: Iterable[tuple[str, str]]) -> None:
        """Nothing more is kept."""


def compile_messages(name: str) -> bytes:
    """The bytes of the ``.mo`` file."""
    read = read_catalogue(name)
    plain = _Plain(locale=name.partition("-")[0])
    plain.own_forms = "" if name in SOURCES else read.plural_forms
    for message in read:
        if message.id:
            plain[message.id] = message
    out = BytesIO()
    write_mo(out, plain)
    return out.getvalue()


def list_words(message: Message) -> list[str]:
    """The words of a message, each form; of an English one, what stands above its translation."""
    return [message.string] if isinstance(message.string, str) else list(message.string or ())


def list_source_messages() -> Iterator[tuple[str, Message]]:
    """What a language must have, in order: the sentences a patient meets, then the words inside values."""
    for name in SOURCES:
        for message_id, message in list_messages(name):
            if not message_id.startswith(ENGLISH_ALONE):
                yield message_id, message


def write_po(language: str, forms: int, rule: str, words: dict[str, tuple[str, ...]], glossary: Iterable[str]) -> str:
    """A ``.po`` file, each message under its English words.

    Args:
        language: its tag.
        forms: how many forms a count chooses between.
        rule: which, as an expression in ``n`` (gettext's manual, 12.6).
        words: by id, a form each; a message left out is blank.
        glossary: lines of the head, without their marks.
    """
    lines = [
        f"# Fillcards: every sentence a patient meets, in {language}, under its English words. {{slot}} is a value,",
        "# ** begins and ends bold. Names of medicines, a label's strength and the name of a scale stay as printed on",
        "# the vial and the syringe. Translated without review: a card says so until a reviewer has signed it.",
        "#",
        *(f"# {line}".rstrip() for line in glossary),
        'msgid ""',
        'msgstr ""',
        f'"Language: {language}\\n"',
        '"MIME-Version: 1.0\\n"',
        '"Content-Type: text/plain; charset=utf-8\\n"',
        '"Content-Transfer-Encoding: 8bit\\n"',
        f'"Plural-Forms: nplurals={forms}; plural={rule};\\n"',
    ]
    for message_id, message in list_source_messages():
        lines.append("")
        lines += [f"# == {comment}" for comment in message.auto_comments]
        lines += [f"#. {english}" for english in list_words(message)]
        lines.append(f'msgid "{message_id}"')
        said = words.get(message_id, ())
        if isinstance(message.id, str):
            lines.append(f'msgstr "{said[0] if said else ""}"')
        else:
            lines.append(f'msgid_plural "{message_id}"')
            lines += [f'msgstr[{form}] "{said[form] if said else ""}"' for form in range(forms)]
    return "\n".join(lines) + "\n"


def write_all() -> None:
    """Write every ``.mo`` and ``.json`` file beside its ``.po`` file."""
    for name in list_names():
        (FOLDER / f"{name}.mo").write_bytes(compile_messages(name))
    for language in list_translated():
        (FOLDER / f"{language}.json").write_text(write_data(language), encoding="utf-8")


def write_blank(language: str) -> None:
    """Write a blank ``.po`` file, never over one that is there."""
    catalogue = Catalog(locale=language)
    forms, rule = catalogue.num_plurals, catalogue.plural_expr
    # CLDR has a form for millions in some languages; no count on a card goes so far.
    choose = Locale.parse(language).plural_form
    chosen = {count: choose(count) for count in range(1001)}
    if set(chosen.values()) == {"one", "other"}:
        forms, rule = 2, {(1,): "(n != 1)", (0, 1): "(n > 1)"}.get(tuple(n for n in chosen if chosen[n] == "one"), rule)
    with (FOLDER / f"{language}.po").open("x", encoding="utf-8") as file:
        file.write(write_po(language, forms, rule, {}, ("Glossary:",)))


if __name__ == "__main__":
    for tag in sys.argv[1:]:
        write_blank(tag)
    if not sys.argv[1:]:
        write_all()
