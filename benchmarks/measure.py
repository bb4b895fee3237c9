"""How long each method takes over a job, and what it finds: each in a process of its own, warm, one at a time."""

from __future__ import annotations

from multiprocessing import get_context
from time import perf_counter
from typing import TYPE_CHECKING, Final

from msgspec import Struct

from arc_flow import RIVALS, is_plain, model_of
from cutplan.check import check_text
from cutplan.errors import NoPlanError
from cutplan.render.documents.plan_document import plan_document, plan_text
from cutplan.scenario.read import Scenario
from cutplan.solve import solve
from instances import room

if TYPE_CHECKING:
    from fractions import Fraction
    from multiprocessing.connection import Connection
    from types import TracebackType
    from typing import Self

    from cutplan.job.job import Job
    from cutplan.plan.plan import Plan
    from instances import Instance

CUTPLAN: Final = "cutplan"
"""Name of our own solver among the methods; the others are rivals of the arc-flow model."""

LARGEST_JUDGED: Final = 10_000
"""Plans of more pieces are not judged: they are the same few layouts over and over."""

GRACE: Final = 60.0
"""Seconds beyond its limits after which a method that does not stop is ended."""


class Figure(Struct, frozen=True):
    """Value of the best plan and bound on it, in rolls or cost; None where there is none."""

    value: Fraction | None
    bound: Fraction | None

    @property
    def is_proved(self) -> bool:
        """True when value and bound meet."""
        return self.value is not None and self.value == self.bound


class Outcome(Struct, frozen=True):
    """What a method made of a job.

    Attributes
    ----------
    seconds
        From the job to the answer, building models included, and importing libraries not.
    certain
        Figure that holds however sealed rolls begin.
    at_best
        Figure if every sealed roll began as it should; None when no roll is sealed or no print binds.
    faults
        What the independent checker found wrong with the plan.
    from_offcuts
        How many offcuts and cut-outs the plan cuts from.

    """

    seconds: float
    certain: Figure
    at_best: Figure | None = None
    faults: tuple[str, ...] = ()
    from_offcuts: int = 0

    @property
    def is_proved(self) -> bool:
        """True when every figure is proved."""
        return self.certain.is_proved and (self.at_best is None or self.at_best.is_proved)

    def contradicts(self, other: Outcome) -> bool:
        """Return whether the bound of one lies above the value of the other."""
        pairs = [(self.certain, other.certain)]
        if self.at_best is not None and other.at_best is not None:
            pairs.append((self.at_best, other.at_best))
        return any(_crosses(one, two) or _crosses(two, one) for one, two in pairs)


class Worker:
    """A process that answers jobs by one method, kept warm between them; close it by leaving its ``with``."""

    def __init__(self, method: str, time_limit: float) -> None:
        self._method = method
        self._time_limit = time_limit
        self._start()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, value: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._process.terminate()
        self._process.join()

    def answer(self, instance: Instance) -> Outcome | None:
        """Return the outcome: without figures when the method ended or had to be ended, None if it cannot state it."""
        if self._method != CUTPLAN and not is_plain(instance.job):
            return None
        start = perf_counter()
        self._connection.send((instance.job, instance.scenario))
        try:
            if self._connection.poll(2 * self._time_limit + GRACE):
                return self._received()
        except EOFError:
            pass
        seconds = perf_counter() - start
        self._process.terminate()
        self._process.join()
        self._start()
        return Outcome(seconds, Figure(None, None))

    def _received(self) -> Outcome:
        outcome = self._connection.recv()
        if not isinstance(outcome, Outcome):
            raise TypeError(f"{self._method} sent {outcome!r}")
        return outcome

    def _start(self) -> None:
        context = get_context("spawn")
        self._connection, far_end = context.Pipe()
        arguments = (far_end, self._method, self._time_limit)
        self._process = context.Process(target=_serve, args=arguments, daemon=True)
        self._process.start()
        far_end.close()
        self._connection.recv()  # it is warm


def _serve(connection: Connection, method: str, time_limit: float) -> None:
    """Answer one job after another until the process is ended."""
    for stock in ("sealed", "measured"):
        answer(method, room("warm-up", match="quarter", stock=stock, columns=12, step=5), time_limit)
    connection.send("warm")
    while True:
        job, scenario = connection.recv()
        connection.send(answer(method, job, time_limit, scenario))


def answer(method: str, job: Job, time_limit: float, scenario: Scenario | None = None) -> Outcome:
    """Return the outcome of ``method`` for ``job``, in this process.

    A rival that is asked for both figures has ``time_limit`` for each, cutplan once for both. ``scenario`` is what the
    job was read from, for the checker; without it, one of plain rolls and drops is made up.
    """
    return _planned(job, time_limit, scenario) if method == CUTPLAN else _by_rival(method, job, time_limit)


def _planned(job: Job, time_limit: float, scenario: Scenario | None) -> Outcome:
    start = perf_counter()
    try:
        plan = solve(job, time_limit=time_limit)
    except NoPlanError:
        return Outcome(perf_counter() - start, Figure(None, None))
    seconds = perf_counter() - start
    best = plan.at_best
    return Outcome(
        seconds,
        Figure(plan.value, plan.proof.bound),
        None if best is None or job.paper.pattern.is_free else Figure(best.value, best.proof.bound),
        _faults(plan, scenario) if job.drop_count <= LARGEST_JUDGED else (),
        sum(job.lot(layout.lot).is_offcut for layout in plan.layouts) if job.offcuts else 0,
    )


def _by_rival(method: str, job: Job, time_limit: float) -> Outcome:
    start = perf_counter()
    certain = _rival_figure(method, job, time_limit, at_best=False)
    both = job.has_sealed_rolls and not job.paper.pattern.is_free
    at_best = _rival_figure(method, job, time_limit, at_best=True) if both else None
    return Outcome(perf_counter() - start, certain, at_best)


def _rival_figure(method: str, job: Job, time_limit: float, *, at_best: bool) -> Figure:
    model = model_of(job, at_best=at_best)
    found = RIVALS[method](model, time_limit)
    return Figure(
        None if found.value is None else found.value * model.step,
        None if found.bound is None else found.bound * model.step,
    )


def _crosses(bounded: Figure, valued: Figure) -> bool:
    return bounded.bound is not None and valued.value is not None and bounded.bound > valued.value


def _faults(plan: Plan, scenario: Scenario | None) -> tuple[str, ...]:
    """Return what the independent checker finds wrong with ``plan``, written out and read again."""
    scenario = scenario or Scenario(plan.job, "mm", (), _document(plan.job), "benchmark")
    report = check_text(plan_text(plan_document(plan, scenario)))
    return tuple(violation.line() for violation in report.violations)


def _document(job: Job) -> dict[str, object]:
    """Return the scenario that states ``job``, as the plain JSON that a plan echoes."""
    pattern, trims = job.paper.pattern, job.drops[0]
    match = "free" if pattern.is_free else f"{_mm(pattern.repeat)}/{_mm(pattern.offset)}"
    direction = {"offset_direction": "down"} if pattern.needs_direction else {}
    drops = [
        {"label": drop.label, "height": _mm(drop.height), "first_motif": _mm(drop.first_motif), "count": drop.count}
        for drop in job.drops
    ]
    rolls = [
        {"label": lot.label, "length": _mm(lot.length), "count": lot.count}
        | ({} if lot.first_motif is None else {"first_motif": _mm(lot.first_motif)})
        for lot in job.lots
        if lot.count is not None
    ]
    return {
        "paper": {"name": job.paper.name, "roll_length": _mm(job.paper.roll_length), "match": match, **direction},
        "trim": {"top": _mm(trims.trim_top), "bottom": _mm(trims.trim_bottom)},
        **({"roll": rolls} if rolls else {}),
        "drop": drops,
    }


def _mm(length: Fraction) -> str:
    """Return an exact length with its unit, a broken one as a mixed number: ``213 1/3 mm``."""
    whole, rest = divmod(length, 1)
    return f"{whole} {rest} mm" if rest else f"{whole} mm"
