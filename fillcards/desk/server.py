"""The table of pages, who may open them, and the hour after which the desk closes.

One thing at a time: requests run one after another on the server's own thread; only the making of a finished card runs
beside.
"""

from __future__ import annotations

import asyncio
import datetime
from collections.abc import Awaitable, Callable
from pathlib import Path
from typing import Final

from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import FileResponse, JSONResponse, RedirectResponse, Response
from starlette.routing import Route

from fillcards.desk import check_pages, given_pages, home_pages, write_pages
from fillcards.desk.app import HERE, REGISTER_NAME, Desk, is_script
from fillcards.desk.drafts import ChangedMeanwhile, Folder
from fillcards.desk.people import Clock, People, Session
from fillcards.desk.text_edit import CannotEdit
from fillcards.faults import describe_fault
from fillcards.problems import OutputError, RegimenRefused
from fillcards.register import Register
from fillcards.typeface.metrics import find_font_file

Page = Callable[[Desk, Request, Session], Awaitable[Response]]

IDLE_HOUR: Final = datetime.timedelta(hours=1)
_GET, _POST, _BOTH = ["GET"], ["POST"], ["GET", "POST"]
_TABLE: Final[tuple[tuple[str, Page, list[str]], ...]] = (
    ("/", home_pages.home, _BOTH),
    ("/people", home_pages.add_people, _BOTH),
    ("/sign-off", home_pages.sign_off, _POST),
    ("/lock", home_pages.lock, _POST),
    ("/new", home_pages.new, _POST),
    ("/prescription", home_pages.prescription, _POST),
    ("/change/{file}", home_pages.change_dose, _POST),
    ("/write/{file}", write_pages.write, _GET),
    ("/write/{file}/blank", write_pages.blank, _POST),
    ("/write/{file}/items", write_pages.items, _POST),
    ("/write/{file}/hand", write_pages.hand, _POST),
    ("/check", check_pages.queue, _GET),
    ("/check/{file}", check_pages.check, _GET),
    ("/check/{file}", check_pages.compare, _POST),
    ("/check/{file}/read", check_pages.read_back, _POST),
    ("/look/{file}", check_pages.look, _BOTH),
    ("/look/{file}/{side:int}.svg", check_pages.side, _GET),
    ("/given", given_pages.given, _BOTH),
    ("/give/{file}", given_pages.give, _BOTH),
    ("/give/{file}/{form}", given_pages.print_card, _GET),
    ("/card/{card}", given_pages.card, _BOTH),
)
_STATIC: Final = {name: HERE / "static" / name for name in ("desk.css", "desk.js", "icon.svg")} | {
    "regular.ttf": find_font_file(bold=False),
    "bold.ttf": find_font_file(bold=True),
}


def build_app(desk: Desk) -> Starlette:
    """The pages of a desk, to be put behind its guard."""

    async def static(request: Request) -> Response:
        path = _STATIC.get(request.path_params["name"])
        return FileResponse(path) if path else Response(status_code=404)

    def open_to_all(page: Callable[[Desk, Request], Awaitable[Response]]) -> Callable[[Request], Awaitable[Response]]:
        async def answer(request: Request) -> Response:
            desk.last_request = desk.clock()
            return await _tell_faults(desk, request, None, page(desk, request))

        return answer

    return Starlette(
        routes=[
            Route("/", open_to_all(home_pages.sign_on), methods=_BOTH),
            Route("/static/{name}", static, methods=_GET),
            Route("/w/{session}/unlock", open_to_all(home_pages.unlock), methods=_POST),
            *(Route(f"/w/{{session}}{path}", _within(desk, page), methods=methods) for path, page, methods in _TABLE),
        ]
    )


def _within(desk: Desk, page: Page) -> Callable[[Request], Awaitable[Response]]:
    """Only in a window that somebody has signed on in and that is not locked."""

    async def answer(request: Request) -> Response:
        desk.last_request = desk.clock()
        session = desk.people.find(request.path_params["session"])
        if session is not None and not session.is_locked:
            return await _tell_faults(desk, request, session, page(desk, request, session))
        if is_script(request):
            return JSONResponse({} if session else {"told": "Sign on again."}, 423 if session else 401)
        back = request.url.path if request.method == "GET" else ""
        return desk.show("locked.html", session, back=back) if session else RedirectResponse("/", 303)

    return answer


async def _tell_faults(
    desk: Desk, request: Request, session: Session | None, answering: Awaitable[Response]
) -> Response:
    """What could not be done is told on a page, or to the script, in words for people."""
    by_script = is_script(request)
    try:
        return await answering
    except (OutputError, ChangedMeanwhile, CannotEdit) as error:
        words = str(error)
    except RegimenRefused as refusal:
        if not by_script:
            return desk.show("unreadable.html", session, 409, file="", problems=refusal.problems)
        words = refusal.problems[0].found
    except Exception as fault:  # never a traceback, whose words could be a patient's
        words = describe_fault(fault)
    if by_script:
        return JSONResponse({"told": words}, 409)
    try:
        return desk.show_closed(session, "Not done", words, 409)
    except OutputError:  # the register, which every page of a window asks, is what cannot be read
        return desk.show_closed(None, "Not done", words, 409)


async def close_when_idle(desk: Desk, close: Callable[[], None], wait_s: float = 30.0) -> None:
    """Close the desk an hour after the last request."""
    while desk.clock() - desk.last_request < IDLE_HOUR:
        await asyncio.sleep(wait_s)
    close()


def open_desk(path: Path, clock: Clock) -> Desk:
    """The desk of one folder.

    Raises:
        OutputError: the folder cannot be read.
    """
    folder = Folder(path)
    folder.list_names()
    return Desk(folder, Register(path / REGISTER_NAME, clock), People(path, clock), clock)
