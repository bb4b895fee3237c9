"""Measure, and write the tables of README.md: ``python benchmarks/run.py`` makes every one of them.

Each table stands in README.md between two comments that bear its name, and is replaced whole, with the machine,
the versions, the commit and the day below it. Exit status 1 when two methods contradict each other or the
checker finds a plan at fault.
"""

from __future__ import annotations

import argparse
import os
import platform
import subprocess
import sys
from contextlib import ExitStack
from datetime import UTC, datetime
from importlib.metadata import version
from itertools import chain
from pathlib import Path
from typing import TYPE_CHECKING, Final

from arc_flow import RIVALS
from commands import ROOT, command_runs
from instances import CONTRACTS, HOUSES, contracts, old_houses, rooms, triplets, uniform
from measure import CUTPLAN, Worker
from tables import Result, command_table, comparison_table, duration, room_table

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from instances import Instance

README: Final = Path(__file__).with_name("README.md")
DATA_VARIABLE: Final = "CUTPLAN_PACKING_DATA"
DEFAULT_RIVALS: Final = {
    "rooms": ["CBC"],
    "contracts": ["CBC"],
    "houses": ["CBC", "CP-SAT"],
    "packing": ["CBC", "CP-SAT"],
}
TABLES: Final = (*DEFAULT_RIVALS, "commands")


def main() -> int:
    """Measure what the command line asks for, and return the exit status."""
    options = _parser().parse_args()
    faults: list[str] = []
    for table in options.table or TABLES:
        text = _table(table, options, faults)
        if text is None:
            continue
        text = f"{text}\n\n{_provenance(options, table)}"
        print(f"\n## {table}\n\n{text}\n", flush=True)
        if not options.dry_run:
            _replace(table, text)
    for fault in faults:
        print(fault, file=sys.stderr)
    return 1 if faults else 0


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n\n")[0])
    add = parser.add_argument
    add("--table", action="append", choices=TABLES, help="only this table; may be repeated")
    add("--rival", action="append", choices=RIVALS, help="instead of the usual rivals; may be repeated")
    add("--time-limit", type=float, default=30, help="seconds for a job (default: %(default)s)")
    add("--rooms", type=int, default=200, help="number of rooms (default: %(default)s)")
    add("--largest-contract", type=int, default=CONTRACTS[-1], help="most drops (default: %(default)s)")
    add("--house", type=int, action="append", help=f"drops of an old house (default: {HOUSES})")
    add("--per-set", type=int, default=5, help="problems of each packing set (default: %(default)s)")
    add(
        "--packing-data",
        type=Path,
        default=os.environ.get(DATA_VARIABLE),
        help=f"folder with Falkenauer's uniform sets, read in place (default: ${DATA_VARIABLE})",
    )
    add("--runs", type=int, default=15, help="runs of each command (default: %(default)s)")
    add("--dry-run", action="store_true", help="print the tables and leave README.md alone")
    return parser


def _table(table: str, options: argparse.Namespace, faults: list[str]) -> str | None:
    """Return a table's text; None when there is nothing to measure."""
    if table == "commands":
        return command_table(command_runs(options.runs))
    results = list(_results(_instances(table, options), _rivals(table, options), options.time_limit))
    if not results:
        return None
    faults += chain.from_iterable(map(_faults, results))
    if table == "rooms":
        return "\n\n".join(room_table(results, rival) for rival in _rivals(table, options))
    return comparison_table(results)


def _rivals(table: str, options: argparse.Namespace) -> list[str]:
    return list(options.rival or DEFAULT_RIVALS[table])


def _instances(table: str, options: argparse.Namespace) -> Iterable[Instance]:
    if table == "rooms":
        return rooms(options.rooms)
    if table == "contracts":
        return contracts(options.largest_contract)
    if table == "houses":
        return old_houses(options.house or HOUSES)
    if options.packing_data is None:
        print(f"no --packing-data: the uniform sets are left out; set ${DATA_VARIABLE}", file=sys.stderr)
        return triplets(options.per_set)
    return chain(uniform(Path(options.packing_data), options.per_set), triplets(options.per_set))


def _results(instances: Iterable[Instance], rivals: list[str], time_limit: float) -> Iterator[Result]:
    """Yield each instance with what every method makes of it, one after the other, so that both meet one load."""
    with ExitStack() as stack:
        workers = {name: stack.enter_context(Worker(name, time_limit)) for name in (CUTPLAN, *rivals)}
        for instance in instances:
            result = Result(instance, {name: worker.answer(instance.job) for name, worker in workers.items()})
            times = ", ".join(f"{name} {duration(out.seconds)}" for name, out in result.outcomes.items())
            print(f"{instance.name}: {times}", file=sys.stderr, flush=True)
            yield result


def _faults(result: Result) -> Iterator[str]:
    """Yield what cannot be true of a result: plans at fault, bounds above values, optima missed."""
    ours = result.outcomes[CUTPLAN]
    name, optimum = result.instance.name, result.instance.optimum
    yield from (f"{name}: the checker says: {fault}" for fault in ours.faults)
    for method, outcome in result.outcomes.items():
        if outcome.contradicts(ours):
            yield f"{name}: {CUTPLAN} says {ours.certain}, {method} says {outcome.certain}"
        if optimum is not None and outcome.is_proved and outcome.certain.value != optimum:
            yield f"{name}: {method} says {outcome.certain.value} is proved, and the optimum is {optimum}"


def _provenance(options: argparse.Namespace, table: str) -> str:
    limit = "" if table == "commands" else f" Limit {options.time_limit:g} s."
    libraries = ", ".join(f"{name} {version(name)}" for name in ("cutplan", "ortools", "numpy", "scipy"))
    return (
        f"{datetime.now(UTC).date()}, commit {_commit()}, {_machine()}; "
        f"Python {platform.python_version()}, {libraries}.{limit}"
    )


def _commit() -> str:
    """Return the commit that was measured, and whether files differed from it."""

    def git(*arguments: str) -> str:
        command = ["git", *arguments]
        return subprocess.run(  # noqa: S603 - fixed arguments
            command, cwd=ROOT, check=True, capture_output=True, text=True
        ).stdout.strip()

    changed = git("status", "--porcelain", "--untracked-files=no", "--", "src", "benchmarks/*.py")
    return git("rev-parse", "--short", "HEAD") + (" with changes" if changed else "")


def _machine() -> str:
    """Return the processor, how many of it, and the memory, as far as the system says."""
    processor = platform.processor() or platform.machine()
    information = Path("/proc/cpuinfo")
    if information.exists():
        lines = information.read_text(encoding="utf-8").splitlines()
        names = [line.partition(":")[2].strip() for line in lines if line.startswith("model name")]
        processor = names[0] if names else processor
    memory = os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES") / 2**30
    return f"{os.cpu_count()} × {processor}, {memory:.0f} GB, {platform.system()}"


def _replace(table: str, text: str) -> None:
    """Replace what README.md holds between the two comments of ``table``."""
    before, opening, rest = README.read_text(encoding="utf-8").partition(f"<!-- {table}: begin -->")
    _, closing, after = rest.partition(f"<!-- {table}: end -->")
    if not opening or not closing:
        raise SystemExit(f"README.md has no place for the table {table!r}")
    README.write_text(f"{before}{opening}\n{text}\n{closing}{after}", encoding="utf-8")


if __name__ == "__main__":
    sys.exit(main())
