"""The search that closes a gap, by asking for a plan of a given value.

The steps along a roll are thinned by reduced costs: a step stays only when some layout through it can be part of a
plan of the value asked for. At the certificate's prices a plan of value V wastes scale × V + Σ premium × supply −
Σ price × demand in all, so no roll of it may waste more (the variable fixing of de Lima, Iori and Miyazawa,
Mathematical Programming 197 (2023) 1–35). When the layouts that remain can be listed, an integer programme over them
decides; otherwise one over the steps does.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from cutplan.solve.cover import MOST_LAYOUTS, Cover, TooManyError, layouts_of
from cutplan.solve.flow import Flow
from cutplan.solve.programme import Answer

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cutplan.solve.certificate import Certificate
    from cutplan.solve.clock import Clock
    from cutplan.solve.instance import Instance
    from cutplan.solve.layout import Layout
    from cutplan.solve.network import Network
    from cutplan.solve.rolls import Rolls


def waste_allowed(instance: Instance, certificate: Certificate, target: int) -> int:
    """Return what rolls of a plan of value ``target`` may waste at the certificate's prices: below 0, none exists."""
    worth = sum(price * kind.demand for price, kind in zip(certificate.prices, instance.kinds, strict=True))
    premiums = sum(
        premium * (roll.supply or 0) for premium, roll in zip(certificate.premiums, instance.roll_types, strict=True)
    )
    return certificate.scale * target + premiums - worth


def search(instance: Instance, rolls: Rolls, certificate: Certificate, target: int, clock: Clock) -> Answer:
    """Return the best plan of value ``target`` or less, if there is any."""
    allowed = waste_allowed(instance, certificate, target)
    if allowed < 0:
        return Answer(None, is_decided=True)
    least = [
        certificate.scale * roll.value + premium - allowed
        for roll, premium in zip(instance.roll_types, certificate.premiums, strict=True)
    ]
    networks = rolls.networks(certificate.prices, least)
    layouts = _listed(instance, networks, certificate.prices, least)
    if layouts is None:
        return Flow(instance, networks, target).decide(clock)
    return Cover(instance, layouts, target).decide(clock)


def _listed(
    instance: Instance, networks: Sequence[Network], prices: Sequence[int], least: Sequence[int]
) -> list[Layout] | None:
    """Return the layouts of all networks; None when they are too many."""
    layouts: list[Layout] = []
    try:
        for network in networks:
            layouts += layouts_of(network, instance, prices, least[network.roll_type])
    except TooManyError:
        return None
    return layouts if len(layouts) <= MOST_LAYOUTS else None
