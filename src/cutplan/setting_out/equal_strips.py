"""Equal strips: each wall by itself, corner to corner, in strips of one width, trimmed on both edges.

Natural and textile goods have no match and every joint shows, so a wall is divided evenly: by as few strips as the
paper, less what must come off its edges, is wide enough for (US installers).
"""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil
from typing import Final

from cutplan.lengths import ZERO, Length
from cutplan.paper.stock import Paper
from cutplan.room.finding import RoomError, finding, raise_any
from cutplan.room.walls import Room
from cutplan.setting_out.columns import Column
from cutplan.setting_out.start import Puts, Start, start_findings
from cutplan.setting_out.strips import Panel

FROM_THE_LEFT: Final = Start(0, ZERO, Puts.JOINT, ZERO)
"""Where hanging begins: wall by wall as listed, each from its left."""


def equal_columns(room: Room, paper: Paper) -> tuple[Column, ...]:
    """Return the strips of every wall, left to right, numbered on from wall to wall; each the middle of the paper.

    Raises
    ------
    RoomError
        When the paper has no width, or none is left of it.

    """
    raise_any(start_findings(room, paper, FROM_THE_LEFT))
    wet, width, trim = 1 + paper.wet_growth, paper.roll_width or ZERO, paper.edge_trim or ZERO
    usable = (width - 2 * trim) * wet
    if usable <= 0:
        text = "leaves nothing of the paper's width of {}; it is what comes off each edge"
        raise RoomError((finding(("equal_strips", "edge_trim"), text, width),))
    panels = [
        panel for number, wall in enumerate(room.walls) for panel in _panels(number, wall.width, usable, width * wet)
    ]
    return tuple(Column(number, (panel,), (), ZERO) for number, panel in enumerate(panels))


def _panels(wall: int, width: Length, usable: Length, strip: Length) -> Iterator[Panel]:
    count = ceil(width / usable)
    each = width / count
    off = (strip - each) / 2
    for number in range(count):
        yield Panel(wall, number * each, (number + 1) * each, off, off + each, 0)
