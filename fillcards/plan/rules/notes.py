"""Rules about notes and warnings: printed word for word, so they must not say what only the card itself may say.

An amount, a line, a day to throw away or a step in free words stands beside the card's own figures, is checked against
nothing and stays behind when a dose is changed. The words: from memory of the trade, common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from fillcards.plan.rules.rule import Finding, Rule, find_place
from fillcards.problems import Place, ProblemCode, Severity
from fillcards.regimen.free_words import find_amount, find_amount_or_count, fold_text
from fillcards.regimen.model import Regimen

_VIAL = r"(?:the |this |your |each )?(?:clear |cloudy )?(?:vials?|bottles?)"
_DAYS = r"(?:monday|tuesday|wednesday|thursday|friday|saturday|sunday)s?"
_MONTHS = r"(?:january|february|march|april|may|june|july|august|september|october|november|december)"
# Compiled when the first note is read (and kept by ``re``), so that a card without notes does not wait for it.
_OWN_WORDS = "|".join(
    (
        # Who and what the card is for, and whether it is checked.
        r"not (?:yet )?checked|not for a patient|never for a person|\bsample, not\b|\bfingerprint\b",
        r"\bprescription number\b|\bchecked by\b|\bcard code\b|\bif this card is\b|\bpage [0-9]+ of\b",
        r"\bcard [a-z2-7]{4}\b(?= of\b|[.,]|$)",
        # When: minutes, days, dates of use.
        rf"\b(?:only|not) (?:on )?{_DAYS}\b",
        r"\bminutes? before\b|\bdays? (?:after|of supply|from)\b|\bprinted date\b|\bexpir(?:es|y)\b|\bask by\b",
        r"\bdo not use\b|\buse (?:it |them |the \w+ )?(?:until|till|by|within|for)\b|\bgood (?:until|for)\b",
        rf"\bopened\b[^.]*(?:[0-9]|\b{_MONTHS}\b)|\bkeeps? (?:it )?(?:until|till|for)\b",
        # Lines and how to count to them.
        r"\b(?:first|total|fill|zero) line\b|\b(?:each|the) lines? (?:is|are|was|were|counts?|with)\b",
        r"\bis the line\b|\blines? past\b|\bends at\b|\bmust be (?:on|at) [0-9.]+$|\blife size\b|\bscale length\b",
        r"[0-9]\s*\+\s*[0-9]",
        # What to do with the vial and the syringe.
        r"\bit must say\b|\bcheck the label of\b|\btip it\b|\bdraw again\b",
        rf"\b(?:roll|shake|turn|warm) {_VIAL}\b|\b(?:pull|push)\b[^.]*\b(?:air|plunger)\b|\bair is for\b",
        rf"\b(?:take|put) the (?:needle|tip|syringe) (?:out|into {_VIAL})\b",
        r"\b(?:is|are|was|were) (?:now|new here)\b|\b(?:is|are) now [0-9]|\bnow [0-9]+\b|\bit was [0-9]",
    )
)
_THROW_AWAY = re.compile(r"\bthrow(?:n|s|ing)?\b.*\baway\b|\bdiscard(?:ed|s)?\b")
_SHARPS = re.compile(r"\b(?:needles?|syringes?|sharps|box|lancets?)\b")
# As the card begins a line of its own: For Sample Patient. A number alone is one of a picture.
_OWN_START = re.compile(r"For\b|[0-9.,\s]+$")

_INSTRUCTIONS = re.compile(
    r"\btwice (?:as|the|this|that|a)\b"
    r"|\b(?:double|doubled|triple|half|halve|quarter|extra|additional|more|less|fewer|increase|decrease|reduce"
    r"|raise|lower|skip|leave out|stop|instead|again|shake|shaken|stir|mix|freeze|muscle|vein|doses?|draw|inject"
    r"|injects?|missed|repeat)\b"
)
_SENTENCE_END = re.compile(r"(?<=[.?!;])\s+")


def check_amount_in_words(regimen: Regimen) -> Iterator[Finding]:
    """A note, a warning or a mark that names an amount."""
    for place, key, text in _list_free_texts(regimen):
        amount = find_amount_or_count(text)
        if amount:
            yield _find_amount(place, key, amount)
    # How many lines or marks a vial carries is no amount.
    for medicine in regimen.medicines:
        amount = find_amount(medicine.vial_mark or "")
        if amount:
            yield _find_amount(find_place(medicine, "vial_mark"), f"vial_mark of {medicine.name}", amount)


def _find_amount(place: Place, key: str, amount: str) -> Finding:
    return Finding(
        place,
        f'"{amount}" in {key}',
        "no amount and no line in free words: the doses stand under fills and nowhere else",
        "take the amount out, so that it can never say something else than the card",
    )


def caution_instruction(regimen: Regimen) -> Iterator[Finding]:
    """A note or a warning that tells to do something other than the card does."""
    for place, key, text in _list_free_texts(regimen):
        match = _INSTRUCTIONS.search(fold_text(text))
        if match:
            yield Finding(
                place,
                f'"{match[0]}" in {key}',
                "a note that changes nothing of what the card says about dose, steps and route",
                "read card and note together as the reader will; if they can be taken to differ, take the words out",
            )


def check_own_words(regimen: Regimen) -> Iterator[Finding]:
    """A note or a warning in words that only the card itself may say."""
    for place, key, text in _list_free_texts(regimen):
        words = _find_own_words(text)
        if words:
            yield Finding(
                place,
                f'"{words}" in {key}',
                "no words about days of use, throwing away, minutes, lines, steps or for whom: the card says these",
                "say it in other words, or leave it out; what the card shall say stands under its own key, such as "
                "use_within or days, and For with a name begins the line that says whose card it is",
            )


def _find_own_words(text: str) -> str | None:
    if match := _OWN_START.match(text):
        return match[0].strip()
    for sentence in _SENTENCE_END.split(fold_text(text)):
        if match := re.search(_OWN_WORDS, sentence):
            return match[0]
        match = _THROW_AWAY.search(sentence)
        if match and (not _SHARPS.search(sentence) or re.search("[0-9]", sentence)):
            return match[0]
    return None


def _list_free_texts(regimen: Regimen) -> Iterator[tuple[Place, str, str]]:
    if regimen.notes:
        yield regimen.places.get("notes", Place(key="notes")), "notes", regimen.notes
    for medicine in regimen.medicines:
        if medicine.warning:
            yield find_place(medicine, "warning"), f"warning of {medicine.name}", medicine.warning


_REFUSE, _CAUTION = Severity.REFUSE, Severity.CAUTION

RULES = (
    Rule(
        ProblemCode(
            "NOTES-001",
            _REFUSE,
            "A note names no amount.",
            "An amount in free words stays behind when the dose is changed, and then contradicts the card.",
            ("design",),
        ),
        check_amount_in_words,
    ),
    Rule(
        ProblemCode(
            "NOTES-002",
            _CAUTION,
            "A note gives an instruction.",
            "Words such as double, skip, shake or muscle can change the dose or the route beside the card's own steps.",
            ("common-practice", "design"),
        ),
        caution_instruction,
    ),
    Rule(
        ProblemCode(
            "NOTES-003",
            _REFUSE,
            "A note says nothing in the card's own words.",
            "Days of use, lines and steps in free words are taken for the card's, by readers and by the readback.",
            ("design",),
        ),
        check_own_words,
    ),
)
