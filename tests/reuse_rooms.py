"""Rooms whose pieces come from offcuts and cut-outs too, as scenarios: lists of drops, surveys; same for a seed."""

from __future__ import annotations

from random import Random
from typing import Final

WIDTH: Final = 500
UNIT: Final = 50
"""All lengths of a list of drops are whole multiples of so many millimetres."""


def listed_room(seed: int) -> str:
    """Return the TOML of two to five drops, some narrow, some with cut-outs, often with an offcut and two batches."""
    rng = Random(f"reuse {seed}")  # noqa: S311 - repeatable, nothing secret
    repeat = rng.choice([0, 400, 600, 650])
    stock = rng.choice(["bought", "measured", "mixed", "batches"])
    size = f"roll_length = 3000\nroll_width = {WIDTH}\n"
    blocks = [f'units = "mm"\n[paper]\nname = "Trial"\n{size}match = "{repeat or "free"}"\n']
    for number in range(0 if stock == "bought" else rng.randint(1, 4)):
        blocks.append(f'[[roll]]\nlabel = "R{number}"\nlength = {UNIT * rng.randint(30, 60)}\n')
        if stock == "measured" or rng.random() < 1 / 2:
            blocks[-1] += _motif(rng, repeat)
        if stock == "batches":
            blocks[-1] += f'batch = "{"AB"[number % 2]}"\n'
    if rng.random() < 1 / 2:
        blocks.append(f'[[offcut]]\nlabel = "kept"\nlength = {UNIT * rng.randint(8, 24)}\n{_motif(rng, repeat)}')
        blocks[-1] += _across(rng) + (f'batch = "{rng.choice("AB")}"\n' if stock == "batches" else "")
    for number in range(1, rng.randint(2, 5) + 1):
        height = UNIT * rng.randint(6, 22)
        blocks.append(f'[[drop]]\nlabel = "{number}"\nheight = {height}\n{_motif(rng, repeat)}')
        if stock != "bought" or rng.random() < 1 / 2:
            blocks[-1] += f'wall = "{"north" if number < 3 else "south"}"\n'
        if rng.random() < 1 / 3:
            blocks[-1] += _across(rng)
        elif rng.random() < 1 / 2:
            length = UNIT * rng.randint(3, height // UNIT)
            left, right = sorted(rng.sample(range(0, WIDTH + 1, UNIT), 2))
            blocks[-1] += (
                f"cut_outs = [{{from_top = {height - length}, length = {length}, left = {left}, right = {right}}}]\n"
            )
    return "\n".join(blocks) if stock != "bought" else _all_with_walls_or_none("\n".join(blocks))


def _all_with_walls_or_none(text: str) -> str:
    return "\n".join(line for line in text.splitlines() if not line.startswith("wall"))


def _motif(rng: Random, repeat: int) -> str:
    return f"first_motif = {rng.randrange(0, repeat, UNIT)}\n" if repeat else ""


def _across(rng: Random) -> str:
    left, right = sorted(rng.sample(range(0, WIDTH + 1, UNIT), 2))
    return f"left = {left}\nright = {right}\n"


def offcut_asked(seed: int) -> list[str]:
    """Return the options of ``fit`` for an offcut in the hand."""
    rng = Random(f"in the hand {seed}")  # noqa: S311 - repeatable, nothing secret
    options = ["--length", str(UNIT * rng.randint(8, 26))]
    if rng.random() < 1 / 2:
        left, right = sorted(rng.sample(range(0, WIDTH + 1, UNIT), 2))
        options += ["--left", str(left), "--right", str(right)]
    return options


def surveyed_room(seed: int) -> str:
    """Return the TOML of a level room of three to six walls with doors, windows, fireplaces and fittings."""
    rng = Random(f"survey {seed}")  # noqa: S311 - repeatable, nothing secret
    closes = rng.random() < 2 / 3
    height = rng.randrange(2300, 3300, 10)
    repeat, offset = rng.choice([(640, 0), (640, 320), (600, 200), (0, 0)])
    match = f"{repeat}/{offset} mm" if repeat else "free"
    paper = f'units = "mm"\n[paper]\nname = "Trial"\nroll_length = 10050\nroll_width = 530\nmatch = "{match}"\n'
    if offset:
        paper += 'offset_direction = "down"\n'
    if repeat:
        paper += f"motif_above = {rng.randrange(20, 150, 10)}\nmotif_below = {rng.randrange(20, 150, 10)}\n"
        paper += "motif_from_left = 265\n"
    blocks = [paper, f"[room]\ncloses = {str(closes).lower()}\n"]
    blocks += [_wall(rng, number, height) for number in range(rng.randint(3, 6))]
    drop = f"motif_drop = {rng.randrange(0, repeat, 10)}\n" if repeat else ""
    place = rng.choice(['at = "middle"', f"at = {rng.randrange(100, 900, 10)}"])
    puts = rng.choice(["joint", "middle"])
    return "\n".join([*blocks, f'[start]\nwall = "wall 0"\n{place}\nputs = "{puts}"\n{drop}'])


def _wall(rng: Random, number: int, height: int) -> str:
    width = rng.randrange(900, 4200, 10)
    text = f'[[wall]]\nname = "wall {number}"\nwidth = {width}\nheight = {height}\n'
    if rng.random() < 2 / 3 and width > 1800:
        kind, wide, foot, tall = rng.choice(
            [("door", 830, 0, 2030), ("window", 1210, 900, 1150), ("fireplace", 1000, 0, 1100)]
        )
        left = rng.randrange(100, width - wide - 100, 10)
        text += f'[[wall.opening]]\nkind = "{kind}"\nleft = {left}\nwidth = {wide}\nfoot = {foot}\nheight = {tall}\n'
    if rng.random() < 1 / 4:
        text += f'[[wall.fitting]]\nkind = "switch"\nleft = {rng.randrange(50, width - 50, 10)}\nfoot = 1100\n'
    return text
