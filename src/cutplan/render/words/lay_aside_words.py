"""What to lay aside at a step, in words: what it is, what to write on it, and what it is for."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cutplan.lengths import Rounding, show
from cutplan.render.words.names import PLAIN, drops_named

if TYPE_CHECKING:
    from collections.abc import Iterable

    from cutplan.render.words.names import Script
    from cutplan.table.lay_aside import Aside


def aside_sentences(asides: Iterable[Aside], units: str, script: Script = PLAIN) -> str:
    """Return what to lay aside at a step, a sentence for each piece; empty where there is none."""
    return " ".join(_sentence(aside, units, script) for aside in asides)


def _sentence(aside: Aside, units: str, script: Script) -> str:
    labels = aside.labels
    if labels.count > 1:
        mark = f"{script.quotes[0]}{labels.prefix.strip()}{script.quotes[1]}, the label of its roll and ↑"
        return f"Write {mark} on what is left of each, and lay it aside."
    mark = script.written(script.label(labels.at(labels.first_number)))
    if aside.is_cut_off:
        return f"Keep what comes off: write {mark} on it."
    if not aside.falls:
        return f"Write {mark} on what is left of the {_whole(aside)}, and lay it aside."
    size = f"{show(aside.length, units, Rounding.DOWN)} long"
    if aside.left is not None and aside.right is not None:
        size += f", from {show(aside.left, units)} to {show(aside.right, units)} across"
    use = ""
    if aside.for_drops:
        use = f"; {drops_named(aside.for_drops, script)} will be cut from it"
    return f"When it hangs and is trimmed, lay aside what comes away ({size}): write {mark} on it{use}."


def _whole(aside: Aside) -> str:
    """Return what the paper is left of."""
    if "stretch" in aside.labels.prefix:
        return "piece"
    return "offcut" if aside.labels.lot.is_offcut else "roll"
