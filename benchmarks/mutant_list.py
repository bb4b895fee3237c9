"""The changes that are planted in code: small, each at one place, made by cosmic-ray."""

from __future__ import annotations

from copy import deepcopy
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Final

import parso
import parso.python.tree  # first: cosmic-ray finds its operators only once all of parso is there
from cosmic_ray.ast import ast_nodes
from cosmic_ray.exceptions import CosmicRayTestingException
from cosmic_ray.operators.exception_replacer import ExceptionReplacer
from cosmic_ray.plugins import get_operator
from msgspec import Struct

if TYPE_CHECKING:
    from collections.abc import Iterator

    from cosmic_ray.operators.operator import Operator
    from parso.tree import NodeOrLeaf

ROOT: Final = Path(__file__).resolve().parent.parent
PACKAGE: Final = "src/cutplan"

PROVING: Final = (
    *("bound", "certificate", "closing", "cover", "flow", "full_rolls", "gap_search", "grouping", "outcome"),
    *("programme", "purchase"),
)
"""Modules of the search that say what no plan betters: a wrong line in one could let a false «proved» pass.

Not those that only find plans (diving, greedy, haste, likely_rolls, refilling, rounding, strategy): each plan is
weighed and judged by itself, and what haste and diving prove they prove by a certificate.
"""

FOLDERS: Final = {
    "setting_out": ("setting_out/*.py",),
    "proof": ("plan/proof.py", *(f"solve/search/{name}.py" for name in PROVING)),
    "progress": ("progress/*.py",),
    "check": ("check/**/*.py",),
}
"""What is changed: where joints fall, what vouches for «proved», the record of the work, and the judge."""

OPERATORS: Final = tuple(
    f"core/{name}"
    for name in (
        *(f"ReplaceBinaryOperator_{pair}" for pair in ("Add_Sub", "Sub_Add", "Mul_Div", "Div_Mul", "Mod_FloorDiv")),
        *(f"ReplaceBinaryOperator_{pair}" for pair in ("FloorDiv_Div", "BitOr_BitAnd", "BitAnd_BitOr", "Pow_Mul")),
        *(f"ReplaceComparisonOperator_{pair}" for pair in ("Lt_LtE", "LtE_Lt", "Gt_GtE", "GtE_Gt", "Lt_GtE", "Gt_LtE")),
        *(f"ReplaceComparisonOperator_{pair}" for pair in ("LtE_Gt", "GtE_Lt", "Eq_NotEq", "NotEq_Eq", "Is_IsNot")),
        *("ReplaceComparisonOperator_IsNot_Is", "ReplaceUnaryOperator_Delete_USub", "ReplaceUnaryOperator_Delete_Not"),
        *("AddNot", "ReplaceTrueWithFalse", "ReplaceFalseWithTrue", "ReplaceAndWithOr", "ReplaceOrWithAnd"),
        *("ReplaceBreakWithContinue", "ReplaceContinueWithBreak", "ExceptionReplacer", "NumberReplacer"),
        "ZeroIterationForLoop",
    )
)
"""Each operator becomes its nearest neighbour or its opposite; what is further off is seen where these are."""

DECLARED: Final = ("strict", "frozen")
"""What a call of ``zip`` or the head of a class says of what must hold anyhow."""

COMPOUND: Final = ("if_stmt", "while_stmt", "for_stmt", "try_stmt", "with_stmt", "funcdef")
"""Statements of which only the head counts as the place of a change in it."""


class WholeExceptionReplacer(ExceptionReplacer):  # type: ignore[misc]  # cosmic-ray is not typed
    """Changes exceptions told with their module too, ``json.JSONDecodeError``; cosmic-ray's own takes names only."""

    def mutate(self, node: NodeOrLeaf, index: int) -> NodeOrLeaf:
        """Return the clause with another exception in place of one of those that it names."""
        told = self._name_nodes(node)[index]
        beside = told.parent.children
        prefix = told.get_first_leaf().prefix
        name = parso.python.tree.Name(CosmicRayTestingException.__name__, told.start_pos, prefix)
        beside[beside.index(told)] = name
        return node

    @staticmethod
    def _name_nodes(node: NodeOrLeaf) -> list[NodeOrLeaf]:
        told = node.children[1]
        told = told.children[1] if told.type == "atom" else told
        return told.children[::2] if told.type == "testlist_comp" else [told]


class Mutant(Struct, frozen=True):
    """One change of one place.

    Attributes
    ----------
    path
        The module, from the root of the tree.
    operator, occurrence
        What cosmic-ray changes, and where in the module.
    line
        Where the change stands, from 1.
    first, last
        Lines of its statement, or of a compound statement's head up to the change: a test that reaches one of them
        may reach the change.
    is_inside
        True within a function; what stands outside is run once, when the module is imported.

    """

    path: str
    operator: str
    occurrence: int
    line: int
    first: int
    last: int
    is_inside: bool

    @property
    def module(self) -> str:
        """Its module's name."""
        return self.path.removeprefix("src/").removesuffix(".py").removesuffix("/__init__").replace("/", ".")

    def source(self) -> str:
        """Return the whole module with the change made."""
        node, index = _places(self.path, self.operator)[self.occurrence]
        changed = _changing(self.operator).mutate(_apart(node), index).get_code()
        text = _text(self.path)
        lines = text.splitlines(keepends=True)
        first, last = (
            sum(map(len, lines[: line - 1])) + column for line, column in (node.get_start_pos_of_prefix(), node.end_pos)
        )
        return f"{text[:first]}{changed}{text[last:]}"

    def change(self) -> str:
        """Return the changed lines before and after, which say the same wherever in the module they stand."""
        old, new = (text.splitlines() for text in (_text(self.path), self.source()))
        before = next(number for number, lines in enumerate(zip(old, new, strict=False)) if lines[0] != lines[1])
        after = next(n for n, lines in enumerate(zip(old[::-1], new[::-1], strict=False)) if lines[0] != lines[1])
        was, becomes = (" ".join(map(str.strip, lines[before : len(lines) - after])) for lines in (old, new))
        return f"{was} -> {becomes}"


@cache
def mutants_of(folder: str) -> tuple[Mutant, ...]:
    """Return all changes of a folder's modules."""
    paths = {path for pattern in FOLDERS[folder] for path in (ROOT / PACKAGE).glob(pattern)}
    return tuple(mutant for path in sorted(paths) for mutant in mutants_in(str(path.relative_to(ROOT))))


def mutants_in(path: str) -> Iterator[Mutant]:
    """Yield all changes of a module, told from the root of the tree."""
    for name in OPERATORS:
        operator = _changing(name)
        for occurrence, (node, index) in enumerate(_places(path, name)):
            start, _ = list(operator.mutation_positions(node))[index]
            if _is_computed(_tree(path).get_leaf_for_position(start, include_prefixes=True)):
                yield _mutant(path, name, occurrence, node, start[0])


@cache
def _places(path: str, operator: str) -> list[tuple[NodeOrLeaf, int]]:
    """Return where in a module an operator may be changed: nodes, and which change of each."""
    changes = _changing(operator).mutation_positions
    return [(node, index) for node in ast_nodes(_tree(path)) for index, _ in enumerate(changes(node))]


def _changing(operator: str) -> Operator:
    return WholeExceptionReplacer() if operator == "core/ExceptionReplacer" else get_operator(operator)()


@cache
def _tree(path: str) -> parso.python.tree.Module:
    return parso.parse(_text(path))


def _apart(node: NodeOrLeaf) -> NodeOrLeaf:
    """Return a copy of a node in its tree, for what changes it may do so in place."""
    around, node.parent = node.parent, None
    copied = deepcopy(node)
    copied.parent = node.parent = around
    return copied


def _mutant(path: str, operator: str, occurrence: int, node: NodeOrLeaf, line: int) -> Mutant:
    statement = node if node.type in COMPOUND else node.search_ancestor("simple_stmt", *COMPOUND)
    first = statement.start_pos[0] if statement else line
    last = statement.end_pos[0] if statement and statement.type == "simple_stmt" else line
    return Mutant(path, operator, occurrence, line, first, last, _is_inside(node))


def _is_inside(place: NodeOrLeaf) -> bool:
    """Return True for what runs when a function is called; what its parameters are by default does not."""
    while (around := place.parent) is not None:
        if around.type in ("funcdef", "lambdef") and place is around.children[-1]:
            return True
        place = around
    return False


def _is_computed(place: NodeOrLeaf) -> bool:
    """Return False for annotations, decorators, stars of parameters, imports, and what is :data:`DECLARED`."""
    is_star = place.type == "operator" and place.value == "*" and place.parent.type in ("parameters", "param")
    while place.parent is not None and not is_star:
        before = place.get_previous_sibling()
        is_annotation = before is not None and before.type == "operator" and before.value in (":", "->")
        if is_annotation and place.parent.type in ("annassign", "tfpdef", "funcdef") and place.type != "suite":
            return False
        start = place.children[0].get_code().strip() if hasattr(place, "children") else ""
        if place.type in ("decorator", "import_from") or (place.type == "argument" and start in DECLARED):
            return False
        if place.type == "if_stmt" and place.children[1].get_code().strip() == "TYPE_CHECKING":
            return False
        place = place.parent
    return not is_star


@cache
def _text(path: str) -> str:
    return (ROOT / path).read_text(encoding="utf-8")
