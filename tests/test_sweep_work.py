"""How much work a sweep of starts takes, in counts that are the same on every run, not in seconds.

What is worked out anew for each of a hundred neighbouring placements, though once is enough, fails here. After a
deliberate change run this file: ``python tests/test_sweep_work.py`` prints the table ``MEASURED`` to paste.
"""

from __future__ import annotations

import sys
from collections import Counter
from fractions import Fraction
from typing import TYPE_CHECKING, Any, Final

import pytest

from cutplan.comparing import proving, remembering
from cutplan.comparing.placements import focus_of, placements_of
from cutplan.comparing.sweep import SweepTask, sweep
from cutplan.scenario.read import parse_scenario
from cutplan.setting_out import motifs, pieces, strips

if TYPE_CHECKING:
    from collections.abc import Callable

LEVEL: Final = ("2520", "2520", "2520")
OUT_OF_LEVEL: Final = (
    "[[0, 2520], [3100, 2541]]",
    "[[0, 2541], [2700, 2527]]",
    "[[0, 2527], [3300, 2520]]",
)
"""The tops of the walls, left to right."""

ROOM: Final = """\
units = "mm"
[paper]
roll_length = "10.05 m"
roll_width = 530
match = "64/32 cm"
motif_from_left = 200
motif_above = 100
motif_below = 120
[room]
closes = true
[[wall]]
name = "door wall"
width = 3100
top = {0}
[[wall.opening]]
kind = "door"
left = 600
width = 860
height = 2030
[[wall]]
name = "window wall"
width = 2700
top = {1}
[[wall.opening]]
kind = "window"
left = 700
width = 1200
foot = 850
height = 1250
[[wall]]
name = "focal wall"
width = 3300
top = {2}
[start]
wall = "focal wall"
at = "middle"
puts = "motif"
motif_drop = 140
"""

COUNTED: Final = (
    (strips, "Strip"),
    (pieces, "_piece"),
    (motifs, "_edges_at"),
    (remembering, "rolls_of"),
    (proving, "Pieces"),
)
"""Strips laid; pieces shaped; edges looked up that may cut a motif; sets of rolls whose places are listed; jobs held
against a neighbour's plan.
"""

MEASURED: Final[dict[tuple[str, ...], tuple[int, ...]]] = {
    LEVEL: (2623, 1442, 1438, 7, 25),
    OUT_OF_LEVEL: (2623, 1442, 1438, 16, 245),
}
"""How often each of these was done, by the tops of the walls."""

PART: Final = 5
"""A fifth more than was measured is let pass, since GLOP may differ from one machine to another …"""

FEW: Final = 3
"""… and this much more in any case."""


def work(tops: tuple[str, ...], patch: Callable[[Any, str, Any], None]) -> tuple[int, ...]:
    """Return how often each of :data:`COUNTED` was done for a sweep, every placement of which is proved."""
    done: Counter[str] = Counter()
    for place, name in COUNTED:
        patch(place, name, _counting(getattr(place, name), name, done))
    scenario = parse_scenario(ROOM.format(*tops), "room")
    setting_out = scenario.setting_out
    assert setting_out is not None
    drop = scenario.job.drops[0]
    trims = drop.trim_top, drop.trim_bottom
    task = SweepTask(setting_out.room, setting_out.paper, setting_out.way, scenario.job.lots, trims)
    swept = sweep(task, placements_of(setting_out, focus_of(setting_out), step=Fraction(12)))
    assert len(swept.compared) > 100
    assert all(found.proved is not None and found.proved.is_proved for found in swept.compared)
    return tuple(done[name] for _, name in COUNTED)


def _counting(function: Callable[..., Any], name: str, done: Counter[str]) -> Callable[..., Any]:
    def counted(*args: object, **named: object) -> Any:  # noqa: ANN401 - whatever the function returns
        done[name] += 1
        return function(*args, **named)

    return counted


@pytest.mark.parametrize("tops", [LEVEL, OUT_OF_LEVEL])
def test_neighbouring_placements_share_their_work(tops: tuple[str, ...], monkeypatch: pytest.MonkeyPatch) -> None:
    """No more is done than was measured: what strips cover and what rolls can hold is worked out once."""
    done = work(tops, monkeypatch.setattr)

    for (_, name), now, before in zip(COUNTED, done, MEASURED[tops], strict=True):
        assert now <= before + before // PART + FEW, name


if __name__ == "__main__":
    for tops in (LEVEL, OUT_OF_LEVEL):
        with pytest.MonkeyPatch.context() as patched:
            sys.stdout.write(f"    {'LEVEL' if tops is LEVEL else 'OUT_OF_LEVEL'}: {work(tops, patched.setattr)},\n")
