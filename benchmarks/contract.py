"""A contract from its files to the lists per room and roll, and how it grows with the number of rooms.

python benchmarks/contract.py --kinds 40 --rooms 30 300 3000
"""

from __future__ import annotations

import argparse
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from random import Random

PAPER = """units = "mm"
[paper]
name = "Reed bed, straw"
roll_length = "10.05 m"
roll_width = 530
match = "54 cm/third"
offset_direction = "down"
"""


def room_text(random: Random) -> str:
    """Return a closed room of four walls with a door and two windows, sizes on a grid of 10 mm."""
    height = random.randrange(2300, 2700, 10)
    long, short = random.randrange(3200, 4600, 10), random.randrange(2600, 3600, 10)
    wide = random.randrange(800, 1600, 10)
    window = f'[[wall.opening]]\nkind = "window"\nleft = 600\nwidth = {wide}\nfoot = 900\nheight = 1200\n'
    door = '[[wall.opening]]\nkind = "door"\nleft = 300\nwidth = 830\nheight = 2040\n'
    walls = [
        ("bed wall", long, ""),
        ("window wall", short, window),
        ("back wall", long, ""),
        ("door wall", short, door),
    ]
    text = "".join(
        f'[[wall]]\nname = "{name}"\nwidth = {width}\nheight = {height}\n{more}' for name, width, more in walls
    )
    start = f'[start]\nwall = "bed wall"\nat = "middle"\nputs = "middle"\nmotif_drop = {random.randrange(0, 540, 10)}\n'
    return f"{PAPER}[room]\ncloses = true\n{text}{start}"


def write_contract(folder: Path, kinds: int, rooms: int) -> Path:
    """Write a contract of so many rooms of so many kinds, the mirrored among them."""
    random = Random(1)  # noqa: S311 - the same rooms on every run
    entries, files = ["[contract]\nspare = 5\n"], kinds // 2
    for number in range(files):
        (folder / f"room-{number}.toml").write_text(room_text(random), encoding="utf-8")
        count = rooms // files + (number < rooms % files)
        if count:
            entries.append(f'[[rooms]]\nfile = "room-{number}.toml"\ncount = {count}\nmirrored = {count // 3}\n')
    path = folder / "contract.toml"
    path.write_text("\n".join(entries), encoding="utf-8")
    return path


def main() -> None:
    """Print, for each number of rooms, the answer, the seconds and the memory."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kinds", type=int, default=40)
    parser.add_argument("--rooms", type=int, nargs="+", default=[30, 300, 3000])
    parser.add_argument("--json", action="store_true", help="the whole document instead of the page")
    wish = parser.parse_args()
    for rooms in wish.rooms:
        with tempfile.TemporaryDirectory() as name:
            path = write_contract(Path(name), wish.kinds, rooms)
            command = [sys.executable, "-m", "cutplan", "contract", str(path), *(["--json"] if wish.json else [])]
            before = resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime
            began = time.perf_counter()
            done = subprocess.run(command, capture_output=True, text=True, check=True)  # noqa: S603 - our own program
            seconds = time.perf_counter() - began
        used = resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime - before
        memory = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss // 1024
        print(f"{rooms} rooms: {seconds:.1f} s ({used:.1f} s of one core), {memory} MB at most so far")
        print(
            "\n".join(
                line for line in done.stdout.splitlines()[:12] if line.startswith(("pooled", "in order", "apart"))
            )
        )


if __name__ == "__main__":
    main()
