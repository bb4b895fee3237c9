"""What is different between two versions of a scenario, key by key, as its author would say it."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Final, TypeAlias

if TYPE_CHECKING:
    from collections.abc import Iterator

MOST_LISTED: Final = 20
"""Differences that are listed; of more, how many more there are."""

_NAMES: Final = ("label", "name")

Table: TypeAlias = "dict[str, object]"


def changes(before: object, now: object) -> list[str]:
    """Return the differences between two scenario documents, one sentence each.

    >>> changes({"units": "mm", "drop": [{"label": "1", "height": 2400}]},
    ...         {"units": "mm", "drop": [{"label": "1", "height": 2410}]})
    ['drop["1"].height: was 2400, is now 2410']

    """
    found = list(_differences("", before, now))
    more = len(found) - MOST_LISTED
    return [*found[:MOST_LISTED], f"and {more} more"] if more > 0 else found


def _differences(where: str, before: object, now: object) -> Iterator[str]:
    if isinstance(before, dict) and isinstance(now, dict):
        yield from _of_tables(where, before, now)
    elif isinstance(before, list) and isinstance(now, list) and _are_tables(before + now):
        yield from _of_tables(where, _named(before), _named(now), in_list=True)
        if list(_named(before)) != list(_named(now)) and set(_named(before)) == set(_named(now)):
            yield f"{where}: the entries are in another order"
    elif before != now:
        yield f"{where}: was {_shown(before)}, is now {_shown(now)}"


def _of_tables(where: str, before: Table, now: Table, *, in_list: bool = False) -> Iterator[str]:
    for key in dict.fromkeys([*before, *now]):
        place = f"{where}[{json.dumps(key, ensure_ascii=False)}]" if in_list else f"{where}.{key}" if where else key
        if key not in now:
            yield f"{place}: was {_shown(before[key])}, and is gone"
        elif key not in before:
            yield f"{place}: is new: {_shown(now[key])}"
        else:
            yield from _differences(place, before[key], now[key])


def _are_tables(entries: list[object]) -> bool:
    return all(isinstance(entry, dict) for entry in entries)


def _named(entries: list[Table]) -> Table:
    """Return the tables of a list by what they are called, or else by their place, counted from 1."""
    return {_name(entry) or str(place): entry for place, entry in enumerate(entries, start=1)}


def _name(entry: Table) -> str | None:
    return next((str(entry[key]) for key in _NAMES if key in entry), None)


def _shown(value: object) -> str:
    if isinstance(value, dict):
        return "{" + ", ".join(f"{key} = {_shown(inner)}" for key, inner in value.items()) + "}"
    return json.dumps(value, ensure_ascii=False)
