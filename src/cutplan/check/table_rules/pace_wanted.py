"""How fast the scenario says that the work goes, read by the judge."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from cutplan.check.stated.fields import Table

DAY: Final = Fraction(24 * 60)
"""A day, in minutes, in which every time here is counted."""
USUAL: Final = {"minutes_cut": 3, "minutes_paste": 4, "minutes_full": 12, "minutes_small": 6}
USUAL_BEGIN: Final = Fraction(8 * 60)
USUAL_FOLDED: Final = 3
_CLOCK: Final = re.compile(r"\s*([0-9]{1,2}):([0-9]{2})\s*")


@dataclass(frozen=True, slots=True)
class PaceWanted:
    """The minutes of each act, of soaking, and of when a day begins and ends; how many may wait folded; a mate."""

    soak: Fraction
    folded: int
    cut: Fraction
    paste: Fraction
    hang: Fraction
    hang_small: Fraction
    begin: Fraction
    stop: Fraction
    has_mate: bool = False

    @property
    def is_whole(self) -> bool:
        """True when every act begins on a whole minute."""
        times = (self.soak, self.cut, self.paste, self.hang, self.hang_small)
        return all(time.denominator == 1 for time in times)


def read_pace(scenario: Table) -> PaceWanted | None:
    """Return the pace that a scenario gives; None where it gives none."""
    table = scenario.table("pace")
    if table is None:
        return None
    cut, paste, hang, small = (table.number(key) or Fraction(usual) for key, usual in USUAL.items())
    soak, folded = table.number("soak") or Fraction(0), table.whole("folded", 1) or USUAL_FOLDED
    begin, stop = _time_of_day(table, "begin"), _time_of_day(table, "stop")
    begin, stop = USUAL_BEGIN if begin is None else begin, DAY if stop is None else stop
    return PaceWanted(soak, folded, cut, paste, hang, small, begin, stop, bool(table.flag("mate")))


def _time_of_day(table: Table, key: str) -> Fraction | None:
    text = table.optional_text(key)
    if text is None:
        return None
    found = _CLOCK.fullmatch(text)
    if found is None:
        table.fault(key, f"must be a time of day such as 08:00, not {text!r}")
        return None
    return Fraction(60 * int(found[1]) + int(found[2]))
