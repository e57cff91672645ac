"""Who works at the desk: names and passphrases in a file of the folder, and the windows they have signed on in.

A passphrase is kept as scrypt (RFC 7914) of it with a salt of its own; the costs are those of its interactive logins.
One session a window: its number stands in the window's address, so that two people can use one browser.
"""

from __future__ import annotations

import datetime
import hashlib
import hmac
import json
import os
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final

from fillcards.files import FinishedFile, write_files
from fillcards.problems import FillcardsError, OutputError
from fillcards.regimen.forms import FormError
from fillcards.regimen.keys import PREPARED_BY
from fillcards.regimen.labels import is_same_person

FILE_NAME: Final = "fillcards-people.json"
LEAST_LETTERS: Final = 10
IDLE: Final = datetime.timedelta(minutes=5)
_TRIES: Final = 5
_WAIT: Final = datetime.timedelta(minutes=1)
_COST: Final = {"n": 2**14, "r": 8, "p": 1}

Clock = Callable[[], datetime.datetime]


class NotSignedOn(FillcardsError):
    """A name or passphrase that does not hold, or a person who cannot be added; the message is for the page."""


@dataclass(slots=True)
class Session:
    """One window of one person.

    Attributes:
        begun: the file begun last in it, and its text then.
    """

    id: str
    name: str
    last_seen: datetime.datetime
    is_locked: bool = False
    begun: tuple[str, str] = ("", "")

    @property
    def base(self) -> str:
        """What the addresses of its pages begin with."""
        return f"/w/{self.id}"


@dataclass(slots=True)
class _Tries:
    wrong: int = 0
    until: datetime.datetime | None = None


@dataclass(slots=True)
class People:
    """The people of one folder and their windows.

    Attributes:
        sessions: by the number in the address.
    """

    folder: Path
    clock: Clock
    sessions: dict[str, Session] = field(default_factory=dict)
    _tries: dict[str, _Tries] = field(default_factory=dict)

    def list_names(self) -> tuple[str, ...]:
        """Everybody, in alphabetical order."""
        return tuple(sorted(self._read()))

    def set_passphrase(self, name: str, passphrase: str) -> None:
        """Add a person, or give one a new passphrase.

        Raises:
            NotSignedOn: it is no name, too like another's, or the passphrase is too short.
            OutputError: the file cannot be written.
        """
        name = " ".join(name.split())
        try:
            _ = PREPARED_BY.form and PREPARED_BY.form.parse(name)
        except FormError as error:
            raise NotSignedOn(f"A name is wanted: {error.expected}. {error.remedy}.") from None
        people = self._read()
        if name not in people and any(is_same_person(name, other) for other in people):
            raise NotSignedOn("Somebody with a name so like this one is here already: write it in full.")
        if len(passphrase) < LEAST_LETTERS:
            raise NotSignedOn(f"A passphrase has at least {LEAST_LETTERS} letters; three or four words are good.")
        salt = os.urandom(16)
        people[name] = {"salt": salt.hex(), "key": _derive(passphrase, salt).hex()}
        path = self.folder / FILE_NAME
        text = json.dumps({"people": people}, ensure_ascii=False, indent=1)
        write_files((FinishedFile(path, text.encode()),))
        path.chmod(0o600)

    def require(self, name: str, passphrase: str) -> None:
        """See that the passphrase is this person's.

        Raises:
            NotSignedOn: it is not, or there were too many wrong ones just now.
        """
        tries, now = self._tries.setdefault(name, _Tries()), self.clock()
        if tries.until and now < tries.until:
            raise NotSignedOn("Too many wrong passphrases: wait a minute.")
        known = self._read().get(name)
        salt = bytes.fromhex(known["salt"]) if known else b"nobody"
        is_right = hmac.compare_digest(_derive(passphrase, salt).hex(), known["key"] if known else "")
        if not is_right:
            tries.wrong += 1
            tries.until = now + _WAIT if tries.wrong % _TRIES == 0 else None
            raise NotSignedOn("Name and passphrase do not go together.")
        self._tries.pop(name)

    def sign_on(self, name: str, passphrase: str) -> Session:
        """A new window of that person."""
        self.require(name, passphrase)
        session = Session(os.urandom(9).hex(), name, self.clock())
        self.sessions[session.id] = session
        return session

    def find(self, session_id: str) -> Session | None:
        """The window, marked as in use; locked where it has been idle too long. ``None`` where there is none."""
        session = self.sessions.get(session_id)
        if session is not None:
            now = self.clock()
            session.is_locked = session.is_locked or now - session.last_seen > IDLE
            if not session.is_locked:
                session.last_seen = now
        return session

    def unlock(self, session: Session, passphrase: str) -> None:
        """Go on after a pause."""
        self.require(session.name, passphrase)
        session.is_locked, session.last_seen = False, self.clock()

    def _read(self) -> dict[str, Any]:
        path = self.folder / FILE_NAME
        try:
            people = json.loads(path.read_text(encoding="utf-8"))["people"]
        except FileNotFoundError:
            return {}
        except (OSError, ValueError, KeyError, TypeError):
            raise OutputError(f"{path}: the list of people cannot be read") from None
        return dict(people)


def _derive(passphrase: str, salt: bytes) -> bytes:
    return hashlib.scrypt(passphrase.encode(), salt=salt, **_COST)
