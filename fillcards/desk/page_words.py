"""What a page says of a file: problems in the words of its blanks, and what nobody has answered yet.

A problem is written for whoever edits the file: it names keys and lines. A page has neither, so the names of keys give
way to those of the blanks, in this one place. A blank left empty is no fault; it is told by its name alone.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from fillcards.desk import blanks
from fillcards.desk.blanks import Part, list_medicine_keys, shorten
from fillcards.desk.live import LEFT_EMPTY, UNANSWERED, UNANSWERED_DAYS, Look
from fillcards.desk.text_edit import Plain, find_plain, find_text, list_items
from fillcards.problems import Place, Problem, Severity
from fillcards.regimen import keys
from fillcards.regimen.model import PatientKind

_ROWS: Final = (
    *(blanks.WHOSE, blanks.READER, blanks.SYRINGE, blanks.ANOTHER, blanks.OTHER, blanks.MEDICINE, blanks.CONTACT),
    *(blanks.CLINIC, blanks.ROOT, blanks.REVIEW),
)
_NAMES: Final = {row.key.name: shorten(row.name) for rows in _ROWS for row in rows} | {
    keys.WHEN.name: "when",
    keys.DAYS.name: "days",
    keys.DRAW.name: "dose",
    keys.MINUTES_BEFORE.name: "minutes before eating",
    keys.NONE_ON.name: "days without it",
    keys.FILLS.name: "The prescription, as it reads",
    keys.CONTACTS.name: "Whom to call",
    keys.SYRINGE.name: "What is in the person's hand?",
    keys.MEDICINES.name: "What is in the bag?",
    keys.PATIENT.name: "Whose card",
    keys.REVIEW.name: "Words and language",
    keys.PREPARED_BY.name: "who wrote it",
    keys.CHECKED_BY.name: "who checked it",
    keys.CHECKED_ON.name: "day of the check",
    keys.CHECKED_CODE.name: "code that was checked",
}
_KEY: Final = "|".join(sorted(_NAMES, key=len, reverse=True))
# What is done otherwise on a page than in a file.
_INSTEAD: Final = tuple(
    (re.compile(pattern), words)
    for pattern, words in (
        (r"none_on: \[[^]]*\] under the medicine", "the days without it pressed in its sentence"),
        (r"add that line: the card is not released without it", "press them in its sentence"),
        (r"(?:every day, )?weekdays, weekends, or a list of days such as \[.*\]", "days that are pressed here"),
        (r"write the days in full between brackets.*", "press the days"),
        (r'write "kind: (.+?)" and take out the keys that only other has', r"choose “\1” as the medicine"),
        (r'write "(?:air|may_share_with): none"', "put none"),
        (r"only checked_by, checked_on and checked_code under review can say so", "only its check can say so"),
        (r"add a contact such as \{who: (\w+), phone: \.\.\.\}", r"write \1 and the phone there"),
        (r": fillcards wording .*?;", ";"),
        (r"let the program write it: fillcards new .*", "begin again with “Change a dose”"),
        (r"sample: true", "a sample, not for a patient"),
        (r"no such line", "a card of a patient"),
        (r"delete this line once .*", "begin with “A new card”: a sample is not handed over"),
        (r", with --as small; or write paper: (.*)", r" outside the desk; or choose the paper \1"),
        (r", the first time in line \d+$", ""),
        (r" in line \d+ as ", " as "),
        (r", under one key$", ""),
        (r"the key (?=\")", "the vial "),
        (r"none, or the keys\b", "none, or the vials"),
        (r"\bkeys\b", "blanks"),
        (r"\b(?:delete|take out) th(?:e|is) line\b", "empty the blank"),
        (r"\badd the line: .*", "fill it in"),
    )
)
_NAMED: Final = re.compile(
    rf'^(?P<start>{_KEY})(?=: )|"(?P<quoted>{_KEY}):?"|(?<=\bunder )(?P<under>{_KEY})\b|(?P<other>\bkind): '
    rf"|\b(?:\w+(?:\[\d+\])?\.)+(?P<last>{_KEY})\b"
    rf"|\b(?P<joined>{'|'.join(key for key in _KEY.split('|') if '_' in key)})\b"
)


def say(text: str) -> str:
    """A part of a message, with the names of blanks for those of keys."""
    for pattern, words in _INSTEAD:
        text = pattern.sub(words, text)
    return _NAMED.sub(_name_match, text)


def _name_match(match: re.Match[str]) -> str:
    key = match[match.lastgroup or 0]
    return f"{_NAMES[key]}: " if match.lastgroup == "other" else f"“{_NAMES[key]}”"


def tell(look: Look, tree: Plain, parts: tuple[Part, ...]) -> Look:
    """A look with its problems in the page's words, and with what is to be answered before a second person gets it."""
    told = dict.fromkeys(_tell_one(problem, parts) for problem in look.problems)
    places = {problem.place.key for problem in told}
    asked = (problem for problem in list_unanswered(tree) if problem.place.key not in places)
    order = [blank.path for part in parts for group in part.groups for blank in group.blanks]
    empty = [problem for problem in (*told, *asked) if problem.code in LEFT_EMPTY]
    empty.sort(key=lambda each: order.index(each.place.key) if each.place.key in order else -1)
    return replace(look, problems=(*empty, *(problem for problem in told if problem.code not in LEFT_EMPTY)))


def _tell_one(problem: Problem, parts: tuple[Part, ...]) -> Problem:
    if problem.code not in LEFT_EMPTY:
        return problem._replace(found=say(problem.found), expected=say(problem.expected), remedy=say(problem.remedy))
    missing = re.match(r'no "(\w+)"', problem.found)
    path = ".".join(filter(None, (problem.place.key, missing[1] if missing else "")))
    syringe = re.fullmatch(r"syringe\.(?:scale|capacity|line_every)", path)
    by_path = {blank.path: blank for part in parts for group in part.groups for blank in group.blanks}
    blank = by_path.get(path) or (by_path.get("syringe/row") if syringe else None)
    name = shorten(blank.name) if blank else _NAMES.get(path.rpartition(".")[2], path)
    return _ask(blank.path if blank else path, name, problem.code)


def list_unanswered(tree: Plain) -> Iterator[Problem]:
    """What the file may leave out, but not the desk: the second person finds each in the prescription or in the bag."""
    if not find_text(tree, "patient.name"):
        yield _ask("patient.name", "name")
    if find_text(tree, "patient.kind") != PatientKind.ANIMAL.value and not find_text(tree, "patient.born"):
        yield _ask("patient.born", "birth date")
    for key in list_medicine_keys(tree):
        if not find_text(tree, f"medicines.{key}.on_the_label"):
            yield _ask(f"medicines.{key}.on_the_label", "words on the label, which the second person reads there too")
    for number, fill in enumerate(list_items(tree, "fills"), start=1):
        if isinstance(fill, dict) and not find_plain(fill, "days"):
            found = "days, or “every day”: with none pressed the card would say each day"
            yield _ask(f"fills[{number}].days", found, UNANSWERED_DAYS)


def _ask(path: str, found: str, code: str = UNANSWERED) -> Problem:
    return Problem(code, Severity.REFUSE, Place(key=path), found, "an answer", "fill it in")
