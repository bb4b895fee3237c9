"""PackingSolver, the academic solver for packing, as a rival: in a Python of its own, for jobs without a print.

It needs Python 3.12 or newer, so it is not among the dependencies: whoever measures names a Python that has it.
Its one-dimensional problem knows lengths, numbers and costs of rolls, and lengths and numbers of pieces, and gives a
plan and a bound. It knows no place in a print and nothing that comes to be only during the work.
"""

from __future__ import annotations

import json
import subprocess
from pathlib import Path
from select import select
from time import perf_counter
from typing import TYPE_CHECKING, Any, Final

from arc_flow import demand_of, is_plain, roll_types, steps_per_mm, value_step
from measure import GRACE, Figure, Outcome

if TYPE_CHECKING:
    from types import TracebackType
    from typing import Self

    from cutplan.job.job import Job
    from instances import Instance

NAME: Final = "PackingSolver"
VARIABLE: Final = "CUTPLAN_PACKINGSOLVER_PYTHON"
WORKER: Final = Path(__file__).with_name("packing_solver_worker.py")


class PackingSolver:
    """A process that answers free-match jobs, kept warm between them; close it by leaving its ``with``."""

    def __init__(self, python: str, time_limit: float) -> None:
        self._python = python
        self._time_limit = time_limit
        self.version = ""
        self._start()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, value: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._end()

    def answer(self, instance: Instance) -> Outcome | None:
        """Return the outcome: one without figures when the process failed, None for a job that it cannot state.

        The time is that of stating the job in whole numbers here, and of all that is done with them there.
        """
        job = instance.job
        if not (job.paper.pattern.is_free and is_plain(job)):
            return None
        start = perf_counter()
        step = value_step(job)
        question = {**stated(job), "time_limit": self._time_limit}
        stating = perf_counter() - start
        answer = self._ask(question)
        if answer is None:
            seconds = perf_counter() - start
            self._end()
            self._start()
            return Outcome(seconds, Figure(None, None))
        value, bound = answer["value"], answer["bound"]
        figure = Figure(None if value is None else value * step, None if bound is None else bound * step)
        return Outcome(stating + answer["seconds"], figure)

    def _ask(self, question: dict[str, Any]) -> dict[str, Any] | None:
        asking, answering = self._process.stdin, self._process.stdout
        if asking is None or answering is None:
            raise RuntimeError("the process was started without pipes")
        try:
            asking.write(json.dumps(question).encode() + b"\n")
            asking.flush()
        except BrokenPipeError:
            return None
        ready, _, _ = select([answering], [], [], self._time_limit + GRACE)
        line = answering.readline() if ready else b""
        return json.loads(line) if line else None

    def _start(self) -> None:
        try:
            self._process = subprocess.Popen(  # noqa: S603 - the Python that whoever measures named
                [self._python, str(WORKER)], stdin=subprocess.PIPE, stdout=subprocess.PIPE
            )
        except OSError as error:
            raise SystemExit(f"cannot run {self._python}: {error.strerror}") from None
        line = self._process.stdout.readline() if self._process.stdout else b""  # it is warm
        if not line:
            self._end()
            raise SystemExit(f"no PackingSolver there: {self._python} -m pip install packingsolver")
        self.version = json.loads(line)["version"]

    def _end(self) -> None:
        self._process.kill()
        self._process.communicate()


def stated(job: Job) -> dict[str, Any]:
    """Return a job without a print in whole numbers: rolls (length, value, how many), drops (length, how many)."""
    per_mm = steps_per_mm(job)
    demand = demand_of(job, per_mm, repeat=0)
    enough = sum(demand.values())
    types = roll_types(job, per_mm, 0, value_step(job))
    return {
        "rolls": [[kind.room, kind.value, enough if kind.count is None else kind.count] for kind in types],
        "drops": [[kind.length, count] for kind, count in demand.items()],
    }
