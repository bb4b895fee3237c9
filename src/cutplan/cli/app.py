"""The program itself: its name, its help, and what all its commands share."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from inspect import Parameter, signature
from math import isfinite
from typing import Annotated, Final, Literal, TypeVar

import typer

from cutplan import __version__
from cutplan.cli.terminal import faults_told, print_text

STATUSES: Final = """\
Exit status: 0 done; 1 internal fault; 2 wrong usage, or a file that cannot be
read or written; 3 no plan is possible, or the plan checked does not hold;
4 an optional part is missing; 130 interrupted."""

app = typer.Typer(
    name="cutplan",
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)


Units = Literal["mm", "cm", "m", "in"]
"""Units in which lengths are printed."""
Debug = Annotated[bool, typer.Option("--debug", help="On an internal fault, show where it happened.")]
_Command = TypeVar("_Command", bound="Callable[..., None]")


def command(function: _Command) -> _Command:
    """Make a function the command of its name, with ``--debug``: each error in it is told, and gives an exit status."""

    @wraps(function)
    def told(*, debug: bool, **given: object) -> None:
        with faults_told(debug=debug):
            function(**given)

    own = signature(function, eval_str=True)
    last = Parameter("debug", Parameter.KEYWORD_ONLY, default=False, annotation=Debug)
    told.__annotations__ = {**function.__annotations__, "debug": Debug}
    vars(told)["__signature__"] = own.replace(parameters=[*own.parameters.values(), last])
    app.command(epilog=STATUSES)(told)
    return function


def _show_version(value: bool) -> None:  # noqa: FBT001 - typer calls it so
    if value:
        print_text(f"cutplan {__version__}\n")
        raise typer.Exit


@app.callback(invoke_without_command=True, epilog=STATUSES)
def _cutplan(
    context: typer.Context,
    *,
    version: Annotated[
        bool, typer.Option("--version", callback=_show_version, is_eager=True, help="Show the version.")
    ] = False,
) -> None:
    """Fewest rolls of patterned wallcovering, proved, and the steps to cut them.

    A first plan:  cutplan plan scenarios/feature-wall.toml
    """
    del version
    if context.invoked_subcommand is None:
        print_text(f"{context.get_help()}\n")
        raise typer.Exit


def check_time_limit(seconds: float) -> float:
    """Return a time limit of more than nothing; anything else is wrong usage."""
    if not (isfinite(seconds) and seconds > 0):
        raise typer.BadParameter(f"must be more than 0 seconds, not {seconds}")
    return seconds


ScenarioFile = Annotated[str, typer.Argument(metavar="SCENARIO", help="A TOML file; - reads standard input.")]
Output = Annotated[str, typer.Option("-o", "--output", metavar="FILE", help="Write to FILE; - is standard output.")]
AsJson = Annotated[bool, typer.Option("--json", help="Print as JSON.")]
TimeLimit = Annotated[
    float,
    typer.Option(metavar="SECONDS", callback=check_time_limit, help="When to stop the search for a better plan."),
]
InUnits = Annotated[
    Units | None, typer.Option("--units", help="Print lengths in these; otherwise in the scenario's own.")
]
