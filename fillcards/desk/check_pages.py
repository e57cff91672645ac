"""Check: the queue, the blind second entry, and the look through the card once both agree.

Until then nothing that comes from the draft is sent, but its number, its writer and the time.
"""

from __future__ import annotations

from typing import Final

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response

from fillcards.desk import writing
from fillcards.desk.app import Desk, read_form
from fillcards.desk.drafts import Draft, Stage, hash_text
from fillcards.desk.live import look_at
from fillcards.desk.page_words import say
from fillcards.desk.people import NotSignedOn, Session
from fillcards.desk.second_entry import describe_regimen, read_entry, write_entry
from fillcards.pipeline import read_regimen_file
from fillcards.problems import RegimenRefused
from fillcards.regimen.fingerprint import compute_card_code, compute_fingerprint, is_checked
from fillcards.regimen.model import Regimen
from fillcards.register import Event

_NOT_WAITING: Final = "This draft does not wait for your check (any more)."
_CHANGED: Final = "The file was changed after it was handed over. Nothing was compared; its writer hands it over again."


async def queue(desk: Desk, _request: Request, session: Session) -> Response:
    """What waits; no patient is named."""
    drafts = [draft for draft in desk.follow().values() if draft.stage in {Stage.WAITING, Stage.AGREED}]
    rows = [(draft, _why_not(draft, session)) for draft in drafts]
    return desk.show("queue.html", session, rows=rows, is_alone=len(desk.people.list_names()) == 1)


def _why_not(draft: Draft, session: Session) -> str:
    if draft.stage is Stage.AGREED:
        return "" if draft.checker == session.name else f"{draft.checker} looks it through."
    return draft.may_check(session.name)


async def check(desk: Desk, request: Request, session: Session) -> Response:
    """The second person's page."""
    draft = desk.draft_of(desk.name_of(request))
    why_not = draft.may_check(session.name) if draft.stage is Stage.WAITING else _NOT_WAITING
    if why_not:
        return desk.show_closed(session, "Not yours to check", why_not)
    return _show_entry(desk, request, session, draft, {})


def _show_entry(desk: Desk, request: Request, session: Session, draft: Draft, given: dict[str, str]) -> Response:
    typed = read_entry(given) if given else None
    number = request.path_params["file"]
    return desk.show("check.html", session, draft=draft, number=number, given=given, typed=typed)


async def read_back(desk: Desk, request: Request, _session: Session) -> Response:
    """What was typed, as sentences; from the fields alone."""
    typed = read_entry(await read_form(request))
    return JSONResponse({"typed": desk.render_macro("typed", typed), "slips": typed.slips})


async def compare(desk: Desk, request: Request, session: Session) -> Response:
    """The one submission. Slips of form are named and do not count."""
    name, given = desk.name_of(request), await read_form(request)
    draft = desk.draft_of(name)
    if draft.stage is not Stage.WAITING or draft.may_check(session.name):
        return desk.show_closed(session, "Closed", _NOT_WAITING)
    typed = read_entry(given)
    if typed.entry is None:
        return _show_entry(desk, request, session, draft, given)
    regimen = _read_same(desk, desk.folder.read(name), draft)
    if regimen is None:
        return desk.show_closed(session, "Changed meanwhile", _CHANGED)
    wanted = describe_regimen(regimen)
    if typed.entry == wanted:
        desk.register.add(Event.AGREED, session.name, file=name, fingerprint=draft.fingerprint)
        return RedirectResponse(f"{session.base}/look/{request.path_params['file']}", 303)
    details = {"typed": typed.sentences, "file": write_entry(wanted, regimen)}
    desk.register.add(Event.DIFFERED, session.name, file=name, fingerprint=draft.fingerprint, details=details)
    words = (
        f"Something differs. The check is closed, and draft {draft.number} goes back to {draft.writer}, who looks at "
        "the prescription again."
    )
    return desk.show_closed(session, "The check is closed", words)


def _read_same(desk: Desk, text: str, draft: Draft) -> Regimen | None:
    """The regimen, if it is still the one that was handed over."""
    look = look_at(text, desk.today)
    if look.regimen is None or not look.is_whole or compute_fingerprint(look.regimen) != draft.fingerprint:
        return None
    return look.regimen


async def look(desk: Desk, request: Request, session: Session) -> Response:
    """The card itself, after both agree; then its check goes into the file."""
    name, number = desk.name_of(request), request.path_params["file"]
    draft, text = desk.draft_of(name), desk.folder.read(name)
    regimen = _read_same(desk, text, draft)
    if draft.stage is not Stage.AGREED or draft.checker != session.name or regimen is None:
        return desk.show_closed(session, "Closed", "There is nothing to look through here for you.")

    def act(_fields: dict[str, str]) -> str:
        _write_check(desk, name, text, draft, regimen)
        return f"{session.base}/give/{number}"

    told = await desk.submit(request, session, act)
    if isinstance(told, Response):
        return told
    sides = len(await run_in_threadpool(desk.write_sides, text))
    code = draft.fingerprint[:4]
    return desk.show("look.html", session, sides=sides, code=code, draft=draft, number=number, told=told)


def _write_check(desk: Desk, name: str, text: str, draft: Draft, regimen: Regimen) -> None:
    code = compute_card_code(regimen)
    checked = writing.write_check(text, draft.writer, draft.checker, desk.today, code)
    try:
        again = read_regimen_file(checked.encode())
    except RegimenRefused as refusal:
        raise NotSignedOn(say(f"{refusal.problems[0].found}: {refusal.problems[0].remedy}")) from None
    if not is_checked(again) or compute_fingerprint(again) != draft.fingerprint:
        raise NotSignedOn("The check cannot be written: writer and checker may be one person by their names.")
    # The file first: killed here, the page comes back, and the same is written once more.
    desk.folder.write(name, checked, instead_of=text)
    desk.known[name] = hash_text(checked)
    details = {"text": hash_text(checked), "code": code}
    desk.register.add(Event.CHECKED, draft.checker, file=name, fingerprint=draft.fingerprint, details=details)


async def side(desk: Desk, request: Request, session: Session) -> Response:
    """One side of the card that is looked through: read back against its file before it is shown."""
    name = desk.name_of(request)
    draft, text = desk.draft_of(name), desk.folder.read(name)
    if draft.stage is not Stage.AGREED or draft.checker != session.name:
        return Response(status_code=404)
    pages = await run_in_threadpool(desk.write_sides, text)
    number = int(request.path_params["side"])
    if not 0 < number <= len(pages):
        return Response(status_code=404)
    return Response(pages[number - 1], media_type="image/svg+xml")
