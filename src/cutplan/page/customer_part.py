"""The part of the page for the customer: the walls as they will look, and two or three starts with their cost."""

from __future__ import annotations

from cutplan.comparing.comparison import Comparison
from cutplan.comparing.figures import figures_of
from cutplan.comparing.placements import METRIC_STEP, Placement, focus_of
from cutplan.errors import NoPlanError
from cutplan.page.moving import Mover, set_out_in, walls_in
from cutplan.page.photograph_part import print_served
from cutplan.photograph import print_of
from cutplan.render.sheet.customer_page import customer_content, customer_sheet
from cutplan.scenario.read import Scenario
from cutplan.setting_out import SettingOut


def part_for_customer(mover: Mover) -> dict[str, object]:
    """Return what the part shows."""
    scenario = mover.desk.scenario()
    comparison = _compared(mover, scenario)
    content = customer_content(scenario, walls_in(scenario), scenario.units, comparison, print_served(scenario)[0])
    return {**content, "has_start": comparison is not None}


def page_for_customer(mover: Mover) -> str:
    """Return the same as a page of its own, to print."""
    scenario = mover.desk.scenario()
    printed = None if print_served(scenario)[0] is None else print_of(scenario)
    return customer_sheet(scenario, walls_in(scenario), comparison=_compared(mover, scenario), printed=printed)


def _compared(mover: Mover, scenario: Scenario) -> Comparison | None:
    """Return the start in the file beside the places of the band that nobody would overrule; None for equal strips."""
    if scenario.job.paper.edge_trim is not None:
        return None
    now = set_out_in(scenario)
    own = Placement(now.start, now.finish, None, is_own=True)
    try:
        proved = mover.bench(scenario, now.way).prove_set_out(now)
    except NoPlanError:
        proved = None
    front = tuple(each for each in mover.band.choices() if _is_another(each.placement, now))
    return Comparison(
        setting_out=now,
        focus=focus_of(now),
        step=METRIC_STEP,
        counts_cost=scenario.of_all.job.counts_cost,
        counts_bought=scenario.of_all.job.buys_beside_hand,
        own=figures_of(own, now, proved),
        front=front,
        tried=len(mover.band.found),
        refused=0,
        left=0,
        without_plan=0,
        heights=None,
        by_height=(),
    )


def _is_another(placement: Placement, now: SettingOut) -> bool:
    """Return True for another place on the wall that the room starts on than the one in the file."""
    if placement.start == now.start:
        return placement.finish not in {None, now.finish}
    return placement.start.wall == now.start.wall
