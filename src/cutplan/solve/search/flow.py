"""The integer programme over steps: a flow through each network, however many layouts it has."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from typing import TYPE_CHECKING

from cutplan.solve.clock import Clock
from cutplan.solve.instance import Instance
from cutplan.solve.layout import Layout
from cutplan.solve.roll.network import WAITING, Arc, Network
from cutplan.solve.search.greedy import Layouts
from cutplan.solve.search.programme import Programme, ProgrammeSolved, as_wanted

if TYPE_CHECKING:
    from ortools.linear_solver import pywraplp


class Flow:
    """The integer programme: a flow through each network, every drop cut, value at most the target."""

    def __init__(self, instance: Instance, networks: Sequence[Network], target: int, clock: Clock) -> None:
        self.instance = instance
        self.networks = networks
        self.clock = clock
        self.programme = Programme(instance)
        self.solver = self.programme.solver
        self.flows = [{arc: self._variable(arc) for arc in network.arcs} for network in networks]
        opened = defaultdict(list)
        for network, flow in zip(networks, self.flows, strict=True):
            opened[network.roll_type].append(self._conserve(network, flow))
        self.programme.ask(instance, self._cutting(), opened, target)

    def decide(self) -> ProgrammeSolved:
        """Run the integer programme for the time left."""
        return self.programme.decide(self.clock, self._layouts)

    def _variable(self, arc: Arc) -> pywraplp.Variable:
        self.clock.check()
        return self.programme.whole(None if arc.kind == WAITING else float(self.instance.kinds[arc.kind].demand))

    def _conserve(self, network: Network, flow: dict[Arc, pywraplp.Variable]) -> pywraplp.LinearExpr:
        """Let what enters a node leave it, and return how many rolls are cut along this network."""
        entering, leaving = defaultdict(list), defaultdict(list)
        for arc, variable in flow.items():
            entering[arc.head].append(variable)
            leaving[arc.tail].append(variable)
        for node in sorted((entering.keys() | leaving.keys()) - {network.first, network.last}):
            self.clock.check()
            self.solver.Add(sum(entering[node]) == sum(leaving[node]))
        return sum(leaving[network.first])

    def _cutting(self) -> dict[int, list[pywraplp.Variable]]:
        """Return, for each kind, the steps that cut it."""
        cutting = defaultdict(list)
        for flow in self.flows:
            for arc, variable in flow.items():
                if arc.kind != WAITING:
                    cutting[arc.kind].append(variable)
        return cutting

    def _layouts(self) -> Layouts:
        """Take the flows apart into rolls."""
        layouts = []
        for network, flow in zip(self.networks, self.flows, strict=True):
            amounts = {arc: round(variable.solution_value()) for arc, variable in flow.items()}
            layouts += [Layout(network.roll_type, path) for path in _paths(network, amounts)]
        return as_wanted(self.instance, layouts)


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
