"""The start, the finish or the height of the print that would take fewer rolls, if there is one."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from cutplan.comparing.comparison import compare
from cutplan.comparing.placements import Insisted, focus_of
from cutplan.setting_out import Puts
from cutplan.wording import Wording

if TYPE_CHECKING:
    from collections.abc import Iterator

    from cutplan.comparing.figures import Compared
    from cutplan.comparing.proving import Proved
    from cutplan.comparing.sweep import Progress
    from cutplan.job.job import Job
    from cutplan.setting_out import SettingOut

_PUT: Final = {Puts.MOTIF: "The motif", Puts.JOINT: "A joint", Puts.MIDDLE: "The middle of a strip"}


def cheaper_placements(
    setting_out: SettingOut, job: Job, *, fewer_than: int, progress: Progress | None = None
) -> Iterator[tuple[Wording, Proved]]:
    """Yield what would take fewer rolls than ``fewer_than``: the cheapest placement, then the cheapest height.

    A motif that the scenario puts on its focal point is the customer's wish, so then the start stays where it is.
    Each comes with its rolls and their bound.
    """
    insisted = Insisted(start=setting_out.start.puts is Puts.MOTIF)
    found = compare(setting_out, job, focus_of(setting_out), insisted=insisted, progress=progress)
    places = [place for place in found.front if place.proved is not None and place.proved.rolls < fewer_than]
    if places:
        best = min(places, key=lambda place: _rolls(place.proved))
        if best.proved is not None:
            yield _place_in_words(setting_out, best), best.proved
    heights = [height for height in found.by_height if height.proved is not None and height.proved.rolls < fewer_than]
    if heights:
        lowest = min(heights, key=lambda height: _rolls(height.proved))
        if lowest.proved is not None:
            yield Wording("motif_drop = {}", (lowest.motif_drop,)), lowest.proved


def _rolls(proved: Proved | None) -> int:
    return 0 if proved is None else proved.rolls


def _place_in_words(setting_out: SettingOut, place: Compared) -> Wording:
    start = place.placement.start
    wall = setting_out.room.walls[start.wall].name
    finish = "" if place.placement.finish is None else ", and the finish that «cutplan compare» gives with it"
    return Wording("{} at {} from the left of {}{}", (_PUT[start.puts], start.at, wall, finish))
