"""Which code of a changed module takes the place of which, so that functions which are loaded can be given theirs."""

from __future__ import annotations

from collections import Counter, defaultdict
from types import CodeType
from typing import TYPE_CHECKING, TypeAlias

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator
    from types import FunctionType

Place: TypeAlias = "tuple[str, int]"


def changed_codes(original: CodeType, changed: CodeType) -> dict[Place, CodeType]:
    """Return for each code of a module, by its place, what it is after a change.

    A loop that is left out may take codes with it that stood in its head, such as a generator: these have none, and
    what is left of them is in the code of their function.
    """
    after: dict[str, list[CodeType]] = defaultdict(list)
    for code in _codes(changed):
        after[code.co_qualname].append(code)
    before = Counter(code.co_qualname for code in _codes(original))
    following = {name: iter(codes) for name, codes in after.items() if len(codes) == before[name]}
    return {_place(code): next(following[name]) for code in _codes(original) if (name := code.co_qualname) in following}


def take_place(functions: Iterable[FunctionType], codes: dict[Place, CodeType]) -> bool:
    """Give functions their changed codes; return False, and change none, where one closes over other names now."""
    new = [(function, codes.get(_place(function.__code__), function.__code__)) for function in functions]
    if any(len(function.__code__.co_freevars) != len(code.co_freevars) for function, code in new):
        return False
    for function, code in new:
        function.__code__ = code
    return True


def _codes(code: CodeType) -> Iterator[CodeType]:
    """Yield a code and all codes within it, in their order."""
    yield code
    for constant in code.co_consts:
        if isinstance(constant, CodeType):
            yield from _codes(constant)


def _place(code: CodeType) -> Place:
    return code.co_qualname, code.co_firstlineno
