"""What is known of an instance while it is solved: the best plan so far, and the bound."""

from __future__ import annotations

from msgspec import Struct

from cutplan.solve.instance import Instance
from cutplan.solve.search.certificate import Certificate, nothing_proved
from cutplan.solve.search.greedy import Layouts


class Outcome(Struct):
    """What is known of an instance, at any moment of the solving."""

    instance: Instance
    layouts: Layouts | None
    """The best plan so far; None when none is known."""
    value: int
    """Its value."""
    certificate: Certificate
    """The best certificate so far."""
    bound: int = 0
    """No plan has a smaller value; more than the certificate proves when ``by_search``."""
    by_search: bool = False
    """True when a search raised ``bound`` above what the certificate proves."""
    stopped: str | None = None
    """Why the solving ended before a proof, if it did."""
    goal: int | None = None
    """What is asked, if not for the best plan: whether there is a plan of this value."""
    hints: tuple[Certificate, ...] = ()
    """Certificates of weaker bounds that may yet leave less to waste at the goal."""

    @property
    def is_proved(self) -> bool:
        """True when no better plan exists."""
        return self.layouts is not None and self.bound >= self.value

    @property
    def is_settled(self) -> bool:
        """True when what is asked is known."""
        if self.goal is None or self.layouts is None:
            return self.is_proved
        return self.value <= self.goal or self.bound > self.goal

    def offer(self, layouts: Layouts | None) -> None:
        """Keep ``layouts`` when they are better than what is known."""
        if layouts is None:
            return
        value = value_of(self.instance, layouts)
        if self.layouts is None or value < self.value:
            self.layouts, self.value = layouts, value

    def prove(self, certificate: Certificate) -> None:
        """Keep ``certificate`` when its bound is the best."""
        if certificate.bound > self.certificate.bound:
            self.certificate = certificate
            self.bound = max(self.bound, certificate.whole_bound)


def value_of(instance: Instance, layouts: Layouts) -> int:
    """Return what the layouts' rolls cost together."""
    return sum(instance.roll_types[layout.roll_type].value * times for layout, times in layouts.items())


def unknown(instance: Instance) -> Outcome:
    """Return the outcome of an instance of which nothing is known."""
    return Outcome(instance, None, 0, nothing_proved(instance))


def say_nothing(_: object) -> None:
    """Take no notice of progress."""


class Known(Struct, frozen=True):
    """What is known before the solving: a plan, and prices of kinds that may prove something here too."""

    layouts: Layouts
    certificate: Certificate | None = None
