"""Windows lock after five idle minutes and keep their work; a desk closes after an idle hour; secrets stay so."""

from __future__ import annotations

import asyncio
import datetime
import json
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect
from support.browser import begin_desk, list_errors, look_with_axe
from support.desks import PASSPHRASE, Visitor, make_card, open_desk, share_process

from fillcards.desk.drafts import number_of
from fillcards.desk.people import FILE_NAME, NotSignedOn, People
from fillcards.desk.server import close_when_idle
from fillcards.desk.server import open_desk as open_state


class Clock:
    """A clock that stands still until it is moved."""

    def __init__(self) -> None:
        self.now = datetime.datetime(2026, 11, 29, 10, 0, tzinfo=datetime.UTC)

    def __call__(self) -> datetime.datetime:
        """The time."""
        return self.now

    def move(self, minutes: float) -> None:
        """On by so many minutes."""
        self.now += datetime.timedelta(minutes=minutes)


def test_a_window_locks_after_five_idle_minutes(tmp_path: Path) -> None:
    """Work keeps it open; a pause locks it; the person's own passphrase opens it."""
    clock = Clock()
    people = People(tmp_path, clock)
    people.set_passphrase("Anna Writer", PASSPHRASE)
    session = people.sign_on("Anna Writer", PASSPHRASE)
    for _ in range(3):
        clock.move(4)
        found = people.find(session.id)
        assert found is not None
        assert not found.is_locked
    clock.move(6)
    found = people.find(session.id)
    assert found is not None
    assert found.is_locked
    with pytest.raises(NotSignedOn, match="do not go together"):
        people.unlock(session, "three other words")
    people.unlock(session, PASSPHRASE)
    assert not session.is_locked


def test_five_wrong_passphrases_wait_a_minute(tmp_path: Path) -> None:
    """Even the right one; then it opens."""
    clock = Clock()
    people = People(tmp_path, clock)
    people.set_passphrase("Anna Writer", PASSPHRASE)
    for _ in range(5):
        with pytest.raises(NotSignedOn):
            people.require("Anna Writer", "three other words")
    with pytest.raises(NotSignedOn, match="wait a minute"):
        people.require("Anna Writer", PASSPHRASE)
    clock.move(1.1)
    people.require("Anna Writer", PASSPHRASE)


def test_a_passphrase_is_not_in_the_folder(tmp_path: Path) -> None:
    """Only what scrypt makes of it, with a salt of its own, in a file closed to others."""
    people = People(tmp_path, Clock())
    people.set_passphrase("Anna Writer", PASSPHRASE)
    people.set_passphrase("Ben Checker", PASSPHRASE)
    path = tmp_path / FILE_NAME
    text = path.read_text(encoding="utf-8")
    assert PASSPHRASE not in text
    kept = json.loads(text)["people"]
    assert kept["Anna Writer"]["key"] != kept["Ben Checker"]["key"]
    assert path.stat().st_mode & 0o077 == 0


def test_the_desk_closes_an_hour_after_the_last_request(tmp_path: Path) -> None:
    """Not before."""
    clock = Clock()
    state = open_state(tmp_path, clock)
    closed: list[datetime.datetime] = []

    async def wait() -> None:
        task = asyncio.create_task(close_when_idle(state, lambda: closed.append(clock()), wait_s=0.001))
        clock.move(59)
        await asyncio.sleep(0.02)
        assert closed == []
        state.last_request = clock()
        clock.move(59)
        await asyncio.sleep(0.02)
        assert closed == []
        clock.move(2)
        await task

    # Of its own: the browser that the tests share has a loop in this thread.
    with ThreadPoolExecutor() as pool:
        pool.submit(asyncio.run, wait()).result()
    assert len(closed) == 1


@pytest.mark.browser
def test_the_work_is_kept_under_the_lock(browser: Browser, tmp_path: Path) -> None:
    """What was typed and not yet left is there again, and is written once the window is open."""
    with open_desk(tmp_path) as desk:
        page = browser.new_context().new_page()
        errors = list_errors(page)
        page.clock.install()
        begin_desk(page, desk.address, "Anna Writer")
        page.get_by_role("button", name="A new card").click()
        page.wait_for_load_state()
        name = page.get_by_label("name", exact=True)
        name.press_sequentially("Sample Per")
        with page.expect_response(lambda response: response.url.endswith("/lock")):
            page.clock.fast_forward("05:01")
        lock = page.get_by_role("dialog", name="Locked after five idle minutes")
        expect(lock).to_be_visible()
        page.keyboard.press("Escape")
        expect(lock).to_be_visible()
        look_with_axe(page)
        # Another look at the page shows nothing either.
        other = page.context.new_page()
        other.goto(page.url)
        expect(other.get_by_role("heading", name="Locked after five idle minutes")).to_be_visible()
        assert "Sample" not in other.content()
        other.close()
        lock.get_by_label("passphrase").fill("three other words")
        lock.get_by_role("button").click()
        expect(lock).to_contain_text("do not go together")
        lock.get_by_label("passphrase").fill(PASSPHRASE)
        lock.get_by_role("button").click()
        expect(lock).not_to_be_visible()
        expect(name).to_have_value("Sample Per")
        name.press_sequentially("son")
        page.keyboard.press("Tab")
        expect(page.locator("#state")).to_have_text("written to the file")
        # The desk goes away: that is told, and what was typed is still there.
        desk.kill()
        name.fill("Sample Nobody")
        page.keyboard.press("Tab")
        expect(page.get_by_text("The desk does not answer")).to_be_visible()
        expect(name).to_have_value("Sample Nobody")
        # An idle while later the window closes all the same.
        page.clock.fast_forward("05:01")
        expect(lock).to_be_visible()
        assert errors == []
    (path,) = tmp_path.glob("*.yaml")
    assert "name: Sample Person\n" in path.read_text(encoding="utf-8")


@pytest.mark.browser
def test_pages_that_say_no_are_for_everyone_too(browser: Browser, tmp_path: Path) -> None:
    """Wrong passphrases, a file that cannot be read, many problems, another program's words, what is closed."""
    (tmp_path / "torn.yaml").write_text("fillcards: 1\npatient: {name: [\n", encoding="utf-8")
    (tmp_path / "empty.yaml").write_text("fillcards: 1\nfills:\n  - when: sometimes\n", encoding="utf-8")
    (tmp_path / "card.yaml").write_text(make_card(), encoding="utf-8")
    with share_process(tmp_path) as desk:
        visitor = Visitor(desk)
        visitor.sign_on("Anna Writer")
        visitor.add_person("Ben Checker")
        page = browser.new_context().new_page()
        page.goto(desk.address)
        page.get_by_role("combobox").select_option(label="Ben Checker")
        page.get_by_label("passphrase").fill("three other words")
        page.get_by_role("button").click()
        expect(page.get_by_text("do not go together")).to_be_visible()
        look_with_axe(page)
        page.get_by_role("combobox").select_option(label="Ben Checker")
        page.get_by_label("passphrase").fill(PASSPHRASE)
        page.get_by_role("button").click()
        expect(page.get_by_role("table")).to_be_visible()
        look_with_axe(page)
        home = page.url
        for name in ("torn.yaml", "empty.yaml"):
            page.get_by_role("link", name=name).click()
            expect(page.get_by_role("heading", level=1)).not_to_contain_text("What is to be written")
            look_with_axe(page)
            page.goto(home)
        page.get_by_role("link", name="card.yaml").click()
        page.wait_for_load_state()
        text = make_card().replace("555-0177", "555-0178")
        (tmp_path / "card.yaml").write_text(text, encoding="utf-8")
        page.get_by_label("name", exact=True).fill("Sample Other")
        page.keyboard.press("Tab")
        expect(page.get_by_text("Another program has changed this file")).to_be_visible()
        look_with_axe(page, is_dark_too=False)
        assert (tmp_path / "card.yaml").read_text(encoding="utf-8") == text
        for path in (
            "check",
            "people",
            f"check/{number_of('card.yaml')}",
            f"give/{number_of('card.yaml')}",
            "card/none",
        ):
            page.goto(home + path)
            look_with_axe(page)
