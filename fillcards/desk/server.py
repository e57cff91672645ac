"""One desk on one folder: its lock and address, who may speak to it, the table of its pages, and the hour after which
it closes.

It answers this machine's browser, from the address that was printed, and nobody else: a page of another site can send
requests to this machine; it cannot read the cookie, set ``Host`` or leave ``Origin`` out of a form. The token is drawn
anew at every start. One thing at a time: requests run one after another on the server's own thread; only the making of
a finished card runs beside.
"""

from __future__ import annotations

import asyncio
import contextlib
import datetime
import gc
import hmac
import os
import sys
from collections.abc import Awaitable, Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

import uvicorn
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import FileResponse, JSONResponse, PlainTextResponse, RedirectResponse, Response
from starlette.routing import Route
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from fillcards.desk import card_pages, draft_pages
from fillcards.desk.app import HERE, REGISTER_NAME, Desk, is_script
from fillcards.desk.drafts import ChangedMeanwhile, Folder
from fillcards.desk.people import Clock, People, Session
from fillcards.desk.text_edit import CannotEdit
from fillcards.faults import describe_fault
from fillcards.problems import OutputError, RegimenRefused
from fillcards.register import Register
from fillcards.typeface.metrics import find_font_file

Page = Callable[[Desk, Request, Session], Awaitable[Response]]

LOCK_NAME: Final = ".fillcards-desk.lock"
IDLE_HOUR: Final = datetime.timedelta(hours=1)
_GET, _POST, _BOTH = ["GET"], ["POST"], ["GET", "POST"]
_TABLE: Final[tuple[tuple[str, Page, list[str]], ...]] = (
    ("/", draft_pages.home, _BOTH),
    ("/people", draft_pages.add_people, _BOTH),
    ("/sign-off", draft_pages.sign_off, _POST),
    ("/lock", draft_pages.lock, _POST),
    ("/new", draft_pages.new, _POST),
    ("/prescription", draft_pages.prescription, _POST),
    ("/change/{file}", draft_pages.change_dose, _POST),
    ("/write/{file}", draft_pages.write, _GET),
    ("/write/{file}/blank", draft_pages.blank, _POST),
    ("/write/{file}/items", draft_pages.items, _POST),
    ("/write/{file}/hand", draft_pages.hand, _POST),
    ("/check", card_pages.queue, _GET),
    ("/check/{file}", card_pages.check, _GET),
    ("/check/{file}", card_pages.compare, _POST),
    ("/check/{file}/read", card_pages.read_back, _POST),
    ("/look/{file}", card_pages.look, _BOTH),
    ("/look/{file}/{side:int}.svg", card_pages.side, _GET),
    ("/given", card_pages.given, _BOTH),
    ("/give/{file}", card_pages.give, _BOTH),
    ("/give/{file}/{form}", card_pages.print_card, _GET),
    ("/card/{card}", card_pages.card, _BOTH),
)
_STATIC: Final = {name: HERE / "static" / name for name in ("desk.css", "desk.js", "icon.svg")} | {
    "regular.ttf": find_font_file(bold=False),
    "bold.ttf": find_font_file(bold=True),
}
MOST_BODY_BYTES: Final = 1_000_000
_POLICY: Final = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; font-src 'self'; connect-src 'self'; "
    "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
_HEADERS: Final = (
    (b"content-security-policy", _POLICY.encode()),
    (b"cache-control", b"no-store"),
    (b"x-content-type-options", b"nosniff"),
    # With "no-referrer" a browser would call the origin of our own forms "null".
    (b"referrer-policy", b"same-origin"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"cross-origin-resource-policy", b"same-origin"),
)


def read_clock() -> datetime.datetime:
    """The time here."""
    return datetime.datetime.now().astimezone()


def serve(folder: Path, port: int, say: Callable[[str], None], *, opens_browser: bool) -> None:
    """Serve a folder on this machine alone.

    Raises:
        OutputError: the folder cannot be used, has a desk already, or the port is taken.
    """
    with _hold(folder):
        desk = open_desk(folder, read_clock)
        config = uvicorn.Config(
            "", host="127.0.0.1", port=port, log_config=None, access_log=False, lifespan="off", server_header=False
        )
        try:
            with contextlib.redirect_stderr(None):
                listener = config.bind_socket()
        except (OSError, SystemExit):
            raise OutputError(f"port {port} of this machine is taken: leave --port out, or name another") from None
        gc.freeze()  # what is loaded by now stays: looking through it again and again is a tenth of each picture's time
        listener.listen()  # whoever reads the address may come at once
        guard = Guard(build_app(desk), listener.getsockname()[1])
        config.app = guard
        server = uvicorn.Server(config)
        say(guard.address)
        sys.stdout.flush()
        if opens_browser:
            import webbrowser

            webbrowser.open(guard.address)

        async def work() -> None:
            idle = asyncio.create_task(close_when_idle(desk, lambda: setattr(server, "should_exit", True)))
            await server.serve(sockets=[listener])
            idle.cancel()

        with contextlib.suppress(KeyboardInterrupt):
            asyncio.run(work())


@contextmanager
def _hold(folder: Path) -> Iterator[None]:
    """The folder is this desk's while it runs; the lock ends with its process.

    Raises:
        OutputError: another desk has it, or nothing can be written there.
    """
    path = folder / LOCK_NAME
    try:
        descriptor = os.open(path, os.O_RDWR | os.O_CREAT | getattr(os, "O_NOFOLLOW", 0), 0o600)
    except OSError as error:
        raise OutputError(f"{folder}: the desk cannot write here: {error.strerror}") from None
    try:
        import fcntl

        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except ImportError:
        pass  # a system without such locks: the files themselves are still written whole
    except OSError:
        os.close(descriptor)
        raise OutputError(f"{folder}: a desk is open on this folder already") from None
    try:
        yield
    finally:
        os.close(descriptor)


@dataclass(slots=True)
class Guard:
    """In front of the pages.

    Attributes:
        app: the pages.
        port: the desk's own.
        token: in the address that is printed, then in the cookie.
    """

    app: ASGIApp
    port: int
    token: str = field(default_factory=lambda: os.urandom(24).hex())

    @property
    def address(self) -> str:
        """Where the browser goes first."""
        return f"http://127.0.0.1:{self.port}/open/{self.token}"

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request, or refuse it."""
        if scope["type"] != "http":
            return

        async def send_guarded(message: Message) -> None:
            if message["type"] == "http.response.start":
                message["headers"] = [*message["headers"], *_HEADERS]
            await send(message)

        request = Request(scope)
        answer = self._refuse(request) or self._open(request)
        await (answer or self.app)(scope, receive, send_guarded)

    def _refuse(self, request: Request) -> Response | None:
        hosts = {f"127.0.0.1:{self.port}", f"localhost:{self.port}"}
        host = request.headers.get("host", "")
        if request.headers.getlist("host") != [host] or host not in hosts:
            return PlainTextResponse("This desk answers to its own address only.", 421)
        origin = request.headers.get("origin")
        is_reading = request.method in {"GET", "HEAD"}
        if origin != f"http://{host}" and (origin is not None or not is_reading):
            return PlainTextResponse("This came from another page than the desk's own.", 403)
        if request.headers.get("sec-fetch-site") in {"cross-site", "same-site"} and not is_reading:
            return PlainTextResponse("This came from another page than the desk's own.", 403)
        if not is_reading:
            length = request.headers.get("content-length", "")
            if not length.isdecimal():
                return PlainTextResponse("How long is it?", 411)
            if int(length) > MOST_BODY_BYTES:
                return PlainTextResponse("This is too large for the desk.", 413)
        return None

    def _open(self, request: Request) -> Response | None:
        """The first call, by its token; later ones by the cookie."""
        cookie = f"fillcards-{self.port}"
        if request.url.path.startswith("/open/"):
            if not self._is_token(request.url.path.removeprefix("/open/")):
                words = "This address is of another start of the desk. Take the one that was printed last."
                return PlainTextResponse(words, 403)
            answer = RedirectResponse("/", 303)
            answer.set_cookie(cookie, self.token, httponly=True, samesite="strict", path="/")
            return answer
        if not self._is_token(request.cookies.get(cookie, "")):
            return PlainTextResponse("Open the desk by the address that it printed when it started.", 403)
        return None

    def _is_token(self, given: str) -> bool:
        return hmac.compare_digest(given.encode(), self.token.encode())


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
            Route("/", open_to_all(draft_pages.sign_on), methods=_BOTH),
            Route("/static/{name}", static, methods=_GET),
            Route("/w/{session}/unlock", open_to_all(draft_pages.unlock), methods=_POST),
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
