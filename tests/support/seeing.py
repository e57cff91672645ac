"""What a copier and a weak eye leave of a drawing, as arrays: ink from 0 (paper) to 1 (black), lengths in mm.

The chain: rendered from the PDF, copied at 94 % to one bit, contrast halved, blurred as the eye blurs.

*Blur.* A Gaussian whose standard deviation is the minimum angle of resolution. Basis: once a stimulus is blurred beyond
the eye's own blur, two lines are told apart from a distance of about one standard deviation on (Levi and Klein, Vision
Research 1990;30:1971, abstract). That a diseased retina acts like a blur is assumed; it also loses contrast and parts
of the field, and nothing here stands for that.

*Score.* The difference of two pictures is the root of the squared differences summed over the area. For an ideal
matched filter in even noise it is proportional to d'. How much noise an eye has need not be known: the difference is
given in units of that between two smallest readable Landolt rings (ISO 8596: a ring five times its gap; 20/200 means a
gap of 10 minutes of arc), gap to the right and gap at the top, crisp and in full contrast. At 1 two things are as hard
to tell apart as the smallest ring; that the noise is even, and that the filter is as good for areas as for letters, is
assumed.
"""

from __future__ import annotations

import math
from typing import Any, Final

import numpy as np
import numpy.typing as npt
import pypdfium2
from support.placed_cards import place_alone

from fillcards.catalogue.near_vision import NearAcuity, measure_threshold_height_mm
from fillcards.output.pdf import write_pdf
from fillcards.picture.items import Drawing

Ink = npt.NDArray[np.float64]

PIXELS_PER_MM: Final = 300 / 25.4
"""A copier's 300 dots per inch: common practice, no source."""
COPY_SCALE: Final = 0.94
"""The reduction many copiers offer so that nothing is lost at the edge; asked for by the readers' needs, no source."""
CONTRAST_KEPT: Final = 0.5

WEAK_EYE: Final = NearAcuity("20/200 at 40 cm", 1.0, 400.0)


def render(drawing: Drawing, scale: float = 1.0) -> Ink:
    """A drawing as ink, rendered from its PDF by pdfium."""
    return render_pdf(write_pdf(place_alone(drawing)), 0, scale)


def render_pdf(pdf: bytes, page: int, scale: float = 1.0, pixels_per_mm: float = PIXELS_PER_MM) -> Ink:
    """A page as ink."""
    document = pypdfium2.PdfDocument(pdf)
    try:
        bitmap: Any = document[page].render(scale=scale * pixels_per_mm * 25.4 / 72, grayscale=True)
        return 1.0 - np.asarray(bitmap.to_numpy(), dtype=np.float64).squeeze() / 255.0
    finally:
        document.close()


def copy(drawing: Drawing) -> Ink:
    """A drawing after the copier: smaller, and every point either black or white."""
    return (render(drawing, COPY_SCALE) > 0.5).astype(np.float64)


def halve_contrast(ink: Ink) -> Ink:
    """Half the contrast: in poor light, or behind a foil."""
    return ink * CONTRAST_KEPT


def blur(ink: Ink, acuity: NearAcuity = WEAK_EYE, pixels_per_mm: float = PIXELS_PER_MM) -> Ink:
    """As the eye of that acuity blurs it; beyond the edges there is paper."""
    sigma = measure_blur_mm(acuity) * pixels_per_mm
    margin = math.ceil(4 * sigma)
    padded = np.pad(ink, margin)
    rows, columns = (np.fft.fftfreq(length)[:, None] for length in padded.shape)
    keep = np.exp(-2 * (math.pi * sigma) ** 2 * (rows**2 + columns.T**2))
    return np.fft.ifft2(np.fft.fft2(padded) * keep).real


def measure_blur_mm(acuity: NearAcuity) -> float:
    """Standard deviation of the blur on paper: one minimum angle of resolution, a fifth of the threshold letter."""
    return measure_threshold_height_mm(acuity) / 5


def see(drawing: Drawing, acuity: NearAcuity = WEAK_EYE) -> Ink:
    """A drawing copied, in half contrast, and blurred."""
    return blur(halve_contrast(copy(drawing)), acuity)


def measure_difference(one: Ink, other: Ink, shift_mm: float = 0.0) -> float:
    """How different two pictures are, laid on each other as well as possible within a shift; contrast times mm."""
    shape = [max(lengths) for lengths in zip(one.shape, other.shape, strict=True)]
    reach = round(shift_mm * PIXELS_PER_MM)
    wide = [_round_up(length + 2 * reach) for length in shape]
    spectra = [np.fft.rfft2(_centre(ink, wide)) for ink in (one, other)]
    overlap = np.fft.irfft2(spectra[0] * np.conj(spectra[1]), wide)
    near = [np.r_[0 : reach + 1, length - reach : length] for length in wide]
    best = float(overlap[np.ix_(*near)].max())
    squares = float((one**2).sum() + (other**2).sum()) - 2 * best
    return math.sqrt(max(squares, 0.0)) / PIXELS_PER_MM


def measure_ring(acuity: NearAcuity = WEAK_EYE) -> float:
    """The difference of the smallest readable Landolt rings, gap right and gap up: the unit of every score."""
    right, up = (blur(draw_ring(acuity, gap), acuity) for gap in (0, 90))
    return measure_difference(right, up)


def draw_ring(acuity: NearAcuity, gap_degrees: int) -> Ink:
    """A Landolt ring of the threshold height: outer diameter 5, stroke 1 and gap 1 (ISO 8596)."""
    outer = measure_threshold_height_mm(acuity) * PIXELS_PER_MM / 2
    length = 2 * math.ceil(outer) + 2
    # Eight points a pixel each way: a ring of a few pixels would lose more at its edges than its gap is worth.
    y, x = (np.mgrid[: 8 * length, : 8 * length] + 0.5) / 8 - length / 2
    radius = np.hypot(x, y)
    ring = (radius <= outer) & (radius >= 0.6 * outer)
    gap = (np.abs(y) <= 0.2 * outer) & (x > 0)
    crisp = np.rot90(ring & ~gap, gap_degrees // 90)
    fine: Ink = crisp.astype(np.float64).reshape(length, 8, length, 8)
    return np.asarray(fine.mean(axis=(1, 3)), dtype=np.float64)


def _round_up(length: int) -> int:
    """To a multiple of 64, which the Fourier transform is quick with."""
    return -(-length // 64) * 64


def _centre(ink: Ink, shape: list[int]) -> Ink:
    rows, columns = ((length - own) // 2 for length, own in zip(shape, ink.shape, strict=True))
    wide = np.zeros(shape)
    wide[rows : rows + ink.shape[0], columns : columns + ink.shape[1]] = ink
    return wide


def write_score(score: float) -> str:
    """A score for a table: to a twentieth, so that another machine's rounding shows no other digits."""
    return f"{round(score * 20) / 20:.2f}"
