"""Answer jobs with the cutplan of one tree, for :mod:`pairs`: ``pair_worker.py TREE TABLE COUNT``.

PYTHONPATH holds the ``src`` of the tree, and the jobs are those of its own benchmarks. First come the names of the
jobs; then each line in is the number of one, and each line out its seconds of processor time, values and bounds.
"""

from __future__ import annotations

import json
import os
import sys
from itertools import chain
from pathlib import Path
from time import process_time
from typing import TYPE_CHECKING, Final

TREE, TABLE, COUNT = Path(sys.argv[1]), sys.argv[2], int(sys.argv[3])
# What is imported below is of that tree.
sys.path[0] = str(TREE / "benchmarks")

import comparing  # noqa: E402
import measure  # noqa: E402
from instances import HOUSES, TRIPLETS, contracts, old_houses, room, rooms, triplets, uniform  # noqa: E402
from nested import nested_rooms  # noqa: E402

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from instances import Instance

    Answer = list[float | str]

LIMIT: Final = 60.0
SWEEPS: Final = (("level", comparing.LEVEL), ("out of level", comparing.UNEVEN))


def main() -> None:
    """Answer until nothing more is asked."""
    names, answer = _sweeps() if TABLE == "sweep" else _jobs()
    print(json.dumps(names), flush=True)
    for line in sys.stdin:
        print(json.dumps(answer(int(line))), flush=True)


def _sweeps() -> tuple[list[str], Callable[[int], Answer]]:
    wanted = [(*room, size) for room in SWEEPS for size in comparing.SIZES]

    def answer(number: int) -> Answer:
        name, tops, size = wanted[number]
        found = comparing._swept(name, tops, size, 1)  # noqa: SLF001 - the same in both trees
        return [found.processor_seconds, found.answers, f"{found.proved} proved"]

    return [f"{name}, about {size}|" for name, _, size in wanted], answer


def _jobs() -> tuple[list[str], Callable[[int], Answer]]:
    # In processor time, which other work on the machine does not change; and without the judge, who is not measured.
    vars(measure).update(perf_counter=process_time, _faults=lambda *_: ())
    for stock in ("sealed", "measured"):
        measure.answer(measure.CUTPLAN, room("warm-up", match="quarter", stock=stock, columns=12, step=5), LIMIT)
    jobs = list(_instances())

    def answer(number: int) -> Answer:
        found = measure.answer(measure.CUTPLAN, jobs[number].job, LIMIT)
        figures = [found.certain, *([found.at_best] if found.at_best else [])]
        return [found.seconds, *(str(part) for figure in figures for part in (figure.value, figure.bound))]

    return [f"{', '.join(job.group)}|{job.name}" for job in jobs], answer


def _instances() -> Iterable[Instance]:
    if TABLE == "packing":
        data = os.environ.get("CUTPLAN_PACKING_DATA")
        return chain(uniform(Path(data), COUNT) if data else (), triplets(COUNT, TRIPLETS))
    if TABLE == "houses":
        return old_houses(HOUSES)
    return {"rooms": rooms, "nested": nested_rooms, "contracts": contracts}[TABLE](COUNT)


if __name__ == "__main__":
    main()
