"""The program with all its commands."""

from __future__ import annotations

from cutplan.cli.app import app
from cutplan.cli.buy_command import buy
from cutplan.cli.check_command import check
from cutplan.cli.compare_command import compare
from cutplan.cli.draw_command import draw
from cutplan.cli.fit_command import fit
from cutplan.cli.new_command import new
from cutplan.cli.plan_command import plan
from cutplan.cli.record_commands import begin, bought, done, hung, measured, spoiled, undo
from cutplan.cli.replan_command import replan
from cutplan.cli.sheet_command import sheet
from cutplan.cli.status_command import status

__all__ = [
    "app",
    "begin",
    "bought",
    "buy",
    "check",
    "compare",
    "done",
    "draw",
    "fit",
    "hung",
    "measured",
    "new",
    "plan",
    "replan",
    "sheet",
    "spoiled",
    "status",
    "undo",
]
