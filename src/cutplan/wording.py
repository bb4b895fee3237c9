"""Sentences with lengths in them, which are shown in the reader's own units."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final, TypeAlias

from msgspec import Struct

from cutplan.lengths import MINUS, Length, show

Value: TypeAlias = "Length | str"
_PAIR: Final = 2


class Wording(Struct, frozen=True):
    """A sentence whose lengths are still exact."""

    text: str
    """The sentence, with ``{}`` where each value goes."""
    values: tuple[Value, ...] = ()
    """Lengths, shown in the units asked for; texts, shown as they are."""

    def read(self, units: str = "mm") -> str:
        """Return the sentence with its lengths in ``units``.

        >>> from fractions import Fraction
        >>> Wording("the {} is {} wide", ("door", Fraction(762))).read("in")
        'the door is 2 ft 6 in wide'

        """
        return self.text.format(*(value if isinstance(value, str) else show(value, units) for value in self.values))


def sits(lower: Length) -> Wording:
    """Return how something sits that is so much lower than something else; less than 0 is higher."""
    return Wording(f"sits {{}} {'lower' if lower > 0 else 'higher'}", (abs(lower),))


def signed(number: int) -> str:
    """Return a number as people read it: a column left of the start has a minus before it.

    >>> signed(-2), signed(2)
    ('−2', '2')

    """
    return str(number).replace("-", MINUS)


def counted(number: int, noun: str, many: str | None = None) -> str:
    """Return a number of things: ``many`` is what several are called, if not the noun with an s.

    >>> counted(1, "roll"), counted(3, "roll"), counted(2, "piece of it", "pieces of it")
    ('1 roll', '3 rolls', '2 pieces of it')

    """
    return f"{number} {noun if number == 1 else many or noun + 's'}"


def unlike_all(label: str, taken: Iterable[str], before: str = "new ") -> str:
    """Return a label that nothing is called, nor anything numbered or named after: itself, or with words before it.

    >>> unlike_all("roll", ["A", "rolls"]), unlike_all("roll", ["roll-1", "new roll"])
    ('roll', 'new new roll')

    """
    others = tuple(taken)
    while any(other == label or other.startswith((f"{label}-", f"{label} of ")) for other in others):
        label = f"{before}{label}"
    return label


def in_runs(labels: Iterable[str]) -> list[str]:
    """Return labels in their order, three or more whose numbers follow one another as one: the first to the last.

    >>> in_runs(["1", "2", "4", "5", "6", "door"])
    ['1', '2', '4 to 6', 'door']

    """
    runs: list[list[str]] = []
    for label in labels:
        if runs and label.isdecimal() and runs[-1][-1].isdecimal() and int(label) == int(runs[-1][-1]) + 1:
            runs[-1].append(label)
        else:
            runs.append([label])
    return [name for run in runs for name in ([f"{run[0]} to {run[-1]}"] if len(run) > _PAIR else run)]
