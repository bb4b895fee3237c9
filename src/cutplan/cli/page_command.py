"""``cutplan page``: the whole job on one page, in the browser."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from cutplan.cli.app import command
from cutplan.parts.address import address_of


@command
def page(
    scenario: Annotated[
        str | None, typer.Argument(metavar="[FILE]", help="A TOML file; without, a new survey.")
    ] = None,
    *,
    port: Annotated[int | None, typer.Option(min=1, max=65535, metavar="N", help="Where to serve the page.")] = None,
    phone: Annotated[
        bool, typer.Option("--phone", help="Let phones of the local network in too, each by a code to scan.")
    ] = False,
    opens: Annotated[bool, typer.Option("--open/--no-open", help="Open the page in the browser.")] = True,
) -> None:
    """Show the whole job on one page: survey, start, rolls, table, in the browser.

    The page is served by this program, to this machine alone unless --phone is given. Everything stays in the
    scenario and its record, so other commands may be used in turns. Ctrl-C ends it.
    """
    from cutplan.cli.page_work import serve  # noqa: PLC0415 - help does without

    file, part = (None, None) if scenario is None else address_of(scenario)
    serve(None if file is None else Path(file), part, port, phone=phone, opens=opens)
