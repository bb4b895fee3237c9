"""Proven cutting plans and a numbered cutting sequence for patterned wallcoverings.

What is named here is for other programs, and each name is loaded when it is first used. What is not named here may move
from one version to the next.
"""

import _signal  # type: ignore[import-not-found] # at hand already, and not to be loaded as `signal` is
import os
import sys


def _is_program() -> bool:
    """Return True in the program, False in a library: by the word before those of the user."""
    return os.path.basename("".join(sys.orig_argv[-len(sys.argv) :][:1])) in ("cutplan", "cutplan.exe")  # noqa: PTH119


def _ends(_number: int, _frame: object) -> None:
    os._exit(130)


try:  # Ctrl-C ends the program from its first line on, before anything can hear it better.
    if _is_program() and _signal.getsignal(_signal.SIGINT) is _signal.default_int_handler:
        _signal.signal(_signal.SIGINT, _ends)
except KeyboardInterrupt:
    if _is_program():
        os._exit(130)
    raise

if _is_program():
    from cutplan.interruption import listen

    listen(_ends)

TYPE_CHECKING = False  # as type checkers know it: nothing is loaded before the program listens for Ctrl-C

if TYPE_CHECKING:
    from cutplan.buying.how_many import Wishes as Wishes
    from cutplan.buying.how_many import how_many_rolls as how_many_rolls
    from cutplan.buying.need import Size as Size
    from cutplan.check import PlanUnreadable as PlanUnreadable
    from cutplan.check import Report as Report
    from cutplan.check import check_text as check_text
    from cutplan.check import report_lines as report_lines
    from cutplan.comparing.comparison import Comparison as Comparison
    from cutplan.comparing.comparison import compare as compare
    from cutplan.comparing.placements import Insisted as Insisted
    from cutplan.comparing.placements import NotARoomError as NotARoomError
    from cutplan.comparing.placements import focus_named as focus_named
    from cutplan.comparing.placements import focus_of as focus_of
    from cutplan.errors import CutplanError as CutplanError
    from cutplan.errors import LengthError as LengthError
    from cutplan.errors import NoPlanError as NoPlanError
    from cutplan.faults import ScenarioError as ScenarioError
    from cutplan.lengths import read_length as read_length
    from cutplan.parts.part import PartedJob as PartedJob
    from cutplan.parts.read_parts import read_job as read_job
    from cutplan.parts.read_parts import read_scenario as read_scenario
    from cutplan.plan.order import CuttingHabit as CuttingHabit
    from cutplan.plan.plan import Plan as Plan
    from cutplan.plan.proof import Status as Status
    from cutplan.render.written_plan import write_document as write_document
    from cutplan.render.written_plan import write_page as write_page
    from cutplan.scenario.read import Scenario as Scenario
    from cutplan.scenario.read import parse_scenario as parse_scenario
    from cutplan.setting_out import notices_of as notices_of
    from cutplan.setting_out import set_out as set_out
    from cutplan.solve import make_plan as make_plan
    from cutplan.table.sequence import sequence_of as sequence_of
    from cutplan.table.steps import CheckMatch as CheckMatch
    from cutplan.table.steps import CutDrop as CutDrop
    from cutplan.table.steps import CutOff as CutOff
    from cutplan.table.steps import NextStretch as NextStretch
    from cutplan.table.steps import OpenRoll as OpenRoll
    from cutplan.table.steps import Sequence as Sequence

__version__ = "0.1.0"

_HOMES = {
    "cutplan.buying.how_many": ("Wishes", "how_many_rolls"),
    "cutplan.buying.need": ("Size",),
    "cutplan.check": ("PlanUnreadable", "Report", "check_text", "report_lines"),
    "cutplan.comparing.comparison": ("Comparison", "compare"),
    "cutplan.comparing.placements": ("Insisted", "NotARoomError", "focus_named", "focus_of"),
    "cutplan.errors": ("CutplanError", "LengthError", "NoPlanError"),
    "cutplan.faults": ("ScenarioError",),
    "cutplan.lengths": ("read_length",),
    "cutplan.parts.part": ("PartedJob",),
    "cutplan.parts.read_parts": ("read_job", "read_scenario"),
    "cutplan.plan.order": ("CuttingHabit",),
    "cutplan.plan.plan": ("Plan",),
    "cutplan.plan.proof": ("Status",),
    "cutplan.render.written_plan": ("write_document", "write_page"),
    "cutplan.scenario.read": ("Scenario", "parse_scenario"),
    "cutplan.setting_out": ("notices_of", "set_out"),
    "cutplan.solve": ("make_plan",),
    "cutplan.table.sequence": ("sequence_of",),
    "cutplan.table.steps": ("CheckMatch", "CutDrop", "CutOff", "NextStretch", "OpenRoll", "Sequence"),
}
_HOME_OF = {name: home for home, names in _HOMES.items() for name in names}

__all__ = list(_HOME_OF)


if not TYPE_CHECKING:

    def __getattr__(name: str) -> object:
        """Return what has one of the public names, loading its module."""
        from importlib import import_module  # noqa: PLC0415 - with the first name

        if name not in _HOME_OF:
            raise AttributeError(f"cutplan has no name {name!r}; it offers {', '.join(__all__)}")
        found = globals()[name] = getattr(import_module(_HOME_OF[name]), name)
        return found

    def __dir__() -> list[str]:
        """Return the public names, loaded or not, and whatever else stands here."""
        return sorted({*globals(), *__all__})


if "IPython" in sys.modules:
    from cutplan.render.in_notebooks import tell_notebook

    tell_notebook()
