"""The search that closes a gap, by asking for a plan of a given value.

The arc-flow model, thinned by reduced costs: an arc stays only when some layout through it can be part of a plan of
the value asked for. At the certificate's prices a plan of value V wastes scale × V + Σ premium × supply − Σ price
× demand in all, so no roll of it may waste more (the variable fixing of de Lima, Iori and Miyazawa,
Mathematical Programming 197 (2023) 1–35). What remains is small, and an integer programme decides it.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ortools.linear_solver import pywraplp

from cutplan.solve.layout import Layout
from cutplan.solve.network import WAITING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cutplan.solve.bound import Certificate
    from cutplan.solve.clock import Clock
    from cutplan.solve.greedy import Layouts
    from cutplan.solve.instance import Instance
    from cutplan.solve.network import Arc, Network
    from cutplan.solve.rolls import Rolls


@dataclass(frozen=True, slots=True)
class Answer:
    """What the search found: a plan, the proof that there is none, or neither in the time left."""

    layouts: Layouts | None
    is_decided: bool


def waste_allowed(instance: Instance, certificate: Certificate, target: int) -> int:
    """Return what rolls of a plan of value ``target`` may waste at the certificate's prices: below 0, none exists."""
    worth = sum(price * kind.demand for price, kind in zip(certificate.prices, instance.kinds, strict=True))
    premiums = sum(
        premium * (roll.supply or 0) for premium, roll in zip(certificate.premiums, instance.roll_types, strict=True)
    )
    return certificate.scale * target + premiums - worth


def search(instance: Instance, rolls: Rolls, certificate: Certificate, target: int, clock: Clock) -> Answer:
    """Decide whether a plan of value ``target`` or less exists."""
    allowed = waste_allowed(instance, certificate, target)
    if allowed < 0:
        return Answer(None, is_decided=True)
    least = [
        certificate.scale * roll.value + premium - allowed
        for roll, premium in zip(instance.roll_types, certificate.premiums, strict=True)
    ]
    networks = rolls.networks(certificate.prices, least)
    return _Model(instance, networks, target).decide(clock)


class _Model:
    """The integer programme: a flow through each network, every drop cut, value at most the target."""

    def __init__(self, instance: Instance, networks: Sequence[Network], target: int) -> None:
        self.instance = instance
        self.networks = networks
        self.target = target
        self.solver = pywraplp.Solver.CreateSolver("SCIP")
        self.flows = [{arc: self.solver.IntVar(0, self._most(arc), "") for arc in network.arcs} for network in networks]
        self.opened = [self._conserve(network, flow) for network, flow in zip(networks, self.flows, strict=True)]
        self._cut_every_drop()
        self._keep_to_stock()
        self.solver.Minimize(self._value())
        self.solver.Add(self._value() <= target)

    def _most(self, arc: Arc) -> float:
        most = self.instance.kinds[arc.kind].demand if arc.kind != WAITING else self.solver.infinity()
        return float(most)

    def _conserve(self, network: Network, flow: dict[Arc, pywraplp.Variable]) -> pywraplp.LinearExpr:
        """Let what enters a node leave it, and return how many rolls are cut along this network."""
        entering, leaving = defaultdict(list), defaultdict(list)
        for arc, variable in flow.items():
            entering[arc.head].append(variable)
            leaving[arc.tail].append(variable)
        for node in sorted((entering.keys() | leaving.keys()) - {network.first, network.last}):
            self.solver.Add(sum(entering[node]) == sum(leaving[node]))
        return sum(leaving[network.first])

    def _cut_every_drop(self) -> None:
        cutting = defaultdict(list)
        for flow in self.flows:
            for arc, variable in flow.items():
                if arc.kind != WAITING:
                    cutting[arc.kind].append(variable)
        for kind, wanted in enumerate(self.instance.kinds):
            self.solver.Add(sum(cutting[kind]) >= wanted.demand)

    def _keep_to_stock(self) -> None:
        for number, roll_type in enumerate(self.instance.roll_types):
            if roll_type.supply is not None:
                opened = [
                    rolls
                    for rolls, network in zip(self.opened, self.networks, strict=True)
                    if network.roll_type == number
                ]
                self.solver.Add(sum(opened) <= roll_type.supply)

    def _value(self) -> pywraplp.LinearExpr:
        return sum(
            self.instance.roll_types[network.roll_type].value * rolls
            for rolls, network in zip(self.opened, self.networks, strict=True)
        )

    def decide(self, clock: Clock) -> Answer:
        """Run the integer programme for the time left."""
        self.solver.SetTimeLimit(max(1, int(clock.left * 1000)))
        status = self.solver.Solve()
        if status == pywraplp.Solver.INFEASIBLE:
            return Answer(None, is_decided=True)
        if status in (pywraplp.Solver.OPTIMAL, pywraplp.Solver.FEASIBLE):
            return Answer(self._layouts(), is_decided=True)
        return Answer(None, is_decided=False)

    def _layouts(self) -> Layouts:
        """Take the flows apart into rolls, without the drops that are cut once too often."""
        layouts: Layouts = {}
        remaining = [kind.demand for kind in self.instance.kinds]
        for network, flow in zip(self.networks, self.flows, strict=True):
            amounts = {arc: round(variable.solution_value()) for arc, variable in flow.items()}
            for path in _paths(network, amounts):
                layout = Layout(network.roll_type, path).within(remaining)
                for kind in layout.kinds:
                    remaining[kind] -= 1
                if layout.kinds:
                    layouts[layout] = layouts.get(layout, 0) + 1
        return layouts


def _paths(network: Network, amounts: dict[Arc, int]) -> list[tuple[int, ...]]:
    """Return the kinds along each path of a flow."""
    leaving: dict[int, list[Arc]] = defaultdict(list)
    for arc, amount in amounts.items():
        leaving[arc.tail] += [arc] * amount
    paths = []
    while leaving[network.first]:
        node, path = network.first, []
        while node != network.last:
            arc = leaving[node].pop()
            node = arc.head
            if arc.kind != WAITING:
                path.append(arc.kind)
        paths.append(tuple(path))
    return paths
