"""Every key of a plan document that the judge knows: what else a plan states, it names as taken on trust."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

_PROOF: Final = ("by", "bound", "prices")
_PROOFS: Final = ("proof", "at_best_proof")
_TO_BUY: Final = ("proof.to_buy", "at_best_proof.to_buy")
_PANEL: Final = ("wall", "from", "to", "paper_from", "paper_to")
_PIECE: Final = (
    "drop", "column", "top", "foot", "turned_under", "first_motif", "paper_from", "paper_to", "panels",
)  # fmt: skip

KNOWN: Final[dict[str, tuple[str, ...]]] = {
    "": (
        "format", "status", "objective", "rolls_needed", "lower_bound", "cost", "cost_lower_bound", "at_best",
        "at_best_lower_bound", "at_best_status", "at_best_cost", "at_best_cost_lower_bound", "stopped", "proof",
        "at_best_proof", "rolls", "at_best_rolls", "without_offcuts", "batches", "order", "timetable", "setting_out",
        "notes", "to_buy", "ordered", "widths", "sheets",
        "scenario", "reason", "shortage_prices", "bare", "walls_in_order", "whole_walls", "covers_most", "partial",
        "given_up", "rolls_to_buy", "rolls_to_buy_lower_bound", "at_best_to_buy", "at_best_to_buy_lower_bound",
    ),
    "given_up": (
        "kind", "what", "more_rolls_needed", "more_rolls_lower_bound", "rolls_of_another_batch", "plan", "other_plan",
    ),
    "shortage_prices": ("scale", "drops", "premiums"),
    **dict.fromkeys(_PROOFS, (*_PROOF, "to_buy")),
    **dict.fromkeys(_TO_BUY, _PROOF),
    **dict.fromkeys((f"{proof}.prices" for proof in (*_PROOFS, *_TO_BUY)), ("scale", "drops", "premiums")),
    "rolls": (
        "roll", "lot", "count", "length_mm", "first_motif_mm", "sealed", "cuts", "left_mm", "slack_mm",
    ),
    "rolls.cuts": ("drop", "from_mm", "to_mm", "from", "to", "turned"),
    "widths": ("as_sold", "selvedge_left", "selvedge_right", "overlap", "as_hung"),
    "ordered": ("length", "lower_bound", "needed", "cost", "pieces"),
    "ordered.pieces": ("lot", "length", "count"),
    "to_buy": ("rolls", "packets", "packets_lower_bound", "singles", "cost"),
    "sheets": ("sheet", "roll", "head", "foot", "left", "right"),
    "at_best_rolls": ("roll", "lot", "count", "cuts"),
    "at_best_rolls.cuts": ("drop", "from", "to"),
    "without_offcuts": ("rolls_needed", "cost", "proved", "plan"),
    "batches": ("walls", "rolls", "changes", "by", "certificates"),
    "batches.changes": ("left", "right", "corner"),
    "batches.certificates": ("batch", "shortage", "scale", "drops", "premiums"),
    "order": (
        "follow", "open_rolls", "most_waiting", "most_waiting_lower_bound", "furthest_ahead",
        "furthest_ahead_lower_bound", "status", "cuts",
    ),
    "timetable": ("act", "piece", "day", "at", "begin", "minutes", "steps"),
    "setting_out": ("level_line", "columns", "pieces", "patches", "closing"),
    "setting_out.columns": ("column", "panels"),
    "setting_out.columns.panels": _PANEL,
    "setting_out.pieces": _PIECE,
    "setting_out.pieces.panels": _PANEL,
    "setting_out.patches": _PIECE,
    "setting_out.patches.panels": _PANEL,
    "setting_out.closing": ("wall", "at", "sideways", "height"),
}  # fmt: skip
"""Keys by the path of the object that holds them; entries of a list share the path of the list."""


def unknown_keys(value: object, path: str = "") -> Iterator[str]:
    """Yield the path of every key of a document, or of a part of it, that the judge does not know."""
    if isinstance(value, list):
        for entry in value:
            yield from unknown_keys(entry, path)
    elif isinstance(value, dict) and path in KNOWN:
        for key, held in value.items():
            within = f"{path}.{key}" if path else key
            if key not in KNOWN[path]:
                yield within
            else:
                yield from unknown_keys(held, within)
