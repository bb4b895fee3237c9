"""The start, the finish or the height of the print that would take fewer rolls, if there is one."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from cutplan.comparing.comparison import Comparison, compare
from cutplan.comparing.figures import Compared
from cutplan.comparing.placements import METRIC_STEP, Insisted, Placement, focus_of
from cutplan.comparing.proving import Proved
from cutplan.comparing.sweep import Progress
from cutplan.errors import NoPlanError
from cutplan.interruption import stop_if_asked
from cutplan.job.job import Job
from cutplan.lengths import Length
from cutplan.setting_out import Puts, SettingOut
from cutplan.solve.clock import Clock
from cutplan.wording import Wording

_PUT: Final = {Puts.MOTIF: "The motif", Puts.JOINT: "A joint", Puts.MIDDLE: "The middle of a strip"}


def cheaper_placements(
    setting_out: SettingOut,
    job: Job,
    clock: Clock,
    *,
    fewer_than: int,
    progress: Progress | None = None,
    step: Length = METRIC_STEP,
) -> Iterator[tuple[Wording, Proved, Placement]]:
    """Yield what would come to less than ``fewer_than`` rolls: the cheapest placement, then the cheapest height.

    Of the placements, those that are compared before ``clock`` runs out; nothing where they are too few to tell.

    A motif that the scenario puts on its focal point is the customer's wish, so then the start stays where it is.
    Each comes with its value and the bound of it, and where it is.
    """
    if setting_out.paper.edge_trim is not None:  # equal strips leave no start to choose
        return
    insisted = Insisted(start=setting_out.start.puts is Puts.MOTIF)
    found = compared_in_time(setting_out, job, clock, step=step, insisted=insisted, progress=progress)
    if found is None:
        return
    places = [(place.proved.value, place.proved, place) for place in found.front if place.proved is not None]
    value, proved, best = min(places, key=lambda place: place[0])
    if value < fewer_than:
        yield _place_in_words(setting_out, best), proved, best.placement
    heights = [(at.proved.value, at.proved, at.placement) for at in found.by_height if at.proved is not None]
    for value, proved, placement in sorted(heights, key=lambda height: height[0])[:1]:
        if value < fewer_than:
            yield Wording("motif_drop = {}", (placement.start.motif_drop,)), proved, placement


def compared_in_time(
    setting_out: SettingOut,
    job: Job,
    clock: Clock,
    *,
    step: Length,
    insisted: Insisted | None = None,
    asks_heights: bool = True,
    progress: Progress | None = None,
) -> Comparison | None:
    """Return the placements that are compared before a clock runs out; None when they are too few to tell."""
    try:
        return compare(
            setting_out,
            job,
            focus_of(setting_out),
            step=step,
            insisted=insisted,
            asks_heights=asks_heights,
            progress=progress,
            clock=clock,
        )
    except NoPlanError:
        if not clock.is_over():
            raise
    except KeyboardInterrupt:
        stop_if_asked()
    return None


def _place_in_words(setting_out: SettingOut, place: Compared) -> Wording:
    start = place.placement.start
    wall = setting_out.room.walls[start.wall].name
    finish = "" if place.placement.finish is None else ", and the finish that goes with it (cutplan compare)"
    return Wording("{} at {} from the left of {}{}", (_PUT[start.puts], start.at, wall, finish))
