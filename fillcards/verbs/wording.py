"""``wording``: the words of a language beside their English, and signing them, with a clinic's own among them."""

from __future__ import annotations

import argparse
import json
import re
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any, Final

from fillcards.files import FinishedFile, write_files
from fillcards.problems import InternalFault, Place, RegimenRefused
from fillcards.regimen.forms import FormError
from fillcards.regimen.languages import ENGLISH, FOLDER_NAMED_BY, LANGUAGES, find_clinic_file
from fillcards.strict_text import LARGEST_FILE_BYTES
from fillcards.strict_yaml import TextScalar, write_tree
from fillcards.verbs.answers import ExitCode, Streams, UsageError, count_words, name_file
from fillcards.verbs.arguments import find_today
from fillcards.wording.words import (
    BY,
    FORMAT,
    NUMBERS_AND_DATES,
    VERSION,
    ClinicWords,
    Signature,
    find_english,
    find_signature,
    hash_words,
    list_ids,
    list_words,
    read_clinic_words,
)

_TAKES_NO_MORE: Final = {
    "of remarks alone": r"\A(?:[ \t]*(?:#.*)?\n)*[ \t]*#.*(?:\n[ \t]*)*\Z",
    "with an end mark (...)": r"(?m)^\.\.\.",
    "in braces": r"(?m)^(?:---)?[ \t]*\{",
    "with signed in quotes": r"""(?m)^(?:["']signed["']|\? )""",
}
"""Ways to write YAML behind which no block of signatures can stand, each by what it is called."""


def run(arguments: argparse.Namespace, streams: Streams) -> ExitCode:
    """List the words, or sign them."""
    language, name = arguments.language, arguments.file
    if language not in LANGUAGES:
        raise UsageError(f'--language: there are no cards in "{language}"; there are: {", ".join(LANGUAGES)}')
    if name and name != "-" and Path(name).name != f"{language}.yaml":
        raise UsageError(f'"{name}": the file for {language} must be called {language}.yaml, or no card finds it')
    if arguments.sign is not None and not name:
        raise UsageError(f"--sign needs the clinic's file, such as {language}.yaml; it is made if it is not there")
    is_new = name not in {None, "-"} and arguments.sign is not None and not Path(name).exists()
    data = streams.read_bytes(name, LARGEST_FILE_BYTES) if name and not is_new else b""
    clinic = ClinicWords()
    if arguments.sign is not None:
        _require_room(data.decode("utf-8", "replace"))
    if data:
        with name_file(name):
            clinic = read_clinic_words(data, language)
    if arguments.sign is None:
        _list(language, clinic, streams, as_json=arguments.json)
        return ExitCode.DONE
    unsigned = tuple(each for each in list_ids(language) if find_signature(each, language, clinic) is None)
    text = _sign(data.decode(), clinic, language, _read_name(arguments.sign), unsigned)
    if name == "-":
        streams.say_bytes(text.encode())
        return ExitCode.DONE
    write_files((FinishedFile(Path(name), text.encode()),))
    if arguments.json:
        streams.say_json({"file": name, "language": language, "signed_by": arguments.sign, "signed": unsigned})
        return ExitCode.DONE
    streams.say(
        f"{name}: {count_words(len(unsigned), 'sentence')} signed by {arguments.sign}; every one is signed now."
    )
    if find_clinic_file(language) is None:
        streams.say(f"Cards are made with it once {FOLDER_NAMED_BY} names its folder: {Path(name).absolute().parent}")
    return ExitCode.DONE


def _require_room(text: str) -> None:
    """A block of signatures must have a place at the end.

    Raises:
        UsageError: the file is written in a way that takes no more lines.
    """
    for kind, mark in _TAKES_NO_MORE.items():
        if re.search(mark, text):
            raise UsageError(f"a file {kind} cannot be signed: write each key at the beginning of a line of its own")


def _read_name(text: str) -> str:
    try:
        return str(BY.form.parse(text)) if BY.form else text
    except FormError as error:
        raise UsageError(f'--sign: "{text}" is not {error.expected}; {error.remedy}') from None


def _sign(text: str, clinic: ClinicWords, language: str, by: str, unsigned: tuple[str, ...]) -> str:
    """The file with one signature more; what the clinic wrote stays as it is, signatures of other words go.

    Raises:
        UsageError: what is signed does not stand last, or has no place in the file.
    """
    head = re.split(r"(?m)^signed:", text)[0] or f"{FORMAT.name}: {VERSION}\nlanguage: {language}\n"
    new = Signature(by, find_today(), {each: hash_words(each, language, clinic.own) for each in unsigned})
    signatures = (*(_keep_current(each, language, clinic) for each in clinic.signed), new)
    signed = f"{head.rstrip()}\nsigned:\n" + "".join(_write(each) for each in signatures if each.hashes)
    try:
        again = read_clinic_words(signed.encode(), language)
    except RegimenRefused as refusal:
        first = refusal.problems[0]
        raise UsageError(f"a signature has no place in the file: {first.found}; expected {first.expected}") from None
    if again.own != clinic.own:
        raise UsageError("signed: must stand last in the file, behind own:")
    if not all(find_signature(each, language, again) for each in list_ids(language)):
        raise InternalFault("a sentence is still unsigned")
    return signed


def _keep_current(signature: Signature, language: str, clinic: ClinicWords) -> Signature:
    known = frozenset(list_ids(language))
    kept = {
        message_id: signed
        for message_id, signed in signature.hashes.items()
        if message_id in known and signed == hash_words(message_id, language, clinic.own)
    }
    return signature._replace(hashes=kept)


def _write(signature: Signature) -> str:
    lines = (f"      {message_id}: {signed}\n" for message_id, signed in signature.hashes.items())
    by = write_tree(TextScalar(signature.by, Place()))
    return f"  - by: {by}\n    on: {signature.on}\n    words:\n{''.join(lines)}"


def _list(language: str, clinic: ClinicWords, streams: Streams, *, as_json: bool) -> None:
    rows = [_describe(each, language, clinic) for each in list_ids(language)]
    if as_json:
        streams.say_json({"language": language, "sentences": rows})
        return
    for row in rows:
        streams.say(*_write_row(row, language))
    unsigned = sum(row["signed_by"] is None for row in rows)
    told = f"{count_words(unsigned, 'sentence')} not signed" if unsigned else "every one is signed"
    streams.say(f"{count_words(len(rows), 'sentence')} in {LANGUAGES[language]}; {told}.")


def _describe(message_id: str, language: str, clinic: ClinicWords) -> dict[str, Any]:
    signature = find_signature(message_id, language, clinic)
    day: date | None = signature.on if signature else None
    return {
        "id": message_id,
        "english": find_english(message_id),
        "words": list_words(message_id, language, clinic.own),
        "is_own": message_id in clinic.own,
        "signed_by": signature.by if signature else None,
        "signed_on": day.isoformat() if day else None,
    }


def _write_row(row: dict[str, Any], language: str) -> Iterator[str]:
    by = f"signed by {row['signed_by']}, {row['signed_on']}" if row["signed_by"] else "not signed"
    yield f"{row['id']}  {by}{', the clinic’s own' if row['is_own'] else ''}"
    if row["id"] == NUMBERS_AND_DATES:
        for key, value in json.loads(row["words"][0]).items():
            yield f"  {key:10}  {' · '.join(value) if isinstance(value, list) else value}"
    else:
        yield from (f"  {LANGUAGES[ENGLISH]:10}  {words}" for words in row["english"])
        yield from (f"  {LANGUAGES[language]:10}  {words}" for words in row["words"] if language != ENGLISH)
    yield ""
