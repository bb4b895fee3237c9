"""The steps that layouts may take along a roll, as plain data for an integer programme to walk."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

WAITING = -1
"""In place of a kind, on an arc along which nothing is cut."""


class Arc(NamedTuple):
    """A step along a roll: from one node to a later one, cutting ``kind`` or waiting."""

    tail: int
    head: int
    kind: int


@dataclass(frozen=True, slots=True)
class Network:
    """The steps that layouts of one window may take, from its first node to its last."""

    roll_type: int
    first: int
    last: int
    arcs: tuple[Arc, ...]
