"""TOML files as they come: bytes that may not be text, text that may not be TOML.

Each fault is raised with its place.
"""

from __future__ import annotations

import re
import sys
import tomllib
from decimal import Decimal, InvalidOperation
from os import PathLike
from pathlib import Path
from typing import Final

from cutplan.errors import LengthError, reason_of
from cutplan.faults import Fault, ScenarioError
from cutplan.lengths import decimal_points

STANDARD_INPUT: Final = "-"
"""The path that stands for standard input."""

_LARGEST: Final = 20_000_000
_TEXT_OR_BRACKET: Final = re.compile(r"""["](?:\\.|[^"\\\n])*["]|'[^'\n]*'|[#][^\n]*|[\[\]{}]""")
_QUOTED: Final = re.compile(r"'([^']*)'")


def read_text(path: str | PathLike[str]) -> tuple[str, str]:
    """Return the text of a UTF-8 file, or of standard input for ``-``, and what messages call it.

    ScenarioError when it cannot be read or is not UTF-8.
    """
    source = "standard input" if str(path) == STANDARD_INPUT else str(path) or "."
    data = _read_bytes(path, source)
    if len(data) > _LARGEST:
        raise _unreadable(source, f"is larger than {_LARGEST // 1_000_000} MB, so it is no scenario")
    return _decode(data, source), source


def parse_toml(text: str, source: str) -> dict[str, object]:
    """Return a TOML text as plain values, with decimals exact; ScenarioError at the first place where it is none."""
    try:
        return tomllib.loads(text, parse_float=_decimal)
    except tomllib.TOMLDecodeError as error:
        raise ScenarioError(source, (_toml_fault(text, str(error)),)) from error
    except RecursionError as error:
        what = "lists or tables stand too deep inside one another; a scenario needs three of them at most"
        raise _unreadable(source, what, _deepest_line(text)) from error
    except ValueError as error:  # Python will not read a whole number of more than some thousand digits.
        number = re.search(r"[0-9_]{4000,}", text)
        line = text.count("\n", 0, number.start()) + 1 if number else None
        raise _unreadable(source, "a number has too many digits", line) from error


def _deepest_line(text: str) -> int:
    """Return the line, counted from 1, where brackets stand deepest inside one another, outside texts and comments."""
    depth = deepest = at = 0
    for found in re.finditer(_TEXT_OR_BRACKET, text):
        depth = max(0, depth + (found[0] in "[{") - (found[0] in "]}"))
        if depth > deepest:
            deepest, at = depth, found.start()
    return text.count("\n", 0, at) + 1


def _read_bytes(path: str | PathLike[str], source: str) -> bytes:
    try:
        if str(path) == STANDARD_INPUT:
            return sys.stdin.buffer.read(_LARGEST + 1)
        with Path(path).open("rb") as file:
            return file.read(_LARGEST + 1)
    except FileNotFoundError as error:
        what = "there is no such file; check the name"
        raise _unreadable(source, what) from error
    except IsADirectoryError as error:
        raise _unreadable(source, "is a folder; give the scenario file in it") from error
    except (OSError, ValueError) as error:
        raise _unreadable(source, f"cannot be read: {reason_of(error)}") from error


def _unreadable(source: str, what: str, line: int | None = None, column: int | None = None) -> ScenarioError:
    return ScenarioError(source, (Fault("", what, line, column),))


def _decode(data: bytes, source: str) -> str:
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise _unreadable(source, "is UTF-16 text; save it as UTF-8")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        before = data[: error.start]
        line = before.count(b"\n") + 1
        column = len(before.rpartition(b"\n")[2].decode()) + 1
        byte = f"byte 0x{data[error.start]:02x} at offset {error.start}"
        raise _unreadable(source, f"{byte} is not UTF-8; save the file as UTF-8", line, column) from error


def _decimal(digits: str) -> Decimal:
    try:
        return Decimal(digits)
    except InvalidOperation:  # An exponent beyond even Decimal's: as good as infinite, and refused as such.
        return Decimal("Infinity")


def _toml_fault(text: str, message: str) -> Fault:
    lines = text.splitlines() or [""]
    place = re.fullmatch(r"(.*) \(at (?:line (\d+), column (\d+)|end of document)\)", message, re.DOTALL)
    if place is None:
        return Fault("", f"this is not TOML: {message}")
    line = int(place[2]) if place[2] else len(lines)
    column = int(place[3]) if place[3] else len(lines[-1]) + 1
    hint = _toml_hint(place[1], lines[line - 1] if line <= len(lines) else "")
    rule = re.sub(r"\(('.*)\)", lambda keys: f"[{'.'.join(re.findall(_QUOTED, keys[1]))}]", place[1])
    return Fault("", f"this is not TOML: {rule[0].lower()}{rule[1:]}{hint}", line, column)


def _toml_hint(message: str, line: str) -> str:
    if message == "Cannot overwrite a value":
        return "; the key is there already, and each may stand once in its table"
    if message.startswith("Cannot declare"):
        return "; where there are several, give each double brackets, such as [[roll]]"
    unquoted = re.fullmatch(r"""\s*([\w.-]+)\s*=\s*([^"'\[{#\s].*?)\s*""", line)
    if unquoted is None:
        return ""
    if re.fullmatch(r"\d+,\d+", unquoted[2]):
        try:
            return f"; write decimals with a point: {unquoted[1]} = {decimal_points(unquoted[2])}"
        except LengthError as error:
            return f"; {error}"
    return f'; put text, and a length with its unit, in quotes: {unquoted[1]} = "{unquoted[2]}"'
