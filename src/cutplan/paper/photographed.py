"""Where a photograph shows the paper: its strip between two plumb lines, one repeat between two level lines."""

from __future__ import annotations

from itertools import pairwise
from math import hypot
from typing import Final

from msgspec import Struct

Point = tuple[float, float]
"""A place in a picture, in pixels from its upper left corner to the right and down."""
Line = tuple[Point, Point]
"""A straight line through two places."""

PHONE: Final = 0.8
"""Focal length of a phone's camera as a part of the picture's longer side: 28 mm to 36 mm of film [practice]."""
_LEAST: Final = 16
"""Pixels: no print can be seen in fewer."""


class Photographed(Struct, frozen=True):
    """A photograph of the paper, and four lines in it."""

    file: str
    """Its path from the scenario's folder."""
    left: Line
    right: Line
    """The edges of a strip, where its joints will be."""
    top: Line
    bottom: Line
    """Level lines through a motif's datum, and through the same place one repeat below."""

    @property
    def corners(self) -> tuple[Point, Point, Point, Point]:
        """One repeat of a strip: upper left, upper right, lower right, lower left.

        Raises
        ------
        ValueError
            When the lines enclose no four-sided piece of paper, saying why.

        """
        across = {"left": self.left, "right": self.right}
        down = {"top": self.top, "bottom": self.bottom}
        for name, (one, other) in (across | down).items():
            if hypot(other[0] - one[0], other[1] - one[1]) < _LEAST:
                raise ValueError(f"{name} goes through two places closer than {_LEAST} pixels; move them apart")
        corners = (
            _crossing(self.left, self.top),
            _crossing(self.right, self.top),
            _crossing(self.right, self.bottom),
            _crossing(self.left, self.bottom),
        )
        turns = [_turn(*three) for three in zip(corners, _from(corners, 1), _from(corners, 2), strict=True)]
        if all(turn < 0 for turn in turns):
            raise ValueError("left and right are the wrong way round, or top and bottom; swap the two")
        if not all(turn > 0 for turn in turns):
            raise ValueError("two lines cross within the paper; lay left and right along its edges, top above bottom")
        if any(hypot(two[0] - one[0], two[1] - one[1]) < _LEAST for one, two in pairwise((*corners, corners[0]))):
            raise ValueError(f"the lines enclose less than {_LEAST} pixels of paper; take a nearer picture")
        return corners

    def height_by_width(self, size: Point) -> float:
        """Return how much higher than wide the piece between the lines is, in a picture of ``size`` pixels.

        The picture may be taken from aside, by a camera such as phones have.

        References
        ----------
        Z. Zhang and L.-W. He, Whiteboard scanning and image enhancement, Digital Signal Processing 17 (2007) 414-432.

        """
        focal = PHONE * max(size)
        # Corners as rays from the camera, the focal length being 1: the order of the paper is its m1, m2, m4, m3.
        one, two, four, three = (((x - size[0] / 2) / focal, (y - size[1] / 2) / focal, 1.0) for x, y in self.corners)
        across = _along(one, two, _triple(one, four, three) / _triple(two, four, three))
        down = _along(one, three, _triple(one, four, two) / _triple(three, four, two))
        return hypot(*down) / hypot(*across)


Ray = tuple[float, float, float]


def _along(one: Ray, other: Ray, scale: float) -> Ray:
    """Return a side of the paper in space, from the corner on one ray to the corner on another, ``scale`` as far."""
    return (scale * other[0] - one[0], scale * other[1] - one[1], scale * other[2] - one[2])


def _triple(one: Ray, two: Ray, three: Ray) -> float:
    """Return the volume that three rays span."""
    return (
        (one[1] * two[2] - one[2] * two[1]) * three[0]
        + (one[2] * two[0] - one[0] * two[2]) * three[1]
        + (one[0] * two[1] - one[1] * two[0]) * three[2]
    )


def _from(corners: tuple[Point, ...], first: int) -> tuple[Point, ...]:
    return corners[first:] + corners[:first]


def _turn(one: Point, two: Point, three: Point) -> float:
    """Return more than 0 where the way from one to three by two turns to the right, as one looks at the picture."""
    return (two[0] - one[0]) * (three[1] - two[1]) - (two[1] - one[1]) * (three[0] - two[0])


def _crossing(one: Line, other: Line) -> Point:
    (ax, ay), (bx, by) = one
    (cx, cy), (dx, dy) = other
    slope = (bx - ax) * (dy - cy) - (by - ay) * (dx - cx)
    if not slope:
        raise ValueError("a plumb line and a level line never meet; left and right run down, top and bottom across")
    part = ((cx - ax) * (dy - cy) - (cy - ay) * (dx - cx)) / slope
    return (ax + part * (bx - ax), ay + part * (by - ay))
