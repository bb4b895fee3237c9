"""The code that a phone's camera reads: the page's address with a key that opens it once."""

from __future__ import annotations

import socket
from contextlib import closing
from io import BytesIO
from typing import Final

import segno

_ELSEWHERE: Final = ("192.0.2.1", 9)
"""An address that no machine has [RFC 5737]: asking the way to it sends nothing."""
_QUIET: Final = 2
"""Modules left white around a code on the screen."""


def own_address() -> str | None:
    """Return this machine's address in the local network; None where it is in none."""
    with closing(socket.socket(socket.AF_INET, socket.SOCK_DGRAM)) as way:
        try:
            way.connect(_ELSEWHERE)
        except OSError:
            return None
        address: str = way.getsockname()[0]
        return None if address.startswith("127.") else address


def code_drawn(address: str) -> str:
    """Return the code as SVG."""
    out = BytesIO()
    segno.make(address, micro=False).save(out, kind="svg", xmldecl=False, scale=6, border=4, light="#fff")
    return out.getvalue().decode()


def code_typed(address: str) -> str:
    """Return the code as lines of text for a dark screen: what is light is written, two modules in one sign."""
    modules = [[not dark for dark in row] for row in segno.make(address, micro=False).matrix]
    width = len(modules) + 2 * _QUIET
    framed = [[True] * width for _ in range(_QUIET)]
    framed += [[True] * _QUIET + row + [True] * _QUIET for row in modules]
    framed += [[True] * width for _ in range(_QUIET + width % 2)]
    signs = {(False, False): " ", (True, False): "▀", (False, True): "▄", (True, True): "█"}
    pairs = zip(framed[::2], framed[1::2], strict=True)
    return "".join("".join(signs[pair] for pair in zip(*rows, strict=True)) + "\n" for rows in pairs)
