"""What to keep and what to throw away, as two lists of the page; and the first as stock for a later scenario."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from msgspec.structs import replace

from cutplan.lengths import Rounding, show
from cutplan.render.pages.layout_of_page import bullets, section, wrapped
from cutplan.render.words.names import PLAIN, Script, listed_with_and
from cutplan.render.words.readings import across
from cutplan.scenario.write import offcut_entry, toml_entry
from cutplan.table.left_over import Leaving, Leavings
from cutplan.wording import counted


def keeping_sections(leavings: Leavings, units: str = "mm") -> str:
    """Return the lists of what to keep, each with what it would serve, and of what to throw away."""
    kept = bullets(line for piece in leavings.kept for line in kept_lines([piece], units))
    kept = kept or wrapped("Nothing that is left could be any drop again.")
    binned = wrapped(binned_words(leavings, units)) or "Nothing."
    return f"{section('Keep', kept)}\n\n{section('Bin', binned)}"


def kept_lines(kept: Iterable[Leaving], units: str, script: Script = PLAIN) -> list[str]:
    """Return what the pieces to be kept are, and what they would serve as: a line for all that are alike."""
    alike: dict[str, list[Leaving]] = {}
    for piece in kept:
        alike.setdefault(_facts(piece, units, script, each=" each"), []).append(piece)
    return [
        f"{listed_with_and([script.label(piece.labels.shown) for piece in pieces])}: "
        f"{_facts(pieces[0], units, script, each=' each' * (sum(piece.labels.count for piece in pieces) > 1))}"
        for pieces in alike.values()
    ]


def _facts(piece: Leaving, units: str, script: Script, each: str) -> str:
    paper = piece.paper
    facts = [f"{'at least ' if piece.is_at_least else ''}{show(paper.length, units, Rounding.DOWN)}{each}"]
    if paper.first_motif is not None and (paper.sheet is None or paper.first_motif < paper.length):
        facts.append(f"motif {show(paper.first_motif, units)} below its top")
    facts += across(paper, units)
    return f"{', '.join(facts)}; would serve as {_use(piece, script)}."


def _use(piece: Leaving, script: Script) -> str:
    if not piece.serves:
        return "patches, but as no whole drop"
    longest = next(iter(piece.serves))
    wall = "" if longest.wall is None else f" of {script.label(longest.wall)}"
    others = len(piece.serves) - 1
    more = "" if not others else f", or {counted(others, 'other')}"
    return f"drop {script.label(longest.label)}{wall}{more}, for repair"


def binned_words(leavings: Leavings, units: str, script: Script = PLAIN) -> str:
    """Return what is thrown away, in a sentence; empty when nothing is."""
    return ", ".join(_binned(leavings, units, script)) + "." * bool(leavings.binned)


def _binned(leavings: Leavings, units: str, script: Script) -> Iterator[str]:
    lost = sum(piece.labels.count for piece in leavings.binned if piece.is_lost)
    for piece in leavings.binned:
        if not piece.is_lost:
            each = "" if piece.labels.count == 1 else " each"
            yield f"{script.label(piece.labels.shown)} ({show(piece.paper.length, units, Rounding.UP)}{each})"
    if lost:
        yield "the lead-in or match loss" if lost == 1 else f"{lost} lead-ins and match losses"


def stock_text(leavings: Leavings, units: str, *, is_free: bool) -> str:
    """Return what is kept as TOML entries for a later scenario whose bare numbers are ``units``.

    Without a first motif where nobody has measured it, and without lead-ins, whose length nobody knows; ``is_free``
    tells a paper without a match.
    """
    head = f"# Paper kept, lengths in {units}: put these entries into a scenario of the same paper.\n"
    entries = (
        toml_entry("offcut", offcut_entry(replace(piece.paper, label=label), is_free=is_free), units)
        for piece in leavings.kept
        for label in piece.labels
        if not piece.is_lead_in
    )
    return "\n".join([head, *entries])
