"""What the judge says of plans that are kept with one thing in them changed: every word of it, and by how much.

``verdicts.jsonl`` has a line for each change: the plan, where, what stands there instead (nothing, where it is left
out), what else is changed ``then``, and what is said otherwise than of the plan as it is. Of a record the entries are
changed, counted from 0, and every sum is made right again. A room, its scenario in place of a plan's name, is set out
anew, and all that is said of it is kept where nothing is changed. After a change of the judge,
``python tests/test_verdicts.py`` writes down what it says now: read the difference.
"""

from __future__ import annotations

import json
from collections import Counter
from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import Any, Final, TypeAlias

import pytest

from cutplan.check import PlanUnreadable, check_text
from cutplan.render.documents.plan_document import plan_text
from hung_plans import document_of_text

TESTS: Final = Path(__file__).parent
VERDICTS: Final = TESTS / "verdicts.jsonl"

UNREADABLE: Final = "unreadable"

Change: TypeAlias = "dict[str, Any]"


def changes() -> list[Change]:
    """Return the changes, each with what is said of it."""
    return [json.loads(line) for line in VERDICTS.read_text(encoding="utf-8").splitlines()]


@cache
def kept(plan: str) -> str:
    """Return the text of a plan that is kept, of a record, or of a room told by its scenario, which has many lines."""
    if "\n" in plan:
        return plan_text(document_of_text(plan))
    kind = "jsonl" if plan.endswith(".record") else "json"
    return (TESTS / "old_plans" / f"{plan}.{kind}").read_text(encoding="utf-8")


def changed(change: Change) -> str:
    """Return the text of a plan with the change made in it."""
    text = kept(change["plan"])
    is_record = change["plan"].endswith(".record")
    document = [json.loads(line) for line in text.splitlines()] if is_record else json.loads(text)
    for each in (change, *change.get("then", ())):
        if "at" in each:
            _make(each, document)
    return summed(document) if is_record else json.dumps(document)


def _make(change: Change, document: Any) -> None:  # noqa: ANN401 - any JSON
    *way, last = change["at"].split("/")
    place = document
    for key in way:
        place = place[_key(place, key)]
    if "is" in change:
        place[_key(place, last)] = change["is"]
    else:
        del place[_key(place, last)]


def summed(entries: list[dict[str, Any]]) -> str:
    """Return the text of a record of these entries, with every line's sum made right."""
    text = last = ""
    for entry in entries:
        body = json.dumps({key: told for key, told in entry.items() if key != "sum"}, separators=(",", ":"))[:-1]
        last = sha256((last + body).encode()).hexdigest()[:16]
        text += f'{body},"sum":"{last}"}}\n'
    return text


def _key(place: object, key: str) -> str | int:
    return int(key) if isinstance(place, list) else key


def words(text: str) -> list[str]:
    """Return all that is said of a plan: what is wrong, with its rule and amount, and what is checked or trusted."""
    try:
        report = check_text(text)
    except PlanUnreadable as error:
        return [f"{UNREADABLE}: {fault}" for fault in error.faults]
    return [
        *(f"{broken.rule}: {broken.line()} ({broken.amount})" for broken in report.violations),
        *(f"checked: {fact}" for fact in report.facts),
        *(f"not proved: {bound}" for bound in report.searched),
        *(f"on trust: {claim}" for claim in report.trusted),
    ]


@cache
def words_as_kept(plan: str) -> Counter[str]:
    """Return what is said of a plan as it is."""
    return Counter(words(kept(plan)))


def said(change: Change) -> list[str]:
    """Return what is said otherwise than of the plan as it is: first what is new, then what is said no more."""
    if "at" not in change:
        return words(changed(change))
    now, before = Counter(words(changed(change))), words_as_kept(change["plan"])
    if any(line.startswith(UNREADABLE) for line in now):
        return list(now)
    return [*(f"+ {line}" for line in (now - before).elements()), *(f"- {line}" for line in (before - now).elements())]


def _name(change: Change) -> str:
    """Return what a change is called."""
    plan, *more = change["plan"].splitlines()
    return f"{'room' if more else plan}: {change.get('at', 'as it is')}"


CHANGES: Final = changes()


@pytest.mark.parametrize("change", CHANGES, ids=(f"{n} {_name(each)}" for n, each in enumerate(CHANGES)))
def test_verdict_on_a_changed_plan_is_the_one_that_is_kept(change: Change) -> None:
    """In every word: another verdict is no fault by itself, and is to be read before it is kept."""
    assert said(change) == change["says"]


def main() -> None:
    """Write down what is said now."""
    lines = [json.dumps({**change, "says": said(change)}, ensure_ascii=False) for change in changes()]
    VERDICTS.write_text("".join(f"{line}\n" for line in lines), encoding="utf-8")


if __name__ == "__main__":
    main()
