"""A desk on a folder, as the program opens it or on a thread of the tests, and visitors who need no browser."""

from __future__ import annotations

import datetime
import http.client
import json
import os
import socket
import subprocess
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from threading import Thread
from typing import Any, Final
from urllib.parse import urlencode, urlsplit

import uvicorn

from fillcards.desk.server import Guard, build_app, read_clock
from fillcards.desk.server import open_desk as open_state

PASSPHRASE: Final = "three plain words"
TODAY: Final = datetime.datetime.now().astimezone().date()
_STARTER: Final = Path(__file__).parents[2] / "templates_yaml" / "one-insulin-once-a-day.yaml"


def make_card() -> str:
    """A card of one insulin with nothing of a starter left in it, dated today: it may be handed over."""
    text = _STARTER.read_text(encoding="utf-8").replace("2025-11-25", str(TODAY))
    for old, new in (("Sample Patient", "Sample Person"), ("1944-02-17", "1951-05-12"), ("555-0142", "555-0177")):
        text = text.replace(old, new)
    return "\n".join(line for line in text.split("\n") if not line.startswith(("sample:", "  reads:")))


class OpenDesk:
    """A desk that answers.

    Args:
        folder: that it serves.
        address: what the program prints first.
    """

    def __init__(self, folder: Path, address: str) -> None:
        self.folder, self.address = folder, address
        self.port = int(urlsplit(address).port or 0)
        self.token = address.rpartition("/")[2]


class RunningDesk(OpenDesk):
    """A desk in a process of its own, which can be stopped or killed."""

    def __init__(self, folder: Path, address: str, process: subprocess.Popen[str]) -> None:
        super().__init__(folder, address)
        self.process = process

    def kill(self) -> None:
        """End it in the middle of whatever it does."""
        self.process.kill()
        self.process.wait()


@contextmanager
def open_desk(folder: Path) -> Iterator[RunningDesk]:
    """The desk of a folder; stopped in the end."""
    command = [sys.executable, "-m", "fillcards", "desk", str(folder), "--no-browser"]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=dict(os.environ))
    try:
        address = (process.stdout.readline() if process.stdout else "").strip()
        if not address:
            raise AssertionError(process.stderr.read() if process.stderr else "no desk")
        yield RunningDesk(folder, address, process)
    finally:
        process.terminate()
        process.communicate(timeout=120)  # other work may run beside the tests


@contextmanager
def share_process(folder: Path) -> Iterator[OpenDesk]:
    """The same desk on a thread of this process, for tests that neither end it nor ask how it is opened."""
    listener = socket.create_server(("127.0.0.1", 0))
    guard = Guard(build_app(open_state(folder, read_clock)), listener.getsockname()[1])
    config = uvicorn.Config(guard, log_config=None, access_log=False, lifespan="off", server_header=False)
    server = uvicorn.Server(config)
    serving = Thread(target=server.run, args=([listener],))
    serving.start()
    try:
        yield OpenDesk(folder, guard.address)
    finally:
        server.should_exit = True
        serving.join()


class Answer:
    """What came back."""

    def __init__(self, status: int, headers: Mapping[str, str], body: bytes) -> None:
        self.status, self.headers, self.body = status, {key.lower(): value for key, value in headers.items()}, body

    @property
    def text(self) -> str:
        """As text."""
        return self.body.decode()

    def json(self) -> Any:
        """As data."""
        return json.loads(self.body)


class Visitor:
    """Somebody with the address, and after ``sign_on`` a window."""

    def __init__(self, desk: OpenDesk) -> None:
        self.desk = desk
        self.base = ""
        self.headers = {
            "Host": f"127.0.0.1:{desk.port}",
            "Origin": f"http://127.0.0.1:{desk.port}",
            "Cookie": f"fillcards-{desk.port}={desk.token}",
        }

    def send(self, method: str, path: str, body: bytes = b"", **headers: str | None) -> Answer:
        """One request with the usual headers, or others; ``None`` leaves one out. Names with ``_`` for ``-``."""
        connection = http.client.HTTPConnection("127.0.0.1", self.desk.port, timeout=60)
        sent: dict[str, str | None] = {**self.headers, **{key.replace("_", "-"): each for key, each in headers.items()}}
        if method == "GET":
            sent.setdefault("Origin", None)
            sent["Origin"] = headers.get("Origin")
        try:
            connection.putrequest(method, path, skip_host=True, skip_accept_encoding=True)
            for key, value in sent.items():
                if value is not None:
                    connection.putheader(key, value)
            if method != "GET" and "Content_Length" not in headers:
                connection.putheader("Content-Length", str(len(body)))
            connection.endheaders(body or None)
            answer = connection.getresponse()
            return Answer(answer.status, dict(answer.getheaders()), answer.read())
        finally:
            connection.close()

    def get(self, path: str) -> Answer:
        """A page of this window."""
        return self.send("GET", self.base + path)

    def post(self, path: str, **fields: str) -> Answer:
        """A form of this window."""
        return self.send("POST", self.base + path, urlencode(fields).encode(), Accept="text/html")

    def ask(self, path: str, asked: Any) -> Answer:
        """A question of this window's script."""
        return self.send("POST", self.base + path, json.dumps(asked).encode(), Accept="application/json")

    def sign_on(self, name: str) -> None:
        """A window; the first to come adds themself."""
        fields = {"name": name, "passphrase": PASSPHRASE, "again": PASSPHRASE}
        answer = self.send("POST", "/", urlencode(fields).encode())
        if answer.status != 303:
            raise AssertionError(answer.text)
        self.base = answer.headers["location"].rstrip("/")

    def add_person(self, name: str) -> None:
        """Somebody else, from this window."""
        answer = self.post("/people", name=name, passphrase=PASSPHRASE, again=PASSPHRASE, own=PASSPHRASE)
        if answer.status != 303:
            raise AssertionError(answer.text)

    def write(self, file: str, path: str, value: str | list[str], was: str | list[str] = "") -> Answer:
        """Leave a blank."""
        return self.ask(f"/write/{file}/blank", {"path": path, "value": value, "was": was, "write": True})
