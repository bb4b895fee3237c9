"""The program with all its commands."""

from __future__ import annotations

from cutplan.cli.app import app
from cutplan.cli.buy import buy
from cutplan.cli.check import check
from cutplan.cli.compare import compare
from cutplan.cli.draw import draw
from cutplan.cli.fit import fit
from cutplan.cli.new import new
from cutplan.cli.plan import plan
from cutplan.cli.recording import begin, bought, done, hung, measured, spoiled, undo
from cutplan.cli.replan import replan
from cutplan.cli.sheet import sheet
from cutplan.cli.status import status

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
