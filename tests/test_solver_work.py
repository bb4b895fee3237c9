"""How much work the solver takes over given jobs, in counts that are the same on every run, not in seconds.

A change that makes the solver price, fill or search more than it did fails here before anybody notices the time.
After a deliberate change, or when the solver has come to need much less, renew the figures:
``python tests/test_solver_work.py`` prints the table ``MEASURED`` to paste.
"""

from __future__ import annotations

import subprocess
import sys
from fractions import Fraction
from functools import cache
from os import environ
from random import Random
from typing import TYPE_CHECKING, Any, Final

import pytest
from msgspec import Struct
from msgspec.structs import astuple
from ortools.linear_solver import pywraplp

from cutplan.job.drops import Drop
from cutplan.job.job import Job
from cutplan.paper.pattern import FREE, Pattern
from cutplan.paper.stock import Lot, Paper
from cutplan.plan.proof import Status
from cutplan.solve import solve
from cutplan.solve.roll.few_places import FewPlaces, FewWorth
from cutplan.solve.roll.free import FreeRolls, FreeWorth
from cutplan.solve.roll.fullest import DropsLeft
from cutplan.solve.roll.phased import PhasedRolls, PhasedWorth
from cutplan.solve.search.likely_rolls import Beliefs
from random_rooms import random_room

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

SECONDS: Final = 60.0
"""Far more than any of these jobs takes: a plan that was stopped would have counted less."""


class Work(Struct):
    """What one solving did.

    Attributes
    ----------
    pricings
        How often it was worked out what rolls can be worth at given prices.
    columns
        Layouts found worth more than their rolls allow, and offered to a linear programme.
    linear
        Linear programmes solved.
    fillings
        Rolls filled, or likely ones settled at a time, be it for a plan that was not kept.
    whole
        Integer programmes solved.
    rows, variables
        Of all integer programmes together.
    nodes
        Of branch and bound, of all integer programmes together; 0 where the root already decides.

    """

    pricings: int = 0
    columns: int = 0
    linear: int = 0
    fillings: int = 0
    whole: int = 0
    rows: int = 0
    variables: int = 0
    nodes: int = 0


NAMES: Final = Work.__struct_fields__

PARTS: Final = {"half": Fraction(1, 2), "third": Fraction(1, 3)}
"""Of the repeat, by which a column's print is below the one's before."""

MEASURED: Final = {
    "room free sealed 4": (0, 0, 0, 9, 0, 0, 0, 0),
    "room free sealed 6": (3, 0, 1, 78, 0, 0, 0, 0),
    "room free measured 0": (0, 0, 0, 18, 0, 0, 0, 0),
    "room free measured 3": (0, 0, 0, 8, 0, 0, 0, 0),
    "room straight sealed 1": (19, 18, 10, 7, 0, 0, 0, 0),
    "room straight sealed 5": (7, 0, 0, 6, 0, 0, 0, 0),
    "room straight measured 1": (5, 0, 0, 21, 0, 0, 0, 0),
    "room straight measured 6": (7, 8, 2, 8, 0, 0, 0, 0),
    "room half sealed 3": (59, 161, 40, 14, 0, 0, 0, 0),
    "room half sealed 4": (9, 0, 0, 6, 0, 0, 0, 0),
    "room half measured 3": (13, 16, 2, 23, 0, 0, 0, 0),
    "room half measured 7": (34, 303, 20, 22, 0, 0, 0, 0),
    "room third sealed 4": (68, 214, 51, 17, 0, 0, 0, 0),
    "room third sealed 7": (38, 73, 28, 5, 0, 0, 0, 0),
    "room third measured 0": (16, 12, 2, 53, 0, 0, 0, 0),
    "room third measured 7": (27, 322, 18, 32, 0, 0, 0, 0),
    "room quarter sealed 4": (28, 40, 15, 11, 0, 0, 0, 0),
    "room quarter sealed 5": (9, 0, 0, 8, 0, 0, 0, 0),
    "room quarter measured 0": (9, 0, 0, 13, 0, 0, 0, 0),
    "room quarter measured 4": (43, 310, 33, 25, 0, 0, 0, 0),
    "priced half 1": (44, 72, 15, 29, 0, 0, 0, 0),
    "priced half 35": (38, 46, 12, 32, 0, 0, 0, 0),
    "house half 0": (167, 1472, 53, 1319, 0, 0, 0, 0),
    "house third 2": (56, 276, 11, 517, 1, 46, 4743, 0),
    "large half 0": (572, 2226, 71, 244, 0, 0, 0, 0),
    "large third 1": (299, 2568, 32, 76, 0, 0, 0, 0),
    "triplets 60 0": (0, 0, 0, 65, 0, 0, 0, 0),
    "triplets 60 1": (0, 0, 0, 117, 0, 0, 0, 0),
    "triplets 120 0": (0, 0, 0, 126, 0, 0, 0, 0),
    "hard 160 12 241": (120, 429, 57, 887, 1, 144, 1214, 0),
    "hard 160 24 197": (126, 473, 59, 886, 1, 142, 3382, 0),
}
"""Work in the order of its attributes, by job, whose name is read by :func:`job_called`."""

PART: Final = 5
"""A job may take a fifth more work than was measured, since GLOP may differ from one machine to another …"""

FEW: Final = 3
"""… and this much more in any case;"""

NODES: Final = 200
"""of nodes this many, for which CBC's cuts and heuristics decide;"""

PART_OF_ALL: Final = 20
"""and all jobs of a sort together a twentieth more of each."""


@pytest.mark.parametrize("name", MEASURED)
def test_a_job_takes_no_more_work_than_measured(name: str) -> None:
    """Every count stays within a fifth of what was measured, and the plan is proved."""
    assert_within(work_of(name), Work(*(ceiling(*of_job) for of_job in zip(NAMES, MEASURED[name], strict=True))))


@pytest.mark.parametrize("sort", ["room", "priced", "house", "large", "triplets", "hard"])
def test_jobs_of_a_sort_together_take_little_more_work_than_measured(sort: str) -> None:
    """What each job may take more on its own, all of its sort may not."""
    names = [name for name in MEASURED if name.split()[0] == sort]
    measured = total(Work(*MEASURED[name]) for name in names)

    assert_within(
        total(work_of(name) for name in names),
        Work(*(NODES * (field == "nodes") + count + count // PART_OF_ALL for field, count in counted(measured))),
    )


def test_measured_jobs_reach_every_kind_of_work() -> None:
    """Ceilings guard nothing that no job does; nodes may all be 0, since cuts at the root decide small programmes."""
    reached = {field for field, count in counted(total(Work(*counts) for counts in MEASURED.values())) if count}

    assert reached >= set(NAMES) - {"nodes"}


def test_the_same_job_takes_the_same_work_whatever_the_hash_seed() -> None:
    """Two processes that order their sets and hashes differently print one and the same table."""
    # Each of them ends in another stage: the linear programme, a list of layouts, purchases.
    names = ["room third measured 7", "house third 2", "priced half 35"]
    first, second = (
        subprocess.run(  # noqa: S603 - this very file
            [sys.executable, __file__, *names],
            env={**environ, "PYTHONHASHSEED": seed},
            capture_output=True,
            check=True,
            text=True,
        ).stdout
        for seed in ("1", "2")
    )

    assert first == second == table(names)


def ceiling(field: str, measured: int) -> int:
    """Return how much of one kind of work a job may take."""
    return measured + measured // PART + (NODES if field == "nodes" else FEW)


def assert_within(work: Work, most: Work) -> None:
    """Fail, and print the table to paste, when there was more work of any kind than ``most``."""
    exceeded = [
        f"{field}: {count}, at most {limit} expected"
        for (field, count), (_, limit) in zip(counted(work), counted(most), strict=True)
        if count > limit
    ]
    assert not exceeded, "\n".join([*exceeded, "Measured now:", table(MEASURED)])


def counted(work: Work) -> list[tuple[str, int]]:
    """Return each kind of work with how much there was of it."""
    return list(zip(NAMES, astuple(work), strict=True))


def total(works: Iterable[Work]) -> Work:
    """Return all work together."""
    return Work(*map(sum, zip(*map(astuple, works), strict=True)))


def table(names: Iterable[str]) -> str:
    """Return the lines of ``MEASURED`` as they would be measured now."""
    return "".join(f'    "{name}": {astuple(work_of(name))},\n' for name in names)


@cache
def work_of(name: str) -> Work:
    """Return the work over the job of this name, once its plan has been found proved."""
    work = Work()
    with pytest.MonkeyPatch.context() as patch:
        count_into(work, patch)
        plan = solve(job_called(name), time_limit=SECONDS)
    assert (plan.status, plan.stopped) == (Status.OPTIMAL, None)
    assert plan.at_best is None or plan.at_best.status is Status.OPTIMAL
    return work


def count_into(work: Work, patch: pytest.MonkeyPatch) -> None:
    """Count what the solver does, at the methods that its parts call each other by."""

    def priced(*_: object) -> None:
        work.pricings += 1

    def offered(_: object, layouts: list[object]) -> None:
        work.columns += len(layouts)

    def filled(*_: object) -> None:
        work.fillings += 1

    def solved(solver: pywraplp.Solver, _: object) -> None:
        if not solver.IsMip():
            work.linear += 1
            return
        work.whole += 1
        work.rows += solver.NumConstraints()
        work.variables += solver.NumVariables()
        work.nodes += solver.nodes()

    for rolls in (PhasedRolls, FreeRolls, FewPlaces):
        after_each(patch, rolls, "worth", priced)
    for worth in (PhasedWorth, FreeWorth):
        after_each(patch, worth, "layouts_above", offered)
    for fillable in (PhasedWorth, FreeWorth, FewWorth):
        after_each(patch, fillable, "fill", filled)
    after_each(patch, DropsLeft, "take", filled)
    after_each(patch, Beliefs, "settle_likeliest", filled)
    after_each(patch, pywraplp.Solver, "Solve", solved)


def after_each(patch: pytest.MonkeyPatch, owner: type, method: str, count: Callable[[Any, Any], None]) -> None:
    """Call ``count`` with the object and the result after each call of a method."""
    original = getattr(owner, method)

    def counting(self: object, *arguments: object) -> object:
        result = original(self, *arguments)
        count(self, result)
        return result

    patch.setattr(owner, method, counting)


def job_called(name: str) -> Job:
    """Return the job of a name.

    ``room MATCH STOCK SEED``, ``priced MATCH SEED`` (a room, from lots at three prices), ``house MATCH SEED``, ``large
    MATCH SEED`` (a house of so many kinds that the linear programme is steadied), ``triplets SIZE SEED``, or
    ``hard SIZE SEED LAST`` (of which a plan that meets the bound has hardly anything to spare).
    """
    match name.split():
        case ["room", match, stock, seed]:
            return random_room(int(seed), match=match, stock=stock, most_columns=60)
        case ["priced", match, seed]:
            return random_room(int(seed), match=match, stock="prices", most_columns=40)
        case ["house", match, seed]:
            return old_house(Random(f"house {seed}"), PARTS[match])  # noqa: S311 - repeatable, nothing secret
        case ["large", match, seed]:
            return large_house(Random(f"large {seed}"), PARTS[match])  # noqa: S311 - repeatable, nothing secret
        case ["triplets", size, seed]:
            return triplets(Random(f"triplets {seed}"), int(size))  # noqa: S311 - repeatable, nothing secret
        case ["hard", size, seed, last]:
            return hard(Random(f"hard {seed}"), int(size), int(last))  # noqa: S311 - repeatable, nothing secret
    raise ValueError(name)


def old_house(rng: Random, part: Fraction) -> Job:
    """Return 60 drops of 2–3 m, no two alike, a column each, and measured rolls enough."""
    repeat, roll_length, trim = Fraction(640), Fraction(10050), Fraction(50)
    pattern = Pattern(repeat, repeat * part)
    drops = tuple(
        Drop(f"{column}", Fraction(height), pattern.first_motif(column, Fraction(0)), trim, trim)
        for column, height in enumerate(rng.sample(range(2000, 3001), 60))
    )
    lots = tuple(Lot(f"{number}", roll_length, Fraction(rng.randrange(640))) for number in range(30))
    return Job(Paper("invented", pattern, roll_length), lots, drops)


def large_house(rng: Random, part: Fraction) -> Job:
    """Return 140 drops of 300–3000 mm, no two alike, a column each, every fifth below a window; sealed rolls."""
    roll_length, trim = Fraction(10050), Fraction(50)
    pattern = Pattern(Fraction(640), 640 * part)
    heights = rng.sample(range(300, 3001), 140)
    starts = [Fraction(rng.randrange(1200, 2200) if column % 5 == 0 else 0) for column in range(len(heights))]
    drops = tuple(
        Drop(f"{column}", Fraction(height), pattern.first_motif(column, -start), trim, trim)
        for column, (height, start) in enumerate(zip(heights, starts, strict=True))
    )
    return Job(Paper("invented", pattern, roll_length), (Lot("roll", roll_length, count=None),), drops)


def triplets(rng: Random, size: int) -> Job:
    """Return the free-match job of ``size`` drops of which three fill each roll of 1000 to the millimetre.

    References
    ----------
    The recipe of E. Falkenauer, "A hybrid grouping genetic algorithm for bin packing", Journal of Heuristics 2 (1996)
    5–30: the first takes 380–490, the second from 250 up to half of what is left, the third the rest.

    """
    lengths: list[int] = []
    while len(lengths) < size:
        first = rng.randint(380, 490)
        second = rng.randint(250, (1000 - first) // 2)
        lengths += [first, second, 1000 - first - second]
    rng.shuffle(lengths)
    return packing(lengths)


def hard(rng: Random, size: int, last: int) -> Job:
    """Return the free-match job of ``size`` drops of 1–800 on rolls of 1000, the last of them of this length."""
    return packing([*[rng.randint(1, 800) for _ in range(size)][:-1], last])


def packing(lengths: list[int]) -> Job:
    """Return the free-match job of drops of these lengths on rolls of 1000."""
    nothing = Fraction(0)
    drops = tuple(
        Drop(f"{number}", Fraction(length), nothing, nothing, nothing) for number, length in enumerate(lengths)
    )
    return Job(Paper("invented", FREE, Fraction(1000)), (Lot("roll", Fraction(1000), count=None),), drops)


if __name__ == "__main__":
    sys.stdout.write(table(sys.argv[1:] or MEASURED))
