"""Plant faults in plans and see the judge refuse them: ``python benchmarks/planted_faults.py``.

Every scenario of ``scenarios/`` is planned, with a pace where it has none, and a job with batches and prices; and those
of several parts (bands, borders, lining, those that share rolls too), a contract of rooms, and what too few rolls do,
by their commands.
A record of a day's work is planted with faults too, by a forger who makes every sum right again, and the small file
beside it.
In each of them every figure stated is changed, every list shuffled, shortened and doubled, and every cut moved, one at
a time; or, with ``--added``, keys that other objects have, keys of nobody and entries of lists are added. Of all these
faults so many as asked for are drawn. A fault that is not refused must be one of :data:`TRUE_STILL` or
:data:`ON_TRUST`, with its reason, or be something added that the judge says it does not know of, or by whose word it
stands; any other ends the run with exit status 1.
"""

from __future__ import annotations

import argparse
import json
import re
import subprocess
import sys
from collections import Counter
from fractions import Fraction
from functools import partial
from hashlib import sha256
from itertools import islice, zip_longest
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Final

from msgspec import Struct

from cutplan import read_scenario
from cutplan.check import PlanUnreadable, check_text
from cutplan.errors import CutplanError
from cutplan.progress.work import work_on
from cutplan.render.documents.plan_document import plan_document, plan_text
from cutplan.scenario.read import parse_scenario
from cutplan.solve import solve
from cutplan.solve.ordering import order_cuts
from planted_fault import Fault
from planted_keys import Examples, additions_to

sys.path.insert(0, str(Path(__file__).parent.parent / "tests"))

from scenario_text import scenario_text
from too_few_jobs import free_job, list_job, room_text

if TYPE_CHECKING:
    from collections.abc import Iterator

    from planted_fault import Document, Key

SCENARIOS: Final = Path(__file__).parent.parent / "scenarios"
FAULTS: Final = 5000
PACE: Final = '\n[pace]\npasted = "paper"\nsoak = 8.5\n'
BATCHES: Final = """\
units = "mm"
[paper]
roll_length = 5600
match = "60/30 cm"
price = 40
[[roll]]
label = "A"
count = 4
batch = "1"
[[roll]]
label = "B"
count = 4
batch = "2"
price = 45
[[drop]]
label = "north"
height = 1400
first_motif = 80
count = 5
wall = "north"
[[drop]]
label = "east"
height = 900
first_motif = 380
count = 6
wall = "east"
"""

_REED: Final = """\
name = "Reed"
roll_length = "6 m"
roll_width = 500
match = "40/20 cm"
price = 31
"""
ONE_PAPER: Final = f"""\
units = "mm"
[[wall]]
name = "north"
width = 1700
height = 2400
[[wall.opening]]
kind = "window"
left = 700
width = 600
foot = 1000
height = 900
[[wall]]
name = "east"
width = 900
height = 2400
[[rail]]
name = "rail"
foot = 800
height = 50
[start]
wall = "north"
at = 250
puts = "joint"
motif_drop = 30
[[band]]
name = "filling"
above = "rail"
[band.paper]
{_REED}
[[band.roll]]
label = "A"
first_motif = 120
batch = "1"
[[band.roll]]
label = "B"
length = 2900
batch = "1"
[[band]]
name = "dado"
below = "rail"
[band.trim]
top = 20
bottom = 30
[band.paper]
{_REED}
[[border]]
name = "frame"
round = "window"
[border.paper]
name = "Rope"
roll_length = "3 m"
roll_width = 60
match = "20 cm"
[[border]]
name = "skirting border"
foot = 0
[border.paper]
name = "Rope"
roll_length = "3 m"
roll_width = 60
match = "20 cm"
"""
"""Two bands in one paper, for one of which rolls are in hand, and two borders in another."""

AS_SOLD: Final = """\
[paper]
roll_length = "{roll}"
match = "{match}"
{sold}
[trim]
top = "0 mm"
bottom = "0 mm"
{hand}
[[drop]]
label = "wall"
height = "4.5 m"
{motif}
count = {count}
"""
"""Drops of one height from paper as it is sold."""
BY_THE_YARD: Final = AS_SOLD.format(
    roll="30 yd", match="free", sold='sold_by = "yd"\nprice = 20\nprice_per = "yd"', hand="", motif="", count=7
)
BY_THE_PACKET: Final = AS_SOLD.format(
    roll="10 m", match="64 cm", hand="", motif='first_motif = "95 mm"', count=5,
    sold='packet = 2\nsingles = 2\nprice = 30\nprice_per = "packet"\n'
    'roll_width = "56 cm"\nselvedge = "1 cm"\noverlap = "5 mm"',
)  # fmt: skip
BESIDE_ROLLS_IN_HAND: Final = AS_SOLD.format(
    roll="10 m", match="64 cm", sold="", motif='first_motif = "95 mm"', count=4,
    hand='[[roll]]\nlabel = "held"\nlength = "6 m"\nfirst_motif = "145 mm"\n'
    '[[roll]]\nlabel = "new"\ncount = "as needed"\n',
)  # fmt: skip
END_STRIPS: Final = """\
units = "mm"
[paper]
roll_length = "10.05 m"
roll_width = 530
match = "54 cm/third"
offset_direction = "down"
packet = 2
[[wall]]
name = "wall"
width = {width}
height = 2400
[start]
wall = "wall"
at = {at}
puts = "joint"
motif_drop = 60
"""
CONTRACTS: Final = {
    "contract by the yard": {
        "room.toml": BY_THE_YARD,
        "contract.toml": '[contract]\nspare = 5\n[[rooms]]\nfile = "room.toml"\ncount = 3\n',
    },
    "contract in turns": {
        **{
            f"{name}.toml": 'units = "mm"\n[paper]\nroll_length = 430\nmatch = "100 mm"\n[trim]\ntop = 0\nbottom = 0\n'
            f'[[drop]]\nlabel = "1"\nheight = {height}\nfirst_motif = {motif}\n'
            for name, height, motif in (("a", 160, 50), ("b", 120, 0))
        },
        "contract.toml": '[[rooms]]\nfile = "a.toml"\n[[rooms]]\nfile = "b.toml"\n',
    },
    "contract of end strips": {
        "a.toml": END_STRIPS.format(width=3000, at=1500),
        "b.toml": END_STRIPS.format(width=2500, at=300),
        "contract.toml": "".join(f'[[rooms]]\nfile = "{each}.toml"\ncount = 2\nmirrored = 1\n' for each in "ab"),
    },
}
"""Contracts whose paper is cut to order, whose order costs a roll, and whose rooms all together prove the bound."""

SEVERAL: Final = {
    "one paper": "plan -",
    "too few, listed": "plan -",
    "too few, walled": "plan -",
    "too few, plain": "plan -",
    "by the yard": "plan -",
    "by the packet": "plan -",
    "beside rolls in hand": "plan -",
    "stair border": "plan parts/stair-border.toml",
    "dado room": "plan parts/dado-room.toml",
    "stair hall": "plan parts/stair-hall.toml",
    "lined room": "plan parts/lined-room.toml",
    "contract": "contract guest-house/contract.toml",
    "too few": "plan too-few/bedroom.toml",
}
"""What makes plans of several parts, of several rooms and of too few rolls."""

TYPED: Final = {
    "one paper": ONE_PAPER,
    "too few, listed": scenario_text(list_job(9)),
    "too few, walled": room_text(1),
    "too few, plain": scenario_text(free_job(0)),
    "by the yard": BY_THE_YARD,
    "by the packet": BY_THE_PACKET,
    "beside rolls in hand": BESIDE_ROLLS_IN_HAND,
}
"""What is typed in for ``-``."""

WORK: Final = (
    "begin ROOM",
    "done ROOM 1-3 --first-motif 200",
    "cut ROOM 1 2510",
    "pasted ROOM 1",
    "hung ROOM 1",
    "done ROOM 4-6",
    "stop ROOM",
    "resume ROOM --by Ann",
    "spoiled ROOM 2 --why torn --good 900",
    "measured ROOM A-1 4500",
    "flaw ROOM A-1 100 --at 700",
    "bought ROOM 2",
    "replan ROOM",
    "done ROOM 16",
    "undo ROOM",
)
"""What is done at the table, each thing that can be recorded, for a job of :data:`AT_WORK`."""

AT_WORK: Final = """\
units = "mm"
[paper]
roll_length = "10.05 m"
match = "64/32 cm"
[[roll]]
label = "A"
count = 4
[[drop]]
label = "1"
height = 2400
first_motif = 95
[[drop]]
label = "2"
height = 2400
first_motif = 415
count = 5
"""

TRUE_STILL: Final = {
    r"(at_best_)?rolls: (swapped|reversed)": "in which order rolls are listed says nothing",
    r"order\.open_rolls: [+-]1": "no more than that are open all the same",
    r"order\.follow: .*": "figures are the same for what else could be followed",
    r"order\.status.*": "a bound that is reached was called reached",
    r"(at_best_)?proof(\.to_buy)?\.by: a word to search": "searched is worth less than prices, which are there",
    r"(at_best_)?proof(\.to_buy)?\.prices\.(drops|premiums|scale).*": "the prices still prove the bound",
    r"ways\.bound_together\.prices\.(drops|premiums|scale).*": "the prices still prove the bound of rooms together",
    r"batches\.certificates.*": "the prices by batch still prove the bound, or none is needed",
    r"timetable\.(begin|at|day|minutes).*": "nothing stands in the way at that time either",
    r"(at_best_)?status: (optimal|a word) to feasible": "what is optimal is feasible",
    r"setting_out\.pieces\.paper_(from|to): .*": "the piece is said to need more of the strip's width than it shows",
    r"(at_best_)?rolls\.lot: .*": "the label tells the lot",
    r"plans: (swapped|reversed)": "each is found by its name",
    r".*\.wall\.(foot|top): first doubled": "a point told twice is the one point",
    r"plans\.scenario\.wall\.opening: (swapped|reversed)": "in which order openings are listed says nothing",
    r"parts\.clashes: first doubled": "one joint over an opening and one under it are named alike",
    r"parts\.strips\.stretches\.rise: added as .*": "a stretch that does not rise is said to rise by 0",
    r"contract/plans\.scenario\.wall\.opening.*": "the question is another, and the plan answers it too",
    r"contract/plans\.scenario\.drop: (swapped|reversed)": "which drop is asked for first says nothing",
    r".*\.drop\.along: added as .*": "it is told in words which way a piece is hung, and the plan answers both",
    r"scenario\.drop\.along: turned round": "it is told in words which way a piece is hung, and the plan answers both",
    r"contract\.batches: (swapped|reversed)": "in which order rolls are listed says nothing",
    r"(ways|ways\.parts|ways\.rooms|ways\.rooms\.rolls|whole_walls): (swapped|reversed)": "only «in order» says one",
    r"ways\.rooms\.rolls\.(cuts|drops): (swapped|reversed)": "the pieces are alike, and either serves",
    r"shortage_prices\.(scale|drops|premiums).*": "the prices still prove that the rolls are too few",
    r"given_up: (swapped|reversed)": "the dearest stands last all the same",
    r"given_up: last left out": "those that are told are true all the same",
    r"given_up\.(other_)?plan\.(drop|left_out|rolls_to_be_had): (swapped|reversed)": "in which order says nothing",
    r"given_up\.(other_)?plan\.left_out: first doubled": "a drop that is not hung is not hung",
    r"given_up\.plan\.rolls_to_be_had\.lot: .*": "what rolls are called of which none is cut, says nothing",
    r"without_offcuts\.proved: turned round": "what is proved is no longer said",
    r"status: infeasible to unknown": "what is proved is no longer said",
    r"ways: last left out": "a way is no longer told",
    r"covers_most: turned round": "it is no longer said that no more fits",
    r"record/plan \d+\.stock: (swapped|reversed)": "in which order rolls are listed says nothing",
    r"record/plan \d+\.plan: \+1": "numbers of plans that were undone are left out",
    r"record/done \d+\.steps: (last left out|\+1)": "so many steps could be done, or that other one",
    r".*: added as (null|\[\])": "what is null, or an empty list, says nothing",
    r"(.*\.)?(widths|trim|room): added as \{\}": "an object without keys says nothing",
    r"at_best_lower_bound: added as 0": "no fewer than none are needed",
    r"at_best_proof: added as .*": "its prices prove its bound",
    r".*\.wall\.(foot|top): its last added": "a point told twice is the one point",
    r".*\.wall\.foot: added as \[\[0, 0\](, \[0, 0\])?\]": "it is so where nothing is told",
    r".*\.wall\.(corner|lap|turn|true_corner|opening\.foot): added as .*": "it is so where nothing is told",
    r".*\.room\.(built|closes|textured): added as 0": "it is so where nothing is told",
    r".*\.drop\.(left: added as (0|.0 mm.)|trim: added as .*)": "it is so where nothing is told",
    r".*\.cut_outs\.first_motif: added as .*": "in a free match every place of the print is as good",
    r".*scenario\.trim: added as .*": "it is so where nothing is told",
    r".*\.paper\.offset_direction: added as .*": "a match in figures says it already",
    r"given_up\.(other_)?plan\.left_out: its last added": "a drop that is not hung is not hung",
    r"given_up\.(other_)?plan\.rolls_to_be_had: its last added with lot = .*": "none of it is cut",
    r"contract\.batches: its last added with roll = .*": "more rolls are to be had, and none of them is cut",
    **{
        rf"contract.*/(plans\.scenario|contract\.rooms\.surveyed)\.{what}": reason
        for what, reason in {
            r"(cutting|finish|pace)\b.*: .*added.*": "nothing is said of order, times and the end",
            r"paper\.(across|foil|motif_\w+|order_\w+|picture|price_per|reverse|sold_by): .*added.*": "it cuts no roll",
            r"paper\.roll_width: added as .*": "listed drops are of the full width, whatever it is",
            r"paper\.(selvedge\w*|sideways|wet_growth|overlap): added as (0|false)": "it is so where nothing is told",
            r"drop\.(left|right|wall): added as .*": "a drop may be asked for narrower, and be on any wall",
            r"start\.way: added as \"right then left\"": "it is so where nothing is told",
            r"wall\.fitting: .*added.*": "paper goes behind it",
            r"wall\.opening: .*added.*": "there is less to paper",
            r"wall\.opening\.name: added as .*": "what it is called says nothing",
            r"wall\.opening\.reveal: added as (0|\"0 mm\")": "it is so where nothing is told",
        }.items()
    },
}
"""What a fault may be and remain true, by the path of what is changed and the change; for one plan after its name."""

ON_TRUST: Final = {
    r"order\.(most_waiting|furthest_ahead)_lower_bound: -1.*": "bounds of the order are the word of a search",
    r"at_best(_rolls|_cost)?: .*": "a best case whose cuts are not listed is said to be the planner's word",
    r"stopped: .*": "why the planner stopped is its own word",
    r"notes.*": "notes are words",
    r"reason.*": "why the rolls are too few is told in words",
    r"record/(cut|done|measured|flawed|spoiled) \d+\.(length|left|from|good|first_motif): [+-]1": "what was measured",
    r"record/bought \d+\.stock.*": "what was bought",
    r"record/.*\.(asked|by|why): .*": "by whom and why things were told, and in which words",
    r"record/.*\.words: .*": "in which words the steps were printed",
}
"""What the judge names as taken on trust, by the path of what is changed and the change."""


def faults_of(document: Document) -> Iterator[Fault]:
    """Yield every fault that can be planted in a plan document; its echoed scenario is the question, and left alone."""
    for key, value in document.items():
        if key not in ("scenario", "format"):
            yield from faults_at((key,), value)


def faults_at(path: tuple[Key, ...], value: object) -> Iterator[Fault]:
    """Yield every fault that can be planted in what stands at a place of a document."""
    if isinstance(value, dict):
        if "from_mm" in value:
            for by in (1, -1, 640):
                yield Fault(path, f"cut moved by {by}", partial(_moved, by=by))
        for key, held in value.items():
            yield from faults_at((*path, key), held)
    elif isinstance(value, list):
        yield from _faults_of_list(path, value)
        for place, held in enumerate(value):
            yield from faults_at((*path, place), held)
    else:
        yield from _faults_of_value(path, value)


def _faults_of_list(path: tuple[Key, ...], value: list[object]) -> Iterator[Fault]:
    if value:
        yield Fault(path, "last left out", lambda held: _as_list(held)[:-1])
        yield Fault(path, "first doubled", lambda held: [_as_list(held)[0], *_as_list(held)])
    if len(value) > 1 and value[0] != value[1]:
        yield Fault(path, "swapped", lambda held: [_as_list(held)[1], _as_list(held)[0], *_as_list(held)[2:]])
    if len(value) > 1 and value != value[::-1]:
        yield Fault(path, "reversed", lambda held: _as_list(held)[::-1])


def _faults_of_value(path: tuple[Key, ...], value: object) -> Iterator[Fault]:
    if isinstance(value, bool):
        yield Fault(path, "turned round", lambda held: not held)
    elif isinstance(value, int | float):
        for by in (1, -1):
            yield Fault(path, f"{by:+}", partial(_plus, by=by))
    elif value is None:
        yield Fault(path, "1 for nothing", lambda _: 1)
    elif isinstance(value, str) and re.fullmatch(r"-?\d+(\.\d+)?(/\d+)?", value):
        for by in (1, -1):
            yield Fault(path, f"{by:+}", partial(_plus_exactly, by=by))
    else:
        for word in ("optimal", "feasible", "unknown", "prices", "search", "walls", "once", "external"):
            if word != value:
                yield Fault(path, f"{value if len(path) == 1 else 'a word'} to {word}", partial(_instead, word=word))


def _plus(held: object, by: int) -> object:
    return held + by if isinstance(held, int | float) else held


def _plus_exactly(held: object, by: int) -> object:
    return str(Fraction(str(held)) + by)


def _instead(_: object, word: str) -> object:
    return word


def _as_list(value: object) -> list[object]:
    return value if isinstance(value, list) else []


def _moved(cut: object, by: int) -> object:
    if not isinstance(cut, dict):
        return cut
    places = {key: str(Fraction(cut[key]) + by) for key in ("from", "to")}
    return {**cut, **places, **{f"{key}_mm": float(Fraction(place)) for key, place in places.items()}}


def is_refused(document: Document) -> bool:
    """Return whether the judge refuses a document."""
    return taken_on_trust(json.dumps(document)) is None


def taken_on_trust(text: str) -> set[str] | None:
    """Return what the judge names as taken on trust, or as the word of a search; None where it refuses the text."""
    try:
        report = check_text(text)
    except PlanUnreadable:
        return None
    return {*report.trusted, *report.searched} if report.holds else None


RECORD: Final = "record"
BYTES: Final = 100
"""So many signs of a record are changed, one at a time."""


def documents(only: str | None = None) -> Iterator[tuple[str, Document]]:
    """Yield the name of each plan, and the plan; of that one alone which is named."""
    texts = {path.name: path.read_text(encoding="utf-8") for path in sorted(SCENARIOS.glob("*.toml"))}
    texts["batches"] = BATCHES
    for name, text in texts.items():
        if only not in (None, name):
            continue
        read = parse_scenario(text if "[pace]" in text else text + PACE, name)
        plan = order_cuts(solve(read.job), follow=read.cutting.follow, open_rolls=read.cutting.open_rolls)
        yield name, json.loads(plan_text(plan_document(plan, read)))
    for name, words in SEVERAL.items():
        if only in (None, name):
            yield name, _planned(words, SCENARIOS, TYPED.get(name))
    for name, files in CONTRACTS.items():
        if only not in (None, name):
            continue
        with TemporaryDirectory() as folder:
            for file, text in files.items():
                (Path(folder) / file).write_text(text, encoding="utf-8")
            yield name, _planned("contract contract.toml", Path(folder))


def _planned(words: str, folder: Path, typed: str | None = None) -> Document:
    """Return the document that a command prints in a folder."""
    command = [sys.executable, "-m", "cutplan", *words.split(), "--json"]
    ran = subprocess.run(command, cwd=folder, check=False, capture_output=True, text=True, input=typed)  # noqa: S603 - our own program
    planned: Document = json.loads(ran.stdout)
    return planned


class Recorded(Struct, frozen=True):
    """A record of work whose entries can be changed by a forger who makes every sum right again."""

    folder: Path

    @property
    def path(self) -> Path:
        """Where it is kept."""
        return self.folder / "room.record.jsonl"

    def document(self) -> Document:
        """Return its entries that count, each by its kind and number, without their sums."""
        entries = [json.loads(line) for line in self.path.read_text(encoding="utf-8").splitlines()]
        return {
            f"{entry['kind']} {entry['entry']}": {key: held for key, held in entry.items() if key != "sum"}
            for entry in entries
        }

    def faults(self) -> Iterator[Fault]:
        """Yield every fault that can be planted in its entries; the plans in them are judged as any, and left alone."""
        undone = {entry.get("undoes") for entry in self.document().values() if isinstance(entry, dict)}
        for fault in faults_of(self.document()):
            is_of_undone = int(str(fault.path[0]).rpartition(" ")[2]) in undone
            if "document" not in fault.path and not is_of_undone:
                yield fault

    @staticmethod
    def text(document: Document) -> str:
        """Return the record with its entries as changed, and with their sums made right."""
        text, last = "", ""
        for entry in document.values():
            body = json.dumps(entry, separators=(",", ":"))[:-1]
            last = sha256((last + body).encode()).hexdigest()[:16]
            text += f'{body},"sum":"{last}"}}\n'
        return text

    def is_refused(self, document: Document) -> bool:
        """Return whether the judge of the record, or whoever takes the work up, refuses its entries as changed."""
        text = self.text(document)
        try:
            if not check_text(text).holds:
                return True
        except PlanUnreadable:
            return True
        return self.is_refused_at_work(text, None)

    def is_refused_at_work(self, text: str, end: str | None) -> bool:
        """Return whether whoever takes the work up refuses a record with the small file beside it, None for none."""
        self.path.write_text(text, encoding="utf-8")
        self.path.with_suffix(".end").unlink(missing_ok=True)
        if end is not None:
            self.path.with_suffix(".end").write_text(end, encoding="utf-8")
        try:
            work_on(read_scenario(str(self.folder / "room.toml")))
        except CutplanError:
            return True
        return False

    def missed_beside(self, chance: Random) -> Iterator[str]:
        """Yield what is not refused of the small file changed, the record cut off, and bytes of it changed."""
        text, end = self.path.read_text(encoding="utf-8"), self.path.with_suffix(".end").read_text(encoding="utf-8")
        for key, by in (("entries", 1), ("entries", -1), ("sum", "0" * 16)):
            told = json.loads(end)
            told[key] = by if isinstance(by, str) else told[key] + by
            if not self.is_refused_at_work(text, json.dumps(told)):
                yield f"the small file with another {key}"
        lines = text.splitlines(keepends=True)
        for kept in range(len(lines)):
            if not self.is_refused_at_work("".join(lines[:kept]), end):
                yield f"the record cut off after line {kept}"
        for place in chance.sample(range(len(text) - 1), BYTES):
            if not self.is_refused_at_work(
                f"{text[:place]}{'1' if text[place] == '0' else '0'}{text[place + 1 :]}", end
            ):
                yield f"sign {place} of the record changed"
        self.is_refused_at_work(text, end)


def recorded(folder: Path) -> Recorded:
    """Return the record of :data:`WORK`, done in a folder by its commands."""
    (folder / "room.toml").write_text(AT_WORK, encoding="utf-8")
    for words in WORK:
        command = [sys.executable, "-m", "cutplan", *words.replace("ROOM", "room.toml").split()]
        subprocess.run(command, cwd=folder, check=True, capture_output=True)  # noqa: S603 - our own program
    return Recorded(folder)


def reason_of(name: str, fault: Fault) -> str | None:
    """Return why a fault of a plan may pass: it remains true, or is named as taken on trust; None where it may not."""
    whole = f"{name}/{fault.name}"
    for reasons in (TRUE_STILL, ON_TRUST):
        for pattern, reason in reasons.items():
            if re.fullmatch(
                rf"((plans|partial|given_up\.(other_)?plan|without_offcuts\.plan)\.)*({pattern})", fault.name
            ) or re.fullmatch(pattern, whole):
                return f"{'true still' if reasons is TRUE_STILL else 'on trust'}: {reason}"
    return None


def drawn_evenly(every: list[tuple[str, Fault]], count: int, chance: Random) -> list[tuple[str, Fault]]:
    """Return ``count`` faults, each plan, block and change in turn: long timetables count no more than bounds."""
    kinds: dict[tuple[str, str], list[tuple[str, Fault]]] = {}
    for name, fault in chance.sample(every, len(every)):
        kinds.setdefault((name, fault.name), []).append((name, fault))
    rounds = zip_longest(*kinds.values())
    return list(islice((drawn for turn in rounds for drawn in turn if drawn is not None), count))


def text_of(name: str, document: Document, record: Recorded) -> str:
    """Return a plan, or the record with its sums made right, as it is kept in a file."""
    return record.text(document) if name == RECORD else json.dumps(document)


def planted(
    plans: dict[str, Document], drawn: list[tuple[str, Fault]], record: Recorded
) -> Iterator[tuple[str, Fault, set[str] | None]]:
    """Yield each fault with its plan's name and what the judge then names as taken on trust; None where it refuses."""
    for name, fault in drawn:
        document = fault.planted(plans[name])
        told = taken_on_trust(text_of(name, document, record))
        is_forged = told is not None and name == RECORD and record.is_refused(document)
        yield name, fault, None if is_forged else told


def main() -> int:
    """Plant faults, print what became of them, and return the exit status."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--faults", type=int, default=FAULTS, help="how many faults are planted")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument(
        "--added", action="store_true", help="nothing is changed or left out: keys and entries are added"
    )
    parser.add_argument("--only", metavar="PLAN", help="in this plan alone")
    options = parser.parse_args()
    plans = dict(documents(options.only))
    for name, document in plans.items():
        if is_refused(document):
            raise SystemExit(f"{name}: the judge refuses the plan before any fault is planted in it")
    every = [] if options.added else [(name, fault) for name, held in plans.items() for fault in faults_of(held)]
    missed: Counter[str] = Counter()
    with TemporaryDirectory() as folder:
        record = recorded(Path(folder))
        if options.only in (None, RECORD):
            plans[RECORD] = record.document()
            if not options.added:
                every += [(RECORD, fault) for fault in record.faults()]
                missed.update(record.missed_beside(Random(options.seed)))  # noqa: S311 - repeatable
        if options.added:
            examples = Examples(plans)
            every = [(name, fault) for name, held in plans.items() for fault in additions_to(held, examples)]
        return _planted(plans, every, record, missed, options)


def _planted(
    plans: dict[str, Document],
    every: list[tuple[str, Fault]],
    record: Recorded,
    missed: Counter[str],
    options: argparse.Namespace,
) -> int:
    """Plant so many of the faults as asked for, print what became of them, and return the exit status."""
    drawn = drawn_evenly(every, options.faults, Random(options.seed))  # noqa: S311 - repeatable
    refused: Counter[str] = Counter()
    passed: Counter[str] = Counter()
    as_it_is = {name: taken_on_trust(text_of(name, document, record)) or set() for name, document in plans.items()}
    for name, fault, told in planted(plans, drawn, record):
        if told is None:
            refused[RECORD if name == RECORD else str(fault.path[0])] += 1
        elif options.added and told - as_it_is[name]:
            passed["on trust: the judge says that it does not know of it, or by whose word it stands"] += 1
        else:
            reason = reason_of(name, fault)
            (missed if reason is None else passed)[reason or f"{name}: {fault.path} {fault.change}"] += 1
    print("| block | refused |\n|:--|--:|")
    for block, count in sorted(refused.items()):
        print(f"| {block} | {count} |")
    print(f"{len(drawn)} faults of {len(every)} planted in {len(plans)} plans; {refused.total()} refused.")
    for reason, count in passed.most_common():
        print(f"{count} passed, {reason}")
    for what, count in missed.most_common():
        print(f"MISSED {count} × {what}")
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())
