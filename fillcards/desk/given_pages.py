"""Given out: print the finished card, tell to whom it was given, find what was given, and end it."""

from __future__ import annotations

from typing import Any, Final

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response

from fillcards.desk.app import Desk, join_words, read_form
from fillcards.desk.drafts import Stage
from fillcards.desk.live import look_at
from fillcards.desk.page_words import say
from fillcards.desk.people import NotSignedOn, Session
from fillcards.options import Ending, Form
from fillcards.pipeline import choose_form, read_regimen_file
from fillcards.regimen.fingerprint import compute_card_code, compute_fingerprint, is_checked
from fillcards.regimen.model import Regimen
from fillcards.register import CardState, Event, add_made, find_cards, find_keeping, list_cards, say_check

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
    if why_not := _why_not(desk, regimen, card):
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


def _why_not(desk: Desk, regimen: Regimen, card: CardState | None) -> str:
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
    why_not = _why_not(desk, regimen, desk.find_card(compute_fingerprint(regimen)))
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
