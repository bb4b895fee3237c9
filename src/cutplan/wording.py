"""Sentences with lengths in them, which are shown in the reader's own units."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

from cutplan.lengths import show

if TYPE_CHECKING:
    from cutplan.lengths import Length

Value: TypeAlias = "Length | str"


@dataclass(frozen=True, slots=True)
class Wording:
    """A sentence whose lengths are still exact.

    Attributes
    ----------
    text
        The sentence, with ``{}`` where each value goes.
    values
        Lengths, shown in the units asked for; texts, shown as they are.

    """

    text: str
    values: tuple[Value, ...] = ()

    def read(self, units: str = "mm") -> str:
        """Return the sentence with its lengths in ``units``.

        >>> from fractions import Fraction
        >>> Wording("the {} is {} wide", ("door", Fraction(762))).read("in")
        'the door is 2 ft 6 in wide'

        """
        return self.text.format(*(value if isinstance(value, str) else show(value, units) for value in self.values))
