"""Rooms of every sort in numbered sheets, in equal strips and with every second length reversed, each judged.

``python benchmarks/panels.py --rooms 75`` plans so many invented rooms in each way, some with reveals and ceilings out
of level, has the judge read every plan, spoils a drop in every third and plans again. A fault ends it with status 1.
"""

from __future__ import annotations

import argparse
import re
import sys
from collections import Counter
from pathlib import Path
from random import Random
from typing import Final

sys.path.insert(0, str(Path(__file__).parent.parent / "tests"))

from cutplan.check import check_plan
from cutplan.faults import ScenarioError
from cutplan.plan.order import CuttingHabit
from cutplan.progress.entries import Spoiled
from cutplan.progress.still_enough import still_enough
from cutplan.render.documents.plan_document import plan_document
from cutplan.scenario.read import parse_scenario
from cutplan.solve import make_plan
from reuse_rooms import surveyed_room
from small_work import begun, done

HUNG: Final = ("sheets", "equal strips", "reversed")
_MATCH: Final = r"match = .*\n"
_OF_A_PRINT: Final = r"offset_direction = .*\n|motif_(above|below|from_left|drop) = .*\n"


def room(seed: int, hung: str) -> str:
    """Return a scenario of a room, hung in one of the ways of :data:`HUNG`."""
    rng = Random(f"{seed} {hung}")  # noqa: S311 - repeatable, nothing secret
    text = re.sub(_OF_A_PRINT, "", surveyed_room(seed))
    if rng.random() < 1 / 2:
        text = text.replace("height = 1150\n", f"height = 1150\nreveal = {rng.choice([60, 120, 250])}\n")
    first = re.search(r"width = (\d+)\nheight = (\d+)\n", text)
    if first is not None and rng.random() < 1 / 3:
        width, height = map(int, first.groups())
        top = f"width = {width}\ntop = [[0, {height}], [{width}, {height - rng.randrange(5, 40)}]]\n"
        text = text.replace(first[0], top, 1)
    if hung == "equal strips":
        strips = f"[equal_strips]\nedge_trim = {rng.choice([0, 10, 35])}\n[room]"
        text = text[: text.index("[start]")].replace("[room]", strips)
        return re.sub(_MATCH, f'match = "free"\nwet_growth = {rng.choice(["0", "1.5"])}\n', text)
    if hung == "sheets":
        text = text.replace("roll_length = 10050", "roll_length = 4500").replace("closes = true", "closes = false")
        sheets = f"[sheets]\ncount = 60\nfirst = {rng.randint(1, 5)}\nfirst_motif = 2500\n[room]"
        return re.sub(_MATCH, "", text).replace("[room]", sheets) + "motif_at = 1500\n"
    return re.sub(_MATCH, 'match = "reverse every other length"\n', text)


def trial(seed: int, hung: str) -> tuple[str, list[str]]:
    """Return what became of a room, and what the judge says against it."""
    try:
        scenario = parse_scenario(room(seed, hung), f"{hung} {seed}")
    except ScenarioError as error:
        if "second paper" in str(error):
            return "refused: a reveal's head that no sheet covers", []
        raise
    plan = make_plan(scenario.job, CuttingHabit())
    faults = [fault.line() for fault in check_plan(plan_document(plan, scenario)).violations]
    if seed % 3:
        return "planned", faults
    state = begun(plan)
    spoiled = Random(seed).choice(scenario.job.drops)  # noqa: S311 - repeatable
    state = done(state, *range(1, state.plan.last + 1)).after(Spoiled(spoiled.label, "torn"))
    answer = still_enough(state, scenario)
    if hung == "sheets":
        short = () if answer.shortage is None else answer.shortage.sheets
        return "planned; its sheet to be had again", [*faults, *([] if short == (spoiled.sheet,) else [f"not {short}"])]
    if answer.plan is not None:
        again = plan_document(answer.plan, answer.remains.scenario)
        faults += [fault.line() for fault in check_plan(again).violations]
    return "planned, and again", faults


def main() -> int:
    """Try rooms, print what became of them, and return the exit status."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--rooms", type=int, default=75, help="how many rooms are hung in each way")
    parser.add_argument("--hung", choices=HUNG, action="append", help="in which way; all, if not told")
    options = parser.parse_args()
    became: Counter[str] = Counter()
    faults: list[str] = []
    for hung in options.hung or HUNG:
        for seed in range(options.rooms):
            what, wrong = trial(seed, hung)
            became[f"{hung}: {what}"] += 1
            faults += [f"{hung} {seed}: {line}" for line in wrong]
    for what, count in sorted(became.items()):
        print(f"{count:>5} {what}")
    print(*faults, sep="\n", end="\n" if faults else "")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
