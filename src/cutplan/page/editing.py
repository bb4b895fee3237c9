"""Changing a scenario's text where something in it changes, and nowhere else: comments and order stay as they were."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any, Final, TypeAlias

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT, Array, Table

from cutplan.errors import CutplanError

if TYPE_CHECKING:
    from tomlkit import TOMLDocument

Path: TypeAlias = tuple[str | int, ...]
"""Keys from the top of the file inwards; a whole number counts the entries of a list from 0."""

_START_ONLY: Final = ("middle_of", "between", "motif_at")
"""Keys of ``[start]`` that say otherwise what the keys written here say."""


class EditError(CutplanError):
    """A change that the file as it is now cannot take."""


def parsed(text: str) -> TOMLDocument:
    """Return a text to be changed; EditError when it is no TOML."""
    try:
        return tomlkit.parse(text)
    except (TOMLKitError, RecursionError) as error:
        raise EditError(f"The file cannot be changed here before it is mended by hand: {error}.") from error


def text_of(document: TOMLDocument, before: str, *changed: str) -> str:
    """Return a changed document as text, found to hold all that it held before but for some top-level keys.

    EditError when it does not, since its tables stand in an order in which they cannot be changed one by one.
    """
    text = tomlkit.dumps(document)
    then, now = tomllib.loads(before), tomllib.loads(text)
    for key in changed:
        then.pop(key, None)
        now.pop(key, None)
    if now != then:
        raise EditError("The file's tables stand in an order in which they cannot be changed here; change it by hand.")
    return text


def value_at(document: Any, path: Path) -> Any:  # noqa: ANN401 - whatever stands there
    """Return what stands at a path as plain values; None where nothing does."""
    for step in path:
        is_listed = isinstance(document, list) and isinstance(step, int) and 0 <= step < len(document)
        if not is_listed and not (isinstance(document, dict) and step in document):
            return None
        document = document[step]
    return document


def listed_at(document: Any, path: Path) -> list[Any]:  # noqa: ANN401 - likewise
    """Return the entries of the list at a path; none where there is no list."""
    found = value_at(document, path)
    return found if isinstance(found, list) else []


def put(document: TOMLDocument, path: Path, written: str | None) -> None:
    """Write a value, as TOML has it, at a path; None takes the key out.

    EditError when there is no such entry any more.
    """
    table: Any = document
    for step in path[:-1]:
        table = _inner(table, step, makes=written is not None)
        if table is None:
            return
    key = path[-1]
    if not isinstance(key, str) or not isinstance(table, dict):
        raise EditError("There is nothing of that kind in the file any more.")
    if written is None:
        table.pop(key, None)
    else:
        table[key] = _item(written, table.get(key))


def _item(written: str, before: Any) -> Any:  # noqa: ANN401 - tomlkit's items are as they come
    """Return a value with the comment that stood beside the one before it."""
    item = tomlkit.value(written)
    if hasattr(before, "trivia"):
        item.trivia.comment_ws, item.trivia.comment = before.trivia.comment_ws, before.trivia.comment
    return item


def _inner(table: Any, step: str | int, *, makes: bool) -> Any:  # noqa: ANN401 - likewise
    if isinstance(step, int):
        if not isinstance(table, list) or not 0 <= step < len(table):
            raise EditError("There is nothing of that kind in the file any more.")
        return table[step]
    if step not in table:
        if not makes:
            return None
        table.append(step, tomlkit.table())
    return table[step]


def insert(document: TOMLDocument, path: Path, at: int, keys: Mapping[str, str]) -> None:
    """Write a new entry of a list of tables at place ``at``, its keys with their values as TOML has them."""
    *outer, name = path
    table: Any = document
    for step in outer:
        table = _inner(table, step, makes=True)
    if not isinstance(name, str):
        raise EditError("There is no such list in the file.")
    if name not in table:
        table.append(name, tomlkit.aot())
    entries = table[name]
    if isinstance(entries, Array) or not isinstance(entries, AoT):
        raise EditError(f"{name} is written on one line; write its entries as [[{name}]] first.")
    entries.insert(min(at, len(entries)), _table(keys))


def _table(keys: Mapping[str, str]) -> Table:
    table = tomlkit.table()
    for key, written in keys.items():
        table.append(key, tomlkit.value(written))
    return table


def remove(document: TOMLDocument, path: Path) -> None:
    """Take an entry out of a list of tables; the list itself where it was the last."""
    *outer, name, at = path
    table: Any = document
    for step in outer:
        table = _inner(table, step, makes=False)
    if not isinstance(at, int) or value_at(table, (name, at)) is None:
        raise EditError("It is not there any more.")
    del table[name][at]
    if not len(table[name]):
        del table[name]


def with_start(text: str, lines: list[str], holder: Path = ()) -> str:
    """Return a text with a start, and a finish where there is one, as lines of TOML say them.

    ``holder`` is where the start stands of a part that has one to itself.
    """
    document = parsed(text)
    told: Any = tomlkit.parse("\n".join(lines))
    for name in ("start", "finish"):
        if name not in told:
            put(document, (*holder, name), None)
            continue
        for key, value in told[name].items():
            put(document, (*holder, name, key), value.as_string())
        stale = _START_ONLY if name == "start" else ("over", "at")
        for key in stale:
            if key not in told[name]:
                put(document, (*holder, name, key), None)
    return text_of(document, text, "start", "finish", *map(str, holder[:1]))
