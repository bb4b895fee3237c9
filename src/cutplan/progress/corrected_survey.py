"""A scenario corrected while the work goes on: which drops of it the pieces that are cut and hung now are."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Final, TypeAlias

from cutplan.job.drops import Drop
from cutplan.lengths import Length
from cutplan.progress.entries import Corrected
from cutplan.progress.record import fingerprint
from cutplan.progress.state import NotPossibleError, State, drop_of
from cutplan.scenario.read import Scenario
from cutplan.setting_out.pieces import Piece

FIXED: Final = ("units", "paper", "roll", "offcut")
"""Tables that stay as they were: what proves otherwise of a roll is measured, and recorded."""
MOST_LISTED: Final = 20
"""Differences that are listed; of more, how many more there are."""
_NAMES: Final = ("label", "name")
Table: TypeAlias = "dict[str, object]"


def correction(state: State, before: Scenario, now: Scenario, *, from_new_start: bool | None = None) -> Corrected:
    """Return the entry that records ``now`` as the scenario that counts, in place of ``before``.

    What is hung stays: it is each drop that now hangs where it does. What lies on the table is the drop whose place
    its own has become, if its print and its length are right for it, and otherwise paper. Places are columns, counted
    from the start; where that has moved, and not ``from_new_start``, what hangs is found by its place on the wall.

    Raises
    ------
    NotPossibleError
        When the paper or the rolls are not what they were, or nothing tells from which start the drops hang.

    """
    changed = [key for key in FIXED if before.document.get(key) != now.document.get(key)]
    if changed:
        raise NotPossibleError(
            f"[{changed[0]}] has changed, and paper is cut already: put it back as it was, and record what happens to "
            "rolls at the table (cutplan measured, cutplan bought)"
        )
    has_moved = _start_of(before) != _start_of(now)
    if has_moved and state.hung and from_new_start is None:
        raise NotPossibleError(
            "hanging begins elsewhere now, and something hangs: say whether it was hung from where hanging began "
            "before (--hung-from old) or from where it begins now (--hung-from new)"
        )
    stays = has_moved and not from_new_start
    drops = {drop.label: drop for drop in now.job.drops}
    pieces: dict[str, tuple[str, ...]] = {}
    free = set(drops)
    for piece in (*state.hung, *state.on_table):
        is_hung = piece in state.hung
        labels = _now_at(drop_of(piece), before, now, by_wall=stays and is_hung)
        sheet = state.job.drop(drop_of(piece)).sheet
        if is_hung and any(drops[label].sheet != sheet for label in labels):
            raise NotPossibleError(
                f"sheet {sheet} hangs where another has its place now: first under [sheets] says which"
            )
        if not is_hung:
            labels = [label for label in labels if _serves(state, piece, drops[label])][:1]
        labels = [label for label in labels if label in free]
        pieces[piece] = tuple(piece if drop_of(piece) == label else label for label in labels)
        free -= {label for label in labels if drops[label].count == 1}
    return Corrected(fingerprint(now.document), now.document, pieces)


def _start_of(scenario: Scenario) -> object:
    out = scenario.setting_out
    return None if out is None else (out.start.wall, out.start.at, out.start.puts)


def _now_at(label: str, before: Scenario, now: Scenario, *, by_wall: bool) -> list[str]:
    """Return the drops that now hang where one was to hang: of a list, the one of its name."""
    if before.setting_out is None or now.setting_out is None:
        return [drop.label for drop in now.job.drops if drop.label == label]
    old = next(old for old in before.setting_out.hung if old.label == label)
    return [
        new.label
        for new in now.setting_out.hung
        if (_on_walls(new) == _on_walls(old) if by_wall else new.column == old.column)
        and bool(new.name) == bool(old.name)
        and min(new.top, old.top) > max(new.foot, old.foot)
    ]


def _on_walls(piece: Piece) -> list[tuple[int, Length, Length]]:
    return [(panel.wall, panel.left, panel.right) for panel in piece.panels]


def _serves(state: State, piece: str, drop: Drop) -> bool:
    """Return True when a piece that is cut has the print and the length of a drop, from its top down."""
    old, paper = state.job.drop(drop_of(piece)), state.papers.get(piece)
    pattern = state.job.paper.pattern
    shift = pattern.within_repeat(old.motif_below_cut - drop.motif_below_cut)
    length = state.lengths.get(piece, old.cut_length)
    is_wide = paper is None or paper.covers(drop.left, drop.right)
    is_wide = is_wide and (old.left, old.right) in ((None, None), (drop.left, drop.right))
    return not shift and is_wide and old.sheet == drop.sheet and length >= drop.trim_top + drop.height


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
    elif isinstance(before, list) and isinstance(now, list) and all(isinstance(each, dict) for each in before + now):
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


def _named(entries: list[Table]) -> Table:
    """Return the tables of a list by what they are called, or else by their place, counted from 1."""
    return {_name(entry) or str(place): entry for place, entry in enumerate(entries, start=1)}


def _name(entry: Table) -> str | None:
    return next((str(entry[key]) for key in _NAMES if key in entry), None)


def _shown(value: object) -> str:
    if isinstance(value, dict):
        return "{" + ", ".join(f"{key} = {_shown(inner)}" for key, inner in value.items()) + "}"
    return json.dumps(value, ensure_ascii=False)
