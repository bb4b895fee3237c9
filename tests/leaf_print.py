"""An invented leaf print, drawn, and photographed from aside: ``python tests/leaf_print.py FILE`` writes the picture.

The scenario ``scenarios/photographed-paper.toml`` tells where its lines lie.
"""

from __future__ import annotations

import sys
from io import BytesIO
from math import cos, pi, sin
from pathlib import Path
from typing import TYPE_CHECKING, Final

import numpy as np
from PIL import Image, ImageDraw

if TYPE_CHECKING:
    from cutplan.paper.photographed import Point

WIDTH: Final = 530
"""Of a strip, in millimetres; the print is drawn with a pixel for each."""
REPEAT: Final = 640
GROUND: Final = (233, 238, 228)
STEM: Final = (70, 96, 84)
LEAF: Final = (112, 142, 118)
BERRY: Final = (164, 72, 60)
TABLE: Final = (120, 104, 92)

SIZE: Final = (600, 720)
FOCAL: Final = 0.8 * 720
"""Of a phone's camera, in pixels."""


def seen(aside: float, down: float, distance: float = 700.0) -> tuple[Point, ...]:
    """Return where a camera sees the corners of one repeat of a strip, turned ``aside`` and tilted ``down`` (radians).

    ``distance`` is that from the camera to the middle of the paper, in millimetres.
    """
    half = (WIDTH / 2, REPEAT / 2)
    corners = []
    for x, y in ((-half[0], -half[1]), (half[0], -half[1]), half, (-half[0], half[1])):
        across, away = x * cos(aside), x * sin(aside)
        upright, deep = y * cos(down) - away * sin(down), y * sin(down) + away * cos(down)
        scale = FOCAL / (distance + deep)
        corners.append((SIZE[0] / 2 + across * scale, SIZE[1] / 2 + upright * scale))
    return tuple(corners)


def leaf_print(offset: float) -> Image.Image:
    """Return one repeat of a strip, its motif's datum at its top, the print of the next strip ``offset`` lower."""
    image = Image.new("RGB", (WIDTH, REPEAT), GROUND)
    draw = ImageDraw.Draw(image)
    for strip in (-1, 0, 1):
        for repeat in range(-2, 3):
            _spray(draw, strip * WIDTH, repeat * REPEAT + strip * offset)
    return image


def _spray(draw: ImageDraw.ImageDraw, x: float, y: float) -> None:
    """Draw a spray that hangs from its datum, and a stem that swings over into the next strip."""
    swing = [(x + 90 + 7.6 * t, y + 120 + 90 * sin(t * pi / 40) + t * 2.2) for t in range(80)]
    draw.line(swing, fill=STEM, width=9, joint="curve")
    for number, (stem_x, stem_y) in enumerate(swing[4:76:8]):
        _leaf(draw, stem_x, stem_y, 62 + 5 * (number % 3), (-0.9 if number % 2 else 0.9) + number * 0.12)
    for x_berry, y_berry in ((265, 18), (243, 46), (289, 48)):
        draw.ellipse((x + x_berry - 17, y + y_berry - 17, x + x_berry + 17, y + y_berry + 17), fill=BERRY)
    draw.line([(x + 265, y), (x + 265, y + 30)], fill=STEM, width=6)


def _leaf(draw: ImageDraw.ImageDraw, x: float, y: float, length: float, angle: float) -> None:
    def placed(along: float, aside: float) -> Point:
        return (x + along * cos(angle) - aside * sin(angle), y + along * sin(angle) + aside * cos(angle))

    upper = [placed(length * t / 12, length * 0.24 * sin(pi * t / 12)) for t in range(13)]
    lower = [placed(length * t / 12, -length * 0.24 * sin(pi * t / 12)) for t in range(13)]
    draw.polygon([*upper, *reversed(lower)], fill=LEAF)
    draw.line([placed(0, 0), placed(length * 0.9, 0)], fill=STEM, width=3)


def photographed(image: Image.Image, corners: tuple[Point, ...]) -> bytes:
    """Return a JPEG of a strip on a table, seen so that one repeat of it has these corners."""
    strip = Image.new("RGB", (WIDTH * 3, REPEAT * 3), TABLE)
    for repeat in range(3):
        strip.paste(image, (WIDTH, repeat * REPEAT))
    within = ((WIDTH, REPEAT), (2 * WIDTH, REPEAT), (2 * WIDTH, 2 * REPEAT), (WIDTH, 2 * REPEAT))
    photograph = strip.transform(
        SIZE, Image.Transform.PERSPECTIVE, _seen_at(corners, within), Image.Resampling.BICUBIC, fillcolor=TABLE
    )
    written = BytesIO()
    photograph.save(written, "JPEG", quality=72, optimize=True)
    return written.getvalue()


def _seen_at(corners: tuple[Point, ...], within: tuple[Point, ...]) -> list[float]:
    """Return the perspective that takes each of four corners to a place, from the eight equations that say so."""
    rows, wanted = [], []
    for (x, y), (to_x, to_y) in zip(corners, within, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -to_x * x, -to_x * y], [0, 0, 0, x, y, 1, -to_y * x, -to_y * y]]
        wanted += [to_x, to_y]
    return [float(number) for number in np.linalg.solve(np.array(rows), np.array(wanted))]


if __name__ == "__main__":
    Path(sys.argv[1]).write_bytes(photographed(leaf_print(REPEAT / 3), seen(0.3, -0.25)))
    print([(round(x, 1), round(y, 1)) for x, y in seen(0.3, -0.25)])  # noqa: T201 - for the scenario
