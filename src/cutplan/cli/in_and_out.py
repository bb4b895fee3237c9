"""Where a command's scenario comes from, and where what it makes goes."""

from __future__ import annotations

from typing import TYPE_CHECKING

import cutplan
from cutplan.cli.terminal import STANDARD, print_text, tell, tell_what_is_awaited
from cutplan.whole_file import refuse_target, write_whole

if TYPE_CHECKING:
    from cutplan.scenario.read import Scenario


def scenario_from(source: str, output: str = STANDARD) -> Scenario:
    """Return the scenario in a file or on standard input; ``output`` is refused first if it cannot be written."""
    if output != STANDARD:
        refuse_target(output, source)
    tell_what_is_awaited(source, "the scenario")
    return cutplan.read_scenario(source)


def put(output: str, text: str) -> None:
    """Write a text to a file, saying so, or to standard output."""
    if output == STANDARD:
        print_text(text)
    else:
        write_whole(output, text)
        tell(f"wrote {output}")
