"""How fast somebody works, read from a scenario: the table ``[pace]``."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Final

from cutplan.scenario.tables import Table, describe
from cutplan.scenario.toml_text import decimal
from cutplan.table.timetable import DAY, Minutes, Pace, PastedOn

PACE_KEYS: Final = (
    "pasted", "soak", "folded", "minutes_cut", "minutes_paste", "minutes_full", "minutes_small", "begin", "stop",
    "mate",
)  # fmt: skip
_CLOCK: Final = re.compile(r"([01]?\d|2[0-3]):([0-5]\d)")
_LONGEST: Final = 24 * 60


def pace_of(root: Table) -> Pace | None:
    """Return the pace of the work; None when its table is at fault."""
    table = root.table("pace", PACE_KEYS, required=False)
    if table is None:
        return None
    pasted = table.kind("pasted", PastedOn)
    soak = _soak(table, pasted)
    usual = Pace(PastedOn.PAPER, Fraction(0))
    begin = _clock(table, "begin")
    pace = Pace(
        pasted=pasted or PastedOn.PAPER,
        soak=soak,
        folded=_folded(table, pasted) or usual.folded,
        to_cut=_minutes(table, "minutes_cut", usual.to_cut),
        to_paste=_minutes(table, "minutes_paste", usual.to_paste),
        to_hang=_minutes(table, "minutes_full", usual.to_hang),
        to_hang_small=_minutes(table, "minutes_small", usual.to_hang_small),
        begin=usual.begin if begin is None else begin,
        stop=_clock(table, "stop"),
        has_mate=table.flag("mate") is True,
    )
    _refuse_short_day(table, pace)
    return None if table.reading.has_faults else pace


def _soak(table: Table, pasted: PastedOn | None) -> Minutes:
    """Return the minutes of soaking: as printed on the roll, or none on a pasted wall."""
    if not table.has("soak"):
        if pasted is PastedOn.PAPER:
            table.raw("soak", example="soak = 8, in minutes, as the roll's label says")
        return Fraction(0)
    soak = _minutes(table, "soak", Fraction(0), zero=True)
    if soak and pasted is PastedOn.WALL:
        table.reject("soak", "paper for a pasted wall needs no soak; leave soak out, or mend pasted")
    return soak


def _folded(table: Table, pasted: PastedOn | None) -> int | None:
    folded = table.whole("folded", required=False)
    if folded is not None and pasted is PastedOn.WALL:
        table.reject("folded", "paper for a pasted wall is not folded; leave folded out, or mend pasted")
    return folded


def _minutes(table: Table, key: str, usual: Minutes, *, zero: bool = False) -> Minutes:
    bounds = f"minutes, {'0 or more' if zero else 'more than 0'} and no more than a day"
    minutes = table.number(key, _LONGEST, of=bounds, example=f"{key} = 8", zero=zero)
    return usual if minutes is None else minutes


def _clock(table: Table, key: str) -> Minutes | None:
    """Return a time of day in minutes from midnight."""
    value = table.raw(key)
    if value is None:
        return None
    time = clock_of(value)
    if time is None:
        table.reject(key, f'must be a time of day in quotes, not {describe(value)}; write for example {key} = "08:00"')
    return time


def clock_of(value: object) -> Fraction | None:
    """Return the time of day that a text tells, in minutes from midnight; None where it tells none."""
    match = _CLOCK.fullmatch(value.strip()) if isinstance(value, str) else None
    return None if match is None else Fraction(60 * int(match[1]) + int(match[2]))


def _refuse_short_day(table: Table, pace: Pace) -> None:
    stop = DAY if pace.stop is None else pace.stop
    if stop - pace.begin < max(pace.longest, pace.to_cut) and not table.reading.has_faults:
        key = "begin" if pace.stop is None else "stop"
        why = f"one length takes {decimal(Fraction(pace.longest))} min from pasting to trimming"
        table.reject(key, f"leaves no time for a length on any day: {why}; begin earlier, or stop later")
