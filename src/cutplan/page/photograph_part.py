"""The page's part for a photograph: which picture, the four lines that are moved over it, the print that they give."""

from __future__ import annotations

import re
from hashlib import sha256
from pathlib import Path
from typing import Final

from msgspec.structs import replace

from cutplan.errors import CutplanError
from cutplan.page.asked import Asked
from cutplan.page.desk import Desk
from cutplan.page.editing import parsed, put, text_of, value_at
from cutplan.paper.photographed import Line, Photographed
from cutplan.photograph import MOST_BYTES, PictureError, Print, kept, print_of
from cutplan.photograph.file_beside import read_beside
from cutplan.scenario.picture_table import ENDINGS, LINES, picture_line
from cutplan.scenario.read import Scenario
from cutplan.scenario.toml_text import quoted
from cutplan.whole_file import write_new

_MOST: Final = 100
"""Pictures in one folder that can be chosen from."""
_PLACES: Final = re.compile(r"(-?\d{1,5}(?:\.\d{1,2})?) (-?\d{1,5}(?:\.\d{1,2})?)")
_LONGEST: Final = 60
_UNUSUAL: Final = re.compile(r"[^\w .-]")
_TABLE: Final = ("paper", "picture")


def photograph_content(desk: Desk) -> dict[str, object]:
    """Return the pictures beside the file, the one that is told of with its lines, and what is to be said of it."""
    survey = desk.survey()
    told = value_at(survey.document, (*desk.holder, *_TABLE))
    told = told if isinstance(told, dict) else {}
    lines = {key: picture_line(told.get(key)) for key in LINES}
    said = () if survey.scenario is None else print_served(survey.scenario)[1]
    return {"pictures": pictures_beside(desk), "file": told.get("file", ""), "lines": lines, "said": said}


def pictures_beside(desk: Desk) -> list[str]:
    """Return the names of the pictures in the folder of the job's file, in order."""
    if desk.path is None:
        return []
    names = (path.name for path in Path(desk.path).parent.iterdir() if path.suffix.lower() in ENDINGS)
    return sorted(names)[:_MOST]


def picture_named(desk: Desk, name: str) -> bytes:
    """Return one of these pictures; PictureError when it cannot be read, CutplanError when it is none of them."""
    if name not in pictures_beside(desk):
        raise CutplanError(f"no picture beside the file is called {name}")
    return read_beside(desk.address, name)


def keep_picture(desk: Desk, name: str, data: bytes) -> dict[str, object]:
    """Keep a photograph that was sent beside the job's file, small and of its colours alone, under a name of its own.

    CutplanError when it is no picture, too large, or one of too many.
    """
    if desk.path is None:
        raise CutplanError("Give the job a name first: its pictures are kept beside its file.")
    if len(data) > MOST_BYTES:
        raise CutplanError(f"The picture takes more than {MOST_BYTES // 1_000_000} MB; save it smaller.")
    stem = _UNUSUAL.sub("", re.split(r"[/\\]", name)[-1].rpartition(".")[0])[:_LONGEST].strip(" .-") or "paper"
    with desk.lock:
        if len(pictures_beside(desk)) >= _MOST:
            raise CutplanError("There are a hundred pictures beside the file already; move some of them away.")
        picture = kept(data, f"{stem}.jpg")
        folder = Path(desk.path).parent
        names = (f"{stem}.jpg", *(f"{stem} {number}.jpg" for number in range(2, _MOST + 2)))
        file = next(each for each in names if not (folder / each).exists())
        write_new(str(folder / file), picture)
    return {"said": f"{file} is kept beside the file. Now move the lines on to the paper.", "file": file}


def keep_lines(desk: Desk, asked: Asked) -> dict[str, object]:
    """Write a picture and its lines into the scenario; without a picture take them out."""
    file = asked.text("file")
    with desk.lock:
        text, table = desk.text(), (*desk.holder, *_TABLE)
        document = parsed(text)
        if not file:
            put(document, table, None)
        else:
            picture_named(desk, file)
            lines = [_line(asked.text(key)) for key in LINES]
            try:
                _ = Photographed(file, *lines).corners
            except ValueError as error:
                raise CutplanError(str(error)) from error
            put(document, (*table, "file"), quoted(file))
            for key, ((ax, ay), (bx, by)) in zip(LINES, lines, strict=True):
                put(document, (*table, key), f"[[{ax:g}, {ay:g}], [{bx:g}, {by:g}]]")
        desk.write(text_of(document, text, str(table[0])))
    return {"said": "The picture and its lines are kept in the file." if file else "The drawn leaf is back."}


def _line(text: str) -> Line:
    """Return a line told as ``92.7 90.2, 32.4 667.2``."""
    places = [_PLACES.fullmatch(place) for place in text.split(", ")]
    one, other = places if len(places) == len(("one", "other")) else (None, None)
    if one is None or other is None:
        raise CutplanError("a line goes through two places in the picture")
    return ((float(one[1]), float(one[2])), (float(other[1]), float(other[2])))


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
