"""The plain arc-flow model of a job, as a rival: graphs of rolls, and one integer programme on four solvers.

A node is a place, counted from a roll's outer end, at which a drop may begin. Each kind of drop whose print
agrees there is an arc to the first place at or after its end; waiting arcs lead from each place to the next.
Rolls are paths, and every kind must be cut as often as it is wanted. Only places that can be reached count when
each drop lies as near the outer end as its print lets it. Rolls with the same length and start of the print
share a graph. A sealed roll is counted from its first cut, so it has a graph for each place of the print at
which a drop may begin. In a free match order does not matter, and longer drops come first. A node wherever a
drop *ends* as well would be plainer still: CBC then takes 1.4 times as long. Nothing of cutplan's solver is used.

References
----------
J. M. Valério de Carvalho, "Exact solution of bin-packing problems using column generation and branch-and-bound",
Annals of Operations Research 86 (1999) 629–659.

"""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from fractions import Fraction
from itertools import accumulate
from math import ceil, gcd, lcm
from typing import TYPE_CHECKING, Any, Final

from msgspec import Struct

if TYPE_CHECKING:
    from collections.abc import Callable

    from cutplan.job.job import Job

TOLERANCE: Final = 1e-6
"""By how much a solver's bound may be out, in steps of the value."""


class Kind(Struct, frozen=True, order=True):
    """Drops cut alike, in whole steps: cut length, and a motif datum's distance below the cut top."""

    length: int
    datum: int


class RollType(Struct, frozen=True):
    """Rolls alike, in whole steps: room to cut in, where the print starts (None: anywhere), value, and how many."""

    room: int
    motif: int | None
    value: int
    count: int | None


class Arc(Struct, frozen=True):
    """From node ``tail`` to node ``head``, cutting a drop of ``kind`` (its number), or none."""

    tail: int
    head: int
    kind: int | None


class Graph(Struct, frozen=True):
    """Ways to cut a roll of the type with this number, from node 0, its outer end, to its last node."""

    roll_type: int
    nodes: int
    arcs: tuple[Arc, ...]


class Model(Struct, frozen=True):
    """All graphs side by side, as one programme.

    Attributes
    ----------
    arcs
        Of every graph; nodes are numbered through.
    nodes
        Number of nodes.
    sources
        First node of each graph, with the number of its roll type.
    sinks
        Last node of each graph.
    demand
        Wanted of each kind.
    types
        Roll types.
    step
        Value of a plan is this times a whole number.

    """

    arcs: tuple[Arc, ...]
    nodes: int
    sources: dict[int, int]
    sinks: frozenset[int]
    demand: tuple[int, ...]
    types: tuple[RollType, ...]
    step: Fraction

    @property
    def inner_nodes(self) -> list[int]:
        """Nodes where as much must leave as comes."""
        return [node for node in range(self.nodes) if node not in self.sources and node not in self.sinks]

    def cost(self, arc: Arc) -> int:
        """Return what a path pays on ``arc``: its roll, where it sets out."""
        return self.types[self.sources[arc.tail]].value if arc.tail in self.sources else 0

    def most(self, arc: Arc) -> int:
        """Return how many paths may need ``arc``."""
        return sum(self.demand) if arc.kind is None else self.demand[arc.kind]


class Answer(Struct, frozen=True):
    """Value and bound in whole steps; either is None when the solver gave none."""

    value: int | None
    bound: int | None


def is_plain(job: Job) -> bool:
    """Return whether the model can state ``job``: whole rolls, and nothing that waits for a drop to hang."""
    return (
        not job.must_share_batches
        and not any(lot.is_offcut or lot.is_foot_first or lot.parts for lot in job.lots)
        and not any(drop.cut_outs or drop.batch for drop in job.drops)
    )


def model_of(job: Job, *, at_best: bool) -> Model:
    """Return the arc-flow model of ``job``; ``at_best`` lets sealed rolls begin wherever their layouts want."""
    per_mm = steps_per_mm(job)
    repeat = int(job.paper.pattern.repeat * per_mm)
    demand = demand_of(job, per_mm, repeat)
    kinds = sorted(demand, reverse=True)
    step = value_step(job)
    types = roll_types(job, per_mm, 0 if at_best else repeat, step)
    graphs: list[Graph] = []
    for number, roll_type in enumerate(types):
        starts = sorted({kind.datum for kind in kinds}) if roll_type.motif is None else [roll_type.motif]
        for motif in starts:
            if repeat:
                cuts = cuts_by_print(kinds, motif, repeat, roll_type)
            else:
                cuts = cuts_by_length(kinds, demand, roll_type.room)
            graphs.append(graph_of(number, cuts, kinds))
    return _side_by_side(graphs, tuple(demand[kind] for kind in kinds), types, step)


def graph_of(roll_type: int, cuts: set[tuple[int, Kind]], kinds: list[Kind]) -> Graph:
    """Return the graph of a roll on which ``cuts``, each a place and a kind, may be made."""
    places = sorted({0, *(place for place, _ in cuts)})
    number_of = {kind: number for number, kind in enumerate(kinds)}
    cutting = (
        Arc(bisect_left(places, place), bisect_left(places, place + kind.length), number_of[kind])
        for place, kind in sorted(cuts)
    )
    waiting = (Arc(node, node + 1, None) for node in range(len(places)))
    return Graph(roll_type, len(places) + 1, (*cutting, *waiting))


def _side_by_side(graphs: list[Graph], demand: tuple[int, ...], types: tuple[RollType, ...], step: Fraction) -> Model:
    first_nodes = list(accumulate((graph.nodes for graph in graphs), initial=0))
    arcs = tuple(
        Arc(first + arc.tail, first + arc.head, arc.kind)
        for first, graph in zip(first_nodes, graphs, strict=False)
        for arc in graph.arcs
    )
    sources = {first: graph.roll_type for first, graph in zip(first_nodes, graphs, strict=False)}
    sinks = frozenset(after - 1 for after in first_nodes[1:])
    return Model(arcs, first_nodes[-1], sources, sinks, demand, types, step)


def cuts_by_print(kinds: list[Kind], motif: int, repeat: int, roll_type: RollType) -> set[tuple[int, Kind]]:
    """Return the places at which a kind may be cut when all are cut as near the outer end as the print lets them.

    The roll has a datum at ``motif``; a sealed one is counted from a first cut that has.
    """
    kinds_at: dict[int, list[Kind]] = {}
    for kind in kinds:
        kinds_at.setdefault((motif - kind.datum) % repeat, []).append(kind)
    cuts: set[tuple[int, Kind]] = set()
    begun: set[int] = set()
    reached = {0}
    ends = [0]
    while ends:
        end = ends.pop()
        for first, alike in kinds_at.items():
            place = end + (first - end) % repeat
            late = end == 0 and place > 0 and roll_type.motif is None
            if late or place in begun:
                continue
            begun.add(place)
            for kind in alike:
                after = place + kind.length
                if after > roll_type.room:
                    continue
                cuts.add((place, kind))
                if after not in reached:
                    reached.add(after)
                    ends.append(after)
    return cuts


def cuts_by_length(kinds: list[Kind], demand: Counter[Kind], room: int) -> set[tuple[int, Kind]]:
    """Return the places at which a kind may be cut when no print binds and ``kinds`` come in their order."""
    cuts: set[tuple[int, Kind]] = set()
    reached = {0}
    for kind in kinds:
        for end in sorted(reached):
            for place in range(end, min(end + (demand[kind] - 1) * kind.length, room - kind.length) + 1, kind.length):
                cuts.add((place, kind))
                reached.add(place + kind.length)
    return cuts


def solve_by_pywraplp(model: Model, solver_name: str, time_limit: float) -> Answer:
    """Return the answer of a solver that or-tools' linear wrapper names: ``"CBC"`` or ``"SCIP"``."""
    from ortools.linear_solver import pywraplp  # noqa: PLC0415 - one solver's library at a time

    solver = pywraplp.Solver.CreateSolver(solver_name)
    solver.SetTimeLimit(round(1000 * time_limit))
    conservation = {node: solver.Constraint(0, 0) for node in model.inner_nodes}
    demand = [solver.Constraint(wanted, solver.infinity()) for wanted in model.demand]
    stock = [None if roll_type.count is None else solver.Constraint(0, roll_type.count) for roll_type in model.types]
    objective = solver.Objective()
    for arc in model.arcs:
        variable = solver.IntVar(0, model.most(arc), "")
        if arc.tail in conservation:
            conservation[arc.tail].SetCoefficient(variable, -1)
        if arc.head in conservation:
            conservation[arc.head].SetCoefficient(variable, 1)
        if arc.kind is not None:
            demand[arc.kind].SetCoefficient(variable, 1)
        if arc.tail in model.sources:
            objective.SetCoefficient(variable, model.cost(arc))
            limit = stock[model.sources[arc.tail]]
            if limit is not None:
                limit.SetCoefficient(variable, 1)
    objective.SetMinimization()
    exactly = pywraplp.MPSolverParameters()
    exactly.SetDoubleParam(exactly.RELATIVE_MIP_GAP, 0.0)
    status = solver.Solve(exactly)
    if status not in {pywraplp.Solver.OPTIMAL, pywraplp.Solver.FEASIBLE}:
        return Answer(None, None)
    return Answer(round(objective.Value()), ceil(objective.BestBound() - TOLERANCE))


def solve_by_cp_sat(model: Model, time_limit: float) -> Answer:
    """Return the answer of CP-SAT with one worker and a full linear relaxation."""
    from ortools.sat.python import cp_model  # noqa: PLC0415 - one solver's library at a time

    programme = cp_model.CpModel()
    flows = [programme.new_int_var(0, model.most(arc), "") for arc in model.arcs]
    conservation: dict[int, list[tuple[Any, int]]] = {node: [] for node in model.inner_nodes}
    for arc, flow in zip(model.arcs, flows, strict=True):
        if arc.tail in conservation:
            conservation[arc.tail].append((flow, -1))
        if arc.head in conservation:
            conservation[arc.head].append((flow, 1))
    for terms in conservation.values():
        programme.add(cp_model.LinearExpr.weighted_sum(*map(list, zip(*terms, strict=True))) == 0)
    cutting: list[list[Any]] = [[] for _ in model.demand]
    for arc, flow in zip(model.arcs, flows, strict=True):
        if arc.kind is not None:
            cutting[arc.kind].append(flow)
    for wanted, cut in zip(model.demand, cutting, strict=True):
        programme.add(cp_model.LinearExpr.sum(cut) >= wanted)
    opened = [(arc, flow) for arc, flow in zip(model.arcs, flows, strict=True) if arc.tail in model.sources]
    for number, roll_type in enumerate(model.types):
        if roll_type.count is not None:
            used = [flow for arc, flow in opened if model.sources[arc.tail] == number]
            programme.add(cp_model.LinearExpr.sum(used) <= roll_type.count)
    programme.minimize(
        cp_model.LinearExpr.weighted_sum([flow for _, flow in opened], [model.cost(arc) for arc, _ in opened])
    )
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.linearization_level = 2
    solver.parameters.max_time_in_seconds = time_limit
    status = solver.solve(programme)
    found = status in {cp_model.OPTIMAL, cp_model.FEASIBLE}
    bound = ceil(solver.best_objective_bound - TOLERANCE) if status != cp_model.INFEASIBLE else None
    return Answer(round(solver.objective_value) if found else None, bound)


def solve_by_highs(model: Model, time_limit: float) -> Answer:
    """Return the answer of HiGHS through SciPy."""
    import numpy as np  # noqa: PLC0415 - one solver's library at a time
    from scipy.optimize import Bounds, LinearConstraint, milp  # noqa: PLC0415
    from scipy.sparse import coo_array  # noqa: PLC0415

    inner = {node: row for row, node in enumerate(model.inner_nodes)}
    limited = {
        number: row for row, number in enumerate(n for n, kind in enumerate(model.types) if kind.count is not None)
    }
    cells: dict[str, list[tuple[int, int, int]]] = {"conservation": [], "demand": [], "stock": []}
    for column, arc in enumerate(model.arcs):
        for node, sign in ((arc.tail, -1), (arc.head, 1)):
            if node in inner:
                cells["conservation"].append((sign, inner[node], column))
        if arc.kind is not None:
            cells["demand"].append((1, arc.kind, column))
        if arc.tail in model.sources and model.sources[arc.tail] in limited:
            cells["stock"].append((1, limited[model.sources[arc.tail]], column))
    sides = {
        "conservation": ([0] * len(inner), [0] * len(inner)),
        "demand": (list(model.demand), [np.inf] * len(model.demand)),
        "stock": ([0] * len(limited), [model.types[number].count for number in limited]),
    }
    constraints = []
    for name, entries in cells.items():
        if entries:
            values, rows, columns = zip(*entries, strict=True)
            shape = (len(sides[name][0]), len(model.arcs))
            constraints.append(
                LinearConstraint(coo_array((values, (rows, columns)), shape=shape).tocsr(), *sides[name])
            )
    outcome = milp(
        [model.cost(arc) for arc in model.arcs],
        integrality=np.ones(len(model.arcs)),
        bounds=Bounds(0, [model.most(arc) for arc in model.arcs]),
        constraints=constraints,
        options={"time_limit": time_limit, "mip_rel_gap": 0},
    )
    value = None if outcome.x is None else round(outcome.fun)
    bound = outcome.mip_dual_bound
    return Answer(value, None if bound is None else ceil(bound - TOLERANCE))


RIVALS: Final[dict[str, Callable[[Model, float], Answer]]] = {
    "CBC": lambda model, time_limit: solve_by_pywraplp(model, "CBC", time_limit),
    "SCIP": lambda model, time_limit: solve_by_pywraplp(model, "SCIP", time_limit),
    "CP-SAT": solve_by_cp_sat,
    "HiGHS": solve_by_highs,
}
"""Solvers of the model, by name."""


def steps_per_mm(job: Job) -> int:
    """Return how fine a millimetre must be divided for every length of ``job`` to be whole."""
    lengths = [job.paper.pattern.repeat]
    for lot in job.lots:
        lengths += [lot.length, lot.first_motif or Fraction(0)]
    for drop in job.drops:
        lengths += [drop.trim_top, drop.trim_bottom, drop.height, drop.first_motif]
    return lcm(*(length.denominator for length in lengths))


def demand_of(job: Job, per_mm: int, repeat: int) -> Counter[Kind]:
    """Return how many drops of each kind are wanted."""
    demand: Counter[Kind] = Counter()
    for drop in job.drops:
        datum = int((drop.trim_top + drop.first_motif) * per_mm) % repeat if repeat else 0
        demand[Kind(int(drop.cut_length * per_mm), datum)] += drop.count
    return demand


def roll_types(job: Job, per_mm: int, lead_in: int, step: Fraction) -> tuple[RollType, ...]:
    """Return the lots of ``job``, those alike together; ``lead_in`` is what a sealed roll may lose at its end."""
    counts: dict[tuple[int, int | None, int], int | None] = {}
    for lot in job.lots:
        room = int(lot.length * per_mm) - (lead_in if lot.first_motif is None else 0)
        motif = None if lot.first_motif is None or job.paper.pattern.is_free else int(lot.first_motif * per_mm)
        alike = (room, motif, int(job.value_of(lot) / step))
        before = counts.get(alike, 0)
        counts[alike] = None if before is None or lot.count is None else before + lot.count
    return tuple(RollType(*alike, count) for alike, count in counts.items())


def value_step(job: Job) -> Fraction:
    """Return what every roll's value is a whole multiple of."""
    values = [job.value_of(lot) for lot in job.lots if job.value_of(lot)]
    scale = lcm(*(value.denominator for value in values))
    return Fraction(gcd(*(int(value * scale) for value in values)), scale)
