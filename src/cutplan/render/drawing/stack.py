"""Several pictures one below another, as one SVG that can stand in a file of its own."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final
from xml.etree import ElementTree as ET

from cutplan.render.drawing.picture import FULL_WIDTH, PAPER

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cutplan.render.drawing.picture import Picture

_GAP: Final = 16.0


def stacked(pictures: Sequence[Picture]) -> str:
    """Return pictures one below another as SVG text; each keeps its title and description."""
    width = max(FULL_WIDTH, *(picture.bounds.width for picture in pictures))
    svg = ET.Element("svg", {"xmlns": "http://www.w3.org/2000/svg", "role": "group"})
    ground = ET.SubElement(svg, "path", {"fill": PAPER})
    y = 0.0
    for picture in pictures:
        element = picture.element()
        element.set("y", f"{y:.1f}")
        svg.append(element)
        y += picture.bounds.height + _GAP
    height = y - _GAP
    svg.set("viewBox", f"0 0 {width:.1f} {height:.1f}")
    svg.set("width", f"{width:.1f}")
    svg.set("height", f"{height:.1f}")
    ground.set("d", f"M0 0H{width:.1f}V{height:.1f}H0Z")
    return ET.tostring(svg, encoding="unicode")
