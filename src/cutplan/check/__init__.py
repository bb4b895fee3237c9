"""The independent judge of a plan: it shares no code with the planner, so no fault can pass both.

It imports the standard library, msgspec for its records, and its own modules only. It reads the plan's JSON
with the scenario that the plan echoes, works everything out again in exact fractions, and says what is wrong,
where, and by how much. It does not look for plans: it verifies the one that it is given, and the proof that
comes with it.

Words and directions are those of the whole package: along a roll **down from its outer end**, lengths in
millimetres, a *datum* one chosen point of the print, found once in every repeat.
"""

from __future__ import annotations

from cutplan.check.judge import check_plan
from cutplan.check.report import PlanUnreadable, Report, Violation, report_lines
from cutplan.check.text_judged import check_text

__all__ = ["PlanUnreadable", "Report", "Violation", "check_plan", "check_text", "report_lines"]
