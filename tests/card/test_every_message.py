"""Every message there is stands on some card, or is said by a form itself: none is dead, none is out of reach."""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from fractions import Fraction
from pathlib import Path
from typing import Final

import pytest
from support.card_text import list_ids
from support.plans import EXAMPLES, STARTERS, plan_example, plan_starter
from wording.make_messages import FOLDER

from fillcards.card.build import build_card
from fillcards.card.model import Keeping
from fillcards.card.sheets import build_log, build_practice
from fillcards.catalogue.model import Motion, Route, ScaleName
from fillcards.plan.fills import plan_fills
from fillcards.quantities import Quantity, Unit
from fillcards.regimen.fingerprint import compute_card_code, is_checked
from fillcards.regimen.model import (
    EVERY_DAY,
    ClinicSays,
    Needle,
    Patient,
    PatientKind,
    Regimen,
    ReplacedStop,
    Replaces,
    Review,
    Weekday,
)

sys.path.insert(0, str(Path(__file__).parents[1]))
from support.rule_regimens import CLEAR, CLOUDY, make_fill, make_mixed, make_other, make_regimen, make_syringe

ADDED_BY_FORMS: Final = (
    *(
        "foot",
        "foot-undated",
        "card-code",
        "page",
        "other-side",
        "go-on",
        "other-sides",
        "wrong-other-sheet",
        "emergency",
        "too-fine",
        "write-done",
        "scan-caption",
        "alt-scan",
    ),
    *(
        "deck-steps",
        "deck-steps-air",
        "helper-title",
        "deck-when",
        "deck-only-day",
        "deck-only-days",
        "deck-animal",
        "deck-unsure",
        "deck-dose",
    ),
    *(
        "deck-dose",
        "deck-count",
        "deck-count-zero",
        "deck-count-number",
        "deck-syringe",
        "deck-syringe-half",
        "deck-syringe-oral",
    ),
    *("deck-past-two", "deck-past-one", "deck-past-mouth"),
    *("scan", "scan-syringe", "scan-syringe-half", "scan-syringe-oral"),
    *("scene-air", "scene-out", "scene-stay", "scene-times", "scene-skin", "scene-muscle", "scene-doubt"),
    "log-week",
    *("html-steps", "html-next", "html-back", "html-all", "text-step", "text-picture"),
    *("raised-title", "raised-key", "raised-slanted", "raised-dots", "raised-enlarged"),
    *("raised-edge", "raised-edge-mouth"),
)
"""What layouts and outputs say by themselves; and the foot, with and without the date that a check may bring."""

INSIDE_OTHERS = {"stop-line", "stop-ml"}
"""Messages that are written inside others alone."""

MIXED = make_mixed("11 units", "23 units")
SINGLE = make_regimen(make_fill(clear="20 units"), medicines=(CLEAR,))
ML = make_syringe(ScaleName.ML, "3", "0.1")
ORAL = make_syringe(ScaleName.ML, "3", "0.1", Needle.NONE)
BORN = date(1951, 5, 4)
ANIMAL = Patient(kind=PatientKind.ANIMAL, second_identifier="grey, white paws")


def change_fills(regimen: Regimen, **changes: object) -> Regimen:
    """The regimen with the same change to each fill."""
    return replace(regimen, fills=tuple(replace(fill, **changes) for fill in regimen.fills))  # type: ignore[arg-type]  # named by tests


def list_persons() -> Iterator[Regimen]:
    """Whose card, who checked it, what it replaces."""
    # Without the size of the clear vial there is nothing to caution about.
    medicines = (replace(CLEAR, vial_ml=None), CLOUDY)
    named = replace(MIXED, medicines=medicines, patient=Patient("Sample Patient", born=BORN), prescription="Rx 1")
    for regimen in (named, replace(named, is_sample=True)):
        day = date(2026, 11, 25)
        review = Review(day, prepared_by="B. Example", checked_by="A. Sample", checked_on=day)
        code = compute_card_code(replace(regimen, review=review))
        yield replace(regimen, review=replace(review, checked_code=code))
    yield replace(MIXED, patient=Patient("Sample Patient", born=BORN, second_identifier="record 4471"))
    (fill,) = SINGLE.fills
    yield replace(SINGLE, fills=(replace(fill, days=EVERY_DAY[:3]), replace(fill, days=EVERY_DAY[3:])))
    yield replace(MIXED, patient=Patient(text_size_pt=Fraction(48)), clinic_says=ClinicSays("Eat first.", "Call us."))
    hungry = change_fills(SINGLE, minutes_before=30)
    for regimen in (hungry, change_fills(hungry, days=EVERY_DAY[:2])):
        yield from (regimen, replace(regimen, patient=ANIMAL))
    for old in (20, 31):
        stop = ReplacedStop("before breakfast", EVERY_DAY, "insulin regular", Fraction(old))
        yield replace(SINGLE, replaces=Replaces("QK7E", "QK7E", None, (stop,)))
    yield replace(SINGLE, replaces=Replaces("QK7E", "QK7E", None, ()))
    yield replace(SINGLE, language="es")
    dose = Quantity(Fraction(19), Unit.UNITS)
    same_line = ReplacedStop("before breakfast", EVERY_DAY, "insulin regular", Fraction(20), dose)
    stopped = ReplacedStop("before supper", EVERY_DAY, "insulin regular", Fraction(20))
    yield replace(SINGLE, replaces=Replaces("QK7E", "QK7E", None, (same_line, stopped)))
    yield replace(SINGLE, replaces=Replaces("QK7E", "QK7E", None, (), ScaleName.ML))
    gone = ReplacedStop("before breakfast", EVERY_DAY, "insulin lispro", Fraction(20))
    yield replace(SINGLE, replaces=Replaces("QK7E", "QK7E", None, (gone,)))
    here = replace(gone, medicine="insulin regular")
    fills = replace(SINGLE.fills[0], when="before supper"), replace(MIXED.fills[0], draws=MIXED.fills[0].draws[1:])
    yield replace(MIXED, fills=fills, replaces=Replaces("QK7E", "QK7E", None, (here,)))


def list_scales() -> Iterator[Regimen]:
    """Counts and doses on scales of every sort."""
    all_long = replace(make_syringe(), numbered_every=Fraction(10), long_every=Fraction(1))
    mixed = replace(all_long, long_every=Fraction(5))
    for syringe, amount in ((all_long, 3), (all_long, 13), (mixed, 3), (mixed, 7)):
        yield make_regimen(make_fill(clear=f"{amount} units"), medicines=(CLEAR,), syringe=syringe)
    yield make_regimen(make_fill(other="0.1 mL"), medicines=(make_other("other", "medicine A", "10 mg/mL"),))


def list_others() -> Iterator[Regimen]:
    """Medicines outside the catalogue: without strength, shaken, without air, two in one syringe."""
    plain = make_other("one", "medicine A", None, takes_air=False, shares_with=("two",))
    shaken = make_other("two", "medicine B", None, look="cloudy", motion=Motion.SHAKE, shares_with=("one",))
    yield make_regimen(make_fill(one="0.5 mL", two="1 mL"), medicines=(plain, shaken), syringe=ML)
    alone = make_regimen(make_fill(two="1 mL"), medicines=(shaken,), syringe=ML)
    yield from (alone, change_fills(alone, days=(Weekday.THURSDAY,)))
    yield replace(MIXED, medicines=(replace(CLEAR, mixing_checked_by="A. Sample"), CLOUDY))


def list_by_mouth() -> Iterator[Regimen]:
    """Bottles: with and without strength, clear, rolled; weekly; for an animal; two of them."""
    by_mouth = {"route": Route.BY_MOUTH, "takes_air": False}
    clear = make_other("clear", "medicine A", "10 mg/mL", **by_mouth)
    rolled = make_other("rolled", "medicine B", None, look="cloudy", motion=Motion.ROLL, **by_mouth)
    fills = (make_fill("before breakfast", clear="1 mL"), make_fill("before supper", rolled="1 mL"))
    both = make_regimen(*fills, medicines=(clear, rolled), syringe=ORAL)
    yield from (both, replace(both, patient=ANIMAL), change_fills(both, days=(Weekday.THURSDAY,)))


def test_every_message_is_met(monkeypatch: pytest.MonkeyPatch) -> None:
    """Cards of every sort, and what forms add, are all there is."""
    regimens = (*list_persons(), *list_scales(), *list_others(), *list_by_mouth())
    plans = (*map(plan_example, EXAMPLES), *map(plan_starter, STARTERS), *map(plan_fills, regimens))
    parts = (build(plan) for plan in plans for build in (build_card, build_practice, build_log))
    met = {message_id for part in parts for message_id in list_ids(part)}
    checked = next(regimen for regimen in list_persons() if is_checked(regimen))
    met |= set(list_ids(build_card(plan_fills(checked), keeping=Keeping(3, 16 * "2e5d", True))))
    for module in ("staff", "build"):
        monkeypatch.setattr(f"fillcards.card.{module}.list_signers", lambda _language: ("Ana Lima",))
    signed = (build_card(plan_fills(replace(checked, language=language))) for language in ("en", "es"))
    met |= {message_id for card in signed for message_id in list_ids(card)}
    ids = set(re.findall(r'^msgid "(.+)"$', (FOLDER / "en.po").read_text(encoding="utf-8"), re.MULTILINE))
    assert met & set(ADDED_BY_FORMS) <= {"foot", "foot-undated"}
    assert met | set(ADDED_BY_FORMS) | INSIDE_OTHERS == ids
