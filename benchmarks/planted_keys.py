"""What can be added to a plan document: keys that other objects of its kind have, keys of nobody, entries of lists.

Which keys an object may have is what the judge says that it knows there, whether any document at hand has them or not;
with which values, what stands there in the documents at hand, and false ones.
"""

from __future__ import annotations

import copy
import json
import re
from collections import defaultdict
from functools import partial
from typing import TYPE_CHECKING, Final

from cutplan.check.stated.known_keys import CONTRACT, ENTRIES, PARTS, PLAN, TOO_FEW, Partly
from planted_fault import Fault

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from cutplan.check.stated.known_keys import Shape
    from planted_fault import Document, Key

OF_NOBODY: Final[Document] = {"weather": "dry", "discount": 1, "is_proved": True}
"""Keys that no object has."""
GENERIC: Final[tuple[object, ...]] = (0, 1, True, "optimal", [], {})
"""Values of a key of which no document has an example."""
WORDS: Final = ("optimal", "prices", "search")
LONGEST: Final = 60
"""Signs of a value that are shown."""
EXAMPLES: Final = 3
"""So many values of one key are tried as they stand elsewhere."""


def shape_of(document: Document) -> Shape:
    """Return what the judge says that it knows of a document of this kind."""
    if "plans" in document:
        return PARTS if "parts" in document else CONTRACT
    if all(str(key).rpartition(" ")[0] in ENTRIES for key in document):
        return {key: ENTRIES[str(key).rpartition(" ")[0]] for key in document}
    return TOO_FEW if "partial" in document else PLAN


class Examples:
    """Values as they stand at each key of some documents, those of the same place first."""

    def __init__(self, documents: Mapping[str, Document]) -> None:
        self._at: dict[str, list[object]] = defaultdict(list)
        for document in documents.values():
            self._gather("", document)

    def of(self, place: str, key: str) -> list[object]:
        """Return some values of a key of an object at a place, as they stand there, or else in places called so."""
        here = self._at.get(f"{place}.{key}") or self._at.get(f"{place.rpartition('.')[2]}.{key}")
        return (here or self._at.get(key) or [])[:EXAMPLES]

    def _gather(self, place: str, value: object) -> None:
        if isinstance(value, list):
            for entry in value:
                self._gather(place, entry)
        elif isinstance(value, dict):
            last = place.rpartition(".")[2]
            for key, held in value.items():
                for name in (f"{place}.{key}", f"{last}.{key}", str(key)):
                    if len(self._at[name]) < EXAMPLES and held not in self._at[name]:
                        self._at[name].append(held)
                self._gather(f"{place}.{key}", held)


def additions_to(document: Document, examples: Examples) -> Iterator[Fault]:
    """Yield everything that can be added to a document; its own scenario is the question, and left alone."""
    for fault in _within((), document, shape_of(document), examples):
        if fault.path[0] not in ("scenario", "format") and fault.path[1:2] != ("document",):
            yield fault


def _within(path: tuple[Key, ...], value: object, shape: Shape | None, examples: Examples) -> Iterator[Fault]:
    if isinstance(value, list):
        yield from _entries(path, value, examples)
        for number, entry in enumerate(value):
            yield from _within((*path, number), entry, shape, examples)
    elif isinstance(value, dict) and shape is None:
        yield Fault((*path, "ghost"), "added", partial(_instead, to=1))
    elif isinstance(value, dict):
        place = ".".join(str(key) for key in path if isinstance(key, str))
        keys = shape.keys if isinstance(shape, Partly) else shape or {}
        for key in [key for key in keys if key not in value]:
            yield from _key(path, key, examples.of(place, key))
        yield from (Fault((*path, new), "added", partial(_instead, to=added)) for new, added in OF_NOBODY.items())
        for key, held in value.items():
            yield from _within((*path, key), held, keys.get(key), examples)


def _key(path: tuple[Key, ...], key: str, values: list[object]) -> Iterator[Fault]:
    tried = [*values, *(value for first in values[:1] for value in _false(first))] or GENERIC
    for value in [*tried, None]:
        yield Fault((*path, key), f"added as {_shown(value)}", partial(_instead, to=value))


def _shown(value: object) -> str:
    """Return a value as the file has it; of a long one the beginning."""
    written = json.dumps(value, ensure_ascii=False)
    return written if len(written) <= LONGEST else f"{written[:LONGEST]}…"


def _false(value: object) -> list[object]:
    """Return plausible false values of the kind of one."""
    if isinstance(value, bool):
        return [not value]
    if isinstance(value, int | float):
        return [0, value + 1, 10**6]
    if isinstance(value, str):
        return ["0", str(10**6)] if re.fullmatch(r"-?\d+(\.\d+)?(/\d+)?", value) else list(WORDS)
    if isinstance(value, list):
        return [[], value[:1], value[:1] * 2]
    if isinstance(value, dict):
        return [{}, *({k: v for k, v in value.items() if k != key} for key in value)]
    return []


def _entries(path: tuple[Key, ...], value: list[object], examples: Examples) -> Iterator[Fault]:
    """Yield what can be added to a list: an entry again, one of another list, and false ones."""
    keys = [str(key) for key in path if isinstance(key, str)]
    others = examples.of(".".join(keys[:-1]), keys[-1]) if keys else []
    strange = next(
        (entry for other in others if isinstance(other, list) for entry in other if entry not in value), None
    )
    for called, entry in (("its last", value[-1] if value else None), ("one of elsewhere", strange)):
        if entry is not None:
            yield Fault(path, f"{called} added", partial(_with_entry, entry=entry))
        for key, false in _last_false(entry):
            changed = {**entry, key: false} if isinstance(entry, dict) else entry
            yield Fault(path, f"{called} added with {key} = {_shown(false)}", partial(_with_entry, entry=changed))
    yield Fault(path, "nothing added", partial(_with_entry, entry={}))
    yield Fault(path, "a word added", partial(_with_entry, entry="ghost"))


def _last_false(entry: object) -> Iterator[tuple[str, object]]:
    """Yield each key of an entry with a plausible false value of it."""
    for key, value in entry.items() if isinstance(entry, dict) else ():
        yield from ((str(key), false) for false in _false(value)[-1:])


def _instead(_: object, to: object) -> object:
    return copy.deepcopy(to)


def _with_entry(held: object, entry: object) -> object:
    return [*held, copy.deepcopy(entry)] if isinstance(held, list) else held
