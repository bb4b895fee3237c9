"""Scenarios written out from jobs, so that a plan can be read, made, written and judged from end to end."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from fractions import Fraction

    from cutplan.job.drops import Drop
    from cutplan.job.job import Job
    from cutplan.paper.pattern import Pattern
    from cutplan.paper.stock import Lot


def scenario_text(job: Job) -> str:
    """Return the TOML of a scenario that states ``job``: one trim for all, every lot counted but a single ``roll``."""
    trim = job.drops[0]
    is_plain = [lot.count for lot in job.lots] == [None]
    blocks = [
        _block(
            "[paper]",
            name=job.paper.name,
            roll_length=_mm(job.paper.roll_length),
            match=_match(job.paper.pattern),
            offset_direction="down",
            roll_width=None if job.paper.roll_width is None else _mm(job.paper.roll_width),
            sideways=job.paper.may_lie_sideways or None,
        ),
        _block("[trim]", top=_mm(trim.trim_top), bottom=_mm(trim.trim_bottom)),
        *([] if is_plain else map(_roll, job.lots)),
        *(_drop(drop) for drop in job.drops),
    ]
    return "\n".join(blocks)


def _match(pattern: Pattern) -> str:
    return "free" if pattern.is_free else f"{_mm(pattern.repeat)}/{_mm(pattern.offset)}"


def _roll(lot: Lot) -> str:
    first_motif = None if lot.first_motif is None else _mm(lot.first_motif)
    count = "as needed" if lot.count is None else lot.count
    return _block(
        "[[roll]]", label=lot.label, length=_mm(lot.length), first_motif=first_motif, count=count, price=lot.price
    )


def _drop(drop: Drop) -> str:
    return _block(
        "[[drop]]",
        label=drop.label,
        height=_mm(drop.height),
        first_motif=_mm(drop.first_motif),
        count=drop.count,
        wall=drop.wall,
        left=None if drop.left is None else _mm(drop.left),
        right=None if drop.right is None else _mm(drop.right),
    )


def _block(head: str, **values: str | int | Fraction | None) -> str:
    lines = [
        f'{key} = "{value}"' if isinstance(value, str) else f"{key} = {str(value).lower()}"
        for key, value in values.items()
        if value is not None
    ]
    return "\n".join([head, *lines, ""])


def _mm(length: Fraction) -> str:
    """Return an exact length with its unit, a broken one as a mixed number: ``213 1/3 mm``."""
    whole, rest = divmod(length, 1)
    return f"{whole} {rest} mm" if rest else f"{whole} mm"
