"""The search that closes a gap, by asking for a plan of a given value.

The steps along a roll are thinned by reduced costs: a step stays only when some layout through it can be part of a
plan of the value asked for. At the certificate's prices a plan of value V wastes scale × V + Σ premium × supply −
Σ price × demand in all, so no roll of it may waste more (the variable fixing of de Lima, Iori and Miyazawa,
Mathematical Programming 197 (2023) 1–35). When the layouts that remain can be listed, an integer programme over them
decides; otherwise one over the steps does. With a free match those layouts that hardly waste anything may be tried
before: a plan of them may come at once.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Final

from cutplan.solve.clock import Clock
from cutplan.solve.instance import Instance
from cutplan.solve.layout import Layout
from cutplan.solve.roll.network import Network
from cutplan.solve.search.certificate import Certificate
from cutplan.solve.search.cover import MOST_LAYOUTS, Cover, TooManyError, layouts_of
from cutplan.solve.search.flow import Flow
from cutplan.solve.search.programme import ProgrammeSolved

if TYPE_CHECKING:
    from cutplan.solve.roll.holding import Pricing
    from cutplan.solve.search.greedy import Layouts

PARTS: Final = (64, 16, 4)
"""Of too many layouts of a free match those are tried first that waste no more than such a part of what all may."""

SHARE: Final = 0.25
"""Of the time left, each of these tries may take so much."""


class GapSearch:
    """Looks for plans of given values, with the steps along rolls thinned by one certificate."""

    def __init__(self, instance: Instance, rolls: Pricing, certificate: Certificate) -> None:
        self.instance = instance
        self.rolls = rolls
        self.certificate = certificate
        self._thinned: tuple[int, tuple[Network, ...], tuple[Layout, ...] | None] | None = None

    def is_small(self, target: int) -> bool:
        """Return True when the layouts that a plan of value ``target`` may use can be listed."""
        return self._thin(target)[1] is not None

    def plan_of(self, target: int, clock: Clock, *, is_bound: bool) -> ProgrammeSolved:
        """Return the best plan of value ``target`` or less, if there is any.

        ``is_bound`` tells that no plan is better than ``target``.
        """
        networks, layouts = self._thin(target)
        if layouts is not None:
            return Cover(self.instance, layouts, target, any_will_do=is_bound).decide(clock)
        return Flow(self.instance, networks, target, clock).decide()

    def of_few_layouts(self, target: int, clock: Clock) -> Layouts | None:
        """Return a plan of value ``target`` of layouts that hardly waste anything, if one is found."""
        allowed = self.certificate.left_at(self.instance, target)
        for part in PARTS:
            _, layouts = self._wasting(allowed // part)
            if layouts is None:
                break
            answer = Cover(self.instance, layouts, target, any_will_do=True).decide(clock.share(SHARE))
            if answer.layouts is not None:
                return answer.layouts
        return None

    def _thin(self, target: int) -> tuple[tuple[Network, ...], tuple[Layout, ...] | None]:
        """Return the steps that a plan of value ``target`` may take, and its layouts if they can be listed."""
        if self._thinned is None or self._thinned[0] != target:
            self._thinned = target, *self._wasting(self.certificate.left_at(self.instance, target))
        return self._thinned[1:]

    def _wasting(self, most: int) -> tuple[tuple[Network, ...], tuple[Layout, ...] | None]:
        """Return the steps of rolls that waste this much at most, at the prices, and their layouts if not too many."""
        least = [
            self.certificate.scale * roll.value + premium - most
            for roll, premium in zip(self.instance.roll_types, self.certificate.premiums, strict=True)
        ]
        networks = tuple(self.rolls.networks(self.certificate.prices, least))
        return networks, _listed(self.instance, networks, self.certificate.prices, least)


def _listed(
    instance: Instance, networks: Sequence[Network], prices: Sequence[int], least: Sequence[int]
) -> tuple[Layout, ...] | None:
    """Return the layouts of all networks; None when they are too many."""
    layouts: list[Layout] = []
    try:
        for network in networks:
            layouts += layouts_of(network, instance, prices, least[network.roll_type])
    except TooManyError:
        return None
    return tuple(layouts) if len(layouts) <= MOST_LAYOUTS else None
