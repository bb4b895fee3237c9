"""Small rooms to buy for, as scenarios: every match, sealed, part, measured rolls in hand, batches; same for a seed."""

from __future__ import annotations

from random import Random
from typing import Final

UNIT: Final = 100
"""All lengths but trims are whole multiples of so many millimetres, so that few starts of the print differ."""

STOCKS: Final = ("none", "none", "sealed", "part", "measured", "mixed", "plenty", "batches", "batches", "one batch")


def small_room(seed: int) -> str:
    """Return the TOML of a room of two to five pieces."""
    rng = Random(f"buy {seed}")  # noqa: S311 - repeatable, nothing secret
    stock = STOCKS[seed % len(STOCKS)]
    repeat = 0 if rng.random() < 1 / 6 else UNIT * rng.randint(5, 9)
    places = [UNIT * rng.randrange(repeat // UNIT) for _ in range(3)] if repeat else [0]
    heights = [UNIT * rng.randint(3, 9) for _ in range(3)]
    has_walls = "batch" in stock and rng.random() < 2 / 3
    drops = [
        _drop(rng, number, rng.choice(heights), rng.choice(places) if repeat else None, has_walls=has_walls)
        for number in range(1, rng.randint(2, 5) + 1)
    ]
    length = max(heights) + 100 + repeat + UNIT * rng.randint(0, 14)
    paper = f'units = "mm"\n[paper]\nname = "Trial"\nroll_length = {length}\nmatch = "{repeat or "free"}"\nprice = 10\n'
    return "\n".join([paper, *_rolls(rng, stock, length, repeat), *drops])


def _drop(rng: Random, number: int, height: int, motif: int | None, *, has_walls: bool) -> str:
    text = f'[[drop]]\nlabel = "{number}"\nheight = {height}\n'
    if motif is not None:
        text += f"first_motif = {motif}\n"
    if has_walls:
        text += f'wall = "{"north" if number < 3 or rng.random() < 1 / 3 else "south"}"\n'
    return text


def _rolls(rng: Random, stock: str, length: int, repeat: int) -> list[str]:
    if stock == "none":
        return []
    if stock in {"plenty", "sealed"}:
        return [_roll("S", length, None, count=rng.randint(1, 2) if stock == "sealed" else rng.randint(2, 6))]
    if stock == "part":
        return [_roll("P", length - UNIT * rng.randint(1, 5), None)]
    motif = UNIT * rng.randrange(repeat // UNIT) if repeat else None
    if stock in {"measured", "mixed"}:
        sealed = [] if stock == "measured" else [_roll("S", length, None, count=rng.randint(1, 3))]
        return [_roll("M", length, motif), *sealed]
    labels = "A" if stock == "one batch" else rng.choice(["AB", "AAB", "ABB"])
    return [
        _roll(f"{batch}{number}", length, rng.choice([motif, None]), batch=batch)
        for number, batch in enumerate(labels, 1)
    ]


def _roll(label: str, length: int, motif: int | None, count: int = 1, batch: str | None = None) -> str:
    text = f'[[roll]]\nlabel = "{label}"\nlength = {length}\ncount = {count}\n'
    if motif is not None:
        text += f"first_motif = {motif}\n"
    return text if batch is None else f'{text}batch = "{batch}"\n'


def large_room(seed: int) -> str:
    """Return the TOML of a room of eight to thirty columns on rolls of 10.05 m, some of them over a door."""
    rng = Random(f"buy large {seed}")  # noqa: S311 - repeatable, nothing secret
    repeat, offset = rng.choice([(640, 0), (640, 320), (530, 265), (640, 160), (0, 0)])
    height, motif = rng.randrange(2200, 3000, 5), rng.randrange(600)
    out_of_level = rng.choice([(0,), (0, 5, 10), (0, 3, 4, 7)])
    match = f"{repeat}/{offset}" if repeat else "free"
    paper = f'units = "mm"\n[paper]\nname = "Trial"\nroll_length = 10050\nmatch = "{match}"\n'
    blocks = [paper + ('offset_direction = "down"\n' if offset else "")]
    for column in range(1, rng.randint(8, 30) + 1):
        is_over_door = rng.random() < 1 / 8
        tall = height + rng.choice(out_of_level) - (2030 if is_over_door else 0)
        blocks.append(f'[[drop]]\nlabel = "{column}"\nheight = {tall}\n')
        if repeat:
            blocks[-1] += f"first_motif = {(motif + column * offset) % repeat}\n"
    return "\n".join(blocks)
