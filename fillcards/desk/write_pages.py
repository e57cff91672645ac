"""Write: the prescription as sentences beside the card; each blank into the file when it is left."""

from __future__ import annotations

from typing import Any, Final, TypeAlias

from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response

from fillcards.desk import blanks, writing
from fillcards.desk.app import Desk, join_words, read_form
from fillcards.desk.drafts import ChangedMeanwhile, Stage, hash_text
from fillcards.desk.live import LEFT_EMPTY, Look, Picture, draw, look_at
from fillcards.desk.page_words import list_unanswered, say, tell
from fillcards.desk.people import Session
from fillcards.desk.text_edit import CannotEdit, Plain, find_plain, read_plain
from fillcards.problems import Place, Problem, Severity
from fillcards.quantities import write_number
from fillcards.regimen.fingerprint import compute_fingerprint, is_checked
from fillcards.regimen.model import Regimen
from fillcards.register import Event

More: TypeAlias = tuple[str, tuple[Problem, ...]]
"""A blank, and the problems of what was typed in it, where that cannot even be put into the file."""

_GONE: Final = "This sentence is no longer in the file. Nothing was written."
_NEEDED: Final = "This cannot be put in or taken out while other sentences need it."
_IS_WAITING: Final = (
    "It waits for a second person, who works from the prescription and has not seen what was written. "
    "Until then only its writer can open it."
)
_IS_GIVEN: Final = "This card has been given out. To change a dose, begin the card that replaces it."
_IS_CHECKED: Final = "This card has been checked. Any change makes its check void."
_FITS: Final = "a value of one line; a vial only once in a syringe"
_MOST_OF_REASON: Final = 300


async def write(desk: Desk, request: Request, session: Session) -> Response:
    """The page."""
    name, text = desk.load(request)
    try:
        tree = read_plain(text)
    except CannotEdit as refusal:
        return desk.show("unreadable.html", session, file=name, problems=refusal.problems)
    parts = blanks.list_parts(tree)
    draft, look = desk.draft_of(name), tell(look_at(text, desk.today), tree, parts)
    number = request.path_params["file"]
    if draft.stage is Stage.WAITING and session.name != draft.writer:
        return desk.show_closed(session, "Waits for a check", _IS_WAITING)
    if draft.stage is Stage.GIVEN:
        return desk.show_closed(session, "Given out", _IS_GIVEN, change=number)
    if look.regimen is not None and look.is_whole and is_checked(look.regimen) and "anyway" not in request.query_params:
        return desk.show_closed(session, "Checked", _IS_CHECKED, change=number, give=number)
    picture = draw(look, 1, 1)
    writer = draft.writers.get(hash_text(text), "")
    values = _describe_form(desk, tree, parts, look)
    return desk.show(
        "write.html", session, file=name, number=number, draft=draft, writer=writer, picture=picture, **values
    )


def _describe_form(
    desk: Desk, tree: Plain, parts: tuple[blanks.Part, ...], look: Look, more: More | None = None
) -> dict[str, Any]:
    """What the form's templates need: its parts, the problems of each sentence, how many are to be settled where."""
    problems: dict[str, list[Problem]] = {}
    for problem in (*look.problems, *(more[1] if more else ())):
        is_more = more is not None and problem in more[1]
        path = more[0] if more is not None and is_more else problem.place.key
        problems.setdefault(blanks.find_group(parts, path), []).append(problem)
    settle = {
        part.id: sum(
            problem.severity is Severity.REFUSE for group in part.groups for problem in problems.get(group.id, ())
        )
        for part in parts
    }
    return {
        "parts": parts,
        "problems": problems,
        "settle": settle,
        "invalid": [problem.place.key for problem in look.to_settle if problem.code not in LEFT_EMPTY],
        "olds": {group.id: _tell_old(look.regimen, group.id) for part in parts for group in part.groups},
        "offers": writing.list_offers(tree, desk.read_clinic()),
        "whose": find_plain(tree, "patient.name") or "A new card",
    }


def _refuse(path: str, found: str, expected: str, remedy: str) -> Problem:
    return Problem("DESK-003", Severity.REFUSE, Place(key=path), found, expected, remedy)


def _tell_old(regimen: Regimen | None, group: str) -> str:
    """What the card that is replaced says at the same time."""
    if regimen is None or regimen.replaces is None or not group.startswith("fills["):
        return ""
    fill = next((fill for fill in regimen.fills if fill.place.key == group), None)
    stops = [stop for stop in regimen.replaces.stops if fill and stop.when == fill.when]
    lines = ", then ".join(f"{stop.medicine} to line {write_number(stop.line)}" for stop in stops)
    return f"The card {regimen.replaces.card_code}, which this one replaces: {lines}." if lines else ""


def _load_open(desk: Desk, name: str) -> str:
    """The text of a file that may still be written in."""
    if desk.follow_one(name).stage is Stage.GIVEN:
        raise ChangedMeanwhile(_IS_GIVEN)
    return desk.load_known(name)


async def blank(desk: Desk, request: Request, session: Session) -> Response:
    """A blank as it is typed in (nothing is written), or as it is left (the file is)."""
    asked = await request.json()
    name, path, value = desk.name_of(request), str(asked["path"]), asked["value"]
    text = new = _load_open(desk, name)
    before = read_plain(text)
    there = blanks.list_blanks(before).get(path) if path else None
    more: More | None = None
    try:
        new = writing.write_blank(text, path, value) if path else text
    except writing.NoSuchBlank:
        raise ChangedMeanwhile(_GONE) from None
    except CannotEdit as refusal:
        cannot = _refuse(path, "this cannot be put into the file", _FITS, "write or choose another")
        told = (each._replace(found=say(each.found), remedy=say(each.remedy)) for each in refusal.problems)
        more = path, tuple(told) or (cannot,)
    is_saved = bool(asked.get("write")) and there is not None and more is None
    if is_saved and there is not None:
        if writing.read_value(there) not in (asked["was"], value):
            raise ChangedMeanwhile(
                f"This blank now says “{_say(there)}”: another window wrote it. Yours was not written."
            )
        if new != text:
            desk.change(name, new, session, path, instead_of=text)
    return _answer(desk, new, before, asked, more, is_saved=is_saved)


async def items(desk: Desk, request: Request, session: Session) -> Response:
    """A sentence more, or one less."""
    asked = await request.json()
    name = desk.name_of(request)
    text = _load_open(desk, name)
    (what,) = asked.keys() & {"add", "remove", "offer"}
    which = str(asked[what])
    try:
        match what:
            case "add":
                new = writing.add_item(text, which)
            case "remove":
                new = writing.remove_item(text, which)
            case _:
                new = writing.take_offer(text, which, desk.read_clinic())
    except (CannotEdit, writing.NoSuchBlank):
        raise ChangedMeanwhile(_NEEDED) from None
    desk.change(name, new, session, f"{what} {which}", instead_of=text)
    return _answer(desk, new, None, asked, None, is_saved=True)


def _say(there: blanks.Blank) -> str:
    return ", ".join(there.chosen) if there.kind == "days" else there.value or "nothing"


def _answer(
    desk: Desk,
    text: str,
    before: Plain | None,
    asked: dict[str, Any],
    more: More | None,
    *,
    is_saved: bool,
) -> Response:
    """What has changed on the page, as its templates make it."""
    tree = read_plain(text)
    parts = blanks.list_parts(tree)
    look = tell(look_at(text, desk.today), tree, parts)
    values = _describe_form(desk, tree, parts, look, more)
    has_picture = "fill" in asked
    picture = draw(look, int(asked["fill"]), int(asked["side"])) if has_picture else Picture("", "")
    problems = values["problems"]
    groups = [group.id for part in values["parts"] for group in part.groups]
    answer = {
        "saved": is_saved,
        "boxes": {group: desk.render_macro("problem_list", problems.get(group, ())) for group in groups},
        "invalid": values["invalid"],
        "nav": desk.render_macro("nav", values["parts"], values["settle"]),
        "live": desk.render_macro("picture", picture),
        "spoken": _speak(tree, values, str(asked.get("path", "")), picture.words),
        "settle": sum(values["settle"].values()),
        "whose": values["whose"],
    }
    if before is None or (is_saved and blanks.list_shapes(before) != blanks.list_shapes(tree)):
        answer["form"] = desk.render("form.html", **values)
    return JSONResponse(answer)


def _speak(tree: Plain, values: dict[str, Any], path: str, words: str) -> str:
    """What a screen reader says after a pause: which sentence, and its first problem or its lines."""
    group = blanks.find_group(values["parts"], path)
    when = find_plain(tree, f"{group}.when") if group.startswith("fills[") else None
    of = f"{when}: " if isinstance(when, str) and when else ""
    refused = [each for each in values["problems"].get(group, ()) if each.severity is Severity.REFUSE]
    worst = next((each for each in refused if each.code not in LEFT_EMPTY), None)
    if worst or not refused:
        return f"{of}Problem. {worst.found}." if worst else f"{of}{words}" if of else ""
    return f"{of}To settle: {'; '.join(each.found for each in refused)}."


async def hand(desk: Desk, request: Request, session: Session) -> Response:
    """To the second person."""
    name, text = desk.load(request)
    given = await read_form(request)
    draft, look = desk.draft_of(name), look_at(text, desk.today)
    here, there = f"{session.base}/write/{request.path_params['file']}", f"{session.base}/check"
    if look.regimen is None or look.to_settle or not look.is_whole or any(list_unanswered(read_plain(text))):
        return RedirectResponse(here, 303)
    fingerprint = compute_fingerprint(look.regimen)
    if draft.stage in {Stage.WAITING, Stage.AGREED} and draft.fingerprint == fingerprint:
        return RedirectResponse(there, 303)  # sent twice
    if not draft.is_explained:
        reason = join_words(given.get("reason", ""), _MOST_OF_REASON)
        if not reason:
            return RedirectResponse(f"{here}#reason", 303)
        details = {"reason": reason}
        desk.register.add(Event.EXPLAINED, session.name, file=name, fingerprint=fingerprint, details=details)
    writer = draft.writers.get(hash_text(text), "")
    if not writer:
        # Another program wrote it: whoever hands it over stands for it.
        writer = session.name
        desk.register.add(Event.CHANGED, writer, file=name, details={"text": hash_text(text), "path": "as found"})
    desk.register.add(Event.HANDED, session.name, file=name, fingerprint=fingerprint, details={"writer": writer})
    return RedirectResponse(there, 303)
