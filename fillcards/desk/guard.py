"""Who may speak to the desk at all: this machine's browser, from the address that was printed, and nobody else.

A page of another site can send requests to this machine; it cannot read the cookie, set ``Host`` or leave ``Origin``
out of a form. The token is drawn anew at every start.
"""

from __future__ import annotations

import hmac
import os
from dataclasses import dataclass, field
from typing import Final

from starlette.requests import Request
from starlette.responses import PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

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
            return _say(421, "This desk answers to its own address only.")
        origin = request.headers.get("origin")
        is_reading = request.method in {"GET", "HEAD"}
        if origin != f"http://{host}" and (origin is not None or not is_reading):
            return _say(403, "This came from another page than the desk's own.")
        if request.headers.get("sec-fetch-site") in {"cross-site", "same-site"} and not is_reading:
            return _say(403, "This came from another page than the desk's own.")
        if not is_reading:
            length = request.headers.get("content-length", "")
            if not length.isdecimal():
                return _say(411, "How long is it?")
            if int(length) > MOST_BODY_BYTES:
                return _say(413, "This is too large for the desk.")
        return None

    def _open(self, request: Request) -> Response | None:
        """The first call, by its token; later ones by the cookie."""
        cookie = f"fillcards-{self.port}"
        if request.url.path.startswith("/open/"):
            if not self._is_token(request.url.path.removeprefix("/open/")):
                return _say(403, "This address is of another start of the desk. Take the one that was printed last.")
            answer = RedirectResponse("/", 303)
            answer.set_cookie(cookie, self.token, httponly=True, samesite="strict", path="/")
            return answer
        if not self._is_token(request.cookies.get(cookie, "")):
            return _say(403, "Open the desk by the address that it printed when it started.")
        return None

    def _is_token(self, given: str) -> bool:
        return hmac.compare_digest(given.encode(), self.token.encode())


def _say(status: int, words: str) -> Response:
    return PlainTextResponse(words, status)
