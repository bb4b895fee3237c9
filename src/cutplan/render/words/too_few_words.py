"""What too few rolls do, in sentences."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from cutplan.render.words.answer_words import rolls_and_parts
from cutplan.too_few import Covered, GivenUp
from cutplan.wording import counted


def too_few_lines(covered: Covered) -> list[str]:
    """Return why the rolls are too few, what they do all the same, and what stays bare."""
    why = "; ".join(covered.short.why.splitlines())
    head = "Only part of this job can be cut" if covered.plan is not None else "Nothing of this job can be cut"
    lines = [f"{head}: {why}."]
    if covered.plan is None:
        return lines
    rolls = rolls_and_parts(covered.plan)
    pieces = counted(covered.plan.job.drop_count, "piece")
    walls = f", with {_listed(covered.whole)} papered whole" if covered.whole else ""
    lines += [f"This plan covers {pieces} from {rolls}{walls}.", f"Bare: {'; '.join(_bare(covered))}."]
    if covered.walls:
        lines.append(f"Walls were taken in this order: {_listed(covered.walls)}.")
    what = "Every wall and piece left bare is" if covered.walls else "Every piece left bare is"
    lines.append(
        f"{what} proved not to fit beside those taken before it."
        if covered.is_most
        else "Not proved to be the most that can be covered: allow it more with --time-limit."
    )
    return lines


def given_up_lines(steps: Iterable[GivenUp], units: str) -> list[str]:
    """Return what could be given up, each with the rolls still missing then."""
    return [f"{step.what.read(units)}: {_still(step)}." for step in steps]


def _still(step: GivenUp) -> str:
    enough, least = step.missing.enough, step.missing.least
    still = f"{counted(enough, 'more roll')} needed" if enough else "the rolls in hand are enough"
    proved = "" if enough == least else f" (not proved: at least {least})"
    other = "" if step.other is None else f", and {counted(step.other.enough, 'roll')} of the other batch"
    return f"{still}{other}{proved}"


def _listed(walls: Iterable[str]) -> str:
    return ", ".join(f'"{wall}"' for wall in walls)


def _bare(covered: Covered) -> Iterator[str]:
    """Yield what stays bare, by wall where walls are told; a drop on two walls stands with the first."""
    told: set[str] = set()
    for wall, drops in covered.walls.items():
        labels = [label for label in drops if label in covered.bare and label not in told]
        told.update(labels)
        if len(labels) == len(drops):
            yield f'all of "{wall}"'
        elif labels:
            yield f'on "{wall}" {_named(covered, labels)}'
    if others := [label for label in covered.bare if label not in told]:
        yield _named(covered, others)


def _named(covered: Covered, labels: list[str]) -> str:
    named = []
    for label in labels:
        bare, wanted = covered.bare[label], covered.wanted[label]
        named.append(label if wanted == 1 else f"{label} ({bare} of {wanted})")
    return f"drop{'s' if len(named) > 1 else ''} {', '.join(named)}"
