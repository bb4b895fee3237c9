"""The whole answer before a survey: the range, a placement that shows its lower end, and the rules of thumb beside."""

from __future__ import annotations

from typing import Final

from msgspec import Struct

from cutplan.buying.thumb_rules import ThumbRule, thumb_rules
from cutplan.comparing.cheaper import compared_in_time
from cutplan.comparing.figures import Compared
from cutplan.errors import CutplanError
from cutplan.quantity.anywhere import Anywhere, anywhere
from cutplan.quantity.sizes_told import Notebook
from cutplan.quantity.sketch import NoSketchError, sketch
from cutplan.scenario.read import Scenario, parse_scenario
from cutplan.solve.clock import Clock

_STEPS_A_STRIP: Final = 3
"""Starts tried across one strip of the room that is drawn."""


class BeforeSurvey(Struct, frozen=True):
    """What can be said before a survey."""

    notebook: Notebook
    range: Anywhere
    """Rolls certain anywhere, and the bound that no place goes below."""
    scenario: Scenario | None
    """The room as it was drawn, to try places on; None when its openings could not be drawn."""
    text: str
    """The same as TOML; empty without one."""
    shown: Compared | None
    """The cheapest placement tried in it; None without one."""
    rules: tuple[ThumbRule, ...]
    """What the rules of thumb say of the same room as drawn."""
    doubts: tuple[str, ...] = ()
    """Questions about sizes unusual for their kind."""

    @property
    def is_attained(self) -> bool:
        """True when the placement shown takes no more rolls than the bound."""
        if self.shown is None or self.shown.proved is None:
            return False
        if self.range.order is not None:
            return self.shown.proved.value == self.range.order.least
        return self.rolls_shown == self.notebook.paper.sale.bought(self.range.least)

    @property
    def rolls_shown(self) -> int | None:
        """Rolls that the placement shown takes for certain."""
        return None if self.shown is None or self.shown.proved is None else self.shown.proved.rolls


def before_survey(
    notebook: Notebook, match: str, direction: str | None, units: str, *, seconds: float = 10.0
) -> BeforeSurvey:
    """Return what can be said of a room before its survey; the range takes half of the time at most.

    ``match`` and ``direction`` are as the label was told, ``units`` those of the scenario that the sizes stand for.

    RefusedError when the openings cannot stand in the walls; NoPlanError when a drop from ceiling to skirting is longer
    than a roll is sure to give. Either names each size that is unusual, for its unit may be the slip.
    """
    clock, doubts = Clock(seconds), tuple(notebook.doubts(units))
    try:
        notebook.refuse_misfits()
        found = anywhere(notebook, clock.share(0.5))
    except CutplanError as error:
        error.args = ("\n".join((str(error), *doubts)),)
        raise
    try:
        text = sketch(notebook, match, direction, units)
    except NoSketchError:
        return BeforeSurvey(notebook, found, None, "", None, (), doubts)
    scenario = parse_scenario(text, "the room as drawn")
    rules = thumb_rules(scenario.job, notebook.paper.roll_length)
    return BeforeSurvey(notebook, found, scenario, text, _cheapest(scenario, notebook, clock), rules, doubts)


def _cheapest(scenario: Scenario, notebook: Notebook, clock: Clock) -> Compared | None:
    setting_out = scenario.setting_out
    if setting_out is None:
        return None
    step = notebook.strip / _STEPS_A_STRIP
    found = compared_in_time(setting_out, scenario.job_to_order, clock, step=step, asks_heights=False)
    return None if found is None else found.front[0]
