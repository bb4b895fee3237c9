"""Answer cutting-stock questions by PackingSolver, a line of JSON for each, until the questions end.

To be run by a Python (3.12 or newer) that has the package ``packingsolver``; nothing else is needed. The first line
out names the version. A question has ``rolls`` (length, value, how many), ``drops`` (length, how many) and a
``time_limit``, all whole but the last; its answer has ``seconds``, ``value`` and ``bound``.
"""

from __future__ import annotations

import json
import sys
from importlib.metadata import version
from math import ceil
from time import perf_counter
from typing import Any, Final

from packingsolver import onedimensional

TOLERANCE: Final = 1e-6
"""By how much a bound may be out, in steps of the value."""

WARM_UP: Final = {"rolls": [[10_050, 1, 40]], "drops": [[2551, 20], [613, 9], [907, 7]], "time_limit": 5}


def main() -> None:
    """Answer what standard input asks."""
    answer(WARM_UP)
    _say({"version": version("packingsolver")})
    for line in sys.stdin:
        _say(answer(json.loads(line)))


def answer(question: dict[str, Any]) -> dict[str, Any]:
    """Return value and bound (None where there is none), and the seconds from the question to them."""
    start = perf_counter()
    rolls = question["rolls"]
    # The count of rolls is an objective of its own, with stronger bounds, when all are alike.
    alike = len(rolls) == 1
    objective = onedimensional.Objective
    builder = onedimensional.InstanceBuilder()
    builder.set_objective(objective.BinPacking if alike else objective.VariableSizedBinPacking)
    for length, value, count in rolls:
        builder.add_bin_type(length, cost=value, copies=count)
    for length, count in question["drops"]:
        builder.add_item_type(length, copies=count)
    parameters = onedimensional.OptimizeParameters()
    parameters.time_limit = question["time_limit"]
    parameters.messages_to_stdout = False  # the answers go there
    parameters.verbosity_level = 0
    output = onedimensional.optimize(builder.build(), parameters)
    solution = output.solution
    found = solution.full() and solution.feasible()
    value = rolls[0][1] * solution.number_of_bins() if alike else round(solution.cost())
    bound = rolls[0][1] * output.bin_packing_bound if alike else output.variable_sized_bin_packing_bound
    return {
        "seconds": perf_counter() - start,
        "value": value if found else None,
        "bound": None if output.is_proven_infeasible else ceil(bound - TOLERANCE),
    }


def _say(answered: dict[str, Any]) -> None:
    print(json.dumps(answered), flush=True)


if __name__ == "__main__":
    main()
