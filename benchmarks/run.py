"""Measure, and write the tables of README.md: ``python benchmarks/run.py`` makes every one of them.

Each table stands in README.md between two comments that bear its name, and is replaced whole, with the machine,
the versions, the commit and the day below it. Exit status 1 when two methods contradict each other, when the
checker finds a plan at fault, or when something that is to be proved was not.
"""

from __future__ import annotations

import argparse
import os
import sys
from contextlib import ExitStack
from importlib.util import find_spec
from itertools import chain
from pathlib import Path
from typing import TYPE_CHECKING, Final

import packing_solver
from arc_flow import RIVALS
from buying import COLUMNS, bought, buying_table
from commands import MILLION, command_runs
from comparing import SIZES, sweep_table, swept_rooms
from cutplan.comparing.sweep import processors
from instances import CONTRACTS, HOUSES, TRIPLETS, contracts, old_houses, rooms, triplets, uniform
from measure import CUTPLAN, Worker
from nested import nested_rooms
from packing_solver import PackingSolver
from provenance import commit, provenance
from race import faults_of, race
from tables import command_table, comparison_table, nested_table, room_tables

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from instances import Instance
    from race import Method, Result

README: Final = Path(__file__).with_name("README.md")
DATA_VARIABLE: Final = "CUTPLAN_PACKING_DATA"

LIMITS: Final = {"rooms": 10.0, "nested": 10.0, "contracts": 10.0, "houses": 30.0, "packing": 10.0}
"""Seconds that each method has for each figure of a job, for every table on which methods race."""

USUAL_RIVALS: Final = {"nested": ["CBC"]}
"""Rivals of the tables that not all race on."""

TABLES: Final = (*LIMITS, "sweep", "commands", "buying")


def main() -> int:
    """Measure what the command line asks for, and return the exit status."""
    options = _parser().parse_args()
    faults: list[str] = []
    for table in options.table or TABLES:
        text = _raced(table, options, faults) if table in LIMITS else _measured(table, options, faults)
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
    rivals = parser.add_mutually_exclusive_group()
    names = [*RIVALS, packing_solver.NAME]
    rivals.add_argument("--rival", action="append", choices=names, help="instead of all rivals; may be repeated")
    rivals.add_argument("--no-rivals", action="store_true", help="cutplan alone, for a quick look")
    limits = ", ".join(f"{table} {seconds:g}" for table, seconds in LIMITS.items())
    add("--time-limit", type=float, help=f"seconds for a figure of a job, of every method (default: {limits})")
    patience = "so many jobs of a group unproved in a row, and a rival is not asked about its rest; 0: it is"
    add("--patience", type=int, default=5, help=f"{patience} (default: %(default)s)")
    add("--rooms", type=int, default=200, help="number of rooms (default: %(default)s)")
    add("--largest-contract", type=int, default=CONTRACTS[-1], help="most drops (default: %(default)s)")
    add("--house", type=int, action="append", help=f"drops of an old house (default: {HOUSES})")
    add("--per-set", type=int, default=20, help="problems of each packing set (default: %(default)s, all)")
    add("--triplet", type=int, action="append", help=f"pieces of the triplets (default: {TRIPLETS})")
    add(
        "--packing-data",
        type=Path,
        default=os.environ.get(DATA_VARIABLE),
        help=f"folder with Falkenauer's uniform sets, read in place (default: ${DATA_VARIABLE})",
    )
    add(
        "--packingsolver-python",
        default=os.environ.get(packing_solver.VARIABLE) or (sys.executable if find_spec("packingsolver") else None),
        help=f"Python that has the package packingsolver (default: ${packing_solver.VARIABLE}, or this one if it has)",
    )
    add("--runs", type=int, default=15, help="runs of each command (default: %(default)s)")
    add(
        "--command-rooms",
        type=int,
        default=60,
        help="rooms of each size planned as whole commands (default: %(default)s)",
    )
    add("--hotel", type=int, default=MILLION, help="pieces of the hotel planned as a command (default: %(default)s)")
    add("--placements", type=int, action="append", help=f"sweeps of about so many (default: {SIZES})")
    add("--buying", type=int, action="append", help=f"columns of the rooms to buy for (default: {COLUMNS})")
    add("--draws", type=int, default=10_000, help="draws that try each certain number to buy (default: %(default)s)")
    add("--dry-run", action="store_true", help="print the tables and leave README.md alone")
    return parser


def _raced(table: str, options: argparse.Namespace, faults: list[str]) -> str:
    """Return the text of a table on which methods race, and add what cannot be true to ``faults``."""
    begun = commit()
    limit = LIMITS[table] if options.time_limit is None else options.time_limit
    rivals = _rivals(table, options)
    with ExitStack() as stack:
        methods: dict[str, Method] = {
            name: stack.enter_context(Worker(name, limit)) for name in (CUTPLAN, *rivals) if name != packing_solver.NAME
        }
        versions = []
        if packing_solver.NAME in rivals:
            other = stack.enter_context(PackingSolver(options.packingsolver_python, limit))
            methods[packing_solver.NAME] = other
            versions.append(f"packingsolver {other.version}")
        results = list(race(_instances(table, options), methods, options.patience))
    faults += chain.from_iterable(map(faults_of, results))
    return f"{_table(table, results, rivals)}\n\n{provenance(begun, versions, limit)}"


def _rivals(table: str, options: argparse.Namespace) -> list[str]:
    """Return the rivals to ask: those named, else the table's usual ones, as far as they are there."""
    if options.no_rivals:
        return []
    rivals = options.rival or USUAL_RIVALS.get(table, [*RIVALS, packing_solver.NAME])
    if packing_solver.NAME in rivals and options.packingsolver_python is None:
        print(f"no --packingsolver-python: {packing_solver.NAME} is left out", file=sys.stderr)
        rivals = [rival for rival in rivals if rival != packing_solver.NAME]
    return list(rivals)


def _instances(table: str, options: argparse.Namespace) -> Iterable[Instance]:
    sources: dict[str, Callable[[], Iterable[Instance]]] = {
        "rooms": lambda: rooms(options.rooms),
        "nested": lambda: nested_rooms(options.rooms),
        "contracts": lambda: contracts(options.largest_contract),
        "houses": lambda: old_houses(options.house or HOUSES),
        "packing": lambda: _packing_sets(options),
    }
    return sources[table]()


def _packing_sets(options: argparse.Namespace) -> Iterable[Instance]:
    threes = triplets(options.per_set, options.triplet or TRIPLETS)
    if options.packing_data is None:
        print(f"no --packing-data: the uniform sets are left out; set ${DATA_VARIABLE}", file=sys.stderr)
        return threes
    return chain(uniform(Path(options.packing_data), options.per_set), threes)


def _table(table: str, results: list[Result], rivals: list[str]) -> str:
    if table == "rooms":
        return room_tables(results, rivals)
    if table == "nested":
        return nested_table(results, rivals)
    return comparison_table(results, [CUTPLAN, *rivals])


def _measured(table: str, options: argparse.Namespace, faults: list[str]) -> str:
    """Return the text of a table of cutplan alone, and add what was not as it has to be to ``faults``."""
    begun = commit()
    if table == "sweep":
        swept = swept_rooms(options.placements or SIZES, processors())
        faults += [f"sweep, {one.room}: only {one.proved} proved" for one in swept if one.proved < one.placements]
        text = sweep_table(swept)
    elif table == "buying":
        answers = bought(1000, options.draws, options.buying or COLUMNS)
        failed = [one for one in answers if one.failures]
        faults += [f"buying, {one.match}, {one.columns} columns: {one.failures} times not enough" for one in failed]
        text = buying_table(answers, options.draws)
    else:
        text = command_table(command_runs(options.runs, options.command_rooms, options.hotel))
    return f"{text}\n\n{provenance(begun, (), None)}"


def _replace(table: str, text: str) -> None:
    """Replace what README.md holds between the two comments of ``table``."""
    before, opening, rest = README.read_text(encoding="utf-8").partition(f"<!-- {table}: begin -->")
    _, closing, after = rest.partition(f"<!-- {table}: end -->")
    if not opening or not closing:
        raise SystemExit(f"README.md has no place for the table {table!r}")
    README.write_text(f"{before}{opening}\n{text}\n{closing}{after}", encoding="utf-8")


if __name__ == "__main__":
    sys.exit(main())
