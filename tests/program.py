"""The program as it is called, in this process."""

from __future__ import annotations

from typing import TYPE_CHECKING

from typer.testing import CliRunner

from cutplan.cli.all_commands import app

if TYPE_CHECKING:
    from typer.testing import Result


def run(*arguments: object, given: str | None = None) -> Result:
    """Return what ``cutplan`` does with these arguments, and ``given`` on standard input."""
    return CliRunner().invoke(app, [str(argument) for argument in arguments], given)
