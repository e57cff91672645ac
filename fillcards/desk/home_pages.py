"""Signing on and off, people, the lock, and the first page."""

from __future__ import annotations

from typing import Final

from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response

from fillcards.desk import writing
from fillcards.desk.app import Desk, join_words, read_form
from fillcards.desk.drafts import Draft, number_of
from fillcards.desk.people import NotSignedOn, Session
from fillcards.desk.text_edit import find_plain, read_plain
from fillcards.pipeline import read_regimen_file
from fillcards.plan.replacing import write_successor
from fillcards.problems import FillcardsError, OutputError, RegimenRefused
from fillcards.regimen.fingerprint import compute_fingerprint, is_checked
from fillcards.register import Event

_MOST_TOLD: Final = 20
_NOT_IN_USE: Final = "Only a card that was checked, and is neither replaced nor ended, can be replaced by another."


async def sign_on(desk: Desk, request: Request) -> Response:
    """Who works here; the first person adds themself."""
    told = ""
    if request.method == "POST":
        given = await read_form(request)
        try:
            if not desk.people.list_names():
                _add_person(desk, given, given.get("name", ""))
            session = desk.people.sign_on(given.get("name", ""), given.get("passphrase", ""))
            return RedirectResponse(f"/w/{session.id}/", 303)
        except NotSignedOn as error:
            told = str(error)
    return desk.show("sign_on.html", None, 403 if told else 200, names=desk.people.list_names(), told=told)


def _add_person(desk: Desk, given: dict[str, str], by: str) -> None:
    name = join_words(given.get("name", ""), 80)
    what = "passphrase set anew" if name in desk.people.list_names() else "added"
    if given.get("passphrase") != given.get("again"):
        raise NotSignedOn("The two passphrases are not the same.")
    desk.people.set_passphrase(name, given.get("passphrase", ""))
    desk.register.add(Event.PERSON, by, details={"who": name, "what": what})


async def add_people(desk: Desk, request: Request, session: Session) -> Response:
    """Add somebody, or set a forgotten passphrase anew; both are told in the register and to whom it concerns."""
    told = ""
    if request.method == "POST":
        given = await read_form(request)
        try:
            desk.people.require(session.name, given.get("own", ""))
            _add_person(desk, given, session.name)
            return RedirectResponse(f"/w/{session.id}/people", 303)
        except NotSignedOn as error:
            told = str(error)
    lines = [line for line in desk.register.read() if line.event is Event.PERSON][-_MOST_TOLD:]
    names = desk.people.list_names()
    return desk.show("people.html", session, 403 if told else 200, names=names, told=told, lines=lines)


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
    is_script = request.headers.get("accept") == "application/json"
    try:
        desk.people.unlock(session, given.get("passphrase", ""))
    except NotSignedOn as error:
        if is_script:
            return JSONResponse({"told": str(error)}, 403)
        return desk.show("locked.html", session, 403, told=str(error), back=given.get("back", ""))
    back, base = given.get("back", ""), f"/w/{session.id}/"
    return JSONResponse({}) if is_script else RedirectResponse(back if back.startswith(base) else base, 303)


async def home(desk: Desk, _request: Request, session: Session) -> Response:
    """What lies here, and what can be begun."""
    drafts = desk.follow()
    files = [(name, drafts.get(name, Draft(name)), _name_patient(desk, name)) for name in desk.folder.list_names()]
    people = (line for line in desk.register.read() if line.event is Event.PERSON)
    mine = [line for line in people if line.details["who"] == session.name][-1:]
    return desk.show("home.html", session, files=files, mine=mine)


def _name_patient(desk: Desk, name: str) -> str:
    try:
        found = find_plain(read_plain(desk.folder.read(name)), "patient.name")
    except FillcardsError:
        return ""
    return found if isinstance(found, str) else ""


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
    return RedirectResponse(f"/w/{session.id}/write/{number_of(name)}", 303)
