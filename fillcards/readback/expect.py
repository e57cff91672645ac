"""What must stand on a card, worked out from the file's text alone: every sentence with its values, every picture.

Written from the frozen tables of steps and the rules of the trade, not from the maker's code. Flat on purpose: each
sentence is one line here, in the order in which it is read. Wherever the maker may choose (which page, which size),
nothing is said here.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from functools import cached_property, partial
from typing import Final

from fillcards.readback.model import (
    CardClaims,
    FillClaims,
    Panel,
    PictureClaim,
    Portion,
    Spelled,
    Step,
    VialClaims,
    VialsClaims,
)
from fillcards.readback.regimen_text import (
    UNITS_A_ML,
    Amount,
    Drawn,
    Facts,
    Filling,
    Vial,
    may_be_one_person,
    read_clock,
)
from fillcards.readback.saying import (
    STAFF_LANGUAGE,
    Sentence,
    Writing,
    list_signers,
    say,
    write_amount,
)

EVERY_DAY: Final = tuple(range(7))
FILLINGS: Final = ("slanted", "dots")
_SIGNS: Final = (
    ("rising_sun", ("waking", "breakfast", "morning")),
    ("high_sun", ("lunch", "noon", "midday")),
    ("setting_sun", ("supper", "dinner", "evening", "tea", "afternoon")),
    ("moon", ("bed", "night")),
)
WITHOUT_VIAL: Final = frozenset(("check", "by_mouth", "inject", "inject_muscle", "inject_animal"))
"""Scenes of a draw that show no vial; those that show the syringe filled; with a wedge at its stop; with air in it."""
FILLED: Final = WITHOUT_VIAL | {"draw", "bubble", "oral_draw", "oral_bubble"}
WEDGED: Final = frozenset(("draw", "check", "oral_draw"))
WITH_AIR: Final = frozenset(("air_out", "air_stay"))
SCENE_WORDS: Final = {
    "roll_and_tip": ("times", "times"),
    "air_out": ("air", "out"),
    "air_stay": ("air", "stay"),
    "no_air": ("stay",),
    "bubble": ("doubt",),
    "oral_bubble": ("doubt",),
    "inject": ("skin",),
    "inject_animal": ("skin",),
    "inject_muscle": ("muscle",),
}
_BANDS: Final = {"one": 1, "a": 1, "two": 2, "three": 3}


class Expecting:
    """Works out the claims of one card."""

    def __init__(self, facts: Facts, code: str) -> None:
        self.facts = facts
        self.code = code
        self.say = partial(say, facts.language)
        self.write = Writing(facts.language)
        self._values: dict[tuple[int, int], dict[str, str]] = {}
        # English is what the checkers read; other words count as checked once somebody has signed them.
        self.is_signed = facts.language == STAFF_LANGUAGE or bool(list_signers(facts.language))

    @cached_property
    def for_staff(self) -> Expecting:
        """The same card in the language of the staff sheet."""
        if self.facts.language == STAFF_LANGUAGE:
            return self
        same = Expecting(self.facts._replace(language=STAFF_LANGUAGE), self.code)
        same.is_signed = self.is_signed
        return same

    @cached_property
    def claims(self) -> CardClaims:
        """All that the card must say."""
        facts, say = self.facts, self.say
        phone = facts.contacts[0][1] if facts.contacts else None
        foot = {"code": self.code}
        return CardClaims(
            language=facts.language,
            title=say("document-title", code=self.code),
            code=self.code,
            band=self.band(),
            whose=tuple(self.whose()),
            stop_call=say("stop-call", phone=phone) if phone else say("stop-call-write"),
            foot=say("foot", date=self.write.date(facts.dated), **foot) if facts.dated else say("foot-undated", **foot),
            fills=tuple(self.fill(fill) for fill in facts.fills),
            vials=self.vials(),
            spelled=tuple(self.spelled()),
        )

    def spelled(self) -> Iterator[Spelled]:
        """Codes and phones."""
        code = frozenset(("band-checked", "document-title", "foot", "foot-undated"))
        yield Spelled(self.code, ", ", code)
        if self.facts.older:
            yield Spelled(self.facts.older.code, ", ", frozenset(("news-throw",)))
        for _, phone in self.facts.contacts:
            yield Spelled(phone, " ", frozenset(("unsure", "contact", "stop-call")))

    # every side

    def is_checked(self) -> bool:
        """Whether the file says that another person has checked this very card, and when."""
        facts = self.facts
        others = [facts.prepared_by] + [facts.name] * (not facts.is_animal)
        is_told = bool(facts.prepared_by and facts.checked_by and facts.checked_on)
        return (
            is_told
            and facts.checked_code == self.code
            and not any(may_be_one_person(facts.checked_by, other) for other in others)
        )

    def band(self) -> Sentence:
        """Unchecked is visible."""
        facts, checked = self.facts, self.is_checked() and self.is_signed
        if facts.is_sample:
            return self.say("band-sample-checked" if checked else "band-sample")
        if not checked or facts.checked_on is None:
            return self.say("band-unchecked")
        return self.say(
            "band-checked", checker=facts.checked_by, date=self.write.date(facts.checked_on), code=self.code
        )

    def whose(self) -> Iterator[Sentence]:
        """Name, birth date, identifier, or the words of ruled lines."""
        facts = self.facts
        more = {"identifier": facts.identifier} if facts.identifier else {}
        if not facts.name:
            yield self.say("-".join(["write-name", *more]), **more)
        else:
            born = {"born": self.write.date(facts.born)} if facts.born else {}
            yield self.say("-".join(["whose", *born, *more]), name=facts.name, **born, **more)
        if not facts.born and not facts.is_animal:
            yield self.say("write-born")

    # amounts

    def stop(self, value: Fraction) -> str:
        """How a line reads inside a sentence: ``line 11``, ``0.5 mL``."""
        return self.say("stop-ml" if self.facts.is_ml else "stop-line", number=self.write.number(value)).text

    def bare(self, value: Fraction) -> str:
        """How a line reads where "line" would be too much: ``11``, ``0.5 mL``."""
        return self.stop(value) if self.facts.is_ml else self.write.number(value)

    def syringe_words(self) -> dict[str, str]:
        """The two words a syringe is known by."""
        return {"scale": self.facts.scale, "last": self.write.number(self.facts.last)}

    # one fill

    def fill(self, fill: Filling) -> FillClaims:
        """One fill's front and steps."""
        values = self.values(fill, -1)
        running = "running-two" if fill.is_mixed else "running-ml" if self.facts.is_ml else "running-line"
        return FillClaims(
            title=self.title(fill),
            sign=find_sign(fill.when),
            above=tuple(self.above(fill)),
            news=tuple(self.news(fill)),
            panels=tuple(self.panel(fill, index) for index in range(len(fill.draws))),
            below=tuple(self.below(fill)),
            running=self.say(running, **values),
            steps=tuple(self.steps(fill)),
            both=self.say("alt-barrel-both", **values) if fill.is_mixed else None,
        )

    def title(self, fill: Filling) -> Sentence:
        """The fill's name, with its day where it has one."""
        when = self.write.time(fill.when)
        if fill.is_weekly:
            return self.say("title-day", day=self.write.days(fill.days), when=when)
        named = {(0, 1, 2, 3, 4): "title-weekdays", (5, 6): "title-weekends"}
        if fill.days not in named and sum(each.when == fill.when for each in self.facts.fills) > 1:
            return self.say("title-days", days=self.write.days(fill.days), when=when)
        return self.say(named.get(fill.days, "title"), when=when)

    def above(self, fill: Filling) -> Iterator[Sentence]:
        """Between title and panels."""
        facts = self.facts
        if facts.is_animal:
            yield self.say("animal")
        is_daily = fill.days == EVERY_DAY
        if not is_daily:
            days = self.write.days(fill.days)
            yield self.say("only-day", day=days) if fill.is_weekly else self.say("only-days", days=days)
        if fill.minutes:
            words = "give-before-eating" if facts.is_animal or fill.is_by_mouth else "inject-before-eating"
            yield self.say(words if is_daily else f"{words}-days", fill.minutes)
        elif is_daily:
            yield self.say("every-day")
        if with_air := sum(drawn.vial.takes_air for drawn in fill.draws):
            yield self.say("air-first" if with_air == 1 else "air-first-two")

    def news(self, fill: Filling) -> Iterator[Sentence]:
        """What differs from the card this one replaces."""
        older = self.facts.older
        if older is None:
            return
        told = []
        is_same_scale = older.scale in {"", self.facts.scale}
        if not is_same_scale:
            told.append(self.say("news-syringe"))
        for drawn in fill.draws if is_same_scale else ():
            old, dose = older.stops.get((fill.when, fill.days, drawn.vial.name), (None, None))
            if old is None:
                told.append(self.say("news-medicine", medicine=drawn.vial.name, stop=self.stop(drawn.stop)))
            elif old != drawn.stop:
                told.append(self.say("news", stop=self.stop(drawn.stop), old=self.stop(old)))
            elif dose is not None and dose != drawn.dose:
                doses = {"dose": self.write.amount(drawn.dose), "old_dose": self.write.amount(dose)}
                told.append(self.say("news-dose", medicine=drawn.vial.name, **doses))
        now = {drawn.vial.name for drawn in fill.draws}
        for when, days, name in older.stops:
            if (when, days) == (fill.when, fill.days) and name not in now:
                still = any(vial.name == name for vial in self.facts.vials)
                told.append(self.say("news-gone-here" if still else "news-gone", medicine=name))
        times = {each.when for each in self.facts.fills}
        gone = dict.fromkeys(when for when, _, _ in older.stops if when not in times)
        told += [self.say("news-stopped", when=self.write.time(when)) for when in gone]
        yield from told or [self.say("news-none")]
        yield self.say("news-throw", old_code=older.code)

    def panel(self, fill: Filling, index: int) -> Panel:
        """One stop."""
        drawn, values = fill.draws[index], self.values(fill, index)
        say = partial(self.say, **values)
        bar, medicine, alt = "bar-first" if fill.is_mixed else "bar-single", "panel-medicine", "alt-barrel-first"
        if index == 1:
            bar, medicine, alt = "bar-second", "panel-add", "alt-barrel-total"
        elif fill.is_by_mouth:
            alt = "alt-barrel-first-mouth"
        return Panel(
            bar=say(bar),
            medicine=say(medicine),
            dose=say("panel-dose"),
            notes=tuple(say(note) for note in self.panel_notes(drawn)),
            figure=say("figure"),
            figure_words=self.say(
                "figure-ml" if self.facts.is_ml else "figure-line", words=self.write.words(drawn.stop)
            ),
            counting=self.count(drawn.stop),
            sum=self.sum(fill) if index == 1 else None,
            barrel=PictureClaim("barrel", portions=_portions(fill, index), stop=drawn.stop),
            alt=say(alt),
        )

    def panel_notes(self, drawn: Drawn) -> Iterator[str]:
        """Mark, the vial it must be, and what the dose comes to where the scale counts something else."""
        vial, unit = drawn.vial, drawn.dose.unit
        if vial.mark:
            yield "panel-mark"
        if vial.strength and not (vial.is_insulin and write_amount(vial.strength) == "100 units/mL"):
            says = "panel-says-bottle" if vial.route == "by mouth" else "panel-says"
            yield "panel-says-insulin" if vial.is_insulin else says
        is_first = drawn.stop == drawn.alone
        if self.facts.is_ml:
            if unit != "mL":
                yield "dose-is-volume"
        elif not vial.is_insulin:
            if unit == "mL" and is_first:
                yield "dose-is-line"
            elif unit != "mL":
                yield "dose-is" if is_first else "dose-is-volume"

    def count(self, value: Fraction) -> Sentence:
        """How to count to a line from the number before it."""
        facts = self.facts
        start = value - value % facts.numbered_every
        lines = int((value - start) / facts.line_every)
        if lines == 0:
            return self.say("count-number", number=self.write.number(value))
        passed = [start + facts.line_every * step for step in range(1, lines + 1)]
        long = [line % facts.long_every == 0 for line in passed]
        size = "short" if not any(long) else "long" if all(long) else "mixed"
        if facts.line_every == Fraction(1, 2):
            size = "any"  # barrels with half-unit lines differ in which of them are long
        words = self.write.count(lines)
        if start == 0:
            return self.say(f"count-{size}-zero", lines, lines=words)
        return self.say(f"count-{size}", lines, lines=words, from_number=self.write.number(start))

    def sum(self, fill: Filling) -> Sentence | None:
        """How both doses add up, where the scale counts what the doses count."""
        (one, two), number = fill.draws, self.write.number
        if self.facts.is_ml or one.dose.unit != "units" or two.dose.unit != "units":
            return None
        doses = {"first_number": number(one.dose.number), "second_number": number(two.dose.number)}
        return self.say("sum", **doses, total_number=number(two.stop))

    def below(self, fill: Filling) -> Iterator[Sentence]:
        """Under the panels."""
        facts, is_insulin = self.facts, all(drawn.vial.is_insulin for drawn in fill.draws)
        if is_insulin and not facts.is_ml and facts.line_every == Fraction(1, 2):
            yield self.say("syringe-half", **self.syringe_words())
        else:
            each = Amount(facts.line_every / UNITS_A_ML.get(facts.scale, 1), "mL")
            if is_insulin and not facts.is_ml:
                each = Amount(facts.line_every, "units")
            kind = "syringe-oral" if fill.is_by_mouth else "syringe"
            yield self.say(kind, **self.syringe_words(), each=self.write.amount(each))
        if fill.is_mixed:
            yield self.say("past-two", total=self.stop(fill.draws[1].stop))
        else:
            yield self.say("past-mouth" if fill.is_by_mouth else "past-one")
        yield self.unsure()
        for drawn in fill.draws:
            if drawn.vial.warning:
                yield self.say("warning", medicine=drawn.vial.name, note=drawn.vial.warning)

    def unsure(self) -> Sentence:
        """Whom to call."""
        if not self.facts.contacts:
            return self.say("unsure-write")
        who, phone = self.facts.contacts[0]
        return self.say("unsure", who=who, phone=phone)

    # steps

    def steps(self, fill: Filling) -> Iterator[Step]:
        """The frozen table of this kind of fill."""
        if fill.is_mixed:
            return self.steps_two(fill)
        return self.steps_mouth(fill) if fill.is_by_mouth else self.steps_one(fill)

    def steps_two(self, fill: Filling) -> Iterator[Step]:
        """Two medicines in one syringe: at most 12."""
        step, (one, two) = partial(self.step, fill), fill.draws
        yield self.wash(fill)
        yield step("two-2" if one.vial.strength else "two-2-no-strength", "labels", 0, 1, alt="labels")
        if two.vial.motion == "roll":
            yield step("two-3", "roll_and_tip", 1, alt="roll")
        elif two.vial.motion == "shake":
            yield step("two-3-shake", "shake", 1, alt="shake")
        is_plain = all(vial.is_insulin and vial.look in {"clear", "cloudy"} for vial in (one.vial, two.vial))
        yield step("two-4" if is_plain else "two-4-other", "look_and_wipe", 0, 1, alt="look-two")
        if two.vial.takes_air:
            yield step("two-5", "air_out", 1, alt="air-out")
        yield self.enter("two-6", fill)
        yield step("two-7", "draw", 0, alt="draw")
        yield step("two-8", "check", 0, alt="check")
        yield step("two-9", "draw", 1, alt="draw-total")
        yield step("two-10", "check", 1, alt="check")
        yield from self.inject(fill)

    def steps_one(self, fill: Filling) -> Iterator[Step]:
        """One medicine by needle: at most 10."""
        step, vial = partial(self.step, fill), fill.draws[0].vial
        yield self.wash(fill)
        yield self.read_label("one-2", fill, alt="label")
        if vial.motion == "roll":
            yield step("one-3", "roll_and_tip", 0, alt="roll")
        elif vial.motion == "shake":
            yield step("one-3-shake", "shake", 0, alt="shake")
        named = {"clear": "one-4", "cloudy": "one-4-cloudy" if vial.is_insulin else None}.get(vial.look)
        yield step(named or "one-4-other", "look_and_wipe", 0, alt="look")
        yield self.enter("one-5", fill)
        yield step("one-6", "draw", 0, alt="draw")
        yield step("one-7", "bubble", 0, alt="bubble")
        yield step("one-8", "check", 0, alt="check")
        yield from self.inject(fill)

    def steps_mouth(self, fill: Filling) -> Iterator[Step]:
        """By mouth: 8."""
        step, motion = partial(self.step, fill), fill.draws[0].vial.motion
        yield self.read_label("mouth-1", fill, alt="bottle")
        yield step("mouth-2", "oral_syringe", alt="oral-syringe")
        if motion == "shake":
            yield step("mouth-3-shake", "shake", 0, alt="shake")
        elif motion == "roll":
            yield step("mouth-3-roll", "roll_and_tip", 0, alt="roll")
        else:
            yield step("mouth-3", "look", 0, alt="look-bottle")
        yield step("mouth-4", "oral_draw", 0, alt="oral-draw")
        yield step("mouth-5", "oral_bubble", 0, alt="oral-bubble")
        yield step("mouth-6", "check", 0, alt="check")
        yield step("mouth-7-animal" if self.facts.is_animal else "mouth-7", "by_mouth", 0, alt="mouth")
        yield step("mouth-8-weekly" if fill.is_weekly else "mouth-8", "rinse", alt="rinse")

    def wash(self, fill: Filling) -> Step:
        """Hands and syringe."""
        return self.step(fill, "wash-detachable" if self.facts.needle == "detachable" else "wash", "wash", alt="wash")

    def read_label(self, stem: str, fill: Filling, alt: str) -> Step:
        """The label, and on a weekly card the day first."""
        weekly = "-weekly" if fill.is_weekly else ""
        no_strength = "" if fill.draws[0].vial.strength else "-no-strength"
        return self.step(fill, f"{stem}{weekly}{no_strength}", "labels", 0, alt=alt)

    def enter(self, stem: str, fill: Filling) -> Step:
        """Into the vial that is drawn from first, with its air or without."""
        if fill.draws[0].vial.takes_air:
            return self.step(fill, stem, "air_stay", 0, alt="air-stay")
        return self.step(fill, f"{stem}-none", "no_air", 0, alt="no-air")

    def inject(self, fill: Filling) -> Iterator[Step]:
        """The last two steps of every needle."""
        is_muscle = fill.draws[0].vial.route == "into muscle"
        what = "animal" if self.facts.is_animal else "muscle" if is_muscle else "skin"
        ending = "" if what == "skin" else f"-{what}"
        yield self.step(
            fill, f"inject-{what}", f"inject{ending}".replace("-", "_"), len(fill.draws) - 1, alt=f"inject{ending}"
        )
        done, count = "finish-weekly" if fill.is_weekly else "finish", None
        if fill.minutes and not fill.is_weekly:
            done, count = "finish-feed" if self.facts.is_animal else "finish-eat", fill.minutes
        yield self.step(fill, done, "sharps", alt="sharps", count=count)

    def step(self, fill: Filling, name: str, kind: str, *draws: int, alt: str, count: int | None = None) -> Step:
        """One step with its scene of some of the draws; its words are about the first of these."""
        values = self.values(fill, draws[0] if draws else 0)
        return Step(self.say(name, count, **values), self.scene(fill, kind, *draws), self.say(f"alt-{alt}", **values))

    def scene(self, fill: Filling, kind: str, *draws: int) -> PictureClaim:
        """A scene with the vials of these draws, and the syringe as the last of them leaves it."""
        words = [self.say(f"scene-{name}").text for name in SCENE_WORDS.get(kind, ())]
        vials = [_look(fill.draws[draw].vial, draw) for draw in draws if kind not in WITHOUT_VIAL]
        if kind == "roll_and_tip":  # rolled, then tipped, and no band in the way
            vials = [(filling, 0) for filling, _ in vials] * 2
        stop = air = None
        if kind in WITH_AIR:
            air = fill.draws[draws[0]].alone
            words.append(self.bare(air))
        if kind in FILLED:
            stop = fill.draws[draws[-1]].stop
        return PictureClaim(
            kind,
            portions=_portions(fill, draws[-1]) if kind in FILLED else (),
            stop=stop,
            wedge=self.bare(stop) if stop is not None and kind in WEDGED else "",
            air=air,
            vials=tuple(vials),
            words=tuple(words),
        )

    def values(self, fill: Filling, index: int) -> dict[str, str]:
        """Whatever a message may say of a draw, by the names of the slots; each step asks for it."""
        key = id(fill), index
        if key not in self._values:
            self._values[key] = self._list_values(fill, index)
        return self._values[key]

    def _list_values(self, fill: Filling, index: int) -> dict[str, str]:
        drawn, first, last, write = fill.draws[index], fill.draws[0], fill.draws[-1], self.write
        strength = drawn.vial.strength
        values = {
            "medicine": drawn.vial.name,
            "first_medicine": first.vial.name,
            "second_medicine": last.vial.name,
            "look": write.look(drawn.vial.look),
            "first_look": write.look(first.vial.look),
            "second_look": write.look(last.vial.look),
            "mark": drawn.vial.mark,
            "dose": write.amount(drawn.dose),
            "volume": write.amount(Amount(drawn.volume_ml, "mL")),
            "number": write.number(drawn.stop),
            "words": write.words(drawn.stop),
            "stop": self.stop(drawn.stop),
            "first": self.stop(first.stop),
            "total": self.stop(last.stop),
            "still": self.bare(first.stop),
            "air": self.bare(drawn.alone),
            "day": write.days(fill.days),
            "when": write.time(fill.when),
            **self.syringe_words(),
        }
        if strength:
            values |= {"strength": write.strength(strength), "label_strength": write.label(strength)}
        return values

    # "Your vials"

    def vials(self) -> VialsClaims:
        """The sheet that holds for every fill."""
        facts, say = self.facts, self.say
        used = [vial for vial in facts.vials if any(vial == d.vial for fill in facts.fills for d in fill.draws)]
        all_mouth = all(vial.route == "by mouth" for vial in used)
        title = "vials-title-bottles" if all_mouth else "vials-title"
        if len(used) == 1:
            title = "vials-title-bottle" if all_mouth else "vials-title-one"
        insulin = all(vial.is_insulin for vial in used)
        rest = [say("vial-printed"), say("storage-insulin" if insulin else "storage-label")]
        rest += [say("wrong-title"), *self.wrong(), *self.cautions(all_mouth=all_mouth), say("call-title")]
        rest += [say("contact", who=who, phone=phone) for who, phone in facts.contacts] or [say("contact-write")]
        rest += [say("note", note=facts.notes)] if facts.notes else []
        return VialsClaims(say(title), say("vials-keep"), tuple(self.vial(vial) for vial in used), tuple(rest))

    def vial(self, vial: Vial) -> VialClaims:
        """One vial."""
        say = self.say
        mixes = [fill for fill in self.facts.fills if fill.is_mixed and any(d.vial == vial for d in fill.draws)]
        heading = "panel-medicine" if not mixes else "vial-cloudy" if vial.is_cloudy else "vial-clear"
        return VialClaims(
            heading=say(heading, medicine=vial.name),
            picture=PictureClaim("vial", vials=(_look(vial, int(heading == "vial-cloudy")),)),
            alt=say("alt-vial-bottle" if vial.route == "by mouth" else "alt-vial"),
            lines=tuple(self.vial_lines(vial)),
        )

    def vial_lines(self, vial: Vial) -> Iterator[Sentence]:
        """Name, label, mark, look, and the last day."""
        say = self.say
        if vial.strength:
            yield say("vial-medicine", medicine=vial.name, strength=self.write.strength(vial.strength))
        else:
            yield say("vial-medicine-no-strength", medicine=vial.name)
        if vial.label:
            yield say("vial-label", label=vial.label)
        if vial.mark:
            yield say("vial-mark", mark=vial.mark)
        named = {"clear": "vial-look-clear", "cloudy": "vial-look-cloudy" if vial.is_insulin else None}.get(vial.look)
        yield say(named) if named else say("vial-look-other", look=self.write.look(vial.look))
        if vial.opened and vial.last_day:
            yield say("vial-last-day", until=self.write.date(vial.last_day))
            yield say("vial-opened", opened=self.write.date(vial.opened))
        else:
            yield say("vial-rule-label" if vial.days_from_label else "vial-rule", vial.days_open)
            yield say("write-opened")
            yield say("write-last-day")
        yield say("write-next-opened")
        yield say("write-last-day")

    def wrong(self) -> Iterator[Sentence]:
        """What may go wrong in any of the fills, each once, in the order in which it can come."""
        facts, fills = self.facts, self.facts.fills
        by_needle = [fill for fill in fills if not fill.is_by_mouth]
        mixes = any(fill.is_mixed for fill in fills)
        singles = any(not fill.is_mixed for fill in by_needle)
        stem = "wrong-either" if mixes and singles else "wrong-first" if mixes else "wrong-one"
        given = "-given" if facts.is_animal or not by_needle else ""
        names = [stem, f"{stem}-out"] if by_needle else []
        names += ["wrong-moved", "wrong-total", "wrong-cloudy-in-clear"] if mixes else []
        names += ["wrong-little"] if by_needle else []
        names += ["wrong-mouth", "wrong-mouth-little"] if len(by_needle) < len(fills) else []
        names += [f"wrong-unsure{given}"]
        names += [f"wrong-missed{given}"] if any(fill.is_weekly for fill in fills) else []
        yield from map(self.say, names)
        if not any(drawn.vial.is_insulin for fill in fills for drawn in fill.draws):
            return
        if facts.is_animal:
            yield from map(self.say, ("wrong-animal-eat", "wrong-animal-weak"))
        else:
            yield self.say("clinic-says", note=facts.low_sugar) if facts.low_sugar else self.say("wrong-low")
            yield self.say("clinic-says", note=facts.sickness) if facts.sickness else self.say("wrong-sick")

    def cautions(self, *, all_mouth: bool) -> Iterator[Sentence]:
        """The usual cautions, on every card."""
        yield self.say("caution-label-animal" if self.facts.is_animal else "caution-label")
        yield self.say("caution-emergency" if all_mouth else "caution-sharps")
        if self.facts.ask_again:
            yield self.say("ask-again", date=self.write.date(self.facts.ask_again))


def find_sign(when: str) -> str:
    """The sign of a time."""
    if clock := read_clock(when):
        return f"clock {clock}"
    words = when.lower()
    return next((sign for sign, parts in _SIGNS if any(part in words for part in parts)), "clock")


def _portions(fill: Filling, index: int) -> tuple[Portion, ...]:
    edges = (Fraction(0), *(drawn.stop for drawn in fill.draws[: index + 1]))
    return tuple((edges[i], edges[i + 1], FILLINGS[i]) for i in range(index + 1))


def _look(vial: Vial, order: int) -> tuple[str, int]:
    """A vial's filling in pictures, and the bands around it where its mark is bands."""
    count = re.match(r"(one|a|two|three) (?:\w+ )?(?:rubber )?bands?\b", vial.mark.lower())
    return FILLINGS[order], _BANDS[count[1]] if count else 0
