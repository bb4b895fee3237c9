"""Random work and random spoiling on small jobs, and what an exhaustive search finds for the rest of them."""

from __future__ import annotations

import json
from fractions import Fraction
from itertools import product
from random import Random
from typing import TYPE_CHECKING, Final, TypeAlias

from msgspec import Struct
from msgspec.structs import replace

from cutplan.check import check_text
from cutplan.errors import NoPlanError
from cutplan.job.offcuts import cut_out_lots
from cutplan.progress.entries import Bought, Done, Hung, Measured, Spoiled
from cutplan.progress.plan_in_use import Effect, PlanInUse, freeze
from cutplan.progress.purchases import bought_rolls
from cutplan.progress.record import fingerprint
from cutplan.progress.remains import remains_of
from cutplan.progress.state import NotPossibleError, State
from cutplan.progress.still_enough import rest_sequence, still_enough
from cutplan.render.documents.plan_document import document_of, plan_text
from cutplan.scenario.read import Scenario, parse_scenario
from cutplan.solve import solve
from cutplan.solve.ordering import order_cuts
from cutplan.table.sequence import sequence_of
from special_scenarios import special_scenario

if TYPE_CHECKING:
    from collections.abc import Iterator
    from collections.abc import Sequence as Rows

    from cutplan.job.drops import Drop
    from cutplan.job.job import Job
    from cutplan.paper.stock import Lot
    from cutplan.progress.still_enough import StillEnough
    from cutplan.table.steps import Sequence

BATCHES: Final = ("11", "22")
WALLS: Final = ("north", "south")

Across: TypeAlias = tuple[Fraction, Fraction]
"""What paper has of the strip's width, from the strip's left edge."""

NOT_CUT: Final = (Fraction(1), Fraction(0))
"""No width at all: what falls out of a drop that is not cut from anything."""


def scenario_at_random(seed: int) -> Scenario:
    """Return a small scenario of special stock; every second one has walls and batches."""
    chance = Random(seed)  # noqa: S311 - repeatable, nothing secret
    if seed % 5 == 0:
        return parse_scenario(_survey(chance), f"room-{seed}.toml")
    text = special_scenario(seed, free=chance.random() < 0.4)
    if seed % 2:
        lines = []
        for line in text.splitlines():
            lines.append(line)
            if line in ("[[roll]]", "[[offcut]]"):
                lines.append(f'batch = "{chance.choice(BATCHES)}"')
            if line == "[[drop]]":
                lines.append(f'wall = "{chance.choice(WALLS)}"')
        text = "\n".join(lines)
    return parse_scenario(text, f"job-{seed}.toml")


def _survey(chance: Random) -> str:
    """Return a room of one or two short walls, with a door or a window, from rolls listed or as they are needed."""
    match = chance.choice(["free", "300 mm", "300/150 mm"])
    lines = ['units = "mm"', "[paper]", "roll_length = 6000", "roll_width = 500", f'match = "{match}"']
    for number in range(chance.randint(0, 4)):
        lines += ["[[roll]]", f'label = "R{number}"', f"length = {chance.randint(4000, 8000)}"]
        lines += [f'batch = "{chance.choice(BATCHES)}"']
        lines += [f"first_motif = {chance.randrange(300)}"] if match != "free" and chance.random() < 0.6 else []
    for name in WALLS[: chance.randint(1, 2)]:
        width, height = chance.randint(900, 1300), chance.randint(1900, 2500)
        lines += ["[[wall]]", f'name = "{name}"', f"width = {width}", f"height = {height}"]
        if chance.random() < 0.7:
            size = chance.randint(300, 700)
            lines += ["[[wall.opening]]", 'kind = "door"', f"left = {chance.randint(0, width - size)}"]
            lines += [f"width = {size}", f"height = {chance.randint(1000, 1700)}"]
    motif = [] if match == "free" else [f"motif_drop = {chance.randrange(300)}"]
    return "\n".join([*lines, "[start]", 'wall = "north"', "at = 0", 'puts = "joint"', *motif])


def begun(scenario: Scenario) -> State | None:
    """Return the state before the first step of a scenario's plan; None when its rolls are too few."""
    try:
        plan = order_cuts(solve(scenario.job))
    except NoPlanError:
        return None
    return State(scenario.job, scenario.units, put_to_use(sequence_of(plan), scenario, 1, {}))


def put_to_use(sequence: Sequence, scenario: Scenario, number: int, origins: dict[str, str]) -> PlanInUse:
    """Return a plan to work from, its steps worded by their numbers."""
    return freeze(
        number=number,
        scenario=fingerprint(scenario.document),
        sequence=sequence,
        origins=origins,
        document=document_of(sequence, scenario),
        words=lambda step: str(step.number),
    )


def worked(state: State, chance: Random) -> State:
    """Return the state after some steps, some hanging and some spoiling, in the order of the plan."""
    number = chance.randint(1, len(state.plan.steps))
    for step in state.plan.steps[:number]:
        try:
            state = state.after(Done(state.plan.number, (step.number,)), is_new=True)
        except NotPossibleError:
            continue
        if step.act is Effect.CUT and chance.random() < 0.5:
            state = state.after(Hung(state.on_table[: chance.randint(1, len(state.on_table))]))
        pieces = (*state.on_table, *state.hung)
        if pieces and chance.random() < 0.2:
            piece = chance.choice(pieces)
            good = None if chance.random() < 0.5 else Fraction(chance.randint(1, 2))
            state = state.after(Spoiled(piece, "torn", good, good_at_top=chance.random() < 0.5))
        roll = state.rolls.get(next(reversed([*state.rolls]), ""))
        if roll is not None and roll.left > 1 and chance.random() < 0.1:
            left = roll.left - Fraction(chance.randint(0, 1))
            state = state.after(Measured(roll.label, left), is_new=True)
    if chance.random() < 0.2 and all(lot.count is not None for lot in state.job.rolls):
        state = state.after(Bought(bought_rolls(state, 1, None, chance.choice([None, *BATCHES]))))
    return state


class Replanned(Struct, frozen=True):
    """A job that was begun, the answer for its rest, and what the judge and the search say."""

    scenario: Scenario
    state: State
    answer: StillEnough
    faults: tuple[str, ...]
    least: Fraction | None
    """Fewest rolls not opened yet that the rest takes, by trying everything; None where the rolls are too few."""

    @property
    def is_right(self) -> bool:
        """True when the answer is the search's, and the judge finds nothing amiss with the plan."""
        found = self.answer.further if self.answer.is_enough else None
        return found == self.least and not self.faults


def replanned(seed: int) -> Replanned | None:
    """Return a random job, begun and planned again; None where there is nothing to plan."""
    scenario = scenario_at_random(seed)
    state = begun(scenario)
    if state is None:
        return None
    chance = Random(seed)  # noqa: S311 - repeatable, nothing secret
    state = worked(state, chance)
    faults: list[str] = []
    while True:
        if not state.remaining:
            return None
        try:
            answer = still_enough(state, scenario)
        except NoPlanError:  # a drop that no roll of the paper's length gives
            return None
        faults += _faults_of_count(state, answer)
        if answer.plan is None:
            break
        rest = answer.remains.scenario
        sequence = rest_sequence(order_cuts(answer.plan), state, state.plan.last + 1)
        in_use = put_to_use(sequence, rest, state.plan.number + 1, answer.remains.origins)
        faults += _faults_of(plan_text(in_use.document), rest.job)
        if chance.random() < 0.5:
            break
        state = worked(state.after(in_use), chance)
    job = remains_of(state, scenario).job
    return Replanned(scenario, state, answer, tuple(faults), least_further(job, state))


def _faults_of(text: str, job: Job) -> Iterator[str]:
    """Yield what the judge finds amiss with a plan, and whether something is lost from its echo."""
    yield from (violation.line() for violation in check_text(text).violations)
    again = parse_document(json.loads(text)["scenario"])
    if (again.lots, again.drops) != (job.lots, tuple(replace(drop, column=None) for drop in job.drops)):
        yield "the echo is not what was planned"


def _faults_of_count(state: State, answer: StillEnough) -> Iterator[str]:
    """Yield whether the rolls said to be in hand are not those listed or bought that no step has opened."""
    opened = {label for label, roll in state.rolls.items() if roll.is_open}
    listed = [*state.job.rolls, *(held.lot for held in state.bought)]
    unopened = sum(lot.label not in opened for lot in listed)
    if all(lot.count is not None for lot in listed) and unopened != answer.in_hand:
        yield f"{answer.in_hand} rolls in hand, and {unopened} are not opened"


# A document read again


def parse_document(document: dict[str, object]) -> Job:
    """Return the job that a scenario's document says, read as a file of TOML would be."""
    simple = {key: value for key, value in document.items() if not isinstance(value, dict | list)}
    lines = [f"{key} = {_value(value)}" for key, value in simple.items()]
    for key, value in document.items():
        if isinstance(value, dict):
            lines += [f"[{key}]", *(f"{inner} = {_value(entry)}" for inner, entry in value.items())]
    for key, value in document.items():
        for entry in value if isinstance(value, list) else ():
            lines += [f"[[{key}]]", *(f"{inner} = {_value(held)}" for inner, held in entry.items())]
    return parse_scenario("\n".join(lines), "again.toml").job


def _value(value: object) -> str:
    if isinstance(value, dict):
        return "{" + ", ".join(f"{key} = {_value(inner)}" for key, inner in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(_value, value)) + "]"
    return json.dumps(value)


# The exhaustive search, with arithmetic of its own


def least_further(job: Job, state: State) -> Fraction | None:
    """Return the fewest unopened rolls that ``job`` takes, over every batch of each wall and every share-out."""
    walls = list(dict.fromkeys(drop.wall or "" for drop in job.drops))
    batches = {lot.batch or "" for lot in job.rolls} | {drop.batch for drop in job.drops if drop.batch is not None}
    must_share = len(batches) > 1 and "" not in walls
    found = []
    for chosen in product(sorted(batches), repeat=len(walls)) if must_share else [()]:
        of_wall = dict(zip(walls, chosen, strict=False))
        drops = [replace(drop, batch=of_wall.get(drop.wall or "", drop.batch)) for drop in job.drops]
        if all(one.batch in (None, other.batch) for one, other in zip(job.drops, drops, strict=True)):
            least = _least(job, drops, state, batches)
            found += [] if least is None else [least]
    return min(found, default=None)


def _least(job: Job, drops: list[Drop], state: State, batches: set[str]) -> Fraction | None:
    """Return the least for these drops; every way to share them out is followed, with the width of each one's paper."""
    pieces = [(number, drop) for number, drop in enumerate(drops) for _ in range(drop.count)]
    place = {drop.label: number for number, drop in enumerate(drops)}
    piece_of = {drop.label: number for number, (_, drop) in reversed(list(enumerate(pieces)))}
    strip = job.paper.roll_width or Fraction(0)
    lots = [lot for lot in job.lots if lot.count is not None]
    lots += [lot for drop in drops for lot in cut_out_lots(drop, job.paper)]
    least: dict[tuple[int, tuple[Across, ...]], Fraction] = {(0, (NOT_CUT,) * len(pieces)): Fraction(0)}
    for lot in lots:
        cost = Fraction(int(not lot.is_offcut and not state.is_opened(lot.label)))
        wait = place.get(lot.cut_from or lot.after or "", -1)
        own = (lot.left or Fraction(0), strip if lot.right is None else lot.right)
        allowed = [number > wait and _of_batch(lot, drop, batches) for number, drop in pieces]
        sets = _sets(lot, [drop for _, drop in pieces], allowed, job.paper.pattern.repeat) - {0}
        more = dict(least)
        for (done, papers), value in least.items():
            source = (Fraction(0), strip) if lot.cut_from is None else papers[piece_of[lot.cut_from]]
            across = max(own[0], source[0]), min(own[1], source[1])
            wide = sum(1 << number for number, (_, drop) in enumerate(pieces) if _is_within(drop, across, strip))
            for held in sets:
                if done & held or held & ~wide:
                    continue
                after = tuple(across if held >> number & 1 else paper for number, paper in enumerate(papers))
                key = done | held, after
                more[key] = min(more.get(key, value + cost), value + cost)
        least = more
    return min((value for (done, _), value in least.items() if done == (1 << len(pieces)) - 1), default=None)


def _is_within(drop: Drop, across: Across, strip: Fraction) -> bool:
    left, right = drop.left or Fraction(0), strip if drop.right is None else drop.right
    return across[0] <= left and right <= across[1]


def _of_batch(lot: Lot, drop: Drop, batches: set[str]) -> bool:
    """Return True when a drop may be cut from this paper: of its batch, or of any that some roll is of."""
    if drop.batch is not None:
        return drop.batch == (lot.batch or "")
    return lot.batch in batches or "" in batches or not lot.is_offcut


def _sets(lot: Lot, drops: Rows[Drop], allowed: Rows[bool], repeat: Fraction) -> set[int]:
    """Return every set of pieces (bit k stands for piece k) that some order lays on the lot, stretch by stretch."""
    stretches = [(part.start, part.start + part.length, part.first_motif) for part in lot.stretches]
    found = {0}

    def lay(taken: int, stretch: int, place: Fraction, datum: Fraction | None) -> None:
        found.add(taken)
        begin, end, known = stretches[stretch]
        for number, drop in enumerate(drops):
            if taken >> number & 1 or not allowed[number]:
                continue
            size = drop.cut_length
            motif = drop.trim_top + drop.first_motif
            motif = size - motif if lot.is_foot_first else motif
            if datum is None and known is None and repeat:
                start, here = begin + repeat, begin + repeat + motif
            else:
                here = datum if datum is not None else begin + (known or 0)
                start = place + ((here - motif - place) % repeat if repeat else 0)
            if start + size <= end:
                lay(taken | 1 << number, stretch, start + size, here)
        if stretch + 1 < len(stretches):
            lay(taken, stretch + 1, stretches[stretch + 1][0], None)

    lay(0, 0, stretches[0][0], None)
    return found


def every(seeds: range) -> Iterator[Replanned]:
    """Yield the random jobs of these seeds that have something to plan."""
    yield from (found for seed in seeds if (found := replanned(seed)) is not None)
