"""The screen page: read back by html5lib, judged by axe-core, measured and used in Chromium.

WCAG 2.1: 1.1.1, 1.3.1, 1.4.3, 1.4.6, 1.4.10, 1.4.12, 2.1.1, 3.1.1; axe-core runs its own rules for them.
"""

from __future__ import annotations

import base64
import hashlib
import re
from dataclasses import replace
from functools import cache
from io import BytesIO
from pathlib import Path
from typing import Any, Final

import pypdfium2
import pytest
from axe_playwright_python.sync_playwright import Axe
from fontTools.ttLib import TTFont
from hypothesis import given
from playwright.sync_api import Browser, Page
from support.browser import show
from support.card_text import list_texts
from support.fifths import keep_a_fifth
from support.plans import EXAMPLES, STARTERS, build_card, make_plans, plan_example, plan_starter
from support.spoken_forms import HTML, SVG, find_all, parse_html, read_html

from fillcards.output.html import write_html
from fillcards.output.text import write_text
from fillcards.plan.fills import plan_fills
from fillcards.plan.model import Plan
from fillcards.regimen.model import BarrelDirection, Patient, PrintChoice
from fillcards.typeface import find_font_file

AXE_RULES: Final = {
    "rules": {
        "color-contrast-enhanced": {"enabled": True},
        "color-contrast": {"enabled": False},
        "target-size": {"enabled": True},
    }
}
"""Beside what axe-core runs by itself: contrast of 7:1 (1.4.6) in place of 4.5:1 (1.4.3), and targets large enough to
hit (2.5.8).
"""
AXE_FAULTS: Final = {
    "html-has-lang": (b'<html lang="en">', b"<html>"),
    "color-contrast-enhanced": (b"color: CanvasText; background: Canvas;", b"color: #777; background: #fff;"),
    "document-title": (b"<title>Fill card", b"<title></title><title>Fill card"),
}

NARROW: Final[dict[str, Any]] = {"viewport": {"width": 320, "height": 700}}
"""320 CSS px: what 1280 px come to at 400 % (WCAG 2.1, 1.4.10)."""
WIDE: Final[dict[str, Any]] = {"viewport": {"width": 1280, "height": 900}}
DARK: Final[dict[str, Any]] = {**WIDE, "color_scheme": "dark"}
NO_SCRIPT: Final[dict[str, Any]] = {**WIDE, "java_script_enabled": False}
SCREENS: Final = {"light": WIDE, "dark": DARK, "narrow": NARROW, "no script": NO_SCRIPT}

LEVEL_BARREL: Final = replace(EXAMPLES["mixed"], print=PrintChoice(barrel=BarrelDirection.NEEDLE_LEFT))
CARDS: Final = {
    **{path.stem: build_card(plan_starter(path)) for path in STARTERS},
    "level barrel": build_card(plan_fills(LEVEL_BARREL)),
}
MIXED: Final = "two-insulins-twice-a-day"
OTHERS: Final = tuple(name for name in CARDS if name != MIXED)
LARGE: Final = {"at 24 pt": 24.0, "at 36 pt": 36.0, "at 66.5 pt": 66.5, "at 133 pt": 133.0}
"""Readers of large print: asked for, asked for, 20/200 and 20/400 at 40 cm."""
PHONE: Final[dict[str, Any]] = {"viewport": {"width": 390, "height": 844}}


@cache
def write_page(name: str) -> bytes:
    """The page of one of the cards, or of one for a reader who needs large print."""
    return write_html(CARDS[MIXED], LARGE[name]) if name in LARGE else write_html(CARDS[name])


def open_page(browser: Browser, html: bytes, screen: dict[str, Any]) -> Page:
    """A page on a screen, its typeface loaded."""
    page = browser.new_page(**screen)
    show(page, html)
    page.evaluate("document.fonts.ready")
    return page


@given(make_plans())
def test_html_is_sound(plan: Plan) -> None:
    """A strict parser of the standard's own algorithm finds no fault in the page of any plan; names are unique."""
    root = parse_html(write_html(build_card(plan)))
    names = [element.get("id") for element in root.iter() if element.get("id")]
    assert len(names) == len(set(names)) > 0
    pointers = " ".join(element.get("aria-labelledby", "") for element in root.iter())
    assert set(pointers.split()) <= set(names)


@given(make_plans())
def test_html_says_what_the_text_says(plan: Plan) -> None:
    """Every line of the plain text but its head for steps stands on the page; the page has one more: "How to fill"."""
    card = build_card(plan)
    lines = {line.removesuffix(" ____").removeprefix("Picture: ") for line in write_text(card).splitlines() if line}
    lines = {line.removesuffix(".") for line in lines}
    running = set(list_texts(tuple(fill.running for fill in card.fills)))
    pictured = list_texts(tuple(v.alt for v in card.vials.vials))
    said = {piece.text.removesuffix(".") for piece in read_html(write_html(card)) if piece.text not in pictured}
    assert said - lines == {"How to fill, step by step"}
    assert lines - said == running - said | {f"Fill card {card.code}"}


@pytest.mark.parametrize("name", CARDS)
def test_html_poster_comes_before_steps_before_vials(name: str) -> None:
    """Of each fill the title, both stops, then the steps in order with the picture after its words; vials last."""
    card, pieces = CARDS[name], read_html(write_page(name))
    texts = [piece.text for piece in pieces]
    place = 0
    for fill in card.fills:
        wanted = list_texts((fill.title, tuple((p.bar, p.figure, p.figure_words, p.count, p.alt) for p in fill.panels)))
        wanted += [text for step in fill.steps for text in list_texts((step.say, step.alt))]
        for text in wanted:
            place = texts.index(text, place)
    assert texts.index(list_texts(card.vials.title)[0]) > place


@pytest.mark.parametrize("name", CARDS)
def test_html_loads_nothing_from_elsewhere(name: str) -> None:
    """No style sheet, font, script or picture from elsewhere; links lead to parts of the page, or dial a number."""
    root = parse_html(write_page(name))
    tags = {str(element.tag).rpartition("}")[2] for element in root.iter()}
    assert not tags & {"link", "img", "iframe", "object", "form", "input", "use", "image", "base"}
    values = [(str(key), str(value)) for element in root.iter() for key, value in element.attrib.items()]
    assert not [value for key, value in values if "://" in value or key.startswith("on") or key == "src"]
    names = {value for key, value in values if key == "id"}
    links = {value for key, value in values if key.endswith("href")}
    assert {value.removeprefix("#") for value in links if not value.startswith("tel:")} <= names
    assert all(re.fullmatch(r"tel:\+?[0-9]+", value) for value in links if value.startswith("tel:"))
    addresses = re.findall(r"url\((?!data:font/ttf;base64,)", write_page(name).decode())
    assert not addresses
    assert "@import" not in write_page(name).decode()


def test_html_runs_its_own_script_and_no_other() -> None:
    """The policy names the very script by its sum (CSP Level 3, 8.4), and allows nothing else to run or be loaded."""
    root = parse_html(write_page(MIXED))
    (script,) = find_all(root, "script")
    digest = base64.b64encode(hashlib.sha256(script.text.encode()).digest()).decode()
    (policy,) = (meta.get("content") for meta in find_all(root, "meta") if meta.get("http-equiv"))
    assert sorted(policy.split("; ")) == [
        "default-src 'none'",
        "font-src data:",
        f"script-src 'sha256-{digest}'",
        "style-src 'unsafe-inline'",
    ]


def test_html_says_its_language_and_parts() -> None:
    """The language of the card (3.1.1), one main part, and an article for each fill and for the sheet for all."""
    root = parse_html(write_page(MIXED))
    assert root.get("lang") == "en"
    assert len(find_all(root, "main")) == len(find_all(root, "header")) == len(find_all(root, "footer")) == 1
    assert len(find_all(root, "article")) == len(CARDS[MIXED].fills) + 1


def test_html_warns_at_the_top_and_in_each_fill() -> None:
    """The band comes before anything else, and again in every fill."""
    band = list_texts(CARDS[MIXED].band)[0]
    texts = [piece.text for piece in read_html(write_page(MIXED))]
    assert texts[0] == band
    assert texts.count(band) == 1 + len(CARDS[MIXED].fills)


def test_html_escapes_everything() -> None:
    """Words that look like elements come back as the very words, and make no element."""
    nasty = "<script>alert('1')</script> & \"B\" </title><h1>"
    card = build_card(plan_fills(replace(EXAMPLES["W13"], patient=Patient(nasty), notes=nasty)))
    html = write_html(card)
    texts = [piece.text for piece in read_html(html)]
    assert nasty in texts
    assert len(find_all(parse_html(html), "script")) == 1


def test_html_bold_is_as_in_print() -> None:
    """Bold runs are elements of their own, and no space comes in at their edges."""
    html = write_page(MIXED).decode().replace("\u00a0", " ")
    assert "<p><b>Check: plunger edge nearest the needle on line 11.</b> No?" in html


def test_html_pictures_have_the_colours_of_the_page() -> None:
    """No ink of their own: black is the page's text colour, white its paper; so they follow every mode."""
    pictures = [e for e in parse_html(write_page(MIXED)).iter() if str(e.tag).startswith(SVG)]
    paints = {e.get(key) for e in pictures for key in ("fill", "stroke") if e.get(key)}
    assert "currentColor" in paints <= {"currentColor", "Canvas", "none"}


def test_html_has_the_typeface_inside() -> None:
    """Both font files of the program, byte for byte, so that every zero is plain."""
    faces = re.findall(rb"url\(data:font/ttf;base64,([A-Za-z0-9+/=]+)\)", write_page(MIXED))
    files = [base64.b64decode(face) for face in faces]
    assert files == [find_font_file(bold).read_bytes() for bold in (False, True)]
    assert {str(TTFont(BytesIO(file))["name"].getDebugName(1)) for file in files} == {"Fillcards Text"}


def test_html_leaves_the_sheet_for_staff_out() -> None:
    """What is not given away is not on the page."""
    assert b"For staff" not in write_page(MIXED)
    assert b"Fingerprint" not in write_page(MIXED)


def test_html_same_card_gives_same_bytes() -> None:
    """Nothing is remembered of a card, and another between them changes nothing."""
    one = write_html(build_card(plan_example("single")))
    write_html(build_card(plan_example("mixed")))
    assert write_html(build_card(plan_example("single"))) == one


@pytest.mark.browser
@pytest.mark.parametrize(("name", "screen_name"), keep_a_fifth((MIXED, *OTHERS), tuple(SCREENS), every=10))
def test_html_axe_finds_nothing(browser: Browser, name: str, screen_name: str) -> None:
    """No violation of any rule of axe-core, in light and dark, wide and narrow, with and without the script."""
    screen = SCREENS[screen_name]
    if not screen.get("java_script_enabled", True):
        screen = {key: value for key, value in screen.items() if key != "java_script_enabled"}
        html = re.sub(rb"<script>.*?</script>", b"", write_page(name), flags=re.DOTALL)
    else:
        html = write_page(name)
    page = open_page(browser, html, screen)
    try:
        results = Axe().run(page, options=AXE_RULES).response
        assert results["violations"] == []
    finally:
        page.close()


@pytest.mark.browser
def test_html_axe_can_find_something(browser: Browser) -> None:
    """Seeded faults of the page are all found, so the rules really ran."""
    html = write_page("one-insulin-once-a-day")
    for old, new in AXE_FAULTS.values():
        assert old in html
        html = html.replace(old, new)
    page = open_page(browser, html, {**WIDE, "bypass_csp": True})
    try:
        found = {violation["id"] for violation in Axe().run(page, options=AXE_RULES).response["violations"]}
        assert found >= AXE_FAULTS.keys()
    finally:
        page.close()


BROKEN_WORDS: Final = """() => {
    const broken = [], walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    for (let node; (node = walker.nextNode());) {
        if (node.parentElement.closest("svg, script, style")) continue;
        for (const word of node.data.matchAll(/[^\\s\u00a0-]+/g)) {
            const range = document.createRange();
            range.setStart(node, word.index);
            range.setEnd(node, word.index + word[0].length);
            if (range.getClientRects().length > 1) broken.push(word[0]);
        }
    }
    return broken;
}"""

NUMBER_SIZES: Final = """() => [
    [...document.querySelectorAll(".panel svg")].map(picture => {
        const box = picture.getBoundingClientRect(), drawn = picture.viewBox.baseVal;
        return 6.35 * Math.min(box.height / drawn.height, box.width / drawn.width);
    }),
    parseFloat(getComputedStyle(document.body).fontSize),
]"""

FOOT_OF: Final = """selector => [...document.querySelector("article").querySelectorAll(selector)]
    .map(element => element.getBoundingClientRect().bottom)"""


@pytest.mark.browser
@pytest.mark.parametrize("name", keep_a_fifth((*CARDS, "at 24 pt"), every=2))
def test_html_both_stops_stand_on_the_first_screen(browser: Browser, name: str) -> None:
    """At 1280 by 900 the figures and the whole barrels without scrolling; at 320 px the figures within 700 px."""
    screens = ((WIDE, ".figure, .panel svg"), (NARROW, ".figure"))
    for screen, selector in screens[:1] if name in LARGE else screens:
        if name == "level barrel":
            selector = ".figure"  # two level barrels lie one above the other
        page = open_page(browser, write_page(name), screen)
        feet = page.evaluate(FOOT_OF, selector)
        page.close()
        assert feet
        assert max(feet) <= screen["viewport"]["height"]


@pytest.mark.browser
@pytest.mark.parametrize(("name", "screen"), keep_a_fifth((*CARDS, *LARGE), (NARROW, PHONE)))
def test_html_flows_into_a_narrow_window(browser: Browser, name: str, screen: dict[str, Any]) -> None:
    """Nothing is wider than the window (1.4.10) and no word is broken, steps shown one at a time and all together."""
    page = open_page(browser, write_page(name), screen)
    for _ in range(2):
        assert page.evaluate("document.documentElement.scrollWidth") <= screen["viewport"]["width"]
        assert page.evaluate(BROKEN_WORDS) == []
        for button in page.locator("button.all").all():
            button.click()
    page.close()


@pytest.mark.browser
def test_html_broken_words_are_seen(browser: Browser) -> None:
    """The search above finds a word that does not fit."""
    page = browser.new_page(**NARROW)
    show(page, b"<body style='font-size: 9em; overflow-wrap: break-word'>Not checked")
    assert page.evaluate(BROKEN_WORDS) == ["checked"]
    page.close()


@pytest.mark.browser
@pytest.mark.parametrize("name", [MIXED, *LARGE])
def test_html_barrels_grow_with_the_type(browser: Browser, name: str) -> None:
    """Numbers of a barrel are drawn in 18 pt, 6.35 mm; on the screen they are of the text's own size (card.md, 4)."""
    for screen in (WIDE, NARROW):
        page = open_page(browser, write_page(name), screen)
        numbers_px, text_px = page.evaluate(NUMBER_SIZES)
        page.close()
        assert min(numbers_px) >= 0.99 * text_px


@pytest.mark.browser
def test_html_has_the_size_its_reader_needs(browser: Browser) -> None:
    """18 pt of print are 24 px on a wide screen, as CSS counts points; 36 pt twice that."""
    for html, size_px in ((write_page(MIXED), 24), (write_page("at 36 pt"), 48)):
        page = open_page(browser, html, WIDE)
        assert page.evaluate("parseFloat(getComputedStyle(document.querySelector('.below p')).fontSize)") == size_px
        assert page.evaluate("document.fonts.check('24px \"Fillcards Text\"')")
        page.close()


def find_step_shown(page: Page) -> list[str]:
    """The numbers of the first fill's steps that are to be seen."""
    heads = page.locator("article:first-child li h3").all()
    return [head.inner_text().replace("\u00a0", " ") for head in heads if head.is_visible()]


@pytest.mark.browser
def test_html_shows_one_step_at_a_time(browser: Browser) -> None:
    """By button, arrow key and tap on the picture; none before the first or after the last; all at once too."""
    count = len(CARDS[MIXED].fills[0].steps)
    page = open_page(browser, write_page(MIXED), WIDE)
    first = page.locator("article:first-child")
    assert find_step_shown(page) == [f"Step 1 of {count}."]
    first.locator("button.next").click()
    assert find_step_shown(page) == [f"Step 2 of {count}."]
    page.keyboard.press("ArrowRight")
    assert find_step_shown(page) == [f"Step 3 of {count}."]
    first.locator("li.now svg").click()
    assert find_step_shown(page) == [f"Step 4 of {count}."]
    for _ in range(count):
        page.keyboard.press("ArrowLeft")
    assert find_step_shown(page) == [f"Step 1 of {count}."]
    for _ in range(count + 2):
        first.locator("button.next").press("Enter")
    assert find_step_shown(page) == [f"Step {count} of {count}."]
    first.locator("button.all").click()
    assert find_step_shown(page) == [f"Step {number} of {count}." for number in range(1, count + 1)]
    page.close()


@pytest.mark.browser
def test_html_without_script_shows_all_steps(browser: Browser) -> None:
    """Every step is there, and no button that does nothing."""
    count = len(CARDS[MIXED].fills[0].steps)
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    show(page, write_page(MIXED))
    steps = page.locator("article:first-child li")
    assert steps.count() == count
    assert all(step.is_visible() for step in steps.all())
    assert not any(button.is_visible() for button in page.locator("button").all())
    context.close()


@pytest.mark.browser
def test_html_asks_the_network_for_nothing(browser: Browser) -> None:
    """The page makes no request, and its policy stops none of its own parts."""
    page = browser.new_page()
    asked: list[str] = []
    said: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.on("console", lambda message: said.append(message.text))
    show(page, write_page(MIXED))
    page.evaluate("document.fonts.ready")
    page.close()
    assert [url for url in asked if not url.startswith(("about:", "data:"))] == []
    assert said == []


@pytest.mark.browser
def test_html_pictures_turn_with_the_mode(browser: Browser) -> None:
    """In the dark the lines of a barrel are as light as the words, on the page's dark."""
    levels = {}
    for name, screen in (("light", WIDE), ("dark", DARK)):
        page = open_page(browser, write_page(MIXED), screen)
        levels[name] = page.evaluate(
            "[...document.querySelectorAll('.panel line')].map(line => getComputedStyle(line).stroke)[0]"
        )
        page.close()
    assert levels == {"light": "rgb(0, 0, 0)", "dark": "rgb(255, 255, 255)"}


@pytest.mark.browser
def test_html_prints_every_step(browser: Browser, tmp_path: Path) -> None:
    """Printed while one step is shown, the paper still has all of them, and each fill its warning."""
    page = open_page(browser, write_page(MIXED), WIDE)
    page.pdf(path=tmp_path / "page.pdf")
    page.close()
    document = pypdfium2.PdfDocument(tmp_path / "page.pdf")
    text = " ".join(" ".join(sheet.get_textpage().get_text_range().split()) for sheet in document)
    document.close()
    count = len(CARDS[MIXED].fills[0].steps)
    assert all(text.count(f"Step {number} of {count}.") == len(CARDS[MIXED].fills) for number in range(1, count + 1))
    assert text.count("Not yet checked. Do not use.") >= len(CARDS[MIXED].fills)


def test_html_controls_are_apart_from_the_card() -> None:
    """Buttons and links are marked as such, so that whoever reads the card's words back can tell them from it.

    A number that dials itself is one of its words.
    """
    root = parse_html(write_page(MIXED))
    links = [e for e in find_all(root, "a") if not e.attrib["href"].startswith("tel:")]
    inside = [e for part in root.iter() if "data-control" in part.attrib for e in part.iter()]
    assert {id(e) for e in (*find_all(root, "button"), *links)} <= {id(e) for e in inside}
    assert f"{HTML}p" not in {e.tag for e in inside}
