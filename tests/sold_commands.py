"""Every command, asked in process about one scenario, and what is wrong with its answers."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from fractions import Fraction
from itertools import takewhile
from pathlib import Path
from typing import Any, Final

from msgspec import Struct, field
from typer.testing import CliRunner

from cutplan.check import check_text
from cutplan.cli.all_commands import app
from page_client import Visitor

_SECONDS: Final = ("--time-limit", "5")
_PARTS_OF_PAGE: Final = ("paper", "room", "start", "rolls", "buy", "table", "enough", "customer")
_DONE, _WRONG_USAGE, _NO_PLAN = 0, 2, 3


class Asked(Struct):
    """What became of every command, and what is wrong with what it answered."""

    path: Path
    became: dict[str, str] = field(default_factory=dict)
    faults: list[str] = field(default_factory=list)

    def run(self, *words: str, takes: tuple[int, ...] = (_DONE,)) -> tuple[int, str]:
        """Run a command; a status that is none of those taken is a fault. Return status and standard output."""
        ran = CliRunner().invoke(app, words)
        name = words[0]
        told = next(
            (line for line in ran.stderr.splitlines() if line.startswith(("cutplan", str(self.path.parent)))), ""
        )
        self.became[name] = "done" if ran.exit_code == _DONE else f"{ran.exit_code}: {told}"
        if ran.exit_code not in takes:
            self.faults.append(f"{' '.join(words[:1])}: status {ran.exit_code}: {ran.stderr[-600:] or ran.exception!r}")
        return ran.exit_code, ran.stdout

    @property
    def what_was_planned(self) -> str:
        """Say whether the room was planned, has too few rolls, or is refused."""
        status = self.became.get("plan", "refused").partition(":")[0]
        return {"done": "planned", "3": "with too few rolls"}.get(status, "refused")

    def judge(self, text: str, what: str) -> None:
        """Have a plan judged."""
        report = check_text(text)
        self.faults += [f"{what}: {fault.line()}" for fault in report.violations]


def every_command(path: Path) -> Asked:
    """Ask every command about the scenario at ``path``, in a folder of its own."""
    asked = Asked(path)
    plan = planned(asked)
    if plan is None:
        return asked
    bought(asked, plan)
    more_is_no_worse(asked, plan)
    fitted(asked)
    compared(asked, plan)
    printed(asked, plan)
    recorded(asked, plan)
    in_a_contract(asked)
    on_the_page(asked)
    return asked


def planned(asked: Asked) -> dict[str, Any] | None:
    """Return the plan file, judged, whose page says the same; None where the scenario is refused."""
    status, text = asked.run("plan", str(asked.path), "--json", *_SECONDS, takes=(_DONE, _NO_PLAN))
    if not text:
        return None
    asked.judge(text, "plan")
    page = asked.run("plan", str(asked.path), *_SECONDS, takes=(status,))[1]
    plan: dict[str, Any] = json.loads(text)
    if plan["status"] not in {"optimal", "infeasible"}:
        asked.faults.append(f"plan: {plan['status']}")
    for line in page.splitlines():
        if len(line) > 80:
            asked.faults.append(f"plan: a line of {len(line)}: {line}")
    return plan


def bought(asked: Asked, plan: dict[str, Any]) -> None:
    """Compare what is to be bought with the plan, and plan with it and with one roll less."""
    status, text = asked.run("buy", str(asked.path), "--json", "--draws", "100", *_SECONDS, takes=(_DONE, _NO_PLAN))
    asked.run("buy", str(asked.path), "--draws", "100", *_SECONDS, takes=(status,))
    if not text:
        return
    answer = json.loads(text)
    is_listed = "[[roll]]" in asked.path.read_text(encoding="utf-8")
    if is_listed and "certain" in answer:
        _further_rolls(asked, plan, answer)
        return
    said, due = answer.get("order"), None
    if "certain" in answer:
        said, due = answer["certain"]["rolls"], sum(roll["count"] for roll in plan["rolls"] if roll["lot"] == "roll")
    elif "sheets" in answer:
        due = said if is_listed else sorted(cut["sheet"] for cut in plan["sheets"])
    else:
        said, due = said["length"], said["length"] if is_listed else plan["ordered"]["length"]
    if said != due:
        asked.faults.append(f"buy: {said}, and the plan takes {due}")


def _further_rolls(asked: Asked, plan: dict[str, Any], answer: dict[str, Any]) -> None:
    """Plan with as many rolls more as are to be bought beside those in hand, and with one less."""
    more = answer["certain"]["rolls"]
    if (more == 0) is not (plan["status"] == "optimal"):
        asked.faults.append(f"buy: {more} more certain, and the plan is {plan['status']}")
    joins = answer["buy"]["must_join"]
    batch = f'batch = "{joins[0]}"\n' if len(joins) == 1 else ""
    for number in {more, more - 1} - {0, -1}:
        found = _plan_with(asked, f"count = {number}\n{batch}")
        if (found["status"] == "optimal") is not (number == more):
            asked.faults.append(f"buy: {more} more certain, and with {number} the plan is {found['status']}")


def _plan_with(asked: Asked, keys: str) -> dict[str, Any]:
    """Return the plan file of the same scenario with one entry more of rolls."""
    before, start, after = asked.path.read_text(encoding="utf-8").partition("[[wall]]")
    path = asked.path.with_name("with_more.toml")
    path.write_text(f'{before}[[roll]]\nlabel = "further"\n{keys}\n{start}{after}', encoding="utf-8")
    found: dict[str, Any] = json.loads(CliRunner().invoke(app, ["plan", str(path), "--json", *_SECONDS]).stdout)
    return found


def more_is_no_worse(asked: Asked, plan: dict[str, Any]) -> None:
    """Plan with one roll more of those in hand."""
    written = asked.path.read_text(encoding="utf-8")
    if "[[roll]]" not in written or "[sheets]" in written:
        return
    batch = 'batch = "A"\n' if 'batch = "A"' in written else ""
    price = "price = 50\n" if "price = 50" in written else ""
    found = _plan_with(asked, batch + price)
    asked.judge(json.dumps(found), "plan with one roll more")
    if plan["status"] == "optimal":
        if found["status"] != "optimal" or _worth(found) > _worth(plan):
            asked.faults.append(f"one roll more: {_worth(plan)} became {found['status']} {_worth(found)}")
    elif found["status"] == "infeasible" and _whole(found) < _whole(plan):
        asked.faults.append(f"one roll more: {_whole(plan)} walls whole became {_whole(found)}")


def _worth(plan: dict[str, Any]) -> Fraction:
    return Fraction(plan["cost"] if plan["objective"] == "cost" else plan["rolls_needed"] or 0)


def _whole(plan: dict[str, Any]) -> int:
    """Return how many walls are papered whole, of those that come first, before the first that is not."""
    return len(list(takewhile(plan["whole_walls"].__contains__, plan["walls_in_order"])))


def fitted(asked: Asked) -> None:
    """Ask where an offcut fits."""
    sheet = ("--sheet", "1") if "[sheets]" in asked.path.read_text(encoding="utf-8") else ()
    asked.run("fit", str(asked.path), "--length", "1200", *sheet, *_SECONDS)


def compared(asked: Asked, plan: dict[str, Any]) -> None:
    """Compare places, whose own must be the plan's number."""
    if "[equal_strips]" in asked.path.read_text(encoding="utf-8"):
        asked.run("compare", str(asked.path), takes=(_WRONG_USAGE,))
        return
    taken = (_DONE, _NO_PLAN) if plan["status"] == "infeasible" else (_DONE,)
    _, text = asked.run("compare", str(asked.path), "--json", "--keep", "height", *_SECONDS, takes=taken)
    if not text or plan["status"] == "infeasible":
        return
    own = json.loads(text)["own"]
    own = {key: own[key] for key in ("rolls", "order_mm") if key in own}
    due: dict[str, Any] = {"rolls": plan["to_buy"]["rolls"] if "to_buy" in plan else plan["rolls_needed"]}
    if own != ({"order_mm": plan["ordered"]["length"]} if "ordered" in plan else due):
        asked.faults.append(f"compare: {own}, and the plan takes {due}")


def printed(asked: Asked, plan: dict[str, Any]) -> None:
    """Print the job sheet, the customer's page and the pictures."""
    taken = (_DONE, _NO_PLAN) if plan["status"] == "infeasible" else (_DONE,)
    folder = asked.path.parent
    asked.run("sheet", str(asked.path), "-o", str(folder / "job.html"), *_SECONDS, takes=taken)
    asked.run("sheet", str(asked.path), "--customer", "-o", str(folder / "c.html"), *_SECONDS, takes=taken)
    for what in ("walls", "rolls"):
        asked.run("draw", str(asked.path), "--what", what, "-o", str(folder / f"{what}.svg"), *_SECONDS, takes=taken)


def recorded(asked: Asked, plan: dict[str, Any]) -> None:
    """Begin, cut the first drop, spoil it, plan again; have the record judged."""
    path = str(asked.path)
    if plan["status"] == "infeasible":
        asked.run("begin", path, takes=(_NO_PLAN,))
        return
    if asked.run("begin", path, *_SECONDS)[0] != _DONE:
        return
    number, piece = next(_first_cut(asked.run("status", path, "--steps")[1]), (0, ""))
    if not number:
        asked.faults.append("status: no cut among the steps")
        return
    if asked.run("done", path, f"1-{number}" if number > 1 else "1")[0] == _DONE:
        asked.run("spoiled", path, piece)
        asked.run("replan", path, *_SECONDS, takes=(_DONE, _NO_PLAN))
        asked.run("status", path)
    asked.run("check", str(next(asked.path.parent.glob("*.jsonl"))))


def _first_cut(steps: str) -> Iterator[tuple[int, str]]:
    for number, piece in re.findall(r"^ *(\d+)  .*?[Cc]ut drop ([^:,]+)[:,]", steps, re.MULTILINE):
        yield int(number), piece


def in_a_contract(asked: Asked) -> None:
    """Paper three such rooms, one of them mirrored, from rolls of the contract."""
    written = asked.path.read_text(encoding="utf-8")
    room = re.sub(r"\[\[(roll|offcut)\]\]\n(.+\n)+", "", written)
    contract = asked.path.with_name("contract.toml")
    asked.path.with_name("plain.toml").write_text(room, encoding="utf-8")
    contract.write_text('[[rooms]]\nname = "room"\nfile = "plain.toml"\ncount = 3\nmirrored = 1\n', encoding="utf-8")
    if "[sheets]" in written or "across" in written:
        asked.run("contract", str(contract), takes=(_WRONG_USAGE,))
        return
    folder = asked.path.with_name("rooms")
    folder.mkdir()
    status, text = asked.run("contract", str(contract), "--json", "--rooms", str(folder))
    if status != _DONE:
        return
    asked.judge(text, "contract")
    asked.run("contract", str(contract))
    for each in sorted(folder.iterdir())[:2]:
        alone = CliRunner().invoke(app, ["plan", str(each), "--json", *_SECONDS])
        if alone.exit_code != _DONE:
            asked.faults.append(f"contract: {each.name} by itself: {alone.exit_code}: {alone.stderr[-300:]}")
        else:
            asked.judge(alone.stdout, f"contract: {each.name}")


def on_the_page(asked: Asked) -> None:
    """Open every part of the page."""
    visitor = Visitor(asked.path)
    try:
        for name in _PARTS_OF_PAGE:
            answer = visitor.get(f"/part/{name}")
            if answer.status != 200 or "Traceback" in answer.text:
                asked.faults.append(f"page: {name}: {answer.status}")
            asked.became[f"page {name}"] = " ".join(re.sub(r"<[^>]+>", " ", answer.text).split())[:100]
    finally:
        visitor.band.stop()
