"""A file from elsewhere, opened in a process of its own with limits of memory and time.

A small file can unfold to gigabytes or keep a reader busy for hours; what reads it must be able to die. The child gets
what it needs on its standard input and answers with plain JSON, of which the parent believes no more than its form.
"""

from __future__ import annotations

import base64
import json
import subprocess
import sys
from pathlib import Path
from typing import Any, Final

from fillcards.problems import InternalFault
from fillcards.readback.measure import Measured, compare_pdf, measure_pdf
from fillcards.readback.model import UnreadableCard
from fillcards.readback.serial import build_value, write_plain

LARGEST_FILE_BYTES: Final = 32 * 1024 * 1024
MOST_MEMORY_BYTES: Final = 600 * 1024 * 1024
MOST_PROCESSOR_S: Final = 30
MOST_WAIT_S: Final = 60

_TOO_MUCH: Final = "it asks for more memory or time than any card"
# The package is found where this very module was found, however the program was started.
_CHILD: Final = "import sys; sys.path.insert(0, sys.argv[1]); from fillcards.readback.foreign import serve; serve()"
_HOME: Final = str(Path(__file__).resolve().parents[2])


def measure_foreign_pdf(data: bytes, regimen_text: str | None = None, syringes: str | None = None) -> Measured:
    """Read a finished card of unknown origin.

    Args:
        data: a whole PDF file.
        regimen_text: what it should say; left out: nothing is compared.
        syringes: text of the user's own syringes file.

    Raises:
        UnreadableCard: it is not a card, cannot be read for certain, or asks for too much.
    """
    if len(data) > LARGEST_FILE_BYTES:
        raise UnreadableCard(f"it is larger than {LARGEST_FILE_BYTES // 1024**2} MB")
    asked = {"pdf": base64.b64encode(data).decode("ascii"), "regimen": regimen_text, "syringes": syringes}
    try:
        done = subprocess.run(
            [sys.executable, "-P", "-c", _CHILD, _HOME],
            input=json.dumps(asked).encode(),
            capture_output=True,
            timeout=MOST_WAIT_S,
            check=False,
        )
    except subprocess.TimeoutExpired:
        raise UnreadableCard(_TOO_MUCH) from None
    if done.returncode < 0:
        raise UnreadableCard(_TOO_MUCH)
    return _read_answer(done.stdout)


def _read_answer(text: bytes) -> Measured:
    try:
        answer = json.loads(text)
        if "unreadable" in answer:
            raise UnreadableCard(str(answer["unreadable"]))
        measured = build_value(Measured, answer["measured"])
    except (ValueError, KeyError, TypeError) as error:
        raise InternalFault("the process that reads foreign files gave no answer") from error
    assert isinstance(measured, Measured)
    return measured


def serve() -> None:
    """What the child does: read what is asked from standard input, answer on standard output."""
    asked = json.loads(sys.stdin.buffer.read())
    sys.stdout.write(json.dumps(_answer(base64.b64decode(asked["pdf"]), asked["regimen"], asked["syringes"])))


def _answer(data: bytes, regimen_text: str | None, syringes: str | None) -> dict[str, Any]:
    _set_limits()
    try:
        measured = measure_pdf(data)
        if regimen_text is not None:
            measured = measured._replace(differences=compare_pdf(data, regimen_text, syringes))
        return {"measured": write_plain(measured)}
    except UnreadableCard as error:
        return {"unreadable": str(error)}
    except MemoryError:
        return {"unreadable": _TOO_MUCH}


def _set_limits() -> None:
    """Limits of this process; systems without them have the parent's waiting time only."""
    try:
        import resource
    except ImportError:
        return
    for limit, most in ((resource.RLIMIT_AS, MOST_MEMORY_BYTES), (resource.RLIMIT_CPU, MOST_PROCESSOR_S)):
        resource.setrlimit(limit, (most, most))
