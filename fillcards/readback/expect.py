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
from fillcards.readback.regimen_text import Amount, Drawn, Facts, Filling, Vial, may_be_one_person, read_clock
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
_BANDS: Final = {"one": 1, "a": 1, "two": 2, "three": 3}


class Expecting:
    """Works out the claims of one card."""

    def __init__(self, facts: Facts, code: str, *, signed: bool | None = None) -> None:
        self.facts = facts
        self.code = code
        self.say = partial(say, facts.language)
        self.write = Writing(facts.language)
        self.is_signed = is_signed(facts.language) if signed is None else signed

    @cached_property
    def for_staff(self) -> Expecting:
        """The same card in the language of the staff sheet."""
        if self.facts.language == STAFF_LANGUAGE:
            return self
        return Expecting(self.facts._replace(language=STAFF_LANGUAGE), self.code, signed=self.is_signed)

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
        first, last = fill.draws[0], fill.draws[-1]
        number = self.write.number(last.stop)
        running = self.say("running-ml" if self.facts.is_ml else "running-line", number=number)
        both = None
        if fill.is_mixed:
            stops = {"first": self.stop(first.stop), "total": self.stop(last.stop)}
            running, both = self.say("running-two", **stops), self.say("alt-barrel-both", **stops)
        return FillClaims(
            title=self.title(fill),
            sign=PictureClaim("sign", sign=find_sign(fill.when)),
            above=tuple(self.above(fill)),
            news=tuple(self.news(fill)),
            panels=tuple(self.panel(fill, index) for index in range(len(fill.draws))),
            below=tuple(self.below(fill)),
            running=running,
            steps=tuple(self.steps(fill)),
            both=both,
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
            words = "give-before-eating" if facts.is_animal or self.by_mouth(fill) else "inject-before-eating"
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
            old = older.stops.get((fill.when, fill.days, drawn.vial.name))
            dose = older.doses.get((fill.when, fill.days, drawn.vial.name))
            if old is None:
                told.append(self.say("news-medicine", medicine=drawn.vial.name, stop=self.stop(drawn.stop)))
            elif old != drawn.stop:
                told.append(self.say("news", stop=self.stop(drawn.stop), old=self.stop(old)))
            elif dose is not None and (dose.number, dose.unit) != (drawn.dose.number, drawn.dose.unit):
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
        drawn = fill.draws[index]
        is_total = index == 1
        bars = ("bar-first", "bar-first") if not is_total else ("bar-second", "bar-second-short")
        stop = {} if fill.is_mixed else {"stop": self.stop(drawn.stop)}
        if not fill.is_mixed:
            bars = ("bar-single", "bar-single")
        words = self.say("figure-ml" if self.facts.is_ml else "figure-line", words=self.write.words(drawn.stop))
        if is_total:
            one, two = fill.draws
            names = {"first_medicine": one.vial.name, "second_medicine": two.vial.name}
            alt = self.say("alt-barrel-total", first=self.stop(one.stop), total=self.stop(two.stop), **names)
        else:
            alt = self.say("alt-barrel-first", medicine=drawn.vial.name, stop=self.stop(drawn.stop))
        return Panel(
            bar=self.say(bars[0], **stop),
            short_bar=self.say(bars[1], **stop),
            medicine=self.say("panel-add" if is_total else "panel-medicine", medicine=drawn.vial.name),
            dose=self.say("panel-dose", dose=self.write.amount(drawn.dose)),
            notes=tuple(self.panel_notes(drawn)),
            figure=self.say("figure", number=self.write.number(drawn.stop)),
            figure_words=words,
            counting=self.count(drawn.stop),
            sum=self.sum(fill) if is_total else None,
            barrel=PictureClaim("barrel", portions=_portions(fill, index), stop=drawn.stop),
            alt=alt,
        )

    def panel_notes(self, drawn: Drawn) -> Iterator[Sentence]:
        """Mark, the vial it must be, and what the dose comes to where the scale counts something else."""
        vial, is_ml = drawn.vial, self.facts.is_ml
        if vial.mark:
            yield self.say("panel-mark", mark=vial.mark)
        if vial.strength and not (vial.is_insulin and write_amount(vial.strength) == "100 units/mL"):
            says = "panel-says-bottle" if vial.route == "by mouth" else "panel-says"
            says = "panel-says-insulin" if vial.is_insulin else says
            yield self.say(says, label_strength=write_amount(vial.strength))
        dose, volume = self.write.amount(drawn.dose), self.write.amount(Amount(drawn.volume_ml, "mL"))
        is_first = drawn.stop == drawn.alone
        if is_ml and drawn.dose.unit != "mL":
            yield self.say("dose-is-volume", dose=dose, volume=volume)
        elif not is_ml and not vial.is_insulin and drawn.dose.unit == "mL":
            if is_first:
                yield self.say("dose-is-line", dose=dose, stop=self.stop(drawn.stop))
        elif not is_ml and not vial.is_insulin:
            if is_first:
                yield self.say("dose-is", dose=dose, volume=volume, stop=self.stop(drawn.stop))
            else:
                yield self.say("dose-is-volume", dose=dose, volume=volume)

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
        one, two = fill.draws
        if self.facts.is_ml or one.dose.unit != "units" or two.dose.unit != "units":
            return None
        numbers = (one.dose.number, two.dose.number, two.stop)
        names = ("first_number", "second_number", "total_number")
        return self.say("sum", **{name: self.write.number(value) for name, value in zip(names, numbers, strict=True)})

    def below(self, fill: Filling) -> Iterator[Sentence]:
        """Under the panels."""
        facts, is_insulin = self.facts, all(drawn.vial.is_insulin for drawn in fill.draws)
        if is_insulin and not facts.is_ml and facts.line_every == Fraction(1, 2):
            yield self.say("syringe-half", **self.syringe_words())
        else:
            each = Amount(facts.line_every / UNITS.get(facts.scale, 1), "mL")
            if is_insulin and not facts.is_ml:
                each = Amount(facts.line_every, "units")
            kind = "syringe-oral" if self.by_mouth(fill) else "syringe"
            yield self.say(kind, **self.syringe_words(), each=self.write.amount(each))
        if fill.is_mixed:
            yield self.say("past-two", total=self.stop(fill.draws[1].stop))
        else:
            yield self.say("past-mouth" if self.by_mouth(fill) else "past-one")
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

    def by_mouth(self, fill: Filling) -> bool:
        """Whether it is given by mouth."""
        return fill.draws[0].vial.route == "by mouth"

    # steps

    def steps(self, fill: Filling) -> Iterator[Step]:
        """The frozen table of this kind of fill."""
        if fill.is_mixed:
            yield from self.steps_two(fill)
        elif self.by_mouth(fill):
            yield from self.steps_mouth(fill)
        else:
            yield from self.steps_one(fill)

    def steps_two(self, fill: Filling) -> Iterator[Step]:
        """Two medicines in one syringe: at most 12."""
        say, one, two = self.say, fill.draws[0], fill.draws[1]
        vials = (_look(one.vial, 0), _look(two.vial, 1))
        first, total = self.stop(one.stop), self.stop(two.stop)
        names = {"first_medicine": one.vial.name, "second_medicine": two.vial.name}
        yield self.wash()
        read = say("two-2-no-strength", **names)
        if one.vial.strength:
            read = say("two-2", **names, strength=self.write.strength(one.vial.strength))
        yield Step(read, PictureClaim("labels", vials=vials, vial_stands=True), say("alt-labels"))
        if two.vial.motion == "roll":
            yield Step(say("two-3"), self.rolled(vials[1:]), say("alt-roll"))
        elif two.vial.motion == "shake":
            yield Step(say("two-3-shake"), PictureClaim("shake", vials=vials[1:]), say("alt-shake"))
        looks = {"first_look": self.write.look(one.vial.look), "second_look": self.write.look(two.vial.look)}
        is_plain = all(vial.is_insulin and vial.look in {"clear", "cloudy"} for vial in (one.vial, two.vial))
        look = say("two-4") if is_plain else say("two-4-other", **looks)
        yield Step(look, PictureClaim("look_and_wipe", vials=vials, vial_stands=True), say("alt-look-two"))
        if two.vial.takes_air:
            air = self.bare(two.alone)
            words = (say("scene-air").text, air, say("scene-out").text)
            picture = PictureClaim(
                "air_out", vials=vials[1:], vial_stands=True, air=two.alone, arrows=("pushed", "out"), words=words
            )
            yield Step(say("two-5", air=air), picture, say("alt-air-out", air=air))
        yield self.enter("two-6", one, vials[0])
        pull = partial(PictureClaim, "draw", vial_stands=False, arrows=("pulled",))
        draw = pull(_portions(fill, 0), one.stop, self.bare(one.stop), vials=vials[:1])
        yield Step(say("two-7", first=first), draw, say("alt-draw", stop=first))
        check = PictureClaim("check", _portions(fill, 0), one.stop, self.bare(one.stop))
        yield Step(say("two-8", first=first), check, say("alt-check", stop=first))
        draw = pull(_portions(fill, 1), two.stop, self.bare(two.stop), vials=vials[1:])
        alt = say("alt-draw-total", first=first, total=total)
        yield Step(say("two-9", still=self.bare(one.stop), total=total), draw, alt)
        check = PictureClaim("check", _portions(fill, 1), two.stop, self.bare(two.stop))
        yield Step(say("two-10", total=total), check, say("alt-check", stop=total))
        yield from self.inject(fill)

    def steps_one(self, fill: Filling) -> Iterator[Step]:
        """One medicine by needle: at most 10."""
        say, drawn = self.say, fill.draws[0]
        vial, stop = drawn.vial, self.stop(drawn.stop)
        look = (_look(vial, 0),)
        yield self.wash()
        yield Step(
            self.read_label("one-2", fill), PictureClaim("labels", vials=look, vial_stands=True), say("alt-label")
        )
        if vial.motion == "roll":
            yield Step(say("one-3"), self.rolled(look), say("alt-roll"))
        elif vial.motion == "shake":
            yield Step(say("one-3-shake"), PictureClaim("shake", vials=look), say("alt-shake"))
        named = {"clear": "one-4", "cloudy": "one-4-cloudy"}.get(vial.look)
        words = (
            say(named)
            if named and (vial.is_insulin or vial.look == "clear")
            else say("one-4-other", look=self.write.look(vial.look))
        )
        yield Step(words, PictureClaim("look_and_wipe", vials=look, vial_stands=True), say("alt-look"))
        yield self.enter("one-5", drawn, look[0])
        wedge = self.bare(drawn.stop)
        below_vial = partial(PictureClaim, portions=_portions(fill, 0), stop=drawn.stop, wedge=wedge)
        draw = below_vial("draw", vials=look, vial_stands=False, arrows=("pulled",))
        yield Step(say("one-6", stop=stop), draw, say("alt-draw", stop=stop))
        bubble = below_vial(
            "bubble",
            wedge="",
            words=(say("scene-doubt").text,),
            vials=look,
            vial_stands=False,
            arrows=("pushed", "pulled"),
        )
        yield Step(say("one-7", stop=stop), bubble, say("alt-bubble"))
        yield Step(say("one-8", stop=stop), below_vial("check"), say("alt-check", stop=stop))
        yield from self.inject(fill)

    def steps_mouth(self, fill: Filling) -> Iterator[Step]:
        """By mouth: 8."""
        say, drawn, facts = self.say, fill.draws[0], self.facts
        vial, stop = drawn.vial, self.stop(drawn.stop)
        look = (_look(vial, 0),)
        yield Step(
            self.read_label("mouth-1", fill), PictureClaim("labels", vials=look, vial_stands=True), say("alt-bottle")
        )
        yield Step(
            say("mouth-2", **self.syringe_words()),
            PictureClaim("oral_syringe"),
            say("alt-oral-syringe"),
        )
        if vial.motion == "shake":
            yield Step(
                say("mouth-3-shake", look=self.write.look(vial.look)),
                PictureClaim("shake", vials=look),
                say("alt-shake"),
            )
        elif vial.motion == "roll":
            yield Step(say("mouth-3-roll", look=self.write.look(vial.look)), self.rolled(look), say("alt-roll"))
        else:
            picture = PictureClaim("look", vials=look, vial_stands=True)
            yield Step(say("mouth-3", look=self.write.look(vial.look)), picture, say("alt-look-bottle"))
        oral = partial(PictureClaim, portions=_portions(fill, 0), stop=drawn.stop, wedge=self.bare(drawn.stop))
        draw = oral("oral_draw", vials=look, vial_stands=False, arrows=("pulled",))
        yield Step(say("mouth-4", stop=stop), draw, say("alt-oral-draw", stop=stop))
        bubble = oral(
            "oral_bubble",
            wedge="",
            words=(say("scene-doubt").text,),
            vials=look,
            vial_stands=False,
            arrows=("pushed", "pulled"),
        )
        yield Step(say("mouth-5", stop=stop), bubble, say("alt-oral-bubble"))
        yield Step(say("mouth-6", stop=stop), oral("check"), say("alt-check", stop=stop))
        yield Step(
            say("mouth-7-animal" if facts.is_animal else "mouth-7"),
            PictureClaim("by_mouth", _portions(fill, 0), drawn.stop, arrows=("pushed",)),
            say("alt-mouth"),
        )
        yield Step(say("mouth-8-weekly" if fill.is_weekly else "mouth-8"), PictureClaim("rinse"), say("alt-rinse"))

    def rolled(self, vials: tuple[tuple[str, int], ...]) -> PictureClaim:
        """A vial rolled, and tipped."""
        return PictureClaim("roll_and_tip", vials=vials, words=(self.say("scene-times").text,) * 2)

    def wash(self) -> Step:
        """Hands and syringe."""
        name = "wash-detachable" if self.facts.needle == "detachable" else "wash"
        return Step(self.say(name, **self.syringe_words()), PictureClaim("wash"), self.say("alt-wash"))

    def read_label(self, stem: str, fill: Filling) -> Sentence:
        """The label, and on a weekly card the day first."""
        vial, values = fill.draws[0].vial, {}
        if fill.is_weekly:
            stem, values = f"{stem}-weekly", {"day": self.write.days(fill.days)}
        if vial.strength is None:
            return self.say(f"{stem}-no-strength", medicine=vial.name, **values)
        return self.say(stem, medicine=vial.name, strength=self.write.strength(vial.strength), **values)

    def enter(self, stem: str, drawn: Drawn, look: tuple[str, int]) -> Step:
        """Into the vial that is drawn from next, with its air or without."""
        if not drawn.vial.takes_air:
            picture = PictureClaim("no_air", vials=(look,), vial_stands=True, words=(self.say("scene-stay").text,))
            return Step(self.say(f"{stem}-none"), picture, self.say("alt-no-air"))
        air = self.bare(drawn.alone)
        words = (self.say("scene-air").text, air, self.say("scene-stay").text)
        picture = PictureClaim(
            "air_stay", vials=(look,), vial_stands=True, air=drawn.alone, arrows=("pushed",), words=words
        )
        return Step(self.say(stem, air=air), picture, self.say("alt-air-stay", air=air))

    def inject(self, fill: Filling) -> Iterator[Step]:
        """The last two steps of every needle."""
        say = self.say
        is_muscle = fill.draws[0].vial.route == "into muscle"
        what = "animal" if self.facts.is_animal else "muscle" if is_muscle else "skin"
        kind = "inject" if what == "skin" else f"inject_{what}"
        word = say("scene-muscle" if what == "muscle" else "scene-skin").text
        last = len(fill.draws) - 1
        full = PictureClaim(kind, _portions(fill, last), fill.draws[last].stop, arrows=("pushed",), words=(word,))
        yield Step(say(f"inject-{what}"), full, say("alt-inject" if what == "skin" else f"alt-inject-{what}"))
        if fill.is_weekly:
            done = say("finish-weekly")
        else:
            eat = "finish-feed" if self.facts.is_animal else "finish-eat"
            done = say(eat, fill.minutes) if fill.minutes else say("finish")
        yield Step(done, PictureClaim("sharps", arrows=("dropped",)), say("alt-sharps"))

    # "Your vials"

    def vials(self) -> VialsClaims:
        """The sheet that holds for every fill."""
        facts, say = self.facts, self.say
        used = [vial for vial in facts.vials if any(vial == d.vial for fill in facts.fills for d in fill.draws)]
        all_mouth = all(vial.route == "by mouth" for vial in used)
        title = "vials-title-one" if len(used) == 1 else "vials-title"
        if all_mouth:
            title = "vials-title-bottle" if len(used) == 1 else "vials-title-bottles"
        calls = tuple(say("contact", who=who, phone=phone) for who, phone in facts.contacts)
        insulin = all(vial.is_insulin for vial in used)
        return VialsClaims(
            title=say(title),
            keep=say("vials-keep"),
            vials=tuple(self.vial(vial) for vial in used),
            dates=say("vial-printed"),
            storage=say("storage-insulin" if insulin else "storage-label"),
            wrong_title=say("wrong-title"),
            wrong=tuple(self.wrong()),
            cautions=tuple(self.cautions(all_mouth=all_mouth)),
            notes=(say("note", note=facts.notes),) if facts.notes else (),
            call_title=say("call-title"),
            contacts=calls or (say("contact-write"),),
        )

    def vial(self, vial: Vial) -> VialClaims:
        """One vial."""
        say = self.say
        mixes = [fill for fill in self.facts.fills if fill.is_mixed and any(d.vial == vial for d in fill.draws)]
        is_second = vial.is_cloudy
        heading = say("panel-medicine", medicine=vial.name)
        if mixes:
            heading = say("vial-cloudy" if is_second else "vial-clear")
        return VialClaims(
            heading=heading,
            picture=PictureClaim("vial", vials=(_look(vial, int(bool(mixes) and is_second)),), vial_stands=True),
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
        say, facts, fills = self.say, self.facts, self.facts.fills
        by_needle = [fill for fill in fills if not self.by_mouth(fill)]
        mixes = any(fill.is_mixed for fill in fills)
        singles = any(not fill.is_mixed for fill in by_needle)
        if mixes and singles:
            yield say("wrong-either")
            yield say("wrong-either-out")
        elif mixes:
            yield say("wrong-first")
            yield say("wrong-first-out")
        elif singles:
            yield say("wrong-one")
            yield say("wrong-one-out")
        if mixes:
            yield say("wrong-moved")
            yield say("wrong-total")
            yield say("wrong-cloudy-in-clear")
        if by_needle:
            yield say("wrong-little")
        if len(by_needle) < len(fills):
            yield say("wrong-mouth")
            yield say("wrong-mouth-little")
        is_given = facts.is_animal or not by_needle
        yield say("wrong-unsure-given" if is_given else "wrong-unsure")
        if any(fill.is_weekly for fill in fills):
            yield say("wrong-missed-given" if is_given else "wrong-missed")
        if any(drawn.vial.is_insulin for fill in fills for drawn in fill.draws):
            if facts.is_animal:
                yield say("wrong-animal-eat")
                yield say("wrong-animal-weak")
            else:
                yield say("clinic-says", note=facts.low_sugar) if facts.low_sugar else say("wrong-low")
                yield say("clinic-says", note=facts.sickness) if facts.sickness else say("wrong-sick")

    def cautions(self, *, all_mouth: bool) -> Iterator[Sentence]:
        """The usual cautions, on every card."""
        yield self.say("caution-label-animal" if self.facts.is_animal else "caution-label")
        yield self.say("caution-emergency" if all_mouth else "caution-sharps")
        if self.facts.ask_again:
            yield self.say("ask-again", date=self.write.date(self.facts.ask_again))


UNITS: Final = {"U-100": 100, "U-40": 40, "U-500": 500}


def is_signed(language: str) -> bool:
    """Whether a card's words count as checked with it: English is what the checkers read, others somebody signed."""
    return language == STAFF_LANGUAGE or bool(list_signers(language))


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
