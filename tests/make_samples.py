"""The samples: every starter as a finished PDF, its first fill's front and steps as pictures, and one card as text.

``python tests/make_samples.py`` writes ``sample_output/``; ``--check`` compares instead, and fails where what lies
there is not what the code makes today. PDFs are compared unpacked, since another zlib packs the same content otherwise;
pictures within a small tolerance, since another machine may round a pixel otherwise.
"""

from __future__ import annotations

import argparse
import io
import sys
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).parent.parent
STARTERS = ROOT / "templates_yaml"
SAMPLES = ROOT / "sample_output"
PICTURE_DPI = 110
AS_TEXT = "two-insulins-twice-a-day"
"""The starter that is there as a page for screens and as plain text too."""

SAME_LEVEL = 24
"""A grey level off by less than this out of 255 is the same to the eye."""

MOST_OTHER_PIXELS = 1e-4
"""Share of pixels that may differ more: about 60 of a letter page, less than the smallest digit has."""


def make_samples() -> dict[str, bytes]:
    """Every sample by its file name."""
    from fillcards.options import Ending
    from fillcards.output.png import write_png_pages
    from fillcards.pipeline import place_regimen, read_regimen_file, write_checked_pdf, write_pages

    samples = {}
    for starter in sorted(STARTERS.glob("*.yaml")):
        made = place_regimen(read_regimen_file(starter.read_bytes()))
        samples[f"{starter.stem}.pdf"] = pdf = write_checked_pdf(made)
        front, back = write_png_pages(pdf, PICTURE_DPI)[:2]
        samples |= {f"{starter.stem}-front.png": front, f"{starter.stem}-back.png": back}
        if starter.stem == AS_TEXT:
            for ending in (Ending.HTML, Ending.TXT):
                (samples[f"{starter.stem}.{ending.value}"],) = write_pages(made, ending)
    return samples


def find_differences(samples: dict[str, bytes], folder: Path) -> Iterator[str]:
    """What is missing, left over or different in the folder."""
    there = {path.name for path in folder.iterdir() if path.is_file()}
    for name in sorted(there - set(samples)):
        yield f"{name}: left over"
    for name, data in samples.items():
        if name not in there:
            yield f"{name}: missing"
        elif not is_same(name, data, (folder / name).read_bytes()):
            yield f"{name}: differs"


def is_same(name: str, one: bytes, other: bytes) -> bool:
    """Whether two files of that name say and show the same."""
    if one == other:
        return True
    if name.endswith(".pdf"):
        return is_same_pdf(one, other)
    return name.endswith(".png") and is_same_picture(one, other)


def is_same_pdf(one: bytes, other: bytes) -> bool:
    """Whether two PDFs are the same once every stream is unpacked; their identifiers are left out."""
    return _unpack_pdf(one) == _unpack_pdf(other)


def is_same_picture(one: bytes, other: bytes) -> bool:
    """Whether two pictures have one size, one resolution, and hardly a pixel that differs."""
    from PIL import Image, ImageChops

    with Image.open(io.BytesIO(one)) as image, Image.open(io.BytesIO(other)) as image_there:
        if (image.size, image.info.get("dpi")) != (image_there.size, image_there.info.get("dpi")):
            return False
        counts = ImageChops.difference(image.convert("L"), image_there.convert("L")).histogram()
        return sum(counts[SAME_LEVEL:]) <= MOST_OTHER_PIXELS * sum(counts)


def _unpack_pdf(data: bytes) -> bytes:
    import pikepdf

    unpacked = io.BytesIO()
    with pikepdf.open(io.BytesIO(data)) as pdf:
        pdf.save(
            unpacked,
            qdf=True,
            compress_streams=False,
            static_id=True,
            object_stream_mode=pikepdf.ObjectStreamMode.disable,
            stream_decode_level=pikepdf.StreamDecodeLevel.generalized,
        )
    return unpacked.getvalue()


def main() -> int:
    """Write the samples, or compare them; exit code 1 if they differ."""
    parser = argparse.ArgumentParser(description="Write sample_output/, or compare it with what the code makes today.")
    parser.add_argument("--check", action="store_true", help="compare and write nothing")
    arguments = parser.parse_args()
    samples = make_samples()
    if arguments.check:
        differences = list(find_differences(samples, SAMPLES))
        sys.stdout.writelines(f"sample_output/{difference}\n" for difference in differences)
        sys.stdout.write(f"{len(samples)} samples, {len(differences)} differ\n")
        return 1 if differences else 0
    SAMPLES.mkdir(exist_ok=True)
    for path in SAMPLES.iterdir():
        if path.is_file() and path.name not in samples:
            path.unlink()
    for name, data in samples.items():
        (SAMPLES / name).write_bytes(data)
    sys.stdout.write(f"{len(samples)} samples written\n")
    return 0


if __name__ == "__main__":
    sys.path.insert(0, str(ROOT))  # the samples are this checkout's, whatever is installed
    sys.exit(main())
