"""One desk on one folder: its lock, its address, and the server that stays until it is stopped or long idle."""

from __future__ import annotations

import asyncio
import contextlib
import datetime
import gc
import os
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final

import uvicorn

from fillcards.desk.guard import Guard
from fillcards.desk.server import build_app, close_when_idle, open_desk
from fillcards.problems import OutputError

LOCK_NAME: Final = ".fillcards-desk.lock"


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
