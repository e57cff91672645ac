"""The staff sheet: what must stand on it by the file alone, and whether it does.

The words of cautions come from the safety rules; all else is claimed here, row by row. Lengths in mm.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from functools import lru_cache, partial
from importlib import resources
from typing import Final, NamedTuple

import yaml

from fillcards.readback.expect import Expecting
from fillcards.readback.fingerprint import name_edition
from fillcards.readback.marks import Shape, Stroke
from fillcards.readback.model import CardClaims, list_daily, list_vials
from fillcards.readback.parts import Box, box_of, name_mark
from fillcards.readback.regimen_text import LOADER, UNITS_A_ML, Facts, find_scale_row, load_medicine_rows
from fillcards.readback.saying import STAFF_LANGUAGE, Sentence, list_signers
from fillcards.readback.scales import TURNS, read_scale
from fillcards.readback.sides import LARGEST_STEPS_PT, STAFF, Section, find_text_faults, want_furniture
from fillcards.readback.words import EVERYWHERE, Side
from fillcards.typeface.faces import LANGUAGES as TYPES

COLUMNS: Final = ("fill", "medicine", "dose", "strength", "volume", "air", "stop", "prescribed")
EASE_MM: Final = 0.05
LANGUAGE_NAMES: Final = {"es": "Spanish", "vi": "Vietnamese", "ru": "Russian", "ar": "Arabic", "hi": "Hindi"}
NUMBERS_MM: Final = 18.0
"""From the left edge, where the numbers of sentences end."""
ROW_EASE_MM: Final = 1.2
MOST_ROW_MM: Final = 60.0
CARD_CORNERS: Final = 60
CARD_MM: Final = (85.60, 53.98)
"""ISO/IEC 7810, ID-1."""
_CAUTION: Final = re.compile(r"[A-Z]+-[0-9]{3}: ")


class Kept(NamedTuple):
    """What the register says in which a card is kept: its last line, that line's hash, whether the check was done
    at a desk. Nothing of it stands in the file.
    """

    line: int
    head: str
    is_checked_here: bool


ANY_KEPT: Final = Kept(-1, "", False)
"""For a sheet whose register is not known: whatever it says of one must be well formed."""


def list_head(expecting: Expecting) -> Iterator[Sentence]:
    """What stands beside the table: who keeps it, what was worked out, how to check the print, whom it is for."""
    facts, say, write = expecting.facts, expecting.say, expecting.write
    vials = facts.vials
    yield say("staff-keep")
    number = str(facts.raw.get("prescription") or "").strip()
    yield say("staff-prescription", identifier=number) if number else say("staff-write-prescription")
    yield say("staff-compare")
    yield say("staff-compare-how")
    yield from (say(f"staff-column-{column}") for column in COLUMNS)
    yield say("staff-working-ml") if facts.is_ml else say("staff-working", number=write.number(UNITS_A_ML[facts.scale]))
    kind = {"fixed": "staff-syringe", "detachable": "staff-syringe-detachable", "none": "staff-syringe-oral"}
    yield say(kind[facts.needle], number=write.number(facts.line_every), **expecting.syringe_words())
    for vial in vials:
        kind_ = "staff-in-use-label" if vial.days_from_label else "staff-in-use"
        yield say(kind_, vial.days_open, medicine=vial.name)
        checker = str(facts.raw["medicines"][vial.key].get("mixing_checked_by") or "").strip()
        if checker:
            yield say("staff-mixing", medicine=vial.name, checker=checker)
    for document in _list_from_memory(facts):
        yield say("staff-memory", label=document)
    yield from map(say, ("staff-print", "staff-print-size", "staff-print-sides"))
    if not facts.scale_length:
        yield say("staff-life-size-none")
    yield say("staff-bar")
    yield say("staff-outline")
    if facts.scale_length:
        yield say("staff-life-size")
    yield say("staff-person")
    yield from (say(f"staff-{name}") for name in _list_person(facts))
    yield say("staff-teach")
    yield from list_teach_back(expecting)
    yield say("staff-cautions")


def list_tail(expecting: Expecting, fingerprint: str, kept: Kept | None, *, has_pairs: bool) -> Iterator[Sentence]:
    """Who answers for it, and what goes to the patient."""
    facts, say = expecting.facts, expecting.say
    yield say("staff-check")
    if expecting.is_checked() and facts.checked_on:
        day = expecting.write.date(facts.checked_on)
        yield say("staff-checked", checker=facts.checked_by, date=day, code=expecting.code)
        yield say("staff-check-here" if kept and kept.is_checked_here else "staff-check-stated")
    else:
        yield say("staff-to-check", code=expecting.code)
    yield say("staff-fingerprint", code=_group(fingerprint))
    if not has_pairs:
        signed = {"name": names} if (names := _join(list_signers(STAFF_LANGUAGE))) else {}
        yield say("staff-edition-signed" if signed else "staff-edition", code=name_edition(STAFF_LANGUAGE), **signed)
    if kept and kept.line:
        yield say("staff-register", number=expecting.write.number(kept.line), code=_group(kept.head))
    if facts.older:
        yield say("staff-replaces", old_code=facts.older.code, code=_group(facts.older.fingerprint))
    yield say("staff-prepared", name=facts.prepared_by) if facts.prepared_by else say("staff-write-prepared")
    yield say("staff-write-checked")
    yield say("staff-give")
    yield say("staff-give-pages", text=expecting.claims.vials.title.text)
    if facts.reader_pt > LARGEST_STEPS_PT:
        yield say("staff-give-deck")
    yield say("staff-give-old", old_code=facts.older.code) if facts.older else say("staff-give-no-old")


def list_rows(expecting: Expecting) -> Iterator[tuple[Sentence, ...]]:
    """The table: a row for each draw, its last cell empty."""
    for fill in expecting.facts.fills:
        for index, drawn in enumerate(fill.draws):
            strength = "strength" if drawn.vial.strength else "strength-none"
            names = ("medicine", "dose", strength, "volume", "air" if drawn.vial.takes_air else "air-none", "stop")
            say = partial(expecting.say, **expecting.values(fill, index))
            yield expecting.title(fill), *(say(f"staff-{name}") for name in names)


def _list_person(facts: Facts) -> Iterator[str]:
    routes = {vial.route for vial in facts.vials}
    if "by mouth" in routes:
        yield "giver"
        return
    if not facts.is_animal:
        yield "angle"
        if "under the skin" in routes:
            yield "fold"
        yield "count"
    if "under the skin" in routes:
        yield "places"
    if "into muscle" in routes:
        yield "place-muscle"
    if facts.needle == "detachable":
        yield "needles"


def list_teach_back(expecting: Expecting) -> Iterator[Sentence]:
    """What is to be shown back."""
    facts, say = expecting.facts, expecting.say
    for fill in facts.fills:
        names = ["line"]
        if fill.is_mixed:
            names = ["lines", *(["air"] if all(drawn.vial.takes_air for drawn in fill.draws) else []), "how-much"]
        values = expecting.values(fill, -1)
        yield from (say(f"staff-teach-{name}", **values) for name in names)
    yield say("staff-teach-practice")
    is_mouth = facts.fills[0].is_by_mouth
    for is_mixed, past in ((True, "past-two"), (False, "past-mouth" if is_mouth else "past")):
        for fill in [fill for fill in facts.fills if fill.is_mixed is is_mixed][:1]:
            yield say(f"staff-teach-{past}", **expecting.values(fill, -1))
            yield say("staff-teach-bubble-two" if is_mixed else "staff-teach-bubble")
    if any(vial.is_insulin for vial in facts.vials) and not facts.is_animal:
        yield say("staff-teach-low")
    if any(fill.is_weekly for fill in facts.fills):
        yield say("staff-teach-missed")
    yield say("staff-teach-animal" if facts.is_animal else "staff-teach-give" if is_mouth else "staff-teach-place")
    if not is_mouth:
        yield say("staff-teach-sharps")


def _list_from_memory(facts: Facts) -> list[str]:
    """Documents that a catalogue row used rests on, known from memory only."""
    rows = load_medicine_rows()
    kinds = [facts.raw["medicines"][vial.key]["kind"] for vial in facts.vials]
    keys = [
        *find_scale_row(facts).get("sources", ()),
        *(key for kind in kinds if kind in rows for key in rows[kind]["sources"]),
    ]
    entries = [_load_sources()[key] for key in dict.fromkeys(keys) if key in _load_sources()]
    return [entry["document"] for entry in entries if entry["evidence"] == "memory"]


@lru_cache(maxsize=1)
def _load_sources() -> dict[str, dict[str, str]]:
    text = resources.files("fillcards.catalogue").joinpath("sources.yaml").read_text(encoding="utf-8")
    sources: dict[str, dict[str, str]] = yaml.load(text, Loader=LOADER)["sources"]
    return sources


def _group(fingerprint: str) -> str:
    return " ".join(fingerprint[start : start + 4] for start in range(0, len(fingerprint), 4))


def _find_kept(section: Section, for_staff: Expecting) -> Kept:
    """What a sheet of unknown origin says of its register; no line where it says nothing of one."""
    pattern = re.escape(for_staff.say("staff-register", number="1", code="2").text)
    pattern = pattern.replace("1", "([0-9,]+)").replace("2", "((?:[0-9a-f]{4} ){15}[0-9a-f]{4})")
    said = [text for side in section.sides for text in side.list_left()]
    is_here = any(for_staff.say("staff-check-here").text in text for text in said)
    found = [match for text in said if (match := re.search(pattern, text))]
    if len(found) == 1:
        return Kept(int(found[0][1].replace(",", "")), found[0][2].replace(" ", ""), is_here)
    return Kept(0, "", is_here)


def compare_staff(section: Section, own: Expecting, fingerprint: str, kept: Kept | None) -> None:
    """Every sentence, the table row by row, the print check measured; cautions in the words of their rules.

    Of a card in another language the sheet is in English, and both stand beside each other at its end.

    Args:
        section: of the sheet, in its language.
        own: what the card says, in its own language.
        fingerprint: of the file.
        kept: in which register, where it is in one.
    """
    for_staff = section.expecting
    say, is_foreign = for_staff.say, for_staff is not own
    if kept is ANY_KEPT:
        kept = _find_kept(section, for_staff)
    if is_foreign:  # first: head and foot say some of the same
        _compare_pairs(section, own.claims)
    want_furniture(section, say("staff-title"))
    header = [say(f"staff-column-{column}") for column in COLUMNS]
    found = [section.want(each, side=0) for each in header]
    lefts = [place.box.left for place in found if place]
    side = section.sides[0]
    rules = sorted(
        s.y1_mm for s in side.strokes if s.is_horizontal and abs(s.x2_mm - s.x1_mm) > 0.75 * side.marks.width_mm
    )
    if found and found[0] and len(lefts) == len(header):
        strips = [y for y in rules if y > found[0].box.bottom]
        for row, top, bottom in zip(list_rows(for_staff), strips, strips[1:], strict=False):
            for cell, left, right in zip(row, lefts, lefts[1:], strict=False):
                # By its place alone: the next cell may begin closer than a word does.
                words = side.take_words(Box(left - EASE_MM, top, right - 0.7, bottom))
                section.tell(*find_text_faults(words, cell, STAFF.least_pt), where=f", {cell.id}")
    head, tail = list(list_head(for_staff)), list(list_tail(for_staff, fingerprint, kept, has_pairs=is_foreign))
    section.want_all(each for each in (*head, *tail) if each not in header)
    checks = [side for side in section.sides if any(_is_card(shape) for shape in side.shapes)]
    if len(checks) != 1:
        section.tell(f"{len(checks)} outlines of a bank card")
    for side in checks:
        section.tell(*_find_print_faults(side, own.facts))
    _take_cautions(section, say("staff-cautions-none"))
    pairs = _list_pairs_said(for_staff, own.claims) if is_foreign else ()
    pictures = [say(f"alt-staff-{name}").text for name in ("bar", "outline", "life-size")]
    section.alts.append((pictures if own.facts.scale_length else pictures[:2],))
    section.in_row += [each.text for each in (*head, *tail, *pairs)]


def list_pairs(own: CardClaims, english: CardClaims) -> list[tuple[Sentence, Sentence]]:
    """Every sentence of a card in another language and its English, once, where the two differ."""
    pairs = zip(_list_sentences(own), _list_sentences(english), strict=True)
    return [pair for pair in dict.fromkeys(pairs) if pair[0].text != pair[1].text]


def _list_pairs_said(for_staff: Expecting, own: CardClaims) -> Iterator[Sentence]:
    """The last part of the sheet of a card in another language, in its order."""
    yield for_staff.say("staff-words")
    yield _say_edition(for_staff, own.language)
    for pair in list_pairs(own, for_staff.claims):
        yield from pair


def _say_edition(expecting: Expecting, language: str) -> Sentence:
    values = {"label": LANGUAGE_NAMES[language], "code": name_edition(language)}
    if names := _join(list_signers(language)):
        return expecting.say("staff-words-signed", name=names, **values)
    return expecting.say("staff-words-how", **values)


def _join(names: list[str]) -> str:
    return " and ".join(filter(None, (", ".join(names[:-1]), *names[-1:])))


def _list_sentences(claims: CardClaims) -> Iterator[Sentence]:
    yield claims.band
    yield from claims.whose
    for fill in claims.fills:
        yield from (fill.title, *list_daily(fill, lambda alt: alt), fill.running)
        for step in fill.steps:
            yield from (step.say, step.alt)
    yield from (*list_vials(claims.vials), claims.stop_call, claims.foot)


def _compare_pairs(section: Section, own: CardClaims) -> None:
    """Each sentence beside its English, in one row, behind its number."""
    section.want_all((section.say("staff-words"), _say_edition(section.expecting, own.language)))
    is_from_right = TYPES[own.language].is_right_to_left
    for number, (said, meant) in enumerate(list_pairs(own, section.claims), start=1):
        words, box = _as_words(said), EVERYWHERE._replace(left=NUMBERS_MM)
        takes = [side.take_from_right if is_from_right else side.take for side in section.sides]
        found = (take(words, box, STAFF.least_pt, index) for index, take in enumerate(takes))
        place = next(filter(None, found), None)
        if place is None:
            section.miss(words)
            continue
        top, bottom = place.box.top - ROW_EASE_MM, place.box.top + MOST_ROW_MM
        beside = section.want(_as_words(meant), Box(place.box.right, top, EVERYWHERE.right, bottom), side=place.side)
        label = Sentence("number", str(number), bold=(True,))
        before = section.want(label, Box(EVERYWHERE.left, top, place.box.left, bottom), side=place.side)
        if not all(each and abs(each.box.top - place.box.top) < ROW_EASE_MM for each in (beside, before)):
            section.tell(f'"{said.text}" is not in one row with its number and its English')


def _as_words(sentence: Sentence) -> Sentence:
    """Without its line to write on: here it is read, not filled in."""
    return sentence._replace(id="words")


def _is_card(shape: Shape) -> bool:
    """Whether a shape is the outline of a bank card, with its round corners."""
    return shape.outline is not None and len(shape.points) > CARD_CORNERS


def _take_cautions(section: Section, none: Sentence) -> None:
    """What is left in words must be cautions, each beginning with the code of its rule, or that there is none."""
    says_none = any(side.take(none, EVERYWHERE, STAFF.least_pt) for side in section.sides)
    cautions = [text for side in section.sides for text in side.take_cautions()]
    section.tell(*(f'not asked for: "{text}"' for text in cautions if not _CAUTION.match(text)))
    if says_none is bool(cautions):
        section.tell(f'either cautions, or "{none.text}"')


def _find_print_faults(side: Side, facts: Facts) -> Iterator[str]:
    """The bar of 100 mm, the outline of a bank card, the life-size barrel."""
    outlines = [box_of(s) for s in side.shapes if _is_card(s)]
    if len(outlines) != 1 or any(
        abs(size - meant) > EASE_MM
        for size, meant in zip(
            (outlines[0].right - outlines[0].left, outlines[0].bottom - outlines[0].top), CARD_MM, strict=True
        )
    ):
        yield "the outline of a bank card is not as large as one"
    ticks = [s for s in side.strokes if s.is_vertical]
    bars = [
        s
        for s in side.strokes
        if s.is_horizontal
        and abs(abs(s.x2_mm - s.x1_mm) - 100.3) < EASE_MM
        and sum(_stands_on(tick, s) for tick in ticks) > 2
    ]
    if len(bars) != 1:
        yield "the bar is not 100 mm long"
        return
    left = min(bars[0].x1_mm, bars[0].x2_mm) + bars[0].width_mm / 2
    marks = sorted(tick.x1_mm - left for tick in ticks if _stands_on(tick, bars[0]))
    if len(marks) != 11 or any(abs(mark - 10 * index) > EASE_MM for index, mark in enumerate(marks)):
        yield "the marks of the bar are not 10 mm apart"
    bar_box = Box(left - 6.0, bars[0].y1_mm - 8.0, left + 106.0, bars[0].y1_mm + 8.0)
    numbers = [run.text for run in side.take_runs(bar_box)]
    if sorted(numbers) != ["0", "100"]:
        yield f"the bar's numbers are {numbers}"
    side.take_marks(bar_box)
    side.drop(*(s for s in side.shapes if _is_card(s)))
    if facts.scale_length:
        yield from _find_life_size_faults(side, facts)


def _stands_on(tick: Stroke, bar: Stroke) -> bool:
    """Whether an upright stroke ends on a level one."""
    left, right = sorted((bar.x1_mm, bar.x2_mm))
    return abs(max(tick.y1_mm, tick.y2_mm) - bar.y1_mm) < 0.5 and left - 0.5 < tick.x1_mm < right + 0.5


def _find_life_size_faults(side: Side, facts: Facts) -> Iterator[str]:
    # The open tip of an oral syringe has four corners too.
    outlines = [box_of(s) for s in side.shapes if name_mark(s) == "outline 4"]
    if len(outlines) != (2 if facts.needle == "none" else 1):
        yield f"{len(outlines)} outlines of a barrel in life size or of its tip"
        return
    box = max(outlines, key=lambda each: each.right - each.left)
    around = Box(box.left - 14.0, box.top - 14.0, box.right + 14.0, box.bottom + 4.0)
    turn = TURNS[facts.direction]
    scale = read_scale(side.take_marks(around), side.take_runs(around), turn, facts.line_every)
    if scale is None or (scale.first, scale.last) != (Fraction(0), facts.last) or scale.edge is not None:
        yield "the barrel in life size cannot be read"
    elif abs((scale.lines[-1][0] - scale.lines[0][0]) - float(facts.scale_length or Fraction(0))) > EASE_MM:
        yield "the barrel in life size is not as long as the syringe's scale"
