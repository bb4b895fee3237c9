"""The print of a photographed paper as the page's pictures find it: at an address, so that a browser gets it once."""

from __future__ import annotations

from hashlib import sha256
from typing import Final

from msgspec.structs import replace

from cutplan.photograph import PictureError, Print, print_of
from cutplan.scenario.read import Scenario

ADDRESS: Final = "/print.jpg"
"""Below the page's own address, which is another for each part of a job."""


def print_served(scenario: Scenario) -> tuple[Print | None, tuple[str, ...]]:
    """Return the print, if there is one that can be used, and what is to be said of its photograph."""
    try:
        printed = print_of(scenario)
    except PictureError as error:
        return None, (str(error),)
    if printed is None:
        return None, ()
    digest = sha256(printed.jpeg).hexdigest()[:12]
    return replace(printed, href=f".{ADDRESS}?{digest}"), printed.doubts
