"""A picture as it is drawn: shapes, and texts that never lie on one another.

Units are the picture's own, to the right and down; a full picture is :data:`FULL_WIDTH` of them wide, so that
one unit is as large in every picture of a page. Everything is black on white, and greys stand for nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final
from xml.etree import ElementTree as ET

from msgspec import Struct

from cutplan.render.drawing.lettering import Box, Lettering, on_one_line

FULL_WIDTH: Final = 600.0
INK: Final = "#000"
PAPER: Final = "#fff"
SHADE: Final = "#d8d8d8"
"""For the body of a motif, so that the eye finds it; its outline says as much."""
FONT: Final = "'Helvetica Neue',Arial,'Liberation Sans',Roboto,sans-serif"
_MARGIN: Final = 4.0
_PLATE: Final = 0.5
"""Half the height of the white paper under a text, for one unit of its size."""
_NAMESPACE: Final = "http://www.w3.org/2000/svg"
Point = tuple[float, float]
_GAP: Final = 16.0


class Pen(Struct, frozen=True):
    """How a line is drawn.

    ``dashes`` are lengths of dash and gap, none for an unbroken line; where its ends are round, a dash of no length is
    a dot.
    """

    width: float
    dashes: tuple[float, ...] = ()
    is_round: bool = False


class Picture:
    """One SVG picture in the making.

    ``name`` begins every id in it: no two pictures of a page have the same. ``title`` and ``description`` say what it
    shows to whoever cannot see it.
    """

    def __init__(self, name: str, title: str, description: str) -> None:
        self.name = name
        self.title = on_one_line(title)
        self.description = on_one_line(description)
        self.root = ET.Element("g")
        self._letters = ET.Element("g")
        self._defs = ET.Element("defs")
        self._taken: list[Box] = []
        self._reserved: list[Box] = []
        self._bounds: Box | None = None

    # Shapes

    def line(self, points: Sequence[Point], pen: Pen, *, clip: str | None = None, counts: bool = True) -> None:
        """Draw a line through points; ``counts`` False keeps it from making the picture larger."""
        steps = " ".join(f"{_figure(x)},{_figure(y)}" for x, y in points)
        element = self._add("polyline", clip, points=steps, fill="none")
        _stroke(element, pen)
        if counts:
            self._reach(points, pen.width / 2)

    def lines(self, lines: Iterable[Sequence[Point]], pen: Pen, *, clip: str | None = None) -> None:
        """Draw many straight lines as one, which takes less room; they do not make the picture larger."""
        steps = "".join(
            f"M{_figure(start[0])} {_figure(start[1])}L{_figure(end[0])} {_figure(end[1])}" for start, end in lines
        )
        if steps:
            _stroke(self._add("path", clip, d=steps, fill="none"), pen)

    def shape(
        self,
        outline: Iterable[Sequence[Point]],
        *,
        fill: str = "none",
        pen: Pen | None = None,
        clip: str | None = None,
        counts: bool = True,
    ) -> None:
        """Draw closed outlines; where one lies in another, the inner one is a hole."""
        rings = [list(ring) for ring in outline]
        element = self._add("path", clip, d="".join(_ring(ring) for ring in rings), fill=fill)
        element.set("fill-rule", "evenodd")
        if pen is not None:
            _stroke(element, pen)
        if counts:
            for ring in rings:
                self._reach(ring, pen.width / 2 if pen else 0)

    def box(self, box: Box, *, fill: str = "none", pen: Pen | None = None, clip: str | None = None) -> None:
        """Draw a rectangle."""
        self.shape([corners(box)], fill=fill, pen=pen, clip=clip)

    def path(self, path: str, bounds: Box, *, fill: str = "none", pen: Pen | None = None) -> None:
        """Draw a path in SVG's own words; it lies within ``bounds``."""
        element = self._add("path", None, d=path, fill=fill)
        if pen is not None:
            _stroke(element, pen)
        self._reach([(bounds.left, bounds.top), (bounds.right, bounds.bottom)], 0)

    def stamp(self, mark: str, places: Iterable[Point], *, clip: str | None = None) -> None:
        """Draw a mark that :meth:`define` has defined at each of some places."""
        _use(self._add("g", clip), mark, places)

    def tiles(
        self, mark: str, places: Iterable[Point], box: Box, *, clip: str, opacity: float, about: Point | None
    ) -> None:
        """Draw what :meth:`define` has defined at each of some places, as far as it lies in a box.

        With ``about`` it is turned end for end about that point.
        """
        group = self._add("g", clip, opacity=f"{opacity:g}")
        group = ET.SubElement(group, "g", {"clip-path": f"url(#{self.clip([corners(box)])})"})
        if about is not None:
            group = ET.SubElement(group, "g", {"transform": f"rotate(180 {_figure(about[0])} {_figure(about[1])})"})
        _use(group, mark, places)

    def define(
        self, kind: str, tag: str, attributes: dict[str, str], parts: Iterable[tuple[str, dict[str, str]]]
    ) -> str:
        """Define something to be used by its id, which is returned: a hatching, a clip, a mark."""
        number = len(self._defs) + 1
        identity = f"{self.name}-{kind}-{number}"
        element = ET.SubElement(self._defs, tag, {"id": identity, **attributes})
        for part, values in parts:
            ET.SubElement(element, part, values)
        return identity

    def clip(self, outline: Iterable[Sequence[Point]]) -> str:
        """Return the id of a clip to closed outlines."""
        path = "".join(_ring(list(ring)) for ring in outline)
        return self.define("clip", "clipPath", {}, [("path", {"d": path, "clip-rule": "evenodd"})])

    # Texts

    def letter(self, lettering: Lettering, *, plate: bool = False) -> bool:
        """Write a text unless it would lie on another; return whether it is written.

        ``plate`` lays white paper under it, so that it is read on hatching.
        """
        box = lettering.box
        if not lettering.text or not self.is_free(box):
            return False
        self._taken.append(box)
        if plate:
            half = lettering.size * _PLATE
            under = Box(box.left, lettering.y - half, box.right, lettering.y + half)
            if lettering.is_upright:
                under = Box(lettering.x - half, box.top, lettering.x + half, box.bottom)
            self._letters.append(ET.Element("path", {"d": _ring(corners(under)), "fill": PAPER}))
        self._letters.append(_text_element(lettering))
        self._reach([(box.left, box.top), (box.right, box.bottom)], 0)
        return True

    def letter_first(self, letterings: Iterable[Lettering], *, plate: bool = False) -> Lettering | None:
        """Write the first of several texts that lies on no other; return it, or None."""
        for lettering in letterings:
            if self.letter(lettering, plate=plate):
                return lettering
        return None

    def is_free(self, box: Box) -> bool:
        """Return True when no text lies there."""
        return not any(box.meets(taken) for taken in (*self._taken, *self._reserved))

    def keep_clear(self, box: Box) -> None:
        """Keep texts written from now on away from here."""
        self._taken.append(box)

    def reserve(self, box: Box) -> None:
        """Keep texts away from here until :meth:`release`."""
        self._reserved.append(box)

    def release(self) -> None:
        """Give up whatever is reserved."""
        self._reserved.clear()

    def point_down(self, x: float, top: float, bottom: float, pen: Pen) -> None:
        """Draw a line straight down from a text to what it names, and keep texts off it."""
        self.line([(x, top), (x, bottom)], pen)
        self.keep_clear(_way(x, top, bottom))

    def is_clear_way(self, x: float, top: float, bottom: float) -> bool:
        """Return True when no text lies on the way straight down from ``top`` to ``bottom``."""
        return bottom <= top or self.is_free(_way(x, top, bottom))

    # The whole

    @property
    def bounds(self) -> Box:
        """What has been drawn so far, with its margin."""
        return (self._bounds or Box(0, 0, 0, 0)).grown(_MARGIN)

    def element(self) -> ET.Element:
        """Return the picture as an SVG element of its own."""
        bounds = self.bounds
        size = (bounds.left, bounds.top, bounds.width, bounds.height)
        svg = ET.Element(
            "svg",
            {
                "xmlns": _NAMESPACE,
                "viewBox": " ".join(_figure(value) for value in size),
                "width": _figure(bounds.width),
                "height": _figure(bounds.height),
                "role": "img",
                "aria-labelledby": f"{self.name}-title {self.name}-desc",
                "font-family": FONT,
                "class": "picture",
            },
        )
        ET.SubElement(svg, "title", {"id": f"{self.name}-title"}).text = self.title
        ET.SubElement(svg, "desc", {"id": f"{self.name}-desc"}).text = self.description
        if len(self._defs):
            svg.append(self._defs)
        svg.append(ET.Element("path", {"d": _ring(corners(bounds)), "fill": PAPER}))
        svg.append(self.root)
        svg.append(self._letters)
        return svg

    def svg(self) -> str:
        """Return the picture as SVG text, to stand in a page or in a file of its own."""
        return ET.tostring(self.element(), encoding="unicode")

    def _add(self, tag: str, clip: str | None, **attributes: str) -> ET.Element:
        element = ET.SubElement(self.root, tag, attributes)
        if clip is not None:
            element.set("clip-path", f"url(#{clip})")
        return element

    def _reach(self, points: Iterable[Point], by: float) -> None:
        for x, y in points:
            now = self._bounds or Box(x, y, x, y)
            self._bounds = Box(
                min(now.left, x - by), min(now.top, y - by), max(now.right, x + by), max(now.bottom, y + by)
            )


def _use(group: ET.Element, mark: str, places: Iterable[Point]) -> None:
    for x, y in places:
        ET.SubElement(group, "use", {"href": f"#{mark}", "x": _figure(x), "y": _figure(y)})


def _way(x: float, top: float, bottom: float) -> Box:
    return Box(x - _MARGIN, top, x + _MARGIN, bottom)


def corners(box: Box) -> list[Point]:
    """Return the corners of a box, clockwise from its upper left one."""
    return [(box.left, box.top), (box.right, box.top), (box.right, box.bottom), (box.left, box.bottom)]


def _ring(points: Sequence[Point]) -> str:
    steps = "L".join(f"{_figure(x)} {_figure(y)}" for x, y in points)
    return f"M{steps}Z"


def _stroke(element: ET.Element, pen: Pen) -> None:
    element.set("stroke", INK)
    element.set("stroke-width", _figure(pen.width))
    if pen.dashes:
        element.set("stroke-dasharray", " ".join(_figure(dash) for dash in pen.dashes))
    if pen.is_round:
        element.set("stroke-linecap", "round")


def _text_element(lettering: Lettering) -> ET.Element:
    x, y = lettering.x, lettering.y
    element = ET.Element("text", {"font-size": _figure(lettering.size), "text-anchor": "middle", "fill": INK})
    if lettering.is_bold:
        element.set("font-weight", "bold")
    if lettering.is_upright:
        element.set("x", "0")
        element.set("y", _figure(lettering.baseline))
        element.set("transform", f"translate({_figure(x)} {_figure(y)}) rotate(-90)")
    else:
        element.set("x", _figure(x))
        element.set("y", _figure(y + lettering.baseline))
    element.text = on_one_line(lettering.text)
    return element


def _figure(value: float) -> str:
    """Return a coordinate to a tenth of a unit, which is less than an eye can see."""
    text = f"{value:.1f}".removesuffix(".0")
    return "0" if text == "-0" else text


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
