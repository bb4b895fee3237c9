"""Marks of the trade: chalk, pencil, tape, the plumb bob, and hatchings that say what is no paper or no use."""

from __future__ import annotations

from typing import Final

from cutplan.render.drawing.lettering import Box, Lettering
from cutplan.render.drawing.picture import INK, PAPER, SHADE, Pen, Picture, Point

EDGE: Final = Pen(3.5)
"""Edges of walls and of rolls."""
OUTLINE: Final = Pen(2.5)
"""What stands on a wall."""
CUT: Final = Pen(2)
"""Joints, and cuts across a roll."""
HAIR: Final = Pen(0.5)
"""Joints of a real print, which should be seen to meet."""
PENCIL: Final = Pen(1)
"""Fine marks: where the print repeats."""
TRIM: Final = Pen(1.2, (4, 3))
"""What is cut off on the wall."""
CHALK: Final = Pen(4, (0.1, 8), is_round=True)
"""A snapped chalk line, level or plumb."""

NUMBER: Final = 34.0
"""Size of a drop's number."""
NAME: Final = 22.0
"""Size of names and readings."""
SMALL: Final = 19.0
"""Size of what is only said by the way."""

CORNER: Final = 20.0
"""How high above a wall the sign of a corner stands."""

_FLAG_HEIGHT: Final = 34.0
_TORN: Final = 5.0


def hatching(picture: Picture, angle: int) -> str:
    """Return a fill of parallel lines: leaning right (45) stands for no paper, left (-45) for paper lost."""
    turned = f"rotate({angle})"
    attributes = {"width": "9", "height": "9", "patternUnits": "userSpaceOnUse", "patternTransform": turned}
    line = {"d": "M0 0V9", "stroke": INK, "stroke-width": "1.2"}
    return f"url(#{picture.define('hatching', 'pattern', attributes, [('path', line)])})"


def motif_mark(picture: Picture, above: float, below: float, reach: float) -> str:
    """Return the mark of a motif: a leaf from its top to its foot, with a pencil cross on its datum.

    It reaches so far ``above`` and ``below`` its datum, and to ``reach`` on either side at most. Where nobody measured
    it, so that both are 0, it is the cross alone.
    """
    side = min(reach, (above + below) * 0.45)
    leaf = f"M0 {-above:.1f}Q{side * 1.5:.1f} 0 0 {below:.1f}Q{-side * 1.5:.1f} 0 0 {-above:.1f}Z"
    arm = min(reach, 7)
    cross = {"d": f"M{-arm:.1f} 0H{arm:.1f}M0 {-arm:.1f}V{arm:.1f}", "stroke": INK, "stroke-width": "1.6"}
    parts = [("path", cross)]
    if above + below:
        parts.insert(0, ("path", {"d": leaf, "fill": SHADE, "stroke": INK, "stroke-width": "1.4"}))
    return picture.define("motif", "g", {"fill": "none"}, parts)


def chalk_line(picture: Picture, start: Point, end: Point) -> None:
    """Snap a chalk line."""
    picture.line([start, end], CHALK, counts=False)


def plumb_bob(picture: Picture, x: float, y: float) -> None:
    """Hang a plumb bob so that its point is at a place."""
    bob = [(x, y), (x - 6, y - 13), (x - 3, y - 21), (x + 3, y - 21), (x + 6, y - 13)]
    picture.shape([bob], fill=INK, counts=False)


def torn_edge(picture: Picture, x: float, top: float, bottom: float) -> None:
    """Tear a picture off where its wall goes on in another."""
    picture.line(zigzag(x, top, bottom, step=14, reach=3), PENCIL)


def zigzag(x: float, top: float, bottom: float, step: float = 9, reach: float = 6) -> list[Point]:
    """Return a line to and fro, if not told otherwise that of a closing joint, where the print does not meet."""
    points, y, side = [(x, top)], top, 1
    while y < bottom:
        y = min(y + step, bottom)
        points.append((x + reach * side, y))
        side = -side
    return points


def arrow_head(picture: Picture, tip: Point, along: Point, size: float = 9) -> None:
    """Draw a pencil arrow's head with its tip at a place, pointing ``along`` (1, 0), (0, 1) or the like."""
    x, y = tip
    right, down = along
    back = (x - right * size, y - down * size)
    wings = [(back[0] - down * size * 0.5, back[1] + right * size * 0.5)]
    wings.append((back[0] + down * size * 0.5, back[1] - right * size * 0.5))
    picture.shape([[tip, *wings]], fill=INK)


def flag(picture: Picture, words: str, middle: Point, point: Point, *, anyway: bool = False) -> bool:
    """Stick a piece of tape with words on it about its ``middle``, and point from it to a place below.

    Return False, and draw nothing, where a text is in the way; ``anyway`` lets its line cross texts.
    """
    lettering = Lettering(words, NAME, *middle, is_bold=True)
    x, y = middle
    half = lettering.box.width / 2 + 8
    box = Box(x - half, y - _FLAG_HEIGHT / 2, x + half, y + _FLAG_HEIGHT / 2)
    # The sign of a corner may stand at the very place.
    is_clear = anyway or picture.is_clear_way(point[0], box.bottom, point[1] - CORNER)
    if not picture.is_free(box) or not is_clear:
        return False
    picture.point_down(point[0], box.bottom, point[1], Pen(1.6))
    arrow_head(picture, point, (0, 1))
    picture.shape([_tape(box)], fill=PAPER, pen=Pen(1.6))
    picture.letter(lettering)
    picture.keep_clear(box)
    return True


def _tape(box: Box) -> list[Point]:
    """Return the outline of a piece of tape, torn off at both ends."""
    step = box.height / 4
    right = [(box.right + (_TORN if number % 2 else 0), box.top + step * number) for number in range(5)]
    left = [(box.left + (_TORN if number % 2 else 0), box.bottom - step * number) for number in range(5)]
    return [*right, *left]
