"""Faults put into the maker's code, one at a time: the gate of each form stops every one of them by itself."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date, timedelta
from fractions import Fraction
from typing import Any, Final, NamedTuple, TypeAlias

import pytest
from support import other_forms
from support.fifths import keep_a_fifth
from support.other_forms import make_case, pass_forms

from fillcards.card import build, front, scan_code, steps, vials
from fillcards.card.model import WriteIn
from fillcards.catalogue.model import Motion
from fillcards.output import brf, html, sound, text
from fillcards.picture.items import Ink, Polygon
from fillcards.picture.scale_view import draw_barrel
from fillcards.picture.scene import Filling, SceneKind
from fillcards.picture.signs import Sign, draw_sign
from fillcards.plan import fills
from fillcards.readback.gate import CardMismatch
from fillcards.regimen.model import Contact, Fill, PatientKind, Regimen, Weekday
from fillcards.wording import messages
from fillcards.wording.braille import BrailleLine, wrap_words
from fillcards.wording.messages import say
from fillcards.wording.writers import ENGLISH, English

Patch: TypeAlias = pytest.MonkeyPatch
ALL: Final = ("text", "words", "html", "brf")
SAID: Final = (*ALL, "scan")


class Fault(NamedTuple):
    """What is wrong in the maker, in which card it shows, and in which forms."""

    name: str
    put_in: Callable[[Patch], object]
    case: str = "full"
    forms: tuple[str, ...] = ALL


@pytest.fixture(autouse=True)
def _forget() -> Iterator[None]:
    """What the maker remembers of its messages is forgotten before and after each fault."""
    messages._list_slots.cache_clear()
    yield
    messages._list_slots.cache_clear()


def around(module: Any, name: str, change: Callable[..., Any]) -> Callable[[Patch], None]:
    """A function whose result is changed: ``change`` gets the result, then the arguments."""

    def put_in(patch: Patch) -> None:
        right = getattr(module, name)
        patch.setattr(module, name, lambda *given, **named: change(right(*given, **named), *given))

    return put_in


def misword(message_id: str, words: str) -> Callable[[Patch], None]:
    """A message that the maker words otherwise."""
    return around(messages, "find_words", lambda right, name, *_: words if name == message_id else right)


def miswrite(name: str, change: Callable[..., Any]) -> Callable[[Patch], None]:
    """A value that the maker writes otherwise in English: ``change`` gets what is right, then the value."""

    def put_in(patch: Patch) -> None:
        right = getattr(ENGLISH, name)
        patch.setattr(English, name, staticmethod(lambda value: change(right(value), value)))

    return put_in


def leave_out(module: Any, name: str, *message_ids: str) -> Callable[[Patch], None]:
    """Lines that are gone from a list of them."""

    def change(lines: Any, *_: object) -> Any:
        kept = tuple(line for line in lines if _find_id(line) not in message_ids)
        assert kept
        return iter(kept)

    return around(module, name, change)


def _find_id(line: Any) -> str:
    return str(line.label.id if isinstance(line, WriteIn) else line.id)


def misread(change: Callable[[Regimen], Regimen]) -> Callable[[Patch], None]:
    """A parser that reads something else than stands in the file."""
    return around(other_forms, "read_regimen", lambda right, *_: change(right))


def change_fill(change: Callable[[Fill], Fill]) -> Callable[[Patch], None]:
    """A parser that misreads the first fill."""
    return misread(lambda regimen: replace(regimen, fills=(change(regimen.fills[0]), *regimen.fills[1:])))


def change_medicine(**fields: object) -> Callable[[Patch], None]:
    """A parser that misreads the first medicine."""

    def change(regimen: Regimen) -> Regimen:
        first, *rest = regimen.medicines
        return replace(regimen, medicines=(replace(first, **fields), *rest))  # type: ignore[arg-type]  # by name

    return misread(change)


def swap_doses(fill: Fill) -> Fill:
    """Each medicine with the other one's dose."""
    one, other = fill.draws
    return replace(fill, draws=(replace(one, dose=other.dose), replace(other, dose=one.dose)))


def swap_vials(regimen: Regimen, *names: str) -> Regimen:
    """Both vials with each other's values."""
    one, other = regimen.medicines
    own, others = ({name: getattr(each, name) for name in names} for each in (one, other))
    return replace(regimen, medicines=(replace(one, **others), replace(other, **own)))


def change_step(kind: SceneKind, /, **fields: object) -> Callable[[Patch], None]:
    """A scene of that kind that shows something else."""

    def change(scene: Any, *_: object) -> Any:
        return replace(scene, **fields) if scene.kind is kind else scene

    return around(steps, "_build_scene", change)


def turn_over_other_vial(scene: Any, step: Any, _kind: object, fill: Any, _regimen: object) -> Any:
    """The second vial where the first is meant."""
    is_first = scene.kind is SceneKind.DRAW and fill.is_mixed and step.draw is fill.first
    return replace(scene, vials=(scene.vials[0]._replace(filling=Filling.SECOND),)) if is_first else scene


brf_pages = brf._paginate


def part_amounts(lines: tuple[BrailleLine, ...]) -> tuple[BrailleLine, ...]:
    """Each line that holds an amount ends between its number and its unit."""
    parted: list[BrailleLine] = []
    for line in lines:
        ends = [at for at, word in enumerate(line.words, start=1) if word.holds_next and word.print[-1].isdigit()]
        starts = [0, *ends, len(line.words)]
        indents = [line.indent, *[max(line.indent, 2)] * len(ends)]
        parted += [BrailleLine(line.words[a:b], i) for a, b, i in zip(starts, starts[1:], indents, strict=False)]
    return tuple(parted)


def drop_step(kind: str) -> Callable[[Patch], None]:
    """The plan without a step."""

    def change(right: Any, *_: object) -> Any:
        kept = [step for step in right if step.kind.value != kind]
        return tuple(step._replace(number=number) for number, step in enumerate(kept, start=1))

    return around(fills, "order_steps", change)


def swap_steps(one: str, other: str) -> Callable[[Patch], None]:
    """The plan with two steps in each other's place."""

    def change(right: Any, *_: object) -> Any:
        kinds = [step.kind.value for step in right]
        if one in kinds and other in kinds:
            a, b = kinds.index(one), kinds.index(other)
            order = list(right)
            order[a], order[b] = right[b], right[a]
            return tuple(step._replace(number=number) for number, step in enumerate(order, start=1))
        return right

    return around(fills, "order_steps", change)


def take_other_names(patch: Patch) -> None:
    """Each panel says the other medicine's name."""
    right = say

    def say_other(message_id: str, /, **values: Any) -> Any:
        if message_id in {"panel-medicine", "panel-add"}:
            values["medicine"] = "insulin aspart"
        return right(message_id, **values)

    patch.setattr(front, "say", say_other)


def misdraw(patch: Patch) -> None:
    """The page's barrels stop two lines short, wedge and all."""
    right = draw_barrel

    def draw(syringe: Any, portions: Any, stop: Any, *given: Any, marks: Any, **named: Any) -> Any:
        stop -= 2 * syringe.line_every
        portions = (*portions[:-1], portions[-1]._replace(end=stop))
        return right(syringe, portions, stop, *given, marks=(marks[0]._replace(value=stop),), **named)

    patch.setattr(html, "draw_barrel", draw)


def without_marks(patch: Patch) -> None:
    """The page's barrels without a wedge."""
    right = draw_barrel
    patch.setattr(html, "draw_barrel", lambda *given, **named: right(*given, **(named | {"marks": ()})))


def unlike_number(patch: Patch) -> None:
    """The number at the wedge is another one."""
    right = draw_barrel

    def draw(*given: Any, marks: Any, **named: Any) -> Any:
        return right(*given, marks=(marks[0]._replace(text="17"),), **named)

    patch.setattr(html, "draw_barrel", draw)


def cover_scenes(drawing: Any, *_: object) -> Any:
    """A white patch over each scene."""
    size = drawing.width_mm, drawing.height_mm
    patch = Polygon(((0.0, 0.0), (size[0], 0.0), size, (0.0, size[1])), Ink.WHITE)
    return drawing._replace(items=(*drawing.items, patch))


def change_css(text_: str) -> Callable[[Patch], None]:
    """A rule more in the style sheet."""
    return around(html, "_read", lambda right, name: f"{right}\n{text_}" if name.endswith(".css") else right)


def each_group(change: Callable[[Any], Any]) -> Callable[[Any], Iterator[Any]]:
    """Groups of lines, each line changed or, where nothing comes back, left out."""

    def change_all(groups: Any, *_: object) -> Iterator[Any]:
        for group in groups:
            yield tuple(new for line in group if (new := change(line)) is not None)

    return change_all


def drop_kind(kind: text.Kind) -> Callable[[Any], Any]:
    """Lines of a kind are gone."""
    return lambda line: None if line.kind is kind else line


WORDS: Final = (
    Fault("past the total line, back into the vial", misword("past-two", "Past {total}? Push it back into the vial.")),
    Fault("shake it", misword("two-3", "**Cloudy vial:** shake it ten times, until milky.")),
    Fault("a new syringe, by mouth", misword("mouth-2", "New syringe: says {scale}, last number {last}."), "by-mouth"),
    Fault("air for the other vial", misword("two-5", "**Clear vial upright.** Pull in **air** to {air}. Push it in.")),
    Fault("push back", misword("two-9", "**Same syringe, still on {still}?** Pull to {total}. Push back if past.")),
    Fault("cap on", misword("finish", "**Cap on. Sharps box.** Write down the time.")),
    Fault("needle stays where it must come out", misword("two-8", "**Check: {first}.** Needle stays in.")),
    Fault("a used syringe", misword("wash", "**Wash your hands.** Any syringe: {scale}, last number {last}.")),
    Fault(
        "double the missed dose", misword("wrong-missed", "Missed a day? Take twice as much the next week."), "weekly"
    ),
    Fault("wait while low", misword("wrong-sick", "Sick? Take no insulin."), "one-insulin"),
    Fault("checked where it is not", misword("band-unchecked", "Checked."), "full", SAID[:4]),
    Fault(
        "no word of a step bold",
        misword(
            "two-9",
            "Not on {still}? Sharps box, step 1. On {still}? Into cloudy, turn. Pull to {total}. Never push back.",
        ),
        forms=("html",),
    ),
    Fault("any vial", misword("panel-says", "any vial, such as {label_strength}"), "weekly"),
)
VALUES: Final = (
    Fault("mL for units", around(messages, "write_quantity", lambda right, *_: right.replace("units", "mL"))),
    Fault("decimal lost", miswrite("write_number", lambda right, _: right.replace(".", "")), "milliliters-into", SAID),
    Fault(
        "decimal lost in a dose", around(messages, "write_quantity", lambda right, *_: right.replace(".", "")), "weekly"
    ),
    Fault("words one more", miswrite("write_in_words", lambda right, _: f"thirty-{right}")),
    Fault("lines counted one short", miswrite("write_count", lambda _, lines: ENGLISH.write_in_words(lines + 1))),
    Fault("day and month", miswrite("write_date", lambda right, day: right.replace(str(day.day), "12", 1))),
    Fault("a day missing", miswrite("write_days", lambda right, _: right.partition(" and")[0])),
    Fault("strength", around(messages, "write_strength", lambda right, *_: right.replace("100", "40"))),
    Fault("another medicine's name", take_other_names, forms=ALL),
    Fault(
        "name cut", around(messages, "_write", lambda right, slot, *_, **__: right[:5] if slot == "medicine" else right)
    ),
    Fault("phone", around(messages, "_write", lambda right, slot, *_, **__: "555-0143" if slot == "phone" else right)),
    Fault(
        "code",
        around(messages, "_write", lambda right, slot, *_, **__: "ABCD" if slot == "code" else right),
        forms=("text", "html", "brf"),
    ),
)
PARSED: Final = (
    Fault("doses swapped", change_fill(swap_doses)),
    Fault("minutes added", change_fill(lambda fill: replace(fill, minutes_before=35))),
    Fault("minutes lost", change_fill(lambda fill: replace(fill, minutes_before=None))),
    Fault("another day", change_fill(lambda fill: replace(fill, days=(Weekday.MONDAY, Weekday.FRIDAY)))),
    Fault("every day", change_fill(lambda fill: replace(fill, days=None))),
    Fault("another time", change_fill(lambda fill: replace(fill, when="before supper"))),
    Fault("use-by dates swapped", misread(lambda regimen: swap_vials(regimen, "opened"))),
    Fault("marks swapped", misread(lambda regimen: swap_vials(regimen, "vial_mark"))),
    Fault("label lost", change_medicine(on_the_label=None)),
    Fault("no air", change_medicine(takes_air=False)),
    Fault("warning lost", change_medicine(warning=None)),
    Fault("days of the label", change_medicine(in_use_days=56)),
    Fault("not rolled", misread(lambda regimen: replace(regimen, medicines=(
        regimen.medicines[0], replace(regimen.medicines[1], motion=Motion.NONE))))),
    Fault("phones lost", misread(lambda regimen: replace(regimen, contacts=()))),
    Fault("one phone lost", misread(lambda regimen: replace(regimen, contacts=regimen.contacts[:1]))),
    Fault("phone of nobody", misread(lambda regimen: replace(regimen, contacts=(Contact("Clinic", "555-0124"),)))),
    Fault("notes lost", misread(lambda regimen: replace(regimen, notes=None))),
    Fault("name lost", misread(lambda regimen: replace(regimen, patient=replace(regimen.patient, name=None)))),
    Fault("sample no more", misread(lambda regimen: replace(regimen, is_sample=False)), "weekly"),
    Fault("fill lost", misread(lambda regimen: replace(regimen, fills=regimen.fills[:1]))),
    Fault("ask again", misread(lambda regimen: replace(regimen, review=replace(
        regimen.review, ask_again_by=date(2027, 2, 25))))),
    Fault("a person for an animal", misread(lambda regimen: replace(regimen, patient=replace(
        regimen.patient, kind=PatientKind.PERSON))), "animal", SAID),
)  # fmt: skip
PLANNED: Final = (
    Fault("cloudy first", around(fills, "order_draws", lambda right, *_: right[::-1])),
    Fault("a line too few", around(fills, "measure_draw_line", lambda right, *_: right - 2), "one-insulin", SAID),
    Fault("a total that forgets", around(fills, "_plan_draw", lambda draw, *_: replace(
        draw, stop_line=draw.stop_line - draw.start_line))),
    Fault("air for both", around(fills, "_plan_draw", lambda draw, *_: replace(draw, air_line=draw.stop_line))),
    Fault("volume", around(fills, "measure_draw_ml", lambda right, *_: right * 10), "weekly"),
    Fault("counted from elsewhere", around(
        fills, "count_to", lambda right, *_: right._replace(from_number=Fraction(0)))),
    Fault("no washing", drop_step("wash")),
    Fault("no second check", drop_step("two-10")),
    Fault("air after drawing", swap_steps("two-5", "two-7")),
    Fault("air in the wrong order", swap_steps("two-5", "two-6")),
)  # fmt: skip
BUILT: Final = (
    Fault("a stale check is fresh", lambda patch: patch.setattr(build, "is_checked", lambda _: True)),
    Fault("band of a sample", lambda patch: patch.setattr(build, "_say_band", lambda *_: say("band-sample"))),
    Fault("no band", lambda patch: patch.setattr(build, "_say_band", lambda *_: say("animal"))),
    Fault("birth date lost", around(build, "_list_whose", lambda *_: iter((say("whose", name="Juniper Testcase"),)))),
    Fault("a last day more", around(vials, "find_last_day", lambda right, *_: right + timedelta(days=1))),
    Fault("no days", leave_out(front, "_list_above", "only-days")),
    Fault("no minutes", leave_out(front, "_list_above", "inject-before-eating", "inject-before-eating-days")),
    Fault("no word of air", leave_out(front, "_list_above", "air-first")),
    Fault("no news", leave_out(front, "_list_news", "news")),
    Fault("no warning", leave_out(front, "_list_below", "warning")),
    Fault("whom to call gone", leave_out(front, "_list_below", "unsure")),
    Fault("past the line gone", leave_out(front, "_list_below", "past-two")),
    Fault("troubles gone", leave_out(vials, "_list_wrong", "wrong-total")),
    Fault("cautions gone", leave_out(vials, "_list_cautions", "caution-sharps")),
    Fault("the clinic's words gone", around(vials, "_list_insulin_wrong", lambda *_: iter((say("wrong-low"),)))),
    Fault("no sum", lambda patch: patch.setattr(front, "_say_sum", lambda _: None)),
    Fault("title of every day", lambda patch: patch.setattr(front, "say_title", lambda fill, _: say(
        "title", when=fill.when)), "weekly"),
    Fault("lines to write on gone", around(vials, "_list_dates", lambda *_: iter(())), "by-mouth"),
)  # fmt: skip
PICTURED: Final = (
    Fault("the wrong vial turned over", around(steps, "_build_scene", turn_over_other_vial), forms=("html",)),
    Fault("another scene", change_step(SceneKind.DRAW, kind=SceneKind.BUBBLE), forms=("html",)),
    Fault("air drawn to another line", change_step(SceneKind.AIR_OUT, air=Fraction(20)), forms=("html",)),
    Fault("number of air", change_step(SceneKind.AIR_OUT, air_text="80"), forms=("html",)),
    Fault("stop of a scene", change_step(SceneKind.CHECK, stop=Fraction(9), stop_text="8"), "full", ("html",)),
    Fault("number of a stop", change_step(SceneKind.CHECK, stop_text="3"), forms=("html",)),
    Fault("fillings swapped", lambda patch: patch.setattr(steps, "FILLINGS", steps.FILLINGS[::-1]), forms=("html",)),
    Fault("bands lost", around(steps, "look_like", lambda look, *_: look._replace(bands=0)), forms=("html",)),
    Fault("barrel two lines short", misdraw, forms=("html",)),
    Fault("barrel without its wedge", without_marks, forms=("html",)),
    Fault("barrel's number", unlike_number, forms=("html",)),
    Fault("pictures covered", around(html, "draw_scene", cover_scenes), forms=("html",)),
    Fault("sign", lambda patch: patch.setattr(html, "draw_sign", lambda _, *given: draw_sign(Sign.MOON, *given)),
          "by-mouth", ("html",)),
    Fault("words of a picture", around(steps, "fit", lambda right, name, *_: (
          say("alt-wash") if name == "alt-draw" else right)),
          forms=("text", "html")),
)  # fmt: skip
WRITTEN: Final = (
    Fault("page: hidden by its style sheet", change_css(".figure { display: none; }"), forms=("html",)),
    Fault("page: see-through", change_css("p { opacity: 0; }"), forms=("html",)),
    Fault("page: too small", change_css(".below p { font-size: .1em; }"), forms=("html",)),
    Fault("page: white on white", change_css(".steps p { color: Canvas; }"), forms=("html",)),
    Fault("page: another language", around(html._Page, "build", lambda root, *_: root.set("lang", "de") or root),
          forms=("html",)),
    Fault("page: a script that writes", around(html, "_read", lambda right, name: right if name.endswith(".css") else
          f"{right}\ndocument.body.textContent = 'x';"), forms=("html",)),
    Fault("page: a part hidden", around(html._Page, "build", lambda root, *_: root.find("body/main/article").set(
          "hidden", "") or root), forms=("html",)),
    Fault("page: a link to another fill", around(html._Page, "build", lambda root, *_: root.find("body/nav/a").set(
          "href", "#fill-2") or root), forms=("html",)),
    Fault("page: another number dialled", around(html._Page, "build", lambda root, *_: root.find(".//p//a").set(
          "href", "tel:5550199") or root), forms=("html",)),
    Fault("text: headings gone", around(text, "list_daily", each_group(drop_kind(text.Kind.HEADING))), forms=("text",)),
    Fault("text: head gone", around(text, "list_head", lambda head, _: head[:1]), forms=("text",)),
    Fault("text: lines to write on gone", lambda patch: patch.setattr(text, "TO_WRITE_ON", ""), "by-mouth", ("text",)),
    Fault("text: no step numbers", around(text, "list_steps", each_group(drop_kind(text.Kind.STEP_NUMBER))),
          forms=("text",)),
    Fault("voice: figures gone", around(sound, "list_daily", each_group(drop_kind(text.Kind.STOP))), forms=("words",)),
    Fault("voice: a sentence gone", around(sound, "split_sentences", lambda right, *_: right[:1]), forms=("words",)),
    Fault("voice: another unit", lambda patch: patch.setattr(sound, "_UNITS", {
          "mL": "mg", "mg": "ml", "mcg": "mcg"}), "milliliters-into", ("words",)),
    Fault("voice: phone cut", around(sound, "_spell", lambda right, *_: right[:-2]), forms=("words",)),
    Fault("voice: a file gone", around(sound, "list_sayings", lambda right, *_: right[1:]), forms=("words",)),
    Fault("braille: another digit", around(brf, "write_brf_line", lambda right, _: right.replace("#H", "#B")),
          forms=("brf",)),
    Fault("braille: steps gone", around(brf, "list_steps", lambda groups, *_: list(groups)[:-1]), forms=("brf",)),
    Fault("braille: page numbers", around(brf._Writer, "_make_foot", lambda _, writer, number, count: "\u2800".join(
          word.cells for word in writer._translate(f"{number + 1} of {count}"))), forms=("brf",)),
    Fault("braille: band gone from later pages", around(brf._Writer, "_make_head", lambda head, *_: head[1:]),
          forms=("brf",)),
    Fault("braille: a line too many", around(brf._Writer, "_write_page", lambda page, *_: f"{page}\r\n"),
          forms=("brf",)),
    Fault("braille: lines end a word early", lambda patch: patch.setattr(
          brf, "wrap_words", lambda words, width, **named: wrap_words(words, width - 4, **named)), forms=("brf",)),
    Fault("braille: an amount on two lines", around(brf._Writer, "_wrap", lambda right, *_: part_amounts(right)),
          forms=("brf",)),
    Fault("braille: each word on a line of its own", around(brf._Writer, "_wrap", lambda right, *_: tuple(
          line._replace(words=(word,)) for line in right for word in line.words)), forms=("brf",)),
    Fault("braille: steps begin at the edge", lambda patch: patch.setattr(brf, "_STEP_INDENT", 0), forms=("brf",)),
    Fault("braille: headings like facts", lambda patch: patch.setattr(brf, "_HEADING_INDENT", 0), forms=("brf",)),
    Fault("braille: later lines like first ones", lambda patch: patch.setattr(
          brf, "wrap_words", lambda words, width, indent, **_: wrap_words(words, width, indent=indent, runover=indent)),
          forms=("brf",)),
    Fault("braille: the acts of a step in one", lambda patch: patch.setattr(
          brf, "split_sentences", lambda text: (text,)), forms=("brf",)),
    Fault("braille: a step on two pages", around(brf._Writer, "_set_group", lambda chunks, *_: [
          replace(chunk, lines=(line,), blank_before=chunk.blank_before and not at)
          for chunk in chunks for at, line in enumerate(chunk.lines)]), forms=("brf",)),
    Fault("braille: pages end early", around(brf, "_paginate", lambda _, chunks, *rooms: brf_pages(
          chunks, *(room - 3 for room in rooms))), forms=("brf",)),
    Fault("braille: no empty line above a step", around(brf._Writer, "_set_group", lambda chunks, *_: [
          replace(chunk, blank_before=False) for chunk in chunks]), forms=("brf",)),
    Fault("page: barrels larger than its type", around(html, "convert_mm_to_pt", lambda right, *_: right * 72 / 71),
          forms=("html",)),
    Fault("page: type for another reader", around(html._Page, "__init__", lambda _, page, *__: setattr(
          page, "body_pt", page.body_pt - 1)), forms=("html",)),
    Fault("braille: no lines to write on", lambda patch: patch.setattr(brf, "TO_WRITE_ON", ""), "by-mouth", ("brf",)),
    Fault("code: needs gone", around(scan_code, "_list_stop", lambda right, *_: right[:1]), "one-insulin", ("scan",)),
    Fault("code: whose it is", around(scan_code, "_list_needed", lambda right, card, *_: (*right, card.whose[0])),
          "one-insulin", ("scan",)),
)  # fmt: skip
FAULTS: Final = (*WORDS, *VALUES, *PARSED, *PLANNED, *BUILT, *PICTURED, *WRITTEN)


@pytest.mark.parametrize("seeded", keep_a_fifth([(fault, form) for fault in FAULTS for form in fault.forms]))
def test_a_fault_of_the_maker_is_stopped_by_the_gate_of_each_form(
    seeded: tuple[Fault, str], monkeypatch: Patch
) -> None:
    """No match, no file."""
    fault, form = seeded
    fault.put_in(monkeypatch)
    with pytest.raises(CardMismatch) as told:
        pass_forms(make_case(fault.case), (form,))
    assert told.value.differences


@pytest.mark.parametrize("name", ["full", "by-mouth", "milliliters-into", "weekly", "one-insulin", "animal"])
def test_without_a_fault_the_same_cards_pass(name: str) -> None:
    """The faults above are what is stopped, and not the cards."""
    pass_forms(make_case(name), ALL if name in {"full", "weekly"} else SAID)
