"""The least value of a job by an integer programme on HiGHS, through :func:`scipy.optimize.milp`.

A roll is a path through the places where a piece may start; each piece on it is an arc to the first place
at or after its end. The rolls of a job are as many paths as it takes to hold every piece. Nothing of the
solver is used.

References
----------
Valério de Carvalho, "Exact solution of bin-packing problems using column generation and branch-and-bound",
Annals of Operations Research 86 (1999) 629–659: the arc-flow model, here with places restricted by the print.

"""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from fractions import Fraction
from math import ceil, gcd, lcm
from typing import TYPE_CHECKING, Final

import numpy as np
from msgspec import Struct
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array

from brute_force import Piece, steps_per_mm

if TYPE_CHECKING:
    from cutplan.job.job import Job
    from cutplan.paper.stock import Lot


TOLERANCE: Final = 1e-6
"""By how much HiGHS may be out, in steps of the value."""


class Answer(Struct, frozen=True):
    """The best value found (None when none was) and a bound that no plan beats (None: no plan exists)."""

    value: Fraction | None
    bound: Fraction | None


class Arc(Struct, frozen=True):
    """A piece cut at ``tail``, or nothing cut between two places (``piece`` None)."""

    tail: int
    head: int
    piece: Piece | None


class RollGraph(Struct, frozen=True):
    """The ways to cut rolls of one lot whose print begins alike: from node 0, the outer end, to the last."""

    lot: Lot
    nodes: int
    arcs: list[Arc]


def solve_by_arc_flow(job: Job, *, at_best: bool = False, time_limit: float = 20.0) -> Answer:
    """Return the least value of ``job`` and its bound, as far as HiGHS gets within ``time_limit`` seconds.

    ``at_best`` lets every sealed roll begin wherever its layout wants.
    """
    demand, graphs = graphs_of(job, at_best=at_best)
    arcs = [(graph, arc) for graph in graphs for arc in graph.arcs]
    if not arcs:
        return Answer(None, None)
    costs = [float(job.value_of(graph.lot)) if arc.tail == 0 else 0.0 for graph, arc in arcs]
    limits = [float(sum(demand.values())) if arc.piece is None else float(demand[arc.piece]) for _, arc in arcs]
    outcome = milp(
        costs,
        integrality=np.ones(len(arcs)),
        bounds=Bounds(0, limits),
        constraints=[*_conservation(graphs), _demand(arcs, demand), *_stock(job, arcs)],
        options={"time_limit": time_limit, "mip_rel_gap": 0},
    )
    if outcome.status == 2:  # infeasible
        return Answer(None, None)
    step = _value_step(job)
    value = None if outcome.x is None else round(outcome.fun / float(step)) * step
    proved = outcome.mip_dual_bound or 0.0
    return Answer(value, bound=ceil(proved / float(step) - TOLERANCE) * step)


def graphs_of(job: Job, *, at_best: bool) -> tuple[Counter[Piece], list[RollGraph]]:
    """Return how many of each kind of piece are wanted, and a graph for every lot and start of the print."""
    steps = steps_per_mm(job)
    repeat = int(job.paper.pattern.repeat * steps)
    demand: Counter[Piece] = Counter()
    for drop in job.drops:
        datum = int((drop.trim_top + drop.first_motif) * steps)
        demand[Piece(int(drop.cut_length * steps), datum % repeat if repeat else 0)] += drop.count
    graphs = []
    for lot in job.lots:
        room = int(lot.length * steps)
        if lot.first_motif is None and not at_best:
            room -= repeat
        motifs = (
            sorted({piece.datum for piece in demand}) if lot.first_motif is None else [int(lot.first_motif * steps)]
        )
        graphs += [graph_of(lot, demand, motif, repeat, room) for motif in motifs]
    return demand, graphs


def graph_of(lot: Lot, demand: Counter[Piece], motif: int, repeat: int, room: int) -> RollGraph:
    """Return the graph of a roll with a motif datum at ``motif``, of which ``room`` may be used.

    A sealed roll's layout is counted from its first start, so there the first piece lies at 0.
    """
    starts = _starts_by_print(demand, motif, repeat, room) if repeat else _starts_by_length(demand, room)
    if repeat and lot.is_sealed:
        starts = {(place, piece) for place, piece in starts if place or piece.datum == motif}
    places = sorted({0, *(place for place, _ in starts)})
    arcs = [
        Arc(bisect_left(places, place), bisect_left(places, place + piece.length), piece)
        for place, piece in sorted(starts)
    ]
    first_wait = 1 if repeat and lot.is_sealed else 0
    arcs += [Arc(node, node + 1, None) for node in range(first_wait, len(places))]
    return RollGraph(lot, len(places) + 1, arcs)


def _starts_by_print(demand: Counter[Piece], motif: int, repeat: int, room: int) -> set[tuple[int, Piece]]:
    """Return where each piece may start when every piece lies as near the outer end as its print lets it."""
    starts: set[tuple[int, Piece]] = set()
    reached = {0}
    ends = [0]
    while ends:
        end = ends.pop()
        for piece in demand:
            place = end + (motif - piece.datum - end) % repeat
            if place + piece.length <= room:
                starts.add((place, piece))
                if place + piece.length not in reached:
                    reached.add(place + piece.length)
                    ends.append(place + piece.length)
    return starts


def _starts_by_length(demand: Counter[Piece], room: int) -> set[tuple[int, Piece]]:
    """Return where each piece may start when no print binds and longer pieces lie nearer the outer end."""
    starts: set[tuple[int, Piece]] = set()
    ends = {0}
    for piece in sorted(demand, key=lambda piece: -piece.length):
        for end in sorted(ends):
            for number in range(demand[piece]):
                place = end + number * piece.length
                if place + piece.length > room:
                    break
                starts.add((place, piece))
                ends.add(place + piece.length)
    return starts


def _conservation(graphs: list[RollGraph]) -> list[LinearConstraint]:
    """As many paths leave each inner place as reach it."""
    rows, columns, signs = [], [], []
    first_row = column = 0
    for graph in graphs:
        for arc in graph.arcs:
            for node, sign in ((arc.tail, -1), (arc.head, 1)):
                if 0 < node < graph.nodes - 1:
                    rows.append(first_row + node - 1)
                    columns.append(column)
                    signs.append(sign)
            column += 1
        first_row += graph.nodes - 2
    if not rows:
        return []
    return [LinearConstraint(csr_array((signs, (rows, columns)), shape=(first_row, column)), 0, 0)]


def _demand(arcs: list[tuple[RollGraph, Arc]], demand: Counter[Piece]) -> LinearConstraint:
    """Every piece is cut at least as often as it is wanted."""
    row_of = {piece: row for row, piece in enumerate(demand)}
    cells = [(row_of[arc.piece], column) for column, (_, arc) in enumerate(arcs) if arc.piece is not None]
    rows, columns = ([row for row, _ in cells], [column for _, column in cells])
    matrix = csr_array((np.ones(len(cells)), (rows, columns)), shape=(len(demand), len(arcs)))
    return LinearConstraint(matrix, list(demand.values()), np.inf)


def _stock(job: Job, arcs: list[tuple[RollGraph, Arc]]) -> list[LinearConstraint]:
    """No more rolls of a lot are opened than there are."""
    limits = []
    for lot in job.lots:
        if lot.count is not None:
            row = [[float(graph.lot is lot and arc.tail == 0) for graph, arc in arcs]]
            limits.append(LinearConstraint(csr_array(row), 0, lot.count))
    return limits


def _value_step(job: Job) -> Fraction:
    """Return the greatest amount of which every roll's value is a multiple."""
    values = [job.value_of(lot) for lot in job.lots if job.value_of(lot)]
    scale = lcm(*(value.denominator for value in values))
    return Fraction(gcd(*(int(value * scale) for value in values)), scale)
