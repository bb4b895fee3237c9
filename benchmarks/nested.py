"""Rooms with paper left over that could serve again: cut-outs at openings, and offcuts kept from the last job.

Like the rooms of :mod:`instances`, but each strip beside an opening is cut out round it, pieces over and under openings
are now and then narrow, as beside a chimney, and three offcuts of full width are in hand. What falls out of a strip at
an opening is narrower than a strip, so it can hold a narrow piece that hangs later, where its print agrees.
"""

from __future__ import annotations

from fractions import Fraction
from math import ceil
from typing import TYPE_CHECKING, Final

from msgspec import Struct
from msgspec.structs import replace

from cutplan.lengths import exact_mm
from cutplan.scenario.read import parse_scenario
from instances import COLUMNS, MATCHES, REPEAT, STOCKS, Instance, pattern_of, seeded

if TYPE_CHECKING:
    from collections.abc import Iterator
    from random import Random

    from cutplan.job.job import Job
    from cutplan.paper.pattern import Pattern

WIDTH: Final = 530
KEPT: Final = 3
"""Offcuts of the last job."""

COUNTED: Final = "counted on"
ALONE: Final = "left alone"


class _Piece(Struct, frozen=True):
    height: int
    motif: Fraction
    keys: tuple[str, ...] = ()


def nested_rooms(count: int) -> Iterator[Instance]:
    """Yield ``count`` rooms, each twice: with its offcuts and cut-outs counted on, and with them left alone.

    Every match, sealed and measured in turn, from 10 columns up to 80.
    """
    groups = [(match, stock) for match in MATCHES for stock in STOCKS]
    rounds = ceil(count / len(groups))
    least, most = COLUMNS
    for number in range(count):
        round_, place = divmod(number, len(groups))
        match, stock = groups[place]
        columns = least + (most - least) * round_ // max(1, rounds - 1)
        name = f"nested room {number}"
        scenario = parse_scenario(nested_room(name, match=match, stock=stock, columns=columns), name)
        yield Instance(name, (match, stock, COUNTED), scenario.job, scenario=scenario)
        yield Instance(f"{name}, {ALONE}", (match, stock, ALONE), left_alone(scenario.job))


def left_alone(job: Job) -> Job:
    """Return ``job`` with rolls only, and nothing falling out of its drops."""
    return replace(job, lots=job.rolls, drops=tuple(replace(drop, cut_outs=()) for drop in job.drops))


def nested_room(seed: str, *, match: str, stock: str, columns: int) -> str:
    """Return a room of ``columns`` columns as a scenario; the same for the same arguments."""
    rng = seeded(seed)
    pattern = pattern_of(match)
    pieces = _pieces(rng, pattern, columns)
    part = {"free": "free", "straight": "640", "third": "640 mm/third"}.get(match, f"640/{pattern.offset}")
    blocks = [
        f'units = "mm"\n[paper]\nroll_length = 10050\nroll_width = {WIDTH}\nmatch = "{part}"',
        'offset_direction = "down"' if pattern.needs_direction else "",
    ]
    if stock == "measured":
        # As many as if every piece took the longest one's share of a roll, and two to spare.
        longest = max(piece.height for piece in pieces) + 2 * 50 + REPEAT
        in_hand = ceil(len(pieces) / (10050 // longest)) + 2
        blocks += [f'[[roll]]\nlabel = "A{number}"\n{_motif(rng, pattern)}' for number in range(in_hand)]
    for number in range(KEPT):
        length = rng.randrange(500, 1600, 10)
        blocks.append(f'[[offcut]]\nlabel = "kept {number}"\nlength = {length}\n{_motif(rng, pattern)}')
    for number, piece in enumerate(pieces, start=1):
        motif = "" if pattern.is_free else f'first_motif = "{exact_mm(piece.motif)} mm"'
        blocks.append("\n".join([f'[[drop]]\nlabel = "{number}"\nheight = {piece.height}', motif, *piece.keys]))
    return "\n".join(blocks) + "\n"


def _motif(rng: Random, pattern: Pattern) -> str:
    motif = rng.randrange(640)
    return "" if pattern.is_free else f"first_motif = {motif}"


def _pieces(rng: Random, pattern: Pattern, columns: int) -> list[_Piece]:
    """Return the pieces in hanging order: a full one a column, but at an opening those over and under it."""
    level = rng.randrange(2300, 2900, 10)
    at_start = pattern.within_repeat(Fraction(rng.randrange(640)))
    sill = rng.choice([450, 800, 950])
    pieces: list[_Piece] = []
    opening, left, overlap = "none", 0, 0
    for column in range(columns):
        height = level + 5 * rng.randint(0, 6)
        motif = pattern.first_motif(column, at_start)
        head, foot = {"door": (2030, 0), "window": (2100, sill)}.get(opening, (0, 0))
        if left:
            narrow = _narrow(rng)
            pieces.append(_Piece(height - head, motif, narrow))
            if foot:
                pieces.append(_Piece(foot, pattern.within_repeat(motif - (height - foot)), narrow))
            left -= 1
            continue
        keys = []
        if overlap:
            # The opening that has just ended takes the left side of this strip.
            keys.append(_cut_out(height, head, foot, f"right = {overlap}"))
            opening, overlap = "none", 0
        elif rng.random() < 1 / 8:
            opening, left, overlap = rng.choice(["door", "window"]), rng.randint(0, 2), rng.randrange(100, 430, 10)
            head, foot = {"door": (2030, 0), "window": (2100, sill)}[opening]
            keys.append(_cut_out(height, head, foot, f"left = {WIDTH - rng.randrange(100, 430, 10)}"))
        pieces.append(_Piece(height, motif, tuple(keys)))
    return pieces


def _cut_out(height: int, head: int, foot: int, side: str) -> str:
    return f"cut_outs = [{{ from_top = {height - head}, length = {head - foot}, {side} }}]"


def _narrow(rng: Random) -> tuple[str, ...]:
    """Return the part of the strip's width that is hung: of one piece in three only a left or right part."""
    width = rng.randrange(80, 400, 10)
    return rng.choice([(f"right = {width}",), (f"left = {WIDTH - width}",), (), (), (), ()])
