"""The command line. It reads, asks the layers below, prints, and turns errors into exit statuses.

Only what ``--help`` needs is imported here; everything else is imported by the command that uses it.
"""

from __future__ import annotations

import os
import sys
import time
from contextlib import contextmanager
from dataclasses import replace
from enum import StrEnum
from math import isfinite
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Final

import typer

from cutplan import __version__
from cutplan.errors import CutplanError, NoPlanError, ScenarioError

if TYPE_CHECKING:
    from collections.abc import Iterator

    from cutplan.plan import Plan
    from cutplan.scenario import Scenario

STANDARD: Final = "-"
"""Stands for standard input, or standard output."""

INTERNAL_FAULT: Final = 1
WRONG_USAGE: Final = 2
NO_PLAN: Final = 3
INTERRUPTED: Final = 130

_PLAINER: Final = str.maketrans({"↑": "^", "×": "x", "–": "-", "«": '"', "»": '"', "’": "'"})
"""For a screen or a pipe that cannot show all of Unicode."""

_STATUSES: Final = """\
Exit status: 0 done; 1 internal fault; 2 wrong usage, or a file that cannot be
read or written; 3 no plan is possible, or the plan checked does not hold;
4 an optional part is missing; 130 interrupted."""

app = typer.Typer(
    name="cutplan",
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)


class Units(StrEnum):
    """Units in which lengths are printed."""

    MM = "mm"
    CM = "cm"
    M = "m"
    IN = "in"


Debug = Annotated[bool, typer.Option("--debug", help="On an internal fault, show where it happened.")]


def main() -> None:
    """Run the program: the entry point of ``cutplan`` and of ``python -m cutplan``."""
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="replace")
    try:
        app()
    except KeyboardInterrupt:
        sys.exit(INTERRUPTED)


def _show_version(value: bool) -> None:  # noqa: FBT001 - typer calls it so
    if value:
        typer.echo(f"cutplan {__version__}")
        raise typer.Exit


@app.callback(invoke_without_command=True, epilog=_STATUSES)
def _cutplan(
    context: typer.Context,
    *,
    version: Annotated[
        bool, typer.Option("--version", callback=_show_version, is_eager=True, help="Show the version.")
    ] = False,
) -> None:
    """Fewest rolls of patterned wallcovering, proved, and the steps to cut them.

    A first plan:  cutplan plan scenarios/bedroom.toml
    """
    del version
    if context.invoked_subcommand is None:
        typer.echo(context.get_help())
        raise typer.Exit


def _time_limit(seconds: float) -> float:
    if not (isfinite(seconds) and seconds > 0):
        raise typer.BadParameter(f"must be more than 0 seconds, not {seconds}")
    return seconds


@app.command(epilog=_STATUSES)
def plan(
    scenario: Annotated[str, typer.Argument(metavar="SCENARIO", help="A TOML file; - reads standard input.")],
    *,
    as_json: Annotated[bool, typer.Option("--json", help="Print the plan with its proof as JSON.")] = False,
    output: Annotated[
        str, typer.Option("-o", "--output", metavar="FILE", help="Write to FILE; - is standard output.")
    ] = STANDARD,
    time_limit: Annotated[
        float,
        typer.Option(metavar="SECONDS", callback=_time_limit, help="When to stop the search for a better plan."),
    ] = 10.0,
    units: Annotated[
        Units | None, typer.Option(help="Print lengths in these; otherwise in the scenario's own.")
    ] = None,
    debug: Debug = False,
) -> None:
    """Plan how to cut a scenario's drops from the fewest rolls (or the cheapest).

    A plan that is good but not proved the best is printed too, and says so. Ctrl-C stops the search and
    prints the best plan so far.
    """
    with _faults_told(debug=debug):
        _plan(scenario, output, time_limit, None if units is None else units.value, as_json=as_json)


def _plan(source: str, output: str, time_limit: float, units: str | None, *, as_json: bool) -> None:
    from cutplan.plan_file import document_of, plan_text, refuse_target, write_whole  # noqa: PLC0415 - late
    from cutplan.scenario import read_scenario  # noqa: PLC0415 - late
    from cutplan.sequence import sequence_of  # noqa: PLC0415 - late

    if output != STANDARD:
        refuse_target(output, source)
    _tell_what_is_awaited(source, "the scenario")
    scenario = _with_notices(read_scenario(source), units)
    found = _solved(scenario, time_limit)
    sequence = sequence_of(found)
    if as_json:
        text = plan_text(document_of(sequence, scenario))
    else:
        from cutplan.render.text import plan_page  # noqa: PLC0415 - late

        text = plan_page(sequence, scenario.notes, units or scenario.units, scenario.setting_out)
    if output == STANDARD:
        _print(text)
    else:
        write_whole(output, text)
        _tell(f"wrote {output}")
    if found.gap and (as_json or output != STANDARD):
        _tell(f"the plan holds but is not proved: value {found.value}, lower bound {found.proof.bound}")
    if found.stopped == "interrupted":
        raise typer.Exit(INTERRUPTED)


def _with_notices(scenario: Scenario, units: str | None) -> Scenario:
    """Return the scenario with what its room's setting out wants looked at among its notes."""
    if scenario.setting_out is None:
        return scenario
    from cutplan.setting_out import notices_of  # noqa: PLC0415 - late

    notices = (notice.what.read(units or scenario.units) for notice in notices_of(scenario.setting_out))
    return replace(scenario, notes=(*scenario.notes, *notices))


def _solved(scenario: Scenario, time_limit: float) -> Plan:
    from cutplan.solve import solve  # noqa: PLC0415 - late: the solver is the slowest to load

    with _progress_line() as show:
        found = solve(scenario.job, time_limit=time_limit, progress=show)
    if not found.layouts:
        why = found.stopped or "the search ended"
        raise NoPlanError(f"no plan was found before this: {why}; allow it more with --time-limit")
    return found


@app.command(epilog=_STATUSES)
def check(
    plan: Annotated[str, typer.Argument(metavar="PLAN", help="A plan as JSON; - reads standard input.")],
    *,
    debug: Debug = False,
) -> None:
    """Judge a plan made with --json: every cut, the match on the wall, the proof.

    The judge shares no code with the planner. Exit status 0 when the plan holds; 3 when it does not, and
    then each fault is printed with its amount.
    """
    with _faults_told(debug=debug):
        _check(plan)


def _check(source: str) -> None:
    from cutplan.check import PlanUnreadable, check_text, report_lines  # noqa: PLC0415 - late

    _tell_what_is_awaited(source, "the plan")
    text = _read(source)
    try:
        report = check_text(text)
    except PlanUnreadable as error:
        _tell(*(f"{source}: {fault}" for fault in error.faults))
        raise typer.Exit(WRONG_USAGE) from error
    _print("".join(f"{line}\n" for line in report_lines(report)))
    if not report.holds:
        raise typer.Exit(NO_PLAN)


def _read(source: str) -> str:
    try:
        data = sys.stdin.buffer.read() if source == STANDARD else Path(source).read_bytes()
    except (OSError, ValueError) as error:
        reason = (error.strerror if isinstance(error, OSError) else None) or str(error)
        raise _UnreadableError(f"{source}: cannot be read: {reason.lower()}") from error
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        where = f"byte 0x{data[error.start]:02x} at offset {error.start}"
        raise _UnreadableError(f"{source}: {where} is not UTF-8, so this is no plan") from error


class _UnreadableError(CutplanError):
    exit_status = WRONG_USAGE


# What goes to the screen


def _tell(*lines: str) -> None:
    for line in lines:
        typer.echo(f"cutplan: {line}", err=True)


def _tell_what_is_awaited(source: str, what: str) -> None:
    if source == STANDARD and sys.stdin.isatty():
        _tell(f"reading {what} from the keyboard; end it with Ctrl-D (Ctrl-Z and Return on Windows)")


def _print(text: str) -> None:
    """Print to standard output, in plainer signs where it cannot take them all."""
    try:
        text.encode(sys.stdout.encoding or "utf-8")
    except UnicodeEncodeError:
        text = text.translate(_PLAINER)
    sys.stdout.write(text)
    sys.stdout.flush()


@contextmanager
def _faults_told(*, debug: bool) -> Iterator[None]:
    """Turn every error into lines on standard error and an exit status; a traceback only with --debug."""
    try:
        yield
    except typer.Exit:
        raise
    except ScenarioError as error:
        typer.echo("\n".join(error.lines()), err=True)
        raise typer.Exit(error.exit_status) from error
    except CutplanError as error:
        _tell(*str(error).splitlines())
        raise typer.Exit(error.exit_status) from error
    except BrokenPipeError:
        # Whoever read the output has seen enough. Python would complain once more when it closes the pipe.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        raise typer.Exit(0) from None
    except KeyboardInterrupt:
        _tell("interrupted")
        raise typer.Exit(INTERRUPTED) from None
    except Exception as error:
        if debug:
            raise
        fault = f"internal fault ({type(error).__name__}: {error})"
        _tell(f"{fault}; run the same with --debug to see where, and please report it")
        raise typer.Exit(INTERNAL_FAULT) from error


class _ProgressLine:
    """One line on the screen, rewritten; nothing in the first half second, so that quick plans stay quiet."""

    quiet_seconds = 0.5
    width = 78

    def __init__(self) -> None:
        self.started = time.monotonic()
        self.is_shown = False

    def __call__(self, message: str) -> None:
        passed = time.monotonic() - self.started
        if passed >= self.quiet_seconds:
            self._rewrite(f"{passed:.0f} s  {message}  (Ctrl-C: keep the best so far)")

    def _rewrite(self, line: str) -> None:
        typer.echo(f"\r{line[: self.width]:<{self.width}}", nl=False, err=True)
        self.is_shown = True

    def clear(self) -> None:
        if self.is_shown:
            typer.echo(f"\r{'':<{self.width}}\r", nl=False, err=True)


@contextmanager
def _progress_line() -> Iterator[_ProgressLine | None]:
    if not sys.stderr.isatty():
        yield None
        return
    line = _ProgressLine()
    try:
        yield line
    finally:
        line.clear()
