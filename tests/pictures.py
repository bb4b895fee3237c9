"""Reading SVG pictures back: their texts, lines and marks, as a test measures them."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final
from xml.etree import ElementTree as ET

if TYPE_CHECKING:
    from cutplan.render.drawing.picture import Picture

SVG: Final = "{http://www.w3.org/2000/svg}"
_STEP: Final = re.compile(r"([ML])(-?[\d.]+) (-?[\d.]+)")

Line = tuple[float, float, float, float]


def drawn(picture: Picture) -> ET.Element:
    """Return a picture as whoever opens its file parses it."""
    return ET.fromstring(picture.svg())  # noqa: S314 - our own text


def texts(picture: Picture) -> list[str]:
    """Return what is written in a picture, in the order in which it was."""
    return [element.text or "" for element in drawn(picture).iter(f"{SVG}text")]


def print_lines(picture: Picture) -> list[Line]:
    """Return the lines that mark the print on the strips: from x, y to x, y."""
    thin = [
        path for path in drawn(picture).iter(f"{SVG}path") if path.get("stroke-width") == "1" and path.get("clip-path")
    ]
    return [line for path in thin for line in _lines(path.get("d", ""))]


def places(picture: Picture, mark: str) -> list[tuple[float, float]]:
    """Return where marks are stamped whose id holds ``mark``."""
    uses = [use for use in drawn(picture).iter(f"{SVG}use") if mark in use.get("href", "")]
    return [(float(use.get("x", "")), float(use.get("y", ""))) for use in uses]


def boxes(picture: Picture) -> list[Line]:
    """Return the rectangles of a picture: left, top, right, bottom."""
    paths = [path.get("d", "") for path in drawn(picture).iter(f"{SVG}path")]
    found = []
    for path in paths:
        points = [(float(x), float(y)) for _, x, y in _STEP.findall(path)]
        if len(points) == 4 and path.endswith("Z") and len({x for x, _ in points}) <= 2:
            found.append((points[0][0], points[0][1], points[2][0], points[2][1]))
    return found


def _lines(path: str) -> list[Line]:
    steps = [(float(x), float(y)) for _, x, y in _STEP.findall(path)]
    return [(*start, *end) for start, end in zip(steps[::2], steps[1::2], strict=True)]
