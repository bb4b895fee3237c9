"""The print as a scenario tells of it: one repeat of a strip, ready to be drawn."""

from __future__ import annotations

from base64 import b64encode
from fractions import Fraction
from typing import Final

from msgspec import Struct

from cutplan.lengths import Length, show
from cutplan.photograph.file_beside import PictureError, read_beside
from cutplan.photograph.straightened import straightened
from cutplan.scenario.read import Scenario

_UNSURE: Final = Fraction(5, 100)
"""By how much the proportions in a picture may be out, since lines are laid by hand and lenses differ [practice]."""


class Print(Struct, frozen=True):
    """One repeat of a strip, from a motif's datum down to the next."""

    href: str
    """Where a picture finds it: a data URI, or whatever address serves ``jpeg``."""
    jpeg: bytes
    """The picture itself, without any word of where it came from."""
    height: Length
    """How high it is on the wall: a repeat, where the proportions of the photograph agree with the label; else as high
    as they say, so that it does not meet where the next repeat begins."""
    doubts: tuple[str, ...] = ()
    """What is to be looked at, where they disagree."""
    opacity: float = 1.0
    """How strongly it shows: 1 for the print as it is."""


def print_of(scenario: Scenario) -> Print | None:
    """Return the print of a scenario's paper from its photograph; None where it tells of none.

    PictureError when the photograph cannot be used.
    """
    paper = scenario.job.paper
    photographed, width = paper.photographed, paper.roll_width
    if photographed is None:
        return None
    if width is None:
        raise PictureError(
            f"{scenario.source}: paper.picture: how wide is the strip in it? Add roll_width under [paper]"
        )
    try:
        jpeg, ratio = straightened(read_beside(scenario.source, photographed.file), photographed)
    except PictureError as error:
        raise PictureError(f"{scenario.source}: paper.picture: {error}, or leave [paper.picture] out") from error
    href = f"data:image/jpeg;base64,{b64encode(jpeg).decode()}"
    seen, repeat = width * Fraction(ratio), paper.pattern.repeat
    if paper.pattern.is_free:
        return Print(href, jpeg, seen)
    if abs(seen / repeat - 1) <= _UNSURE:
        return Print(href, jpeg, repeat)
    high, wide, label = (show(length, scenario.units) for length in (seen, width, repeat))
    doubt = f"in the picture of the paper one repeat is {high} high if a strip is {wide} wide; the label has {label}"
    return Print(href, jpeg, seen, (f"{doubt}: measure both on the roll",))
