"""Signing on and off, people, the lock, and the first page."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from itertools import islice
from typing import Final

from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response

from fillcards.desk import writing
from fillcards.desk.app import Desk, is_script, join_words, read_form
from fillcards.desk.drafts import number_of
from fillcards.desk.people import NotSignedOn, Session
from fillcards.desk.text_edit import find_text, read_plain
from fillcards.pipeline import read_regimen_file
from fillcards.plan.replacing import write_successor
from fillcards.problems import FillcardsError, OutputError, RegimenRefused
from fillcards.regimen.fingerprint import compute_fingerprint, is_checked
from fillcards.register import Event

_MOST_TOLD: Final = 20
_MOST_SHOWN: Final = 12
_MOST_FOUND: Final = 50
_WHOSE: Final = ("patient.name", "patient.second_identifier", "prescription")
_MAY_SAY_WHOSE: Final = re.compile(r"\b(?:name|second_identifier|prescription):\s*(.*)")
_NOT_IN_USE: Final = "Only a card that was checked, and is neither replaced nor ended, can be replaced by another."


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
