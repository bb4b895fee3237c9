"""How long the job sheet of a 40-column room takes, whole process, and how large it is; and what a drag asks for.

``python benchmarks/sheet.py [TIMES]`` prints two tables; give the machine, the versions and the date with them. The
second is of a room of 30 columns, in one process: what is done anew for each place under a finger.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from time import perf_counter
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Callable

MATCHES: Final = {"straight": "64 cm", "half-drop": "64/32 cm", "third-drop": "64 cm/third"}
WALLS: Final = 4
WIDTH: Final = 5250
"""Four walls of 5.25 m take 40 strips of 530 mm and a little."""
NARROWER: Final = 3950
"""Four walls of 3.95 m take 30."""


def scenario(match: str, width: int = WIDTH) -> str:
    """Return a whole room with a window in one wall, a door in another and a fireplace in a third."""
    openings = {
        1: 'kind = "window"\nleft = 1500\nwidth = 1800\nfoot = 850\nheight = 1250\nreveal = 120',
        2: 'kind = "fireplace"\nleft = 2000\nwidth = 1200\nheight = 1150',
        3: 'kind = "door"\nleft = 600\nwidth = 860\nheight = 2050',
    }
    walls = "".join(
        f'\n[[wall]]\nname = "wall {number}"\nwidth = {width}\nheight = 2480\n'
        + (f"\n[[wall.opening]]\n{openings[number]}\n" if number in openings else "")
        for number in range(WALLS)
    )
    return f"""\
units = "mm"

[paper]
name = "Forty strips"
roll_length = "10.05 m"
roll_width = 530
match = "{match}"
offset_direction = "down"
motif_from_left = 265
motif_above = 120
motif_below = 140

[room]
closes = true
{walls}
[start]
wall = "wall 0"
at = "middle"
puts = "motif"
motif_drop = 160
"""


def main(times: int) -> None:
    """Print, for each match, the median and the slowest of ``times`` runs, and the size of the page."""
    program = str(Path(sys.executable).with_name("cutplan"))
    print(f"{'match':<12}{'columns':>8}{'median s':>10}{'slowest s':>11}{'KB':>7}")
    with TemporaryDirectory() as folder:
        for name, match in MATCHES.items():
            room, page = Path(folder) / "room.toml", Path(folder) / "job.html"
            room.write_text(scenario(match), encoding="utf-8")
            seconds = []
            for _ in range(times + 1):
                begun = perf_counter()
                subprocess.run([program, "sheet", room, "-o", page], check=True, capture_output=True)  # noqa: S603 - our own
                seconds.append(perf_counter() - begun)
            # The first run only warms the disk cache.
            timed = sorted(seconds[1:])
            size = page.stat().st_size / 1000
            print(f"{name:<12}{_columns(room):>8}{median(timed):>10.2f}{timed[-1]:>11.2f}{size:>7.0f}")


def parts_timed(times: int) -> None:
    """Print what reading and setting out, solving, and drawing take, each the median of ``times`` in one process."""
    from cutplan import make_plan, read_scenario  # noqa: PLC0415 - the rest measures other processes
    from cutplan.render.drawing.wall_picture import wall_pictures  # noqa: PLC0415 - likewise

    print(f"\n{'match':<12}{'columns':>8}{'reading ms':>12}{'solving ms':>12}{'drawing ms':>12}")
    with TemporaryDirectory() as folder:
        for name, match in MATCHES.items():
            room = Path(folder) / "room.toml"
            room.write_text(scenario(match, NARROWER), encoding="utf-8")
            read = read_scenario(room)
            parts = (
                lambda room=room: read_scenario(room),
                lambda read=read: make_plan(read.job, read.cutting),
                lambda read=read: [part.picture.svg() for part in wall_pictures(read.setting_out)],
            )
            figures = "".join(f"{1000 * _taken(part, times):>12.1f}" for part in parts)
            print(f"{name:<12}{_columns(room):>8}{figures}")


def _taken(part: Callable[[], object], times: int) -> float:
    part()
    seconds = []
    for _ in range(times):
        begun = perf_counter()
        part()
        seconds.append(perf_counter() - begun)
    return median(seconds)


def _columns(room: Path) -> int:
    from cutplan.parts.read_parts import read_scenario  # noqa: PLC0415 - the rest measures other processes

    setting_out = read_scenario(room).setting_out
    return 0 if setting_out is None else len(setting_out.columns)


if __name__ == "__main__":
    TIMES = int(sys.argv[1]) if len(sys.argv) > 1 else 5
    main(TIMES)
    parts_timed(5 * TIMES)
