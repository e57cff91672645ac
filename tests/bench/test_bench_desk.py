"""The desk's live card: from the key to the new picture in the browser, over 200 edits of one fill."""

from __future__ import annotations

import os
import shutil
import sys
from pathlib import Path
from statistics import median

import pytest
from support.browser import open_browser
from support.desks import PASSPHRASE, open_desk

EDITS = 200
MOST_MS = 200
"""Issue: under this from key to picture, on a machine that does nothing else."""
STARTER = Path(__file__).parents[2] / "templates_yaml" / "two-insulins-twice-a-day.yaml"

# Type a value; wait until another picture stands in the page and was painted.
_TYPE = """value => new Promise((resolve) => {
  const field = document.querySelector('[data-path="fills[1].draw.regular"]'), live = document.querySelector("#live");
  const begin = performance.now();
  new MutationObserver((_, self) => {
    self.disconnect();
    requestAnimationFrame(() => setTimeout(() => resolve(performance.now() - begin)));
  }).observe(live, { childList: true });
  field.value = value;
  field.dispatchEvent(new InputEvent("input", { bubbles: true }));
})"""


@pytest.mark.bench
@pytest.mark.browser
@pytest.mark.parametrize("text_size", ["18 pt", "24 pt"])
def test_bench_key_to_picture(tmp_path: Path, text_size: str) -> None:
    """Median and worst; each picture says the line that was typed."""
    text = STARTER.read_text(encoding="utf-8").replace("text_size: 18 pt", f"text_size: {text_size}")
    (tmp_path / "card.yaml").write_text(text, encoding="utf-8")
    with open_desk(tmp_path) as desk, open_browser() as browser:
        page = browser.new_page()
        page.goto(desk.address)
        page.get_by_label("your name").fill("Anna Writer")
        page.get_by_label("passphrase, at least 10 letters").fill(PASSPHRASE)
        page.get_by_label("the same passphrase again").fill(PASSPHRASE)
        page.get_by_role("button", name="Sign on").click()
        page.get_by_role("link", name="card.yaml").click()
        page.wait_for_load_state()
        times = []
        for number in range(EDITS):
            units = 1 + number % 26
            times.append(float(page.evaluate(_TYPE, f"{units} units" if units > 1 else "1 unit")))
            assert f"Lines {units} and {units + 23} " in page.locator("#live").inner_text()
    load = os.getloadavg()[0] / (os.cpu_count() or 1)
    sys.stdout.write(
        f"{text_size}: median {median(times):.0f}, worst {max(times):.0f} ms; load {load:.1f} a processor\n"
    )
    if load < 0.7:
        assert median(times) < MOST_MS
    shutil.rmtree(tmp_path)
