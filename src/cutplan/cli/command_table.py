"""The table of commands: what each is for, and the module that holds it, loaded only when it is asked for."""

from __future__ import annotations

from typing import Final, NamedTuple


class Command(NamedTuple):
    """A command as ``cutplan --help`` lists it, and the module of this folder that holds it."""

    module: str
    purpose: str


COMMANDS: Final = {
    "page": Command("page_command", "The whole job on one page, in the browser."),
    "quantity": Command("quantity_command", "How many rolls before any survey, from a few sizes."),
    "new": Command("new_command", "Survey a room by questions, into a scenario."),
    "buy": Command("buy_command", "How many rolls to buy, and what that rests on."),
    "compare": Command("compare_command", "Where else a room could be started, and what it costs."),
    "plan": Command("plan_command", "The fewest rolls, proved, and the steps to cut them."),
    "contract": Command("contract_command", "Several rooms in one paper: pooled, in order, apart."),
    "check": Command("check_command", "Judge a plan and its proof."),
    "draw": Command("draw_command", "Pictures of walls, rolls or the table."),
    "sheet": Command("sheet_command", "The job sheet for phone and table, or the customer's page."),
    "fit": Command("fit_command", "Where an offcut in the hand fits."),
    "begin": Command("record_commands", "Make a plan the one to work from."),
    "done": Command("record_commands", "Record steps of the plan as done."),
    "cut": Command("record_commands", "Record a drop cut too long, too short, or from another roll."),
    "pasted": Command("record_commands", "Record drops as pasted and folded."),
    "hung": Command("record_commands", "Record drops as hung."),
    "spoiled": Command("record_commands", "Record a drop as spoiled."),
    "measured": Command("record_commands", "Record what is left on a roll."),
    "flaw": Command("record_commands", "Record a flaw found on a roll."),
    "bought": Command("record_commands", "Record further rolls."),
    "corrected": Command("record_commands", "Record that the scenario was corrected."),
    "stop": Command("record_commands", "Record the day's end."),
    "resume": Command("record_commands", "Record the day's start, or who takes the work up."),
    "undo": Command("record_commands", "Take back what was recorded."),
    "status": Command("status_command", "Where the work stands, and what is next."),
    "replan": Command("replan_command", "Is there still enough paper? And a plan for the rest."),
}
