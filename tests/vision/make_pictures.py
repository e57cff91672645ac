"""Pages of one regimen for three eyes, each beside what that eye sees of it: ``sample_output/eyesight/``.

``python tests/vision/make_pictures.py`` writes the first two sides of the first fill; ``--check`` compares them with
what lies there. The left half is the page as printed; the right half the same page
in half contrast and blurred as ``support.seeing`` explains. Both halves have one scale, so the blur looks on a screen
as strong against the letters as it is on paper at 40 cm.
"""

from __future__ import annotations

import io
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Final

import numpy as np
from PIL import Image

if __name__ == "__main__":
    sys.path[:0] = [str(Path(__file__).parents[2]), str(Path(__file__).parents[1])]

from make_samples import find_differences
from support.seeing import Ink, blur, halve_contrast, render_pdf

from fillcards.catalogue.near_vision import NearAcuity, parse_near_acuity
from fillcards.layout.model import PlacedCard
from fillcards.pipeline import place_regimen, read_regimen_file, write_checked_pdf

ROOT: Final = Path(__file__).parents[2]
FOLDER: Final = ROOT / "sample_output" / "eyesight"
STARTER: Final = ROOT / "templates_yaml" / "two-insulins-twice-a-day.yaml"
OWN_SIZE: Final = "text_size: 18 pt"
FIRST_FILL: Final = "fill 1"
SIDES: Final = 2
EYES: Final = ("20/40", "20/100", "20/200")
PIXELS_PER_MM: Final = 2.5
GREYS: Final = 16
"""Enough for a blur, and a small file."""


def make_pictures() -> Iterator[tuple[str, bytes]]:
    """Every picture by its file name."""
    starter = STARTER.read_text(encoding="utf-8")
    assert OWN_SIZE in starter
    for text in EYES:
        eye = parse_near_acuity(f"{text} at 40 cm")
        data = starter.replace(OWN_SIZE, f"reads: {text} at 40 cm").encode()
        made = place_regimen(read_regimen_file(data))
        pdf = write_checked_pdf(made)
        for page in list_pages(made.placed)[:SIDES]:
            yield f"{text.replace('/', '-')}-page-{page + 1}.png", write_pair(render_page(pdf, page), eye)


def list_pages(placed: PlacedCard) -> list[int]:
    """Sides of the first fill that its reader holds: not those of the helper's sheet, which is read by others."""
    return [number for number, page in enumerate(placed.pages) if page.section == FIRST_FILL and page.placed]


def render_page(pdf: bytes, page: int) -> Ink:
    """A page as ink."""
    return render_pdf(pdf, page, pixels_per_mm=PIXELS_PER_MM)


def write_pair(ink: Ink, eye: NearAcuity) -> bytes:
    """The page and what the eye sees of it, side by side, as a small grey PNG."""
    seen = blur(halve_contrast(ink), eye, PIXELS_PER_MM)
    margin = [(outer - inner) // 2 for outer, inner in zip(seen.shape, ink.shape, strict=True)]
    seen = seen[margin[0] : margin[0] + ink.shape[0], margin[1] : margin[1] + ink.shape[1]]
    rule = np.full((ink.shape[0], 4), 0.5)
    pair = np.clip(1.0 - np.hstack([ink, rule, seen]), 0.0, 1.0)
    levels = np.round(pair * (GREYS - 1)) * (255 / (GREYS - 1))
    image = Image.fromarray(levels.astype(np.uint8), "L").quantize(GREYS)
    file = io.BytesIO()
    image.save(file, "PNG", optimize=True, dpi=(PIXELS_PER_MM * 25.4,) * 2)
    return file.getvalue()


def main() -> int:
    """Write the pictures, or compare them; exit code 1 if they differ."""
    pictures = dict(make_pictures())
    if "--check" in sys.argv[1:]:
        differences = list(find_differences(pictures, FOLDER))
        sys.stdout.writelines(f"sample_output/eyesight/{difference}\n" for difference in differences)
        sys.stdout.write(f"{len(pictures)} pictures, {len(differences)} differ\n")
        return 1 if differences else 0
    FOLDER.mkdir(parents=True, exist_ok=True)
    for old in FOLDER.glob("*.png"):
        old.unlink()
    for name, data in pictures.items():
        (FOLDER / name).write_bytes(data)
    return 0


if __name__ == "__main__":
    sys.exit(main())
