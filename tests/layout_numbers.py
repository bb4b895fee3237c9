"""The layout in numbers: ``python tests/layout_numbers.py``, with the folder of another tree's package to compare."""

from __future__ import annotations

import ast
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Iterator

PACKAGE: Final = Path(__file__).parents[1] / "src" / "cutplan"


def main(root: Path) -> None:
    """Print how many files, lines, names on the top level, dependencies between those, and late imports there are."""
    files = sorted(root.rglob("*.py"))
    texts = [path.read_text(encoding="utf-8") for path in files]
    names = {_name(path, root) for path in files}
    pairs = {
        (own, other)
        for path, text in zip(files, texts, strict=True)
        for own in [_name(path, root)]
        for other in _imported(ast.parse(text))
        if other != own and other in names
    }
    late = sum(_late(ast.parse(text)) for text in texts)
    print(f"{len(files)} files, {sum(text.count(chr(10)) for text in texts)} lines")  # noqa: T201 - a script
    print(f"{len(names)} names on the top level, {len(pairs)} dependencies between them, {late} late imports")  # noqa: T201


def _name(path: Path, root: Path) -> str:
    """Return the folder or module on the top level that a file belongs to; ``__init__`` is the root itself."""
    return path.relative_to(root).parts[0].removesuffix(".py")


def _imported(tree: ast.Module) -> Iterator[str]:
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom) and (node.module or "").split(".")[0] == "cutplan":
            parts = (node.module or "").split(".")
            yield parts[1] if len(parts) > 1 else "__init__"
        elif isinstance(node, ast.Import) and any(alias.name == "cutplan" for alias in node.names):
            yield "__init__"


def _late(tree: ast.Module) -> int:
    """Return how many imports stand in functions."""
    functions = (node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef))
    inside = {inner for function in functions for inner in ast.walk(function)}
    return sum(isinstance(node, ast.Import | ast.ImportFrom) for node in inside)


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else PACKAGE)
