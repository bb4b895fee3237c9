"""A file beside a scenario: only there, or in a folder below, and never larger than a picture is."""

from __future__ import annotations

import stat
from pathlib import Path
from typing import Final

from cutplan.errors import RefusedError, reason_of
from cutplan.parts.address import address_of

MOST_BYTES: Final = 30_000_000
"""What a large photograph takes at the most."""


class PictureError(RefusedError):
    """A photograph of the paper that cannot be used: the message says which, why, and what to do instead."""


def read_beside(scenario: str, file: str) -> bytes:
    """Return a file's bytes, found from the scenario's folder, and nowhere else: no link out is followed.

    PictureError when it is not there, lies elsewhere, is no plain file, or is too large.
    """
    scenario, _ = address_of(scenario)
    if not Path(scenario).is_file():
        raise PictureError(f"{file!r} cannot be found: {scenario} lies in no folder; give the scenario as a file")
    try:
        folder = Path(scenario).parent.resolve(strict=True)
        path = (folder / file).resolve(strict=True)
        if not path.is_relative_to(folder):
            raise PictureError(f"{file!r} leads out of the scenario's folder; copy the picture there")
        if not stat.S_ISREG(path.stat().st_mode):
            raise PictureError(f"{file!r} is no file; give the picture itself")
        with path.open("rb") as opened:
            data = opened.read(MOST_BYTES + 1)
    except FileNotFoundError as error:
        raise PictureError(f"{file!r} is not in the scenario's folder; copy the picture there") from error
    except (OSError, RuntimeError, ValueError) as error:
        raise PictureError(f"{file!r} cannot be read: {reason_of(error)}") from error
    if len(data) > MOST_BYTES:
        raise PictureError(f"{file!r} is larger than {MOST_BYTES // 1_000_000} MB; save the picture smaller")
    return data
