"""Two trees of cutplan side by side: no answer may change but for the better, and how long each takes.

Every job is planned by both as a whole command, in turn, so that a busy machine slows both alike. Compared are the
value, its bound, and the order of cutting with its bounds; never the plans.
"""

from __future__ import annotations

import argparse
import json
import subprocess
import sys
from os import environ
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from time import perf_counter
from typing import TYPE_CHECKING, Any, Final

from instances import rooms

sys.path.insert(0, str(Path(__file__).parent.parent / "tests"))

from random_rooms import MATCHES, STOCKS, random_room
from scenario_text import scenario_text

if TYPE_CHECKING:
    from collections.abc import Iterator

MOST_PIECES: Final = 40
COLUMNS: Final = (10, 36)


def main() -> int:
    """Plan every job with both trees; print what differs and a summary. Return 1 when some answer is worse."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n\n")[0])
    parser.add_argument("other", type=Path, help="the src folder of the other tree")
    parser.add_argument("--jobs", type=int, default=200, help="about so many, half of them with every sort of stock")
    parser.add_argument("--order", choices=("follow", "once"), default="follow", help="what this tree is asked for")
    parser.add_argument("--other-order", choices=("follow", "once"), default="follow", help="what the other is")
    options = parser.parse_args()
    ours, ratios, worse, proved, planned = Path(__file__).parent.parent / "src", [], 0, 0, 0
    with TemporaryDirectory() as folder:
        for name, text in _scenarios(options.jobs):
            path = Path(folder, "job.toml")
            path.write_text(text, encoding="utf-8")
            here, seconds = _planned(ours, path, options.order)
            there, their_seconds = _planned(options.other, path, options.other_order)
            if here is None or there is None:
                worse += here is not there
                continue
            planned += 1
            ratios.append(seconds / their_seconds)
            proved += here["order"]["status"] == "optimal"
            differs = options.order == options.other_order and _compared(here, there)
            if differs:
                worse += differs.startswith("worse")
                print(f"{name}: {differs}", flush=True)
    ratios.sort()
    print(f"{planned} jobs, {proved} orders proved, {worse} answers worse;")
    print(f"time against the other: median {median(ratios):.2f}, worst {ratios[-1]:.2f}")
    return int(worse > 0)


def _scenarios(jobs: int) -> Iterator[tuple[str, str]]:
    for instance in rooms(jobs // 2, COLUMNS):
        if instance.job.drop_count <= MOST_PIECES:
            yield instance.name, scenario_text(instance.job)
    for number in range(jobs - jobs // 2):
        match, stock = MATCHES[number % len(MATCHES)], STOCKS[number // len(MATCHES) % len(STOCKS)]
        job = random_room(number, match=match, stock=stock, most_columns=COLUMNS[1])
        if job.drop_count <= MOST_PIECES:
            yield f"random room {number}, {match}, {stock}", scenario_text(job)


def _planned(source: Path, scenario: Path, order: str) -> tuple[dict[str, Any] | None, float]:
    """Return the plan document, None where there is no plan, and the seconds that the command took."""
    command = [sys.executable, "-m", "cutplan", "plan", str(scenario), "--json", "--order", order]
    began = perf_counter()
    ended = subprocess.run(command, capture_output=True, text=True, env={**environ, "PYTHONPATH": str(source)})  # noqa: S603, PLW1510 - our own program; no plan is an answer
    seconds = perf_counter() - began
    return (json.loads(ended.stdout) if ended.returncode == 0 else None), seconds


def _compared(here: dict[str, Any], there: dict[str, Any]) -> str:
    """Return what became worse, or else what became better; nothing where all is the same."""
    one, other = here["order"], there["order"]
    found = [
        (plan["rolls_needed"], order["most_waiting"], order["furthest_ahead"])
        for plan, order in ((here, one), (there, other))
    ]
    bounds = [(plan["lower_bound"], order["most_waiting_lower_bound"]) for plan, order in ((here, one), (there, other))]
    told = f"{found[1]} with bounds {bounds[1]} before, {found[0]} with bounds {bounds[0]} now"
    if found[0] > found[1] or any(now < before for now, before in zip(*bounds, strict=True)):
        return f"worse: {told}"
    return f"better: {told}" if (found[0], bounds[0]) != (found[1], bounds[1]) else ""


if __name__ == "__main__":
    sys.exit(main())
