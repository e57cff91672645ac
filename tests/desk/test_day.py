"""A whole day at the desk in the system's browser: with the mouse, then by keyboard alone.

New card, four slips each told at its sentence, the live picture equal to the finished card, a second person who differs
and then agrees, print, a dose changed, the old card over. On the way every page is looked at by axe, light and dark.
"""

from __future__ import annotations

import datetime
import io
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final

import pikepdf
import pytest
from playwright.sync_api import Browser, Locator, Page, expect
from support.browser import list_errors, look_with_axe
from support.desks import PASSPHRASE, RunningDesk, open_desk

from fillcards.desk.live import look_at
from fillcards.options import Ending
from fillcards.pipeline import place_regimen, write_pages
from fillcards.regimen.fingerprint import is_checked
from fillcards.regimen.schema import read_regimen
from fillcards.register import Register

pytestmark = pytest.mark.browser

TODAY: Final = datetime.datetime.now().astimezone().date()


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[RunningDesk]:
    """A desk on an empty folder."""
    with open_desk(tmp_path) as running:
        yield running


class Mouse:
    """Somebody who points and clicks."""

    def __init__(self, page: Page) -> None:
        self.page = page

    def go(self, to: Locator) -> None:
        """To a field."""
        to.focus()

    def press(self, name: str, role: Any = "button") -> None:
        """A button or a link."""
        self.find(name, role).click()

    def find(self, name: str, role: Any) -> Locator:
        """By its name; that of the queue also says how many wait."""
        if name == "Check":
            return self.page.get_by_role(role, name=re.compile("^Check"))
        return self.page.get_by_role(role, name=name, exact=True)

    def fill(self, field: Locator, value: str) -> None:
        """Type in a field."""
        field.fill(value)

    def choose(self, field: Locator, value: str) -> None:
        """One of a list."""
        field.focus()
        field.select_option(label=value)

    def tick(self, field: Locator) -> None:
        """A box or one of several."""
        field.check(force=True)


KEY_TOWARDS = """each => {
    const at = document.activeElement;
    if (each === at) return "";
    return at.compareDocumentPosition(each) & Node.DOCUMENT_POSITION_PRECEDING ? "Shift+Tab" : "Tab";
}"""
"""The key that leads to an element from where the focus is."""


class Keys(Mouse):
    """Somebody who has no mouse: everything is reached by Tab, or back with Shift, along every place on the way."""

    def go(self, to: Locator) -> None:
        """By keys."""
        to.wait_for(state="attached")
        for _ in range(250):
            key = to.evaluate(KEY_TOWARDS)
            if not key:
                return
            self.page.keyboard.press(key)
        raise AssertionError(f"no key leads to {to}")

    def press(self, name: str, role: Any = "button") -> None:
        """By keys."""
        self.go(self.find(name, role))
        self.page.keyboard.press("Enter")

    def fill(self, field: Locator, value: str) -> None:
        """By keys."""
        self.go(field)
        self.page.keyboard.press("Control+A")
        # As pasted but for the last letter: the page asks the desk at each.
        self.page.keyboard.insert_text(value[:-1])
        self.page.keyboard.type(value[-1])

    def choose(self, field: Locator, value: str) -> None:
        """By keys."""
        self.go(field)
        options = field.evaluate("each => [...each.options].map((option) => option.label)")
        self.page.keyboard.press("Home")
        for _ in range(options.index(value)):
            self.page.keyboard.press("ArrowDown")

    def tick(self, field: Locator) -> None:
        """By keys."""
        if field.get_attribute("type") == "radio":
            # One radio of a group is reached by Tab, the others by the arrows.
            group = field.evaluate("each => [...document.getElementsByName(each.name)].indexOf(each)")
            self.go(field.page.locator(f"input[name='{field.get_attribute('name')}']").first)
            for _ in range(group):
                self.page.keyboard.press("ArrowDown")
            if group == 0:
                self.page.keyboard.press("Space")
            return
        self.go(field)
        self.page.keyboard.press("Space")


class Writer:
    """One person in one window."""

    def __init__(self, page: Page, desk: RunningDesk, hand: type[Mouse], *, looks: bool) -> None:
        self.page, self.desk, self.hand, self.looks = page, desk, hand(page), looks
        self.errors = list_errors(page)
        page.set_default_timeout(30_000)
        page.goto(desk.address)

    def look(self, *, is_dark_too: bool = True) -> None:
        """Where this day asks it."""
        if self.looks:
            look_with_axe(self.page, is_dark_too=is_dark_too)

    def label(self, label: str) -> Locator:
        """A field by what a screen reader calls it."""
        by_label = self.page.get_by_label(label, exact=True)
        return by_label.or_(self.page.get_by_role("combobox", name=label, exact=True))

    def sign_on(self, name: str, *, is_first: bool = False) -> None:
        """With the passphrase of all tests."""
        self.look()
        if is_first:
            self.hand.fill(self.label("your name"), name)
            self.hand.fill(self.label("passphrase, at least 10 letters"), PASSPHRASE)
            self.hand.fill(self.label("the same passphrase again"), PASSPHRASE)
        else:
            self.hand.choose(self.label("your name"), name)
            self.hand.fill(self.label("passphrase"), PASSPHRASE)
        self.hand.press("Sign on")

    def add(self, name: str) -> None:
        """Another person."""
        self.hand.press("People", "link")
        self.hand.fill(self.label("name, in full"), name)
        self.hand.fill(self.label("their passphrase, at least 10 letters"), PASSPHRASE)
        self.hand.fill(self.label("the same again"), PASSPHRASE)
        self.hand.fill(self.label("your own passphrase"), PASSPHRASE)
        self.look()
        self.hand.press("Write it down")
        expect(self.page.get_by_text(f"{name}, added", exact=False)).to_be_visible()

    def put(self, label: str, value: str) -> None:
        """A blank, typed in and left; the page says when it is in the file."""
        self.hand.fill(self.label(label), value)
        self.leave()

    def pick(self, label: str, value: str) -> None:
        """A blank to choose for."""
        self.hand.choose(self.label(label), value)
        self.leave()

    def leave(self) -> None:
        """On to the next; the file follows."""
        self.page.keyboard.press("Tab")
        expect(self.page.locator("#state")).to_have_text("written to the file")

    def write_card(self) -> None:
        """A card with two insulins in one syringe, every value of it chosen or typed."""
        self.hand.press("A new card")
        self.look(is_dark_too=False)
        self.put("name", "Sample Person")
        self.put("birth date (year-month-day)", "1951-05-12")
        self.hand.tick(self.page.get_by_role("radio", name="U-100, to 50 line every 1 unit"))
        self.page.keyboard.press("Tab")
        expect(self.page.locator("#state")).to_have_text("written to the file")
        self.pick("needle", "fixed")
        self.pick("medicine, vial “first”", "insulin regular")
        self.put("strength, such as 100 units/mL, insulin regular", "100 units/mL")
        self.put("words on the label, without the strength, insulin regular", "insulin regular")
        self.put("mark on the vial, insulin regular", "one rubber band")
        self.hand.press("another vial")
        self.pick("medicine, vial “second”", "insulin isophane")
        self.put("strength, such as 100 units/mL, insulin isophane", "100 units/mL")
        self.put("words on the label, without the strength, insulin isophane", "insulin isophane")
        self.put("mark on the vial, insulin isophane", "two rubber bands")
        self.put("when, fill 1", "before breakfast")
        self.hand.press("every day")
        self.page.keyboard.press("Tab")
        self.put("dose of insulin regular, before breakfast", "11 units")
        self.pick("second medicine, before breakfast", "insulin isophane")
        self.put("dose of insulin isophane, before breakfast", "23 units")
        self.put("minutes before eating, before breakfast", "30")
        self.put("whom to call, line 1", "Clinic")
        self.put("phone, line 1", "555-0177")

    def slip(self, label: str, value: str, told: str, right: str) -> None:
        """A wrong value: told in words under its own sentence, marked at its field, and no picture meanwhile."""
        self.put(label, value)
        field = self.label(label)
        expect(field).to_have_attribute("aria-invalid", "true")
        box = self.page.locator(f'[id="{field.get_attribute("aria-describedby")}"]')
        expect(box).to_contain_text(told)
        expect(box).to_contain_text("Problem:")
        expect(self.page.locator("#settle")).to_have_text("1 to settle first")
        self.put(label, right)
        expect(field).not_to_have_attribute("aria-invalid", "true")
        expect(self.page.locator("#settle")).to_have_text("Nothing left to settle")

    def open_draft(self, number: int) -> None:
        """From the queue, which names no patient."""
        self.hand.press("Check", "link")
        expect(self.page.get_by_role("link", name=f"check draft {number}")).to_be_visible()
        assert "Sample Person" not in self.page.content()
        if number == 1:
            self.look()
        self.hand.press(f"check draft {number}", "link")
        expect(self.page.get_by_role("heading", name=f"Check of draft {number}")).to_be_visible()
        # Nothing of the draft is here before the submission.
        text = self.page.content()
        for secret in ("Sample Person", "1951-05", "12 May", "isophane", "11 units", "555-0177", "rubber"):
            assert secret not in text

    def type_entry(self, **other: str) -> None:
        """All of the prescription and the bag, with what is given here instead."""
        fields = {
            "name": "sample  PERSON",
            "birth date (year-month-day)": "1951-05-12",
            "how many fills": "1",
            "when": "Before breakfast",
            "days": "daily",
            "dose": "11 units",
            "medicine": "Regular insulin",
            "second dose, if any": "23 units",
            "second medicine, if any": "insulin isophane",
            "minutes before eating": "30",
            "scale printed on it, such as U-100 or mL": "u100",
            "last number": "50",
            "words on label 1, without the strength": "Insulin Regular",
            "strength on label 1, or none": "100 units/mL",
            "words on label 2, without the strength": "insulin isophane",
            "strength on label 2, or none": "100 units/mL",
        } | other
        for label, value in fields.items():
            self.hand.fill(self.label(label), value)
            if label == "minutes before eating":
                self.hand.choose(self.label("route"), "under the skin")

    def submit(self, *, looks: bool = False) -> None:
        """Read back, then the one submission."""
        self.hand.press("Read back what I typed")
        expect(self.page.locator("#typed")).to_contain_text("eleven units of Regular insulin")
        if looks:
            self.look()
        self.hand.press("Compare with the draft")


def differ_then_agree(writer: Writer, checker: Writer) -> None:
    """An entry that differs is closed without its place; the writer gives a reason; the next agrees."""
    checker.open_draft(1)
    checker.type_entry(**{"second dose, if any": "24 units"})
    checker.submit(looks=True)
    expect(checker.page.locator("main")).to_contain_text(
        "Something differs. The check is closed, and draft 1 goes back"
    )
    said = checker.page.locator("main").inner_text()
    assert not re.search("isophane|23|24|dose", said)
    checker.look()
    writer.page.reload()
    reason = writer.page.locator("#reason")
    expect(reason).to_contain_text("twenty-four units of insulin isophane")
    expect(reason).to_contain_text("twenty-three units of insulin isophane")
    writer.look(is_dark_too=False)
    writer.hand.fill(writer.label("what the prescription says, and what was mended"), "the prescription says so")
    writer.hand.press("Hand to the second person")
    checker.open_draft(2)
    checker.type_entry()
    checker.submit()
    expect(checker.page.get_by_role("heading", name="Both agree. Look the card through")).to_be_visible()
    checker.look()
    checker.hand.fill(checker.label("your passphrase"), PASSPHRASE)
    checker.hand.press("I have looked it through: checked")
    expect(checker.page.get_by_role("heading", name="print and give")).to_be_visible()
    checker.look()


def print_and_give(who: Writer, *, old: bool = False) -> None:
    """The PDF first; then to whom, with the ruler's tick and the passphrase."""
    with who.page.context.expect_page() as opened:
        who.hand.press("card for the fridge (opens in a new window)", "link")
    opened.value.close()
    link = who.page.get_by_role("link", name="card for the fridge")
    answer = who.page.request.get(link.evaluate("each => each.href"))
    assert answer.body().startswith(b"%PDF"), re.findall("<main.*?</main>", answer.text(), re.DOTALL)
    for name, words in (("practice sheet", "Practice for card"), ("log", "Log for card")):
        address = who.page.get_by_role("link", name=name).evaluate("each => each.href")
        with pikepdf.open(io.BytesIO(who.page.request.get(address).body())) as sheet:
            assert str(sheet.docinfo["/Title"]).startswith(words)
    who.hand.fill(who.label("to whom"), "the daughter")
    who.hand.tick(who.page.get_by_role("checkbox"))
    if old:
        who.hand.tick(who.page.get_by_role("radio", name="came back", exact=True))
    who.hand.fill(who.label("your passphrase"), PASSPHRASE)
    who.hand.press("Given")
    expect(who.page.locator("main")).to_contain_text("to the daughter")


def read_only_file(desk: RunningDesk) -> str:
    """The text of the file written last."""
    files = sorted(desk.folder.glob("*.yaml"), key=lambda path: path.stat().st_mtime_ns)
    return files[-1].read_text(encoding="utf-8")


@pytest.mark.parametrize("hand", [Mouse, Keys], ids=["with the mouse", "by keyboard alone"])
def test_a_day(browser: Browser, desk: RunningDesk, hand: type[Mouse]) -> None:
    """From nothing to a card that is given, then its dose changed and the old card over; two people, two windows."""
    # With the mouse in two browsers, by keyboard in two windows of one.
    first = browser.new_context()
    second = browser.new_context() if hand is Mouse else first
    writer = Writer(first.new_page(), desk, hand, looks=hand is Mouse)
    writer.sign_on("Writer Anna", is_first=True)
    writer.add("Checker Ben")
    writer.hand.press("Write", "link")
    writer.write_card()
    writer.look()

    writer.slip("dose of insulin regular, before breakfast", "11", '"11"', "11 units")
    writer.slip("dose of insulin isophane, before breakfast", "23.5 units", "23.5 units would be line 23.5", "23 units")
    writer.slip("birth date (year-month-day)", "12.5.1951", "a value that is not shown here", "1951-05-12")
    writer.slip("when, fill 1", "sometimes", '"sometimes"', "before breakfast")

    text = read_only_file(desk)
    made = place_regimen(read_regimen(text))
    pages = [re.sub("<desc.*?</desc>", "", page.decode(), flags=re.DOTALL) for page in write_pages(made, Ending.SVG)]
    expect(writer.page.locator("#live svg")).to_be_attached()
    for name, page in (("front", pages[0]), ("back", pages[1])):
        writer.hand.press(name)
        expect(writer.page.locator(f"[data-side='{1 if name == 'front' else 2}']")).to_have_attribute(
            "aria-pressed", "true"
        )
        shapes = re.findall(r' d="([^"]+)"', page)
        expect(writer.page.locator("#live svg path").last).to_have_attribute("d", shapes[-1])
        assert writer.page.locator("#live svg path").evaluate_all("all => all.map(e => e.getAttribute('d'))") == shapes

    writer.hand.press("Hand to the second person")
    expect(writer.page.get_by_text("You wrote this draft")).to_be_visible()
    writer.page.go_back()
    writer.page.reload()
    checker = Writer(second.new_page(), desk, hand, looks=hand is Mouse)
    checker.sign_on("Checker Ben")
    differ_then_agree(writer, checker)
    assert is_checked(read_regimen(read_only_file(desk)))
    print_and_give(checker)
    checker.look()

    checker.hand.press("Given out", "link")
    expect(checker.page.get_by_role("heading", name="Given out")).to_be_visible()
    assert "Sample Person" not in checker.page.content()
    checker.hand.fill(checker.label("name, number or card code"), "sample person")
    checker.hand.press("Find")
    expect(checker.page.get_by_role("table")).to_contain_text(
        "insulin regular 11 units, insulin isophane 23 units; lines 11 and 34"
    )
    checker.look()
    code = checker.page.get_by_role("table").get_by_role("link").inner_text()
    checker.hand.press(code, "link")
    checker.hand.press("Change a dose")
    expect(checker.page.locator(".old")).to_contain_text(
        f"The card {code}, which this one replaces: insulin regular to line 11"
    )
    checker.put("dose of insulin isophane, before breakfast", "25 units")
    checker.look(is_dark_too=False)
    checker.hand.press("Hand to the second person")
    expect(checker.page.get_by_text("You wrote this draft")).to_be_visible()
    writer.hand.press("Check", "link")
    writer.hand.press("check draft 3", "link")
    writer.type_entry(**{"second dose, if any": "25 units"})
    writer.submit()
    writer.hand.fill(writer.label("your passphrase"), PASSPHRASE)
    writer.hand.press("I have looked it through: checked")
    print_and_give(writer, old=True)

    writer.hand.press("Given out", "link")
    writer.hand.fill(writer.label("name, number or card code"), code)
    writer.hand.press("Find")
    row = writer.page.get_by_role("row").filter(has=writer.page.get_by_role("link", name=code, exact=True))
    expect(row).to_contain_text("replaced by")
    writer.hand.press(code, "link")
    expect(writer.page.locator("main")).to_contain_text("the paper came back")
    expect(writer.page.get_by_role("link", name="Print again")).to_have_count(0)
    writer.look()
    assert Register(desk.folder / "fillcards-register.sqlite3").find_fault() is None
    assert not look_at(read_only_file(desk), TODAY).to_settle
    assert writer.errors + checker.errors == []
