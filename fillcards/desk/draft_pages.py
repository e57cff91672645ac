"""Signing on, the first page, and the prescription as sentences beside the card: each blank goes into the file when it
is left, until the draft is handed to the second person.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import replace
from itertools import islice
from typing import Any, Final, TypeAlias

from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response

from fillcards.desk import blanks, writing
from fillcards.desk.app import Desk, is_script, join_words, read_form
from fillcards.desk.drafts import ChangedMeanwhile, Stage, hash_text, number_of
from fillcards.desk.live import LEFT_EMPTY, Look, Picture, draw, list_unanswered, look_at, say, tell
from fillcards.desk.people import NotSignedOn, Session
from fillcards.desk.text_edit import CannotEdit, Plain, find_plain, find_text, read_plain
from fillcards.pipeline import read_regimen_file
from fillcards.plan.replacing import write_successor
from fillcards.problems import FillcardsError, OutputError, Place, Problem, RegimenRefused, Severity
from fillcards.quantities import write_number
from fillcards.regimen.fingerprint import compute_fingerprint, is_checked
from fillcards.regimen.model import Regimen
from fillcards.register import Event

More: TypeAlias = tuple[tuple[str, Problem], ...]
"""Blanks, and the problems of what was typed in them, where that cannot even be put into the file."""

_MOST_TOLD: Final = 20
_MOST_SHOWN: Final = 12
_MOST_FOUND: Final = 50
_WHOSE: Final = ("patient.name", "patient.second_identifier", "prescription")
_MAY_SAY_WHOSE: Final = re.compile(r"\b(?:name|second_identifier|prescription):\s*(.*)")
_NOT_IN_USE: Final = "Only a card that was checked, and is neither replaced nor ended, can be replaced by another."
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


async def sign_on(desk: Desk, request: Request) -> Response:
    """Who works here; the first person adds themself."""

    def act(fields: dict[str, str]) -> str:
        if not desk.people.list_names():
            _add_person(desk, fields, fields.get("name", ""))
        return f"{desk.people.sign_on(fields.get('name', ''), fields.get('passphrase', '')).base}/"

    told = await desk.submit(request, None, act)
    if isinstance(told, Response):
        return told
    return desk.show("sign_on.html", None, names=desk.people.list_names(), told=told)


def _add_person(desk: Desk, given: dict[str, str], by: str) -> None:
    name = join_words(given.get("name", ""), 80)
    what = "passphrase set anew" if name in desk.people.list_names() else "added"
    if given.get("passphrase") != given.get("again"):
        raise NotSignedOn("The two passphrases are not the same.")
    desk.people.set_passphrase(name, given.get("passphrase", ""))
    desk.register.add(Event.PERSON, by, details={"who": name, "what": what})


async def add_people(desk: Desk, request: Request, session: Session) -> Response:
    """Add somebody, or set a forgotten passphrase anew; both are told in the register and to whom it concerns."""

    def act(fields: dict[str, str]) -> str:
        desk.people.require(session.name, fields.get("own", ""))
        _add_person(desk, fields, session.name)
        return f"{session.base}/people"

    told = await desk.submit(request, None, act)
    if isinstance(told, Response):
        return told
    lines = desk.register.read(event=Event.PERSON)[-_MOST_TOLD:]
    return desk.show("people.html", session, names=desk.people.list_names(), told=told, lines=lines)


async def sign_off(desk: Desk, _request: Request, session: Session) -> Response:
    """The window is nobody's again."""
    desk.people.sessions.pop(session.id, None)
    return RedirectResponse("/", 303)


async def lock(_desk: Desk, _request: Request, session: Session) -> Response:
    """The window has been idle, as the page saw it."""
    session.is_locked = True
    return JSONResponse({})


async def unlock(desk: Desk, request: Request) -> Response:
    """Go on after a pause."""
    session = desk.people.sessions.get(request.path_params["session"])
    if session is None:
        return RedirectResponse("/", 303)
    given = await read_form(request)
    back, told = given.get("back", ""), ""
    try:
        desk.people.unlock(session, given.get("passphrase", ""))
    except NotSignedOn as error:
        told = str(error)
    if is_script(request):
        return JSONResponse({"told": told} if told else {}, 403 if told else 200)
    if told:
        return desk.show("locked.html", session, told=told, back=back)
    return RedirectResponse(back if back.startswith(f"{session.base}/") else f"{session.base}/", 303)


async def home(desk: Desk, request: Request, session: Session) -> Response:
    """What can be begun, and the files worked on last or those that were searched for; of what, is in no address."""
    words = (await read_form(request)).get("find", "") if request.method == "POST" else ""
    names = desk.folder.list_names()
    found = tuple(islice(_find_files(desk, names, words), _MOST_FOUND)) if words else names[:_MOST_SHOWN]
    files = [(name, desk.follow_one(name), ", ".join(_say_whose(desk, name))) for name in found]
    mine = [line for line in desk.register.read(event=Event.PERSON) if line.details["who"] == session.name][-1:]
    return desk.show("home.html", session, files=files, count=len(names), words=words, most=_MOST_FOUND, mine=mine)


def _find_files(desk: Desk, names: Iterable[str], words: str) -> Iterator[str]:
    """Those whose own name or whose patient's holds every word. To read a file as a tree takes ten times as long as to
    look through it, so only those are read that may hold the words; an escape may stand for any letter.
    """
    wanted = words.casefold().split()

    def holds(*texts: str) -> bool:
        text = " ".join(texts).casefold().replace("''", "'")
        return all(word in text for word in wanted)

    def may_hold(name: str) -> bool:
        text = desk.folder.read_loosely(name)
        return "\\" in text or (holds(name, text) and holds(name, *_MAY_SAY_WHOSE.findall(text)))

    for name in names:
        if holds(name) or (may_hold(name) and holds(name, *_say_whose(desk, name))):
            yield name


def _say_whose(desk: Desk, name: str) -> tuple[str, ...]:
    """A file's patient: name, identifier, prescription."""
    try:
        tree = read_plain(desk.folder.read(name))
    except FillcardsError:
        return ()
    return tuple(filter(None, (find_text(tree, path) for path in _WHOSE)))


def _still_says(desk: Desk, name: str, text: str) -> bool:
    try:
        return desk.folder.read(name) == text
    except FillcardsError:
        return False


async def new(desk: Desk, _request: Request, session: Session) -> Response:
    """A file with nothing chosen."""
    return _begin(desk, writing.write_new(desk.today), session, "new")


async def prescription(desk: Desk, request: Request, session: Session) -> Response:
    """A prescription file into a draft; what was not understood is blank in it, and told."""
    from fillcards.intake.draft import write_draft
    from fillcards.intake.fhir import read_prescription

    draft = read_prescription(await request.body(), takes_name=True, today=desk.today)
    answer = _begin(desk, write_draft(draft), session, "from a prescription file")
    return JSONResponse({"go": answer.headers["location"], "boxes": desk.render_macro("problem_list", draft.problems)})


async def change_dose(desk: Desk, request: Request, session: Session) -> Response:
    """A new file from an older card's, which it will replace."""
    text = desk.folder.read(desk.name_of(request))
    try:
        older = read_regimen_file(text.encode())
        card = desk.find_card(compute_fingerprint(older))
        if not (is_checked(older) or (card and card.given)) or (card and card.is_over):
            return desk.show_closed(session, "Not a card in use", _NOT_IN_USE, 409)
        new_text = write_successor(text, older)
    except (RegimenRefused, OutputError) as error:
        return desk.show_closed(session, "Cannot be copied", str(error), 409)
    return _begin(desk, writing.put_date(new_text, desk.today), session, "from an older card")


def _begin(desk: Desk, text: str, session: Session, how: str) -> Response:
    """A new file with that text; asked for twice, the first as long as nobody has written in it."""
    name, begun = session.begun
    if begun != text or not _still_says(desk, name, text):
        name = desk.folder.make_name()
        desk.change(name, text, session, how, instead_of=None)
        session.begun = name, text
    return RedirectResponse(f"{session.base}/write/{number_of(name)}", 303)


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
    desk: Desk, tree: Plain, parts: tuple[blanks.Part, ...], look: Look, more: More = ()
) -> dict[str, Any]:
    """What the form's templates need: its parts, the problems of each sentence, how many are to be settled where."""
    problems: dict[str, list[Problem]] = {}
    for path, problem in (*((each.place.key, each) for each in look.problems), *more):
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
    there = blanks.list_blanks(blanks.list_parts(before)).get(path)
    more: More = ()
    try:
        new = writing.write_blank(text, path, value) if path else text
    except writing.NoSuchBlank:
        raise ChangedMeanwhile(_GONE) from None
    except CannotEdit as refusal:
        found, remedy = "this cannot be put into the file", "write or choose another"
        cannot = Problem("DESK-003", Severity.REFUSE, Place(key=path), found, _FITS, remedy)
        told = [each._replace(found=say(each.found), remedy=say(each.remedy)) for each in refusal.problems]
        more = tuple((path, each) for each in told or [cannot])
    is_saved = bool(asked.get("write")) and not more and there is not None
    if there is not None and is_saved:
        if writing.read_value(there) not in (asked["was"], value):
            says = ", ".join(there.chosen) if there.kind == "days" else there.value or "nothing"
            raise ChangedMeanwhile(f"This blank now says “{says}”: another window wrote it. Yours was not written.")
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
    return _answer(desk, new, None, asked, (), is_saved=True)


def _answer(
    desk: Desk, text: str, before: Plain | None, asked: dict[str, Any], more: More, *, is_saved: bool
) -> Response:
    """What has changed on the page, as its templates make it."""
    tree = read_plain(text)
    parts = blanks.list_parts(tree)
    look = tell(look_at(text, desk.today), tree, parts)
    values = _describe_form(desk, tree, parts, look, more)
    picture = draw(look, int(asked["fill"]), int(asked["side"])) if "fill" in asked else Picture("", "")
    problems, groups = values["problems"], [group.id for part in parts for group in part.groups]
    answer = {
        "saved": is_saved,
        "boxes": {group: desk.render_macro("problem_list", problems.get(group, ())) for group in groups},
        "invalid": values["invalid"],
        "nav": desk.render_macro("nav", parts, values["settle"]),
        "live": desk.render_macro("picture", picture),
        "spoken": _speak(tree, values, str(asked.get("path", "")), picture.words),
        "settle": sum(values["settle"].values()),
        "whose": values["whose"],
    }
    if before is None or (is_saved and _list_shapes(blanks.list_parts(before)) != _list_shapes(parts)):
        answer["form"] = desk.render("form.html", **values)
    return JSONResponse(answer)


def _list_shapes(parts: tuple[blanks.Part, ...]) -> list[blanks.Blank]:
    """The blanks without what is in them: where these differ, the sentences are to be shown anew."""
    return [replace(blank, value="", chosen=()) for blank in blanks.list_blanks(parts).values()]


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
