"""From the second person to the patient: what waits, the blind second entry, the look through the card once both agree;
then the finished card is printed, given out, found again and ended.

Until both agree nothing that comes from the draft is sent, but its number, its writer and the time.
"""

from __future__ import annotations

from typing import Any, Final

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response

from fillcards.desk import writing
from fillcards.desk.app import Desk, join_words, read_form
from fillcards.desk.drafts import Draft, Stage, hash_text
from fillcards.desk.live import look_at, say
from fillcards.desk.people import NotSignedOn, Session
from fillcards.desk.second_entry import read_entry, type_regimen
from fillcards.options import Ending, Form
from fillcards.pipeline import choose_form, read_regimen_file
from fillcards.problems import RegimenRefused
from fillcards.regimen.fingerprint import compute_card_code, compute_fingerprint, is_checked
from fillcards.regimen.model import Regimen
from fillcards.register import CardState, Event, add_made, find_cards, find_keeping, list_cards, say_check

_NOT_WAITING: Final = "This draft does not wait for your check (any more)."
_CHANGED: Final = "The file was changed after it was handed over. Nothing was compared; its writer hands it over again."
_FORMS: Final = {
    "fridge.pdf": (Form.FRIDGE, Ending.PDF, "application/pdf", "card for the fridge"),
    "small.pdf": (Form.SMALL, Ending.PDF, "application/pdf", "small card"),
    "raised.pdf": (Form.RAISED, Ending.PDF, "application/pdf", "raised pages"),
    "practice.pdf": (Form.TEACHING, Ending.PDF, "application/pdf", "practice sheet, with the answers for staff"),
    "log.pdf": (Form.LOG, Ending.PDF, "application/pdf", "log, two weeks"),
    "card.html": (Form.FRIDGE, Ending.HTML, "text/html", "screen page"),
    "card.txt": (Form.FRIDGE, Ending.TXT, "text/plain; charset=utf-8", "plain text"),
    "card.brf": (Form.FRIDGE, Ending.BRF, "application/octet-stream", "braille file"),
}
_MOST_FOUND: Final = 50
_MOST_LETTERS: Final = 300


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
    wanted = type_regimen(regimen)
    if typed.entry == wanted.entry:
        desk.register.add(Event.AGREED, session.name, file=name, fingerprint=draft.fingerprint)
        return RedirectResponse(f"{session.base}/look/{request.path_params['file']}", 303)
    details = {"typed": typed.sentences, "file": wanted.sentences}
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


async def given(desk: Desk, request: Request, session: Session) -> Response:
    """The register. Nothing is listed before a search, and what was searched for stays out of the address."""
    words = (await read_form(request)).get("find", "") if request.method == "POST" else ""
    cards = list(find_cards(list_cards(desk.register.read()), words))[:_MOST_FOUND] if words else []
    ready = [draft for draft in desk.follow().values() if draft.stage is Stage.CHECKED]
    return desk.show("given.html", session, words=words, cards=cards, ready=ready, today=str(desk.today))


async def give(desk: Desk, request: Request, session: Session) -> Response:
    """Print, and tell to whom it was given."""
    name, number = desk.name_of(request), request.path_params["file"]
    regimen = read_regimen_file(desk.folder.read(name).encode())
    fingerprint = compute_fingerprint(regimen)
    card = desk.find_card(fingerprint)
    if why_not := _forbids(desk, regimen, card):
        return desk.show_closed(session, "Not to be given", why_not)

    def act(fields: dict[str, str]) -> str:
        _note_given(desk, regimen, card, name, session, fields)
        return f"{session.base}/card/{fingerprint}"

    told = await desk.submit(request, session, act)
    if isinstance(told, Response):
        return told
    forms = {key: row for key, row in _FORMS.items() if _is_of(row[0], regimen)}
    old = regimen.replaces.card_code if regimen.replaces else ""
    values = {"number": number, "code": fingerprint[:4], "card": card, "forms": forms, "old": old, "told": told}
    return desk.show("give.html", session, check=say_check(regimen, find_keeping(desk.register, regimen)), **values)


def _is_of(form: Form, regimen: Regimen) -> bool:
    """A small paper takes small cards; a full sheet everything else. What goes with a card is in English alone."""
    if not form.is_card and regimen.language != "en":
        return False
    return (form is Form.SMALL) == (choose_form(regimen) is Form.SMALL)


def _forbids(desk: Desk, regimen: Regimen, card: CardState | None) -> str:
    if card is not None and card.is_over:
        return f"This card is {card.now}. It is not printed again."
    if not is_checked(regimen):
        return "This card is not checked, or was changed since."
    to_settle = look_at(regimen.text, desk.today).to_settle
    return f"This card may not be given: {say(to_settle[0].found)}." if to_settle else ""


def _note_given(
    desk: Desk, regimen: Regimen, card: CardState | None, name: str, session: Session, fields: dict[str, str]
) -> None:
    to = join_words(fields.get("to", ""), 80)
    if card is None or not card.made:
        raise NotSignedOn("Print the card first.")
    if card.given is not None:
        return  # sent twice
    if not to:
        raise NotSignedOn("Write to whom the card is given.")
    if not fields.get("ruler"):
        raise NotSignedOn("Measure the bar on the staff sheet with a ruler, then tick it.")
    old = regimen.replaces.fingerprint if regimen.replaces else ""
    if old and fields.get("back") not in {"yes", "no"}:
        raise NotSignedOn("Say whether the old card came back.")
    details = {"to": to, "ruler": True, "replaces": old}
    desk.register.add(Event.GIVEN, session.name, fingerprint=card.fingerprint, file=name, details=details)
    if old:
        details = {"is_back": fields["back"] == "yes"}
        desk.register.add(Event.RETURNED, session.name, fingerprint=old, details=details)


async def print_card(desk: Desk, request: Request, session: Session) -> Response:
    """A finished card in one of its forms, read back; told to the register."""
    name, row = desk.name_of(request), _FORMS.get(request.path_params["form"])
    text = desk.folder.read(name)
    regimen = read_regimen_file(text.encode())
    why_not = _forbids(desk, regimen, desk.find_card(compute_fingerprint(regimen)))
    if why_not or row is None or not _is_of(row[0], regimen):
        return desk.show_closed(session, "Not to be printed", why_not or "There is no such form.", 403)
    form, ending, media, _ = row
    keeping = find_keeping(desk.register, regimen)
    contents = await run_in_threadpool(desk.write, text, form, ending, keeping)
    if form.is_card:
        check = say_check(regimen, keeping)
        add_made(desk.register, regimen, f"{form.value} {ending.value}", name, by=session.name, check=check)
    # A page of its own could run its script here: it is handed over as a file.
    how = "attachment" if ending in {Ending.BRF, Ending.HTML} else "inline"
    stem = "card" if form.is_card else request.path_params["form"].split(".")[0]
    headers = {"content-disposition": f'{how}; filename="{stem}-{compute_card_code(regimen)}.{ending.value}"'}
    return Response(contents[0], media_type=media, headers=headers)


async def card(desk: Desk, request: Request, session: Session) -> Response:
    """One card: what became of it, and one more line about it."""
    fingerprint = request.path_params["card"]
    found = desk.find_card(fingerprint)
    if found is None:
        return desk.show_closed(session, "No such card", "The register does not know it.", 404)

    def act(fields: dict[str, str]) -> str:
        _note(desk, found, session, fields)
        return f"{session.base}/card/{fingerprint}"

    told = await desk.submit(request, session, act)
    return told if isinstance(told, Response) else desk.show("card.html", session, card=found, told=told)


def _note(desk: Desk, found: CardState, session: Session, fields: dict[str, str]) -> None:
    words, what = join_words(fields.get("words", ""), _MOST_LETTERS), fields.get("what", "")
    events = {"ended": Event.ENDED, "back": Event.RETURNED, "mended": Event.MENDED}
    if what not in events or (what == "ended" and found.is_over):
        raise NotSignedOn("Choose what is to be written down.")
    if not words and what != "back":
        raise NotSignedOn("Give a reason, or say what is right.")
    details: dict[str, Any] = {"is_back": fields.get("back") == "yes"} if what == "back" else {"reason": words}
    file = found.file if what == "ended" else ""
    desk.register.add(events[what], session.name, fingerprint=found.fingerprint, file=file, details=details)
