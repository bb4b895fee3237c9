"""The page itself: its template, style and script put together into one file that needs no other."""

from __future__ import annotations

import re
from base64 import b64encode
from collections.abc import Mapping
from functools import cache
from hashlib import sha256
from importlib.resources import files
from typing import TYPE_CHECKING, Any, Final

from cutplan.render.drawing.lettering import on_one_line
from cutplan.render.drawing.picture import FULL_WIDTH, Picture

_READING: Final = re.compile(r"\b\d+(?: \d+/\d+|\.\d+)? (?:mm|cm|m|ft|in)\b(?: \d+(?:/\d+| \d+/\d+)? in\b)?")

if TYPE_CHECKING:
    from jinja2 import Environment
    from markupsafe import Markup


def filled(template: str, content: Mapping[str, object]) -> str:
    """Return a template of this folder filled in: every text in it is shown as text, whatever it holds."""
    return (
        environment("cutplan.render.sheet")
        .get_template(template)
        .render(content, style=part_of_sheet("sheet.css"), script=part_of_sheet("ticks.js"), script_hash=script_hash())
    )


def script_hash() -> str:
    """Return what tells the sheet's one script from any other, as a browser asks for it."""
    return f"sha256-{b64encode(sha256(part_of_sheet('ticks.js').encode()).digest()).decode()}"


@cache
def environment(package: str) -> Environment:
    """Return how the templates of a package are filled in: every text is shown as text."""
    from jinja2 import Environment, PackageLoader, StrictUndefined  # noqa: PLC0415 - late: only pages need it

    environment = Environment(
        loader=PackageLoader(package),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=_finalized,
    )
    environment.filters["drawn"] = _drawn
    environment.filters["share"] = _share
    environment.filters["unbroken"] = _unbroken
    environment.filters["css"] = _css_text
    return environment


def _finalized(value: Any) -> Any:  # noqa: ANN401 - whatever a template shows
    """Return a text without the signs that HTML forbids."""
    return on_one_line(value) if type(value) is str else value


def _css_text(text: str) -> str:
    """Return a text as a style sheet quotes it: every sign that is no letter or figure by its code."""
    return (
        '"'
        + "".join(sign if sign.isalnum() and sign.isascii() else f"\\{ord(sign):06x}" for sign in on_one_line(text))
        + '"'
    )


def _unbroken(text: str) -> Any:  # noqa: ANN401 - a text marked as safe; its type needs jinja2
    """Return a text as markup in which no reading is broken: ``8 ft 2 1/2 in`` stands on one line."""
    markup = _markup()
    return markup(_READING.sub(r'<span class="reading">\g<0></span>', str(markup.escape(_finalized(text)))))


def _drawn(picture: Picture) -> Any:  # noqa: ANN401 - a text marked as safe; its type needs jinja2
    """Return a picture as markup: its texts were escaped when it was drawn."""
    return _markup()(picture.svg())


def _markup() -> type[Markup]:
    from markupsafe import Markup  # noqa: PLC0415 - late, as jinja2 is

    return Markup


def _share(picture: Picture) -> str:
    """Return how much of the page's width a picture takes, so that one unit is as large in all of them."""
    return f"{min(picture.bounds.width / (FULL_WIDTH + 8), 1) * 100:.1f}%"


def part_of_sheet(name: str) -> str:
    """Return the style or the script that stands in every sheet."""
    return files("cutplan.render.sheet").joinpath("templates", name).read_text(encoding="utf-8")
