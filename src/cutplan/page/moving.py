"""The start under the finger: where it is moved to, the wall as it is then, and what it costs, proved.

Only what was asked last is worked out. Whatever was asked before it and waits still is dropped, never queued.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import count
from threading import Lock
from typing import TYPE_CHECKING, Final

from msgspec import Struct
from msgspec.structs import replace

from cutplan.comparing.figures import Compared, figures_of
from cutplan.comparing.heights import heights_of
from cutplan.comparing.placements import Placement
from cutplan.comparing.proving import Proved
from cutplan.comparing.sweep import Bench, SweepTask
from cutplan.errors import CutplanError, NoPlanError
from cutplan.lengths import Length, Rounding, read_length, show
from cutplan.page.asked import Asked, whole_in
from cutplan.page.band import StartsBand
from cutplan.page.desk import Desk
from cutplan.page.editing import value_at, with_start
from cutplan.page.further_fields import Fold, of_table
from cutplan.page.photograph_part import print_served
from cutplan.page.survey_fields import Fields
from cutplan.paper.stock import Lot
from cutplan.progress.record import fingerprint
from cutplan.render.drawing.lettering import isolated
from cutplan.render.drawing.wall_picture import WallPicture, wall_pictures
from cutplan.render.words.answer_words import money
from cutplan.render.words.names import capital
from cutplan.render.words.readings import FEET, place
from cutplan.render.words.sale_words import as_sold, in_unit
from cutplan.render.words.sheet_words import equal_lines
from cutplan.render.words.start_lines import start_lines
from cutplan.room.finding import RoomError
from cutplan.scenario.read import Scenario
from cutplan.scenario.toml_text import length_value
from cutplan.setting_out import Finish, FinishAt, FinishOver, NoticeKind, Puts, SettingOut, Start, Way, notices_of
from cutplan.setting_out.start import hung_at
from cutplan.wording import counted

if TYPE_CHECKING:
    from cutplan.job.beside import Beside

AT_ONCE: Final = 0.1
"""Seconds for a proof while the finger moves: most are known sooner, by what was proved beside."""
AT_REST: Final = 3.0
"""Seconds for a proof once the finger rests."""
TRADES_CHOICE: Final = ""
"""Stands for the finish that the trade would choose."""
AS_WRITTEN: Final = "as written"
"""Stands for a finish at a point, which the page only keeps."""


class OvertakenError(CutplanError):
    """Asked for, and then something else was."""


class Begun(Struct, frozen=True):
    """Where hanging begins and ends, as asked for on the page."""

    start: Start
    way: Way
    finish: Finish | None

    @property
    def placement(self) -> Placement:
        """The same for a comparison, which compares nothing with the focal point here."""
        return Placement(self.start, self.finish, None)


class Mover:
    """Works out starts for one job, each helped by what was proved before."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self.band = StartsBand()
        self._numbers = count(1)
        self._newest = 0
        self._lock = Lock()
        self._benches: dict[tuple[str, Way, Beside | None, tuple[Lot, ...]], Bench] = {}

    def move(self, asked: Asked) -> dict[str, object]:
        """Return the wall and the figures for a start; OvertakenError when another was asked for meanwhile."""
        return self.work_out(self.ticket(), asked)

    def ticket(self) -> int:
        """Return the number of a new question: those before it are overtaken."""
        self._newest = next(self._numbers)
        return self._newest

    def work_out(self, number: int, asked: Asked) -> dict[str, object]:
        """Return the same for a question that has its number already."""
        with self._lock:
            if number != self._newest:
                raise OvertakenError("overtaken")
            scenario = self.desk.scenario()
            begun = begun_of(scenario, asked)
            return self._moved(scenario, begun, rests=asked.flag("rests"))

    def _moved(self, scenario: Scenario, begun: Begun, *, rests: bool) -> dict[str, object]:
        bench = self.bench(scenario, begun.way)
        bench.prover.time_limit = AT_REST if rests else AT_ONCE
        try:
            setting_out = bench.set_out(begun.placement)
        except RoomError as error:
            why = "; ".join(found.what.read(scenario.units) for found in error.findings)
            raise CutplanError(f"Hanging cannot begin there: it {why}.") from error
        compared, short = self.band.known(bench.task, begun), ""
        if compared is None:
            proved = None
            try:
                proved = bench.prove_set_out(setting_out)
            except NoPlanError as error:
                short = capital(str(error).partition("\n")[0])
            compared = figures_of(begun.placement, setting_out, proved)
        self.band.aim(bench.task, begun, scenario.units)
        printed, said = print_served(scenario)
        moving = wall_pictures(setting_out, scenario.units, "moving", moving=begun.start.wall, printed=printed)
        whole = wall_pictures(setting_out, scenario.units, "start", printed=printed) if rests else ()
        return {
            "pictures": [_drawn(part) for part in moving],
            "walls": [part.picture.svg() for part in whole],
            "wall": begun.start.wall,
            "at": float(begun.start.at),
            "at_text": typed(begun.start.at, scenario.units),
            "drop": float(begun.start.motif_drop),
            "drop_text": typed(begun.start.motif_drop, scenario.units),
            "level": float(setting_out.level_line),
            "rolls": _rolls(scenario, compared.proved) or short,
            "is_proved": compared.proved is not None and compared.proved.is_proved,
            "facts": list(_facts(setting_out, compared, scenario.units)),
            "notices": [*said, *_notices(setting_out, scenario.units)] if rests else None,
        }

    def keep(self, asked: Asked) -> dict[str, object]:
        """Write the start that is asked for into the scenario."""
        with self.desk.lock:
            scenario = self.desk.scenario()
            begun = begun_of(scenario, asked)
            room = set_out_in(scenario).room
            lines = start_lines(room, begun.placement, begun.way, scenario.units)
            self.desk.write(with_start(self.desk.text(), lines, self.desk.holder))
        return {"said": "This start is kept in the file."}

    def bench(self, scenario: Scenario, way: Way) -> Bench:
        """Return where the starts of a scenario are worked out that go one way round."""
        document = fingerprint({**scenario.document, "start": None, "finish": None})
        key = (document, way, scenario.beside, scenario.of_all.job_to_order.lots)
        if key not in self._benches:
            self._benches = {known: bench for known, bench in self._benches.items() if known[0] == document}
            self._benches[key] = Bench(sweep_task(scenario, way))
        return self._benches[key]


def sweep_task(scenario: Scenario, way: Way) -> SweepTask:
    """Return what all starts of a scenario share that go one way round."""
    setting_out = set_out_in(scenario)
    lots, trims = scenario.of_all.job_to_order.lots, scenario.trims
    return SweepTask(setting_out.room, setting_out.paper, way, lots, trims, AT_REST, beside=scenario.beside)


def set_out_in(scenario: Scenario) -> SettingOut:
    """Return the room set out; CutplanError for a plain list of drops, and where equal strips leave no start."""
    if scenario.job.paper.edge_trim is not None:
        raise CutplanError("Each wall is hung in equal strips, from its left, so there is no start to move.")
    return walls_in(scenario)


def walls_in(scenario: Scenario) -> SettingOut:
    """Return the room set out, in equal strips too; CutplanError for a plain list of drops."""
    if scenario.setting_out is None:
        raise CutplanError("This job is a list of drops, so there is no wall to move its start along.")
    return scenario.setting_out


def begun_of(scenario: Scenario, asked: Asked) -> Begun:
    """Return the start that is asked for; what is not told is as the scenario has it."""
    now = set_out_in(scenario)
    walls = now.room.walls
    index = asked.whole("wall") if asked.has("wall") else now.start.wall
    if index >= len(walls):
        raise CutplanError("There is no such wall any more.")
    at = _length(asked, "at", scenario.units, now.start.at)
    at = min(at, walls[index].width) if asked.flag("drags") else at
    puts = Puts(asked.text("puts")) if asked.has("puts") else now.start.puts
    way = Way(asked.text("way")) if asked.has("way") else now.way
    finish = now.finish
    if asked.has("finish") and asked.text("finish") != AS_WRITTEN:
        finish = _finish(asked.text("finish"), now)
    if not now.room.closes or way.is_one_way:
        finish = None
    start = hung_at(now.room, now.paper, replace(now.start, wall=index, at=at, puts=puts))
    drop = now.paper.pattern.within_repeat(_length(asked, "drop", scenario.units, start.motif_drop))
    if drop != start.motif_drop:  # Moved by hand, away from what it was hung by.
        start = replace(start, motif_drop=drop, motif_at=None)
    return Begun(start, way, finish)


def _length(asked: Asked, key: str, units: str, otherwise: Length) -> Length:
    return read_length(asked.text(key), units) if asked.has(key) else otherwise


def _finish(text: str, now: SettingOut) -> Finish | None:
    if text == TRADES_CHOICE:
        return None
    wall, opening = map(whole_in, text.partition(" ")[::2])
    if wall is not None and opening is not None and wall < len(now.room.walls):
        return FinishOver(wall, opening)
    raise CutplanError("There is no such opening any more.")


def finishes_in(scenario: Scenario) -> Iterator[tuple[str, str]]:
    """Yield where the room may be asked to close: what stands for it, and how it is called."""
    now = set_out_in(scenario)
    if not now.room.closes:
        return
    yield TRADES_CHOICE, "where the trade would hide it"
    if isinstance(now.finish, FinishAt):
        wall = isolated(now.room.walls[now.finish.wall].name)
        yield AS_WRITTEN, f"on {wall}, {place(now.finish.at, scenario.units)} from its left"
    for index, wall_ in enumerate(now.room.walls):
        for number, opening in enumerate(wall_.openings):
            yield f"{index} {number}", f"over {isolated(opening.name)} on {isolated(wall_.name)}"


def finish_mark(finish: Finish | None) -> str:
    """Return what stands for a finish among :func:`finishes_in`."""
    if finish is None:
        return TRADES_CHOICE
    return AS_WRITTEN if isinstance(finish, FinishAt) else f"{finish.wall} {finish.opening}"


def typed(length: Length, units: str) -> str:
    """Return a length as it stands in a field: exact, with its unit."""
    value = length_value(length, units)
    return value.strip('"') if value.startswith('"') else f"{value} {units}"


# In words and figures


def _drawn(part: WallPicture) -> dict[str, object]:
    elevation = part.elevation
    bounds = part.picture.bounds
    faces = [
        {
            "wall": face.wall,
            "name": isolated(elevation.wall(face).name),
            "left": float(face.left),
            "right": float(face.right),
            "x": elevation.x(face, face.left),
        }
        for face in elevation.faces
    ]
    box = [bounds.left, bounds.top, bounds.width, bounds.height]
    top, per_mm = float(elevation.top), elevation.per_mm
    return {"svg": part.picture.svg(), "faces": faces, "per_mm": per_mm, "top": top, "box": box}


def _rolls(scenario: Scenario, proved: Proved | None) -> str:
    """Return the rolls with their cost, or between which two numbers they lie where that is not proved yet."""
    if proved is None:
        return ""
    sale = scenario.job.paper.sale
    if scenario.ordered is not None:
        value, bound = (in_unit(length, sale.unit or "m") for length in (proved.value, proved.bound))
        return f"{value} to order" if proved.is_proved else f"{bound} to {value} to order"
    if scenario.job.counts_cost:
        value, bound = money(proved.value), money(proved.bound)
        return f"{counted(proved.rolls, 'roll')}, {value if proved.is_proved else f'{bound} to {value}'} in all"
    to_buy = " to buy" if scenario.of_all.job.buys_beside_hand else ""
    if not proved.is_proved:
        return f"{proved.bound} to {counted(int(proved.value), 'roll')}{to_buy}"
    price = scenario.job.paper.price
    cost = "" if price is None else f", {money(price * proved.rolls)} in all"
    return f"{as_sold(sale, proved.rolls)}{to_buy}{cost}"


def _facts(setting_out: SettingOut, compared: Compared, units: str) -> Iterator[tuple[str, str]]:
    yield "Narrowest strip", show(compared.narrowest, units, Rounding.DOWN)
    if compared.to_opening is not None:
        yield "Nearest joint to an opening", show(compared.to_opening, units, Rounding.DOWN)
    if not setting_out.paper.pattern.is_free and setting_out.paper.motif_above + setting_out.paper.motif_below:
        yield "Strips with a motif cut at the ceiling", str(compared.cut_at_top)
    closing = compared.closing
    if closing is not None:
        wall = setting_out.room.walls[closing.joint.wall]
        over = [isolated(each.name) for each in wall.openings if each.left <= closing.joint.at <= each.right]
        where = f"over {over[0]}" if over else "in a corner" if closing.joint.at in (0, wall.width) else "in the open"
        out = f", {place(abs(closing.height), units)} out in height" if closing.height else ", level"
        yield "Closing joint", f"{where} on {isolated(wall.name)}{out}"


def _notices(setting_out: SettingOut, units: str) -> Iterator[str]:
    for notice in notices_of(setting_out):
        if notice.kind is not NoticeKind.SAFETY:
            yield f"{capital(notice.what.read(units))}."


def start_content(desk: Desk) -> dict[str, object]:
    """Return what the part shows before anything is moved."""
    scenario = desk.scenario()
    if scenario.job.paper.edge_trim is not None:
        walls = walls_in(scenario)
        pictures = wall_pictures(walls, scenario.units, "start", printed=print_served(scenario)[0])
        return {"equal": list(equal_lines(walls, scenario.units)), "pictures": [part.picture for part in pictures]}
    now = set_out_in(scenario)
    heights = heights_of(now)
    drops = {} if heights is None else dict(_heights_named(now, scenario.units))
    return {
        "equal": [],
        "walls": [isolated(wall.name) for wall in now.room.walls],
        "wall": now.start.wall,
        "at": typed(now.start.at, scenario.units),
        "drop": typed(now.start.motif_drop, scenario.units),
        "is_free": now.paper.pattern.is_free,
        "is_imperial": scenario.units in FEET,
        "repeat": float(now.paper.pattern.repeat),
        "puts": now.start.puts.value,
        "all_puts": [
            (puts.value, _PUTS[puts])
            for puts in Puts
            if puts is not Puts.MOTIF or now.paper.motif_from_left is not None
        ],
        "way": now.way.value,
        "ways": [(way.value, _WAYS[way]) for way in Way],
        "finish": finish_mark(now.finish),
        "finishes": list(finishes_in(scenario)),
        "heights": drops.items(),
        "hung_at": _hung_at(desk),
        "is_begun": desk.is_begun(),
    }


def _hung_at(desk: Desk) -> Fold | None:
    """Return the field for what the print hangs at, in place of how far down; None where this part has no start."""
    fields, path = Fields(desk.survey()), (*desk.holder, "start")
    if value_at(fields.survey.document, path) is None:
        return None
    return of_table(fields, "Or say what the print hangs at", desk.holder, "start", ("motif_at",))


_PUTS: Final = {Puts.MOTIF: "the motif", Puts.JOINT: "a joint", Puts.MIDDLE: "the middle of a strip"}
_WAYS: Final = {
    Way.RIGHT_THEN_LEFT: "to the right, then to the left",
    Way.LEFT_THEN_RIGHT: "to the left, then to the right",
    Way.RIGHT: "to the right only",
    Way.LEFT: "to the left only",
}


def _heights_named(now: SettingOut, units: str) -> Iterator[tuple[str, str]]:
    """Yield heights worth a button, by how far the first motif then hangs down."""
    heights = heights_of(now)
    if heights is None or not now.paper.motif_above + now.paper.motif_below:
        return
    if heights.whole_at_top:
        yield typed(heights.whole_at_top[0][0], units), "Whole just below the ceiling"
    for drop in heights.balanced[:1]:
        yield typed(drop, units), "As far from the ceiling as from the skirting"
