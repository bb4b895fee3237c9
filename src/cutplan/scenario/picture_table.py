"""Reading where a photograph of the paper lies, and where its edges and one repeat lie in it: ``[paper.picture]``."""

from __future__ import annotations

from decimal import Decimal
from pathlib import PurePosixPath, PureWindowsPath
from typing import Any, Final, TypeGuard

from cutplan.paper.photographed import Line, Photographed
from cutplan.scenario.tables import Table, describe

LINES: Final = ("left", "right", "top", "bottom")
ENDINGS: Final = (".jpg", ".jpeg", ".png", ".webp")
_PAIR: Final = 2
_FURTHEST: Final = 100_000
"""Pixels: no picture is larger, and a line's end may lie somewhat outside."""


def read_photographed(paper: Table) -> Photographed | None:
    """Return the photograph that ``[paper.picture]`` tells of; None where there is none, or its table is at fault."""
    table = paper.table("picture", ("file", *LINES), required=False)
    if table is None:
        return None
    file = _read_file(table)
    lines = [_read_line(table, key) for key in LINES]
    left, right, top, bottom = lines
    if file is None or left is None or right is None or top is None or bottom is None:
        return None
    photographed = Photographed(file, left, right, top, bottom)
    try:
        _ = photographed.corners
    except ValueError as error:
        paper.reject("picture", str(error))
        return None
    return photographed


def _read_file(table: Table) -> str | None:
    file = table.text("file")
    if file is None:
        return None
    is_below = not (PurePosixPath(file).is_absolute() or PureWindowsPath(file).drive or "\\" in file)
    if not is_below or ".." in PurePosixPath(file).parts:
        what = f"must lie beside this file, or in a folder below it, not at {describe(file)}"
        table.reject("file", f'{what}; copy it there, and write for example file = "paper.jpg"')
        return None
    if PurePosixPath(file).suffix.lower() not in ENDINGS:
        table.reject("file", f"must be a picture, {', '.join(ENDINGS)}, not {describe(file)}")
        return None
    return file


def _read_line(table: Table, key: str) -> Line | None:
    example = f"{key} = [[120, 40], [118, 1480]]"
    value = table.raw(key, f"{example}: two places in the picture, pixels to the right and down")
    if value is None:
        return None
    line = picture_line(value)
    if line is None:
        table.reject(key, f"must be two places in the picture, each pixels to the right and down; write {example}")
    return line


def picture_line(value: object) -> Line | None:
    """Return the line that a scenario's value tells; None when it tells none."""
    if not _are_two(value) or not all(_are_two(place) and all(map(_is_coordinate, place)) for place in value):
        return None
    (ax, ay), (bx, by) = value
    return ((float(ax), float(ay)), (float(bx), float(by)))


def _are_two(value: object) -> TypeGuard[list[Any]]:
    return isinstance(value, list) and len(value) == _PAIR


def _is_coordinate(number: object) -> bool:
    if isinstance(number, bool) or not isinstance(number, int | Decimal):
        return False
    exact = Decimal(number)
    return exact.is_finite() and abs(exact) <= _FURTHEST
