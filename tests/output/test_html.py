"""The page for screen readers: read back by html5lib, judged by axe-core and measured in Chromium.

WCAG 2.1: 1.1.1, 1.3.1, 1.4.3, 1.4.6, 1.4.10, 1.4.12, 3.1.1; axe-core runs its own rules for them.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any, Final

import pypdfium2
import pytest
from axe_playwright_python.sync_playwright import Axe
from hypothesis import given
from playwright.sync_api import Browser
from support.browser import open_browser, show
from support.checked import mark_checked
from support.plans import EXAMPLES, STARTERS, build_card, make_plans, plan_example, plan_starter
from support.spoken_forms import HTML, SVG, parse_html, read_html

from fillcards.card.model import Table
from fillcards.output.html import write_html
from fillcards.plan.fills import plan_fills
from fillcards.plan.model import Plan
from fillcards.problems import InternalFault
from fillcards.regimen.fingerprint import compute_card_code
from fillcards.regimen.model import BarrelDirection, Patient, PrintChoice

AXE_RULES: Final = {"rules": {"color-contrast-enhanced": {"enabled": True}, "target-size": {"enabled": True}}}
"""Beside all that axe-core runs by itself: contrast of 7:1 (1.4.6), and targets large enough to hit (2.5.8)."""

NARROW: Final[dict[str, Any]] = {"viewport": {"width": 320, "height": 256}}
"""320 CSS px: what 1280 px come to at 400 % (WCAG 2.1, 1.4.10)."""
ZOOMED: Final[dict[str, Any]] = {**NARROW, "device_scale_factor": 4}
DARK: Final[dict[str, Any]] = {"color_scheme": "dark"}
WIDE: Final[dict[str, Any]] = {"viewport": {"width": 1280, "height": 1024}}

LEVEL_BARREL: Final = replace(EXAMPLES["mixed"], print=PrintChoice(barrel=BarrelDirection.NEEDLE_LEFT))
MIXED: Final = write_html(build_card(plan_example("mixed")))
SMALL: Final = write_html(build_card(plan_example("single")))
CARDS: Final = {
    **{path.stem: write_html(build_card(plan_starter(path))) for path in STARTERS},
    "code to scan": write_html(build_card(plan_example("W13"), has_scan_code=True)),
    "level barrel": write_html(build_card(plan_fills(LEVEL_BARREL))),
}


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """One browser for all pages."""
    with open_browser() as opened:
        yield opened


def find_all(html: bytes, tag: str) -> list[Any]:
    """Every element of that tag, as html5lib reads the page."""
    return [element for element in parse_html(html).iter() if element.tag == tag]


def list_texts(html: bytes) -> list[str]:
    """What the page says, piece by piece, with plain spaces."""
    return [" ".join(piece.text.split()) for piece in read_html(html)]


@given(make_plans())
def test_html_is_sound(plan: Plan) -> None:
    """A strict parser of the standard's own algorithm finds no fault in the page of any plan; names are unique."""
    root = parse_html(write_html(build_card(plan)))
    names = [element.get("id") for element in root.iter() if element.get("id")]
    assert len(names) == len(set(names)) > 0


@pytest.mark.parametrize("name", CARDS)
def test_html_loads_and_runs_nothing(name: str) -> None:
    """No script, no style sheet, font or picture from elsewhere, no address; links lead to parts of the page."""
    root = parse_html(CARDS[name])
    tags = {str(element.tag).rpartition("}")[2] for element in root.iter()}
    assert not tags & {"script", "link", "img", "iframe", "object", "form", "input", "use", "image", "base"}
    values = [(key, value) for element in root.iter() for key, value in element.attrib.items()]
    assert not [value for key, value in values if "://" in value or str(key).startswith("on")]
    names = {value for key, value in values if key == "id"}
    links = [value for key, value in values if str(key).endswith("href")]
    assert {link.removeprefix("#") for link in links} < names
    assert "url(" not in CARDS[name].decode()
    assert "@import" not in CARDS[name].decode()


def test_html_says_its_language() -> None:
    """The language of the card, so that a voice speaks it as that (3.1.1)."""
    assert parse_html(MIXED).get("lang") == "en"


def test_html_window_title_warns_first() -> None:
    """A screen reader says the title first, and a browser shows it throughout: unchecked comes before the code."""
    (title,) = find_all(MIXED, f"{HTML}title")
    code = compute_card_code(EXAMPLES["mixed"])
    assert title.text == f"Sample, not for a patient. Not yet checked. Do not use. Fill card {code}"


def test_html_each_part_begins_with_the_warning() -> None:
    """Two fills and the sheets for all: each says that it is a sample and unchecked before it says anything else."""
    first = [next(piece for piece in read_html(MIXED) if piece.kind == "P")]
    bands = [text for text in list_texts(MIXED) if text.startswith("Sample, not for a patient.")]
    assert len(bands) == 3
    assert first[0].text.startswith("Sample")


def test_html_checked_card_has_no_warning() -> None:
    """A checked card says neither."""
    texts = list_texts(write_html(build_card(plan_fills(mark_checked(EXAMPLES["W13"])))))
    assert texts
    assert not [text for text in texts if "Not yet checked" in text or "Sample, not" in text]


def test_html_escapes_everything() -> None:
    """Words that look like elements come back as the very words, and make no element."""
    nasty = "<script>alert('1')</script> & \"B\" </title><h1>"
    patient = Patient(nasty, "<b>ward</b> &amp; 3")
    html = write_html(build_card(plan_fills(replace(EXAMPLES["W13"], patient=patient, notes=nasty))))
    assert f"For {nasty}, <b>ward</b> &amp; 3" in list_texts(html)
    assert nasty in list_texts(html)
    assert not find_all(html, f"{HTML}script")
    assert not find_all(html, f"{HTML}b")


def test_html_steps_go_on_counting_after_a_heading() -> None:
    """The lists of a fill begin where the one before ended, so that a step has the same number as on paper."""
    starts = [int(steps.get("start")) for steps in find_all(MIXED, f"{HTML}ol")]
    lengths = [len(steps) for steps in find_all(MIXED, f"{HTML}ol")]
    assert len(starts) == 6
    assert starts[:3] == [1, 1 + lengths[0], 1 + lengths[0] + lengths[1]]
    assert starts[3] == 1


def test_html_each_picture_is_named_by_its_words() -> None:
    """Four pictures a fill, each an image whose name is the words that replace it; none has the same as its title."""
    pictures = find_all(MIXED, f"{SVG}svg")
    assert len(pictures) == 8
    for picture in pictures:
        title, words = (picture.find(f"{SVG}{tag}") for tag in ("title", "desc"))
        assert picture.get("role") == "img"
        assert picture.get("aria-labelledby") == words.get("id")
        assert re.match(r"(First|Total) line: \d+ units\. ", title.text)
        assert re.match(r"A large syringe|The lines around the stop", words.text)


def test_html_leaves_the_makers_page_out() -> None:
    """What is not given away is not on the page that is."""
    assert "prints and checks" not in MIXED.decode()
    assert "Fingerprint" not in MIXED.decode()


def test_html_refuses_a_block_of_the_makers_page() -> None:
    """A table on a patient's sheets is a fault of ours, and no page is made."""
    card = build_card(plan_example("W13"))
    table = Table(("What", "Why"), (("a", "b"),))
    general = replace(card.general, blocks=(*card.general.blocks, table))
    with pytest.raises(InternalFault, match="Table"):
        write_html(replace(card, general=general))


def test_html_same_card_gives_same_bytes() -> None:
    """Nothing but the card decides."""
    assert write_html(build_card(plan_example("mixed"))) == MIXED


@pytest.mark.browser
@pytest.mark.parametrize(
    ("name", "screen"),
    [
        *(pytest.param(name, WIDE, id=name) for name in CARDS),
        pytest.param("two-insulins-twice-a-day", {**ZOOMED, **DARK}, id="400 percent, dark"),
        pytest.param("level barrel", NARROW, id="level barrel, 320 px"),
    ],
)
def test_html_axe_finds_nothing(browser: Browser, name: str, screen: dict[str, Any]) -> None:
    """No rule of axe-core is broken and none is left undecided."""
    with browser.new_context(**screen) as context:
        page = context.new_page()
        show(page, CARDS[name])
        found = Axe().run(page, options=AXE_RULES).response
    assert [rule["id"] for rule in (*found["violations"], *found["incomplete"])] == []
    assert {"svg-img-alt", "list", "heading-order", "color-contrast-enhanced", "html-has-lang"} <= {
        rule["id"] for rule in found["passes"]
    }


@pytest.mark.browser
@pytest.mark.parametrize(
    ("old", "new", "rule"),
    [
        (' lang="en"', "", "html-has-lang"),
        (r'aria-labelledby="picture-1"(.*?)<title>.*?</title>', r"\1", "svg-img-alt"),
        ("--ink: #000;", "--ink: #999;", "color-contrast"),
        ("--ink: #000;", "--ink: #777;", "color-contrast-enhanced"),
        ("<h2>Get ready</h2>", "<h4>Get ready</h4>", "heading-order"),
        ("<li>Wash(.*?)</li>", r"<p>Wash\1</p>", "list"),
    ],
)
def test_html_axe_can_find_something(browser: Browser, old: str, new: str, rule: str) -> None:
    """The judge is awake: each seeded fault is found."""
    spoiled, count = re.subn(old, new, SMALL.decode(), count=1, flags=re.DOTALL)
    assert count == 1
    page = browser.new_page()
    show(page, spoiled.encode())
    found = Axe().run(page, options=AXE_RULES).response["violations"]
    page.close()
    assert rule in {each["id"] for each in found}


@pytest.mark.browser
@pytest.mark.parametrize("name", CARDS)
def test_html_flows_into_320_px(browser: Browser, name: str) -> None:
    """At 400 % of 1280 px nothing asks for scrolling sideways (1.4.10), nor with wider letters and lines (1.4.12)."""
    with browser.new_context(**ZOOMED) as context:
        page = context.new_page()
        show(page, CARDS[name])
        assert page.evaluate("document.documentElement.scrollWidth") <= 320
        page.add_style_tag(
            content="* { line-height: 1.5 !important; letter-spacing: .12em !important; "
            "word-spacing: .16em !important } p { margin-bottom: 2em !important }"
        )
        assert page.evaluate("document.documentElement.scrollWidth") <= 320


AMOUNTS_BROKEN: Final = r"""
() => {
  const broken = [], walker = document.createTreeWalker(document.querySelector("main"), NodeFilter.SHOW_TEXT);
  let seen = 0;
  while (walker.nextNode()) {
    const node = walker.currentNode;
    if (node.parentElement.closest(".head, svg")) continue;
    for (const found of node.data.matchAll(/[\d.,]+\s(units?|mL|mg|mcg)(\/mL)?|line\s\d+|U-\d+|\d{3}-\d{4}/g)) {
      const range = document.createRange();
      range.setStart(node, found.index);
      range.setEnd(node, found.index + found[0].length);
      seen += 1;
      if (new Set([...range.getClientRects()].map(box => Math.round(box.top))).size > 1) broken.push(found[0]);
    }
  }
  return [seen, broken];
}
"""


@pytest.mark.browser
@pytest.mark.parametrize("name", CARDS)
def test_html_breaks_no_amount_between_lines(browser: Browser, name: str) -> None:
    """At 320 px every amount stands on one line with its unit, and so do "U-100" and a telephone number."""
    with browser.new_context(**NARROW) as context:
        page = context.new_page()
        show(page, CARDS[name])
        seen, broken = page.evaluate(AMOUNTS_BROKEN)
    assert broken == []
    assert seen > 10


@pytest.mark.browser
def test_html_pictures_stay_on_white_in_the_dark(browser: Browser) -> None:
    """Black lines on a dark page would be gone: each picture brings its own paper, also around it."""
    with browser.new_context(**DARK) as context:
        page = context.new_page()
        show(page, MIXED)
        papers = page.evaluate(
            "[...document.querySelectorAll('svg')].map(each => getComputedStyle(each).backgroundColor)"
        )
        body = page.evaluate("getComputedStyle(document.body).backgroundColor")
    assert set(papers) == {"rgb(255, 255, 255)"}
    assert body == "rgb(0, 0, 0)"


@pytest.mark.browser
def test_html_asks_the_network_for_nothing(browser: Browser) -> None:
    """Opened with everything it has, the page requests nothing."""
    page = browser.new_page()
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    show(page, MIXED)
    page.wait_for_timeout(200)
    page.close()
    assert asked == []


@pytest.mark.browser
def test_html_prints_with_name_and_lines_on_every_page(browser: Browser, tmp_path: Path) -> None:
    """On paper each page says whose turn it is, both lines and the warning, as the printed card does."""
    page = browser.new_page()
    show(page, MIXED)
    page.pdf(path=tmp_path / "card.pdf", format="Letter")
    page.close()
    document = pypdfium2.PdfDocument(tmp_path / "card.pdf")
    texts = [" ".join(sheet.get_textpage().get_text_bounded().split()) for sheet in document]
    document.close()
    heads = (
        "Before breakfast · First line 8 · Total line 26",
        "Before supper · First line 6 · Total line 18",
        "Your vials",
    )
    assert len(texts) > len(heads)
    assert [text for text in texts if not any(head in text for head in heads)] == []
    assert [text for text in texts if "Not yet checked. Do not use." not in text] == []
