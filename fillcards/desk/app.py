"""What one folder's desk remembers, and what every page needs of it: files, register, people, templates."""

from __future__ import annotations

import datetime
import threading
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any, Final
from urllib.parse import parse_qsl

from jinja2 import Environment, FileSystemLoader
from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from fillcards.card.model import Keeping
from fillcards.catalogue.scales import load_scales
from fillcards.desk import blanks
from fillcards.desk.drafts import (
    CLINIC_NAME,
    STAGE_AFTER,
    ChangedMeanwhile,
    Draft,
    Folder,
    Stage,
    follow_drafts,
    hash_text,
    number_of,
)
from fillcards.desk.live import LEFT_EMPTY
from fillcards.desk.people import Clock, NotSignedOn, People, Session
from fillcards.desk.text_edit import CannotEdit, Plain, read_plain
from fillcards.options import Ending, Form, Options
from fillcards.pipeline import choose_form, place_regimen, read_regimen_file, write_pages
from fillcards.problems import FillcardsError, OutputError
from fillcards.register import CardState, Event, Register, find_card
from fillcards.wording.writers import ENGLISH

HERE: Final = Path(__file__).parent
REGISTER_NAME: Final = "fillcards-register.sqlite3"


def write_moment(at: str) -> str:
    """``29 November 2026, 10:14``."""
    moment = datetime.datetime.fromisoformat(at)
    return f"{ENGLISH.write_date(moment.date())}, {moment:%H:%M}"


def write_day(day: str) -> str:
    """``29 November 2026``."""
    return ENGLISH.write_date(datetime.date.fromisoformat(day))


def _make_environment() -> Environment:
    loader = FileSystemLoader(HERE / "pages")
    environment = Environment(loader=loader, autoescape=True, trim_blocks=True, lstrip_blocks=True)
    environment.filters |= {"moment": write_moment, "day": write_day}
    environment.globals |= {
        "Stage": Stage,
        "number_of": number_of,
        "times": blanks.TIMES,
        "date_form": blanks.DATE_FORM,
        "left_empty": LEFT_EMPTY,
        "day_words": blanks.DAY_WORDS,
        "barrels": [(blanks.name_barrel(scale), Markup(blanks.draw_end(scale))) for scale in load_scales()],
    }
    return environment


def is_script(request: Request) -> bool:
    """Whether the page's script asks, and not the browser for a page."""
    return request.headers.get("accept") == "application/json"


async def read_form(request: Request) -> dict[str, str]:
    """The fields of a form; the guard has limited their length."""
    body = await request.body()
    return dict(parse_qsl(body.decode("utf-8", "replace"), keep_blank_values=True, max_num_fields=500))


def join_words(text: str, most: int) -> str:
    """What somebody typed on one line, cut to a length."""
    return " ".join(text.split())[:most]


@dataclass(slots=True)
class Desk:
    """Everything one folder's desk remembers.

    Attributes:
        known: what each file said when this desk last read or wrote it; another text there is another program's.
        last_request: when somebody last asked for something.
    """

    folder: Folder
    register: Register
    people: People
    clock: Clock
    known: dict[str, str] = field(default_factory=dict)
    last_request: datetime.datetime = field(init=False)
    _environment: Environment = field(default_factory=_make_environment)
    _sides: tuple[str, tuple[bytes, ...]] = ("", ())
    _making: threading.Lock = field(default_factory=threading.Lock)

    def __post_init__(self) -> None:
        self.last_request = self.clock()

    @property
    def today(self) -> datetime.date:
        """The day here."""
        return self.clock().date()

    async def submit(
        self, request: Request, session: Session | None, act: Callable[[dict[str, str]], str]
    ) -> Response | str:
        """On to the address that ``act`` makes of a form's fields, or why not, in words; empty before they are sent.

        With a session its person's passphrase comes first.
        """
        if request.method != "POST":
            return ""
        fields = await read_form(request)
        try:
            if session:
                self.people.require(session.name, fields.get("passphrase", ""))
            return RedirectResponse(act(fields), 303)
        except (NotSignedOn, CannotEdit) as error:
            return str(error)

    def show(self, page: str, session: Session | None, status: int = 200, **values: Any) -> HTMLResponse:
        """A page from its template; ``told`` in it is why a form was not taken."""
        waiting = len(self.register.list_files(Event.HANDED, STAGE_AFTER)) if session else 0
        base, status = session.base if session else "", 403 if values.get("told") else status
        html = self._environment.get_template(page).render(session=session, base=base, waiting=waiting, **values)
        return HTMLResponse(html, status)

    def show_closed(
        self, session: Session | None, title: str, words: str, status: int = 200, **values: Any
    ) -> HTMLResponse:
        """A page that says why there is nothing to do."""
        return self.show("closed.html", session, status, title=title, words=words, **values)

    def render(self, page: str, **values: Any) -> str:
        """A part of a page."""
        return self._environment.get_template(page).render(**values)

    def render_macro(self, name: str, *values: Any) -> str:
        """One of the small parts."""
        return str(getattr(self._environment.get_template("parts.html").module, name)(*values))

    def follow(self) -> dict[str, Draft]:
        """Every file by its lines in the register."""
        return follow_drafts(self.register.read())

    def read_clinic(self) -> Plain | None:
        """What the clinic's own file says; ``None`` where there is none that can be read."""
        try:
            return read_plain(self.folder.read(CLINIC_NAME))
        except FillcardsError:
            return None

    def follow_one(self, name: str) -> Draft:
        """One file by its own lines alone, without its number: asked at every key, however long the register is."""
        return follow_drafts(self.register.read(name)).get(name, Draft(name))

    def draft_of(self, name: str) -> Draft:
        """One file by its lines, with its number among all that were handed over."""
        handed = enumerate(self.register.read(event=Event.HANDED), start=1)
        return replace(self.follow_one(name), number=max((at for at, line in handed if line.file == name), default=0))

    def name_of(self, request: Request) -> str:
        """The file that an address names.

        Raises:
            OutputError: there is none (any more).
        """
        name = self.folder.find_name(request.path_params["file"])
        if name is None:
            raise OutputError("This file is not in the folder any more.")
        return name

    def load(self, request: Request) -> tuple[str, str]:
        """The file that an address names, and its text, which a page is about to show."""
        name = self.name_of(request)
        text = self.folder.read(name)
        self.known[name] = hash_text(text)
        return name, text

    def load_known(self, name: str) -> str:
        """The text as this desk knows it.

        Raises:
            ChangedMeanwhile: another program has written it since.
        """
        text = self.folder.read(name)
        if self.known.setdefault(name, hash_text(text)) != hash_text(text):
            raise ChangedMeanwhile
        return text

    def change(self, name: str, text: str, session: Session, path: str, *, instead_of: str | None) -> None:
        """A new text into its file. The register first: a text that it does not know would be nobody's."""
        details = {"text": hash_text(text), "path": path}
        self.register.add(Event.CHANGED, session.name, file=name, details=details)
        self.folder.write(name, text, instead_of=instead_of)
        self.known[name] = hash_text(text)

    def find_card(self, fingerprint: str) -> CardState | None:
        """What became of one card."""
        return find_card(self.register.read(), fingerprint)

    def write(self, text: str, form: Form, ending: Ending, keeping: Keeping | None = None) -> tuple[bytes, ...]:
        """A finished card, read back. One at a time, whoever asks: a page is looked at by one reader only."""
        options = Options(form=form, today=self.today, keeping=keeping)
        with self._making:
            return write_pages(place_regimen(read_regimen_file(text.encode(), options), options), ending)

    def write_sides(self, text: str) -> tuple[bytes, ...]:
        """Every side of the card of a text as a picture, read back; the last one's are kept."""
        kept_text, pages = self._sides
        if kept_text != text:
            pages = self.write(text, choose_form(read_regimen_file(text.encode())), Ending.SVG)
            self._sides = text, pages
        return pages
