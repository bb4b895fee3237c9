"""Reading JSON as it was written: numbers exactly, and each key once."""

from __future__ import annotations

import json
from decimal import Decimal
from typing import NoReturn

from cutplan.check.report import PlanUnreadable
from cutplan.check.stated.fields import Json


def json_object(text: str, where: str, what: str) -> Json:
    """Return the object that a text is in JSON; PlanUnreadable for anything else, which is not ``what``."""
    try:
        value = parsed_json(text)
    except json.JSONDecodeError as error:
        raise PlanUnreadable([f"{where}not JSON: line {error.lineno}, column {error.colno}: {error.msg}"]) from error
    except (ValueError, RecursionError) as error:
        raise PlanUnreadable([f"{where}not JSON that can be judged: {error}"]) from error
    if not isinstance(value, dict):
        raise PlanUnreadable([f"{where}not {what}: the document must be one JSON object"])
    return value


def parsed_json(text: str) -> object:
    """Return what a text says in JSON; ValueError for what is none, or says a key twice."""
    return json.loads(text, parse_float=Decimal, parse_constant=_no_number, object_pairs_hook=_without_twins)


def _no_number(word: str) -> NoReturn:
    raise ValueError(f"{word} is not a number")


def _without_twins(pairs: list[tuple[str, object]]) -> Json:
    table = dict(pairs)
    if len(table) < len(pairs):
        keys = [key for key, _ in pairs]
        twin = next(key for key in keys if keys.count(key) > 1)
        raise ValueError(f"the key {twin!r} stands twice in one object")
    return table
