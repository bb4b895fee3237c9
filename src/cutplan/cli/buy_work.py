"""How many rolls to buy, of one paper or of every part of a job, asked for and written out."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Final, NamedTuple

from msgspec.structs import replace

import cutplan
from cutplan.buying.certain import Figure
from cutplan.buying.how_many import RollsToBuy, Wishes
from cutplan.buying.how_much import how_much
from cutplan.buying.need import Size
from cutplan.buying.reckoning import SureOnly
from cutplan.buying.recommendation import sheets_to_order, with_sheets
from cutplan.buying.returning import Returning, one_fewer
from cutplan.buying.savings import Saving
from cutplan.cli.in_and_out import AnswerFile, job_from
from cutplan.cli.parts_shared import bought_together, named
from cutplan.cli.terminal import ProgressLine, UsageError, length_typed, number_in, progress_line
from cutplan.comparing.cheaper import cheaper_placements
from cutplan.paper.sale import Sale
from cutplan.parts import shopping
from cutplan.parts.part import Part, PartedJob
from cutplan.render.documents.buying_document import buying_document, sheets_ordered
from cutplan.render.documents.parts_document import BUYING, parts_text
from cutplan.render.documents.plan_document import plan_text
from cutplan.render.pages import buying_page as pages
from cutplan.render.pages.ordering_page import ordering_document, ordering_page
from cutplan.render.pages.parts_page import parts_page
from cutplan.render.words.answer_words import order_line
from cutplan.scenario.read import Scenario
from cutplan.solve.clock import Clock
from cutplan.too_few import could_be_given_up, walls_in_order

_EXAMPLE: Final = 'write for example --offered "20.1 m=150.00", or the length alone'
_PACKET: Final = re.compile(r"([1-9][0-9]?)\s*[x×]\s*(.+)")


def answer_buying(source: str, wishes: Wishes, offered: list[str], output: AnswerFile, units: str | None) -> None:
    """Write how many rolls to buy, or what to order, of a scenario or of every part of a job."""
    scenario = job_from(source)
    if isinstance(scenario, cutplan.PartedJob):
        _buy_parts(scenario, wishes, offered, output, units)
        return
    paper = scenario.job.paper
    if paper.sale.unit is not None and offered:
        raise UsageError("--offered compares rolls, and this paper is cut to order; leave it out")
    if paper.sheets is not None and (offered or wishes.wants_spare):
        raise UsageError("--offered and --spare: are for paper in rolls; a spare sheet serves for its own place only")
    bought = _bought(scenario, wishes, offered, None if output.is_json else output)
    output.write(plan_text(bought.document) if output.is_json else bought.page(units or scenario.units))


class _Bought(NamedTuple):
    """What to buy of one paper: as JSON, in one sentence and as a page, in given units; and as rolls of a part."""

    document: dict[str, object]
    headline: Callable[[str], str]
    page: Callable[[str], str]
    rolls: Callable[[Part], shopping.PartRolls]


def _bought(scenario: Scenario, wishes: Wishes, offered: list[str], output: AnswerFile | None) -> _Bought:
    """Return what to buy for a scenario: a length, sheets or rolls; as :func:`_asked` of rolls."""
    paper, notes = scenario.job.paper, scenario.notes
    if paper.sale.unit is not None:
        found = how_much(scenario.job_to_order, wishes)
        return _Bought(
            ordering_document(found, scenario),
            lambda _: order_line(found.job, found.order),
            lambda _: ordering_page(found, notes),
            lambda part: shopping.length_ordered(part, found.order),
        )
    if paper.sheets is not None:
        order = sheets_to_order(scenario.job, are_in_hand="roll" in scenario.document)
        with progress_line() as show:
            job = with_sheets(scenario.job, order)
            plan = cutplan.make_plan(job, scenario.cutting, time_limit=wishes.seconds, progress=show)
        rolls = len(order), plan.rolls_needed - len(order), 0
        return _Bought(
            sheets_ordered(order, plan, scenario),
            lambda _: pages.to_order(order, paper),
            lambda units: pages.sheets_page(order, plan, notes, units),
            lambda part: shopping.PartRolls(part, *rolls, is_proved=True, cost=paper.cost(len(order))),
        )
    answer = _asked(scenario, wishes, offered, output)
    is_room = scenario.setting_out is not None and paper.edge_trim is None
    return _Bought(
        buying_document(answer, scenario),
        lambda units: pages.advice(answer, units),
        lambda units: pages.buying_page(answer, notes, units, is_room=is_room),
        lambda part: shopping.rolls_advised(part, answer),
    )


def _buy_parts(job: PartedJob, wishes: Wishes, offered: list[str], output: AnswerFile, units: str | None) -> None:
    if offered:
        raise UsageError(f"--offered: for one paper at a time, such as {job.addresses[0]}")
    found = []
    for part, seconds in Clock(wishes.seconds).shared_out(job.parts):
        with named(part, "buy"):
            bought = _bought(part.scenario, replace(wishes, seconds=seconds), [], None)
            found.append((part, units or part.scenario.units, bought))
    rolls = [bought.rolls(part) for part, _, bought in found]
    page, listed = bought_together(job, rolls, units or job.parts[0].scenario.units)
    if output.is_json:
        output.write(parts_text(job, BUYING, [(part, bought.document) for part, _, bought in found], listed))
        return
    pages = [(part, bought.headline(shown), bought.page(shown)) for part, shown, bought in found]
    output.write(parts_page("buy", job, pages, page))


def _asked(scenario: Scenario, wishes: Wishes, offered: list[str], output: AnswerFile | None) -> RollsToBuy:
    """Return how many rolls to buy for a scenario; where that is not all found out, what is certain goes to output."""
    clock, sizes = Clock(wishes.seconds), tuple(_size(text, scenario.units) for text in offered)
    wishes = replace(wishes, other_sizes=sizes, cutting=scenario.cutting)
    try:
        with progress_line("keep what is certain") as show:
            answer = cutplan.how_many_rolls(scenario.job, wishes, show)
            answer = replace(answer, further_savings=_by_setting_out(scenario, answer, clock, show))
            return replace(answer, returning=_what_one_more_takes(scenario, answer, clock, show))
    except SureOnly as known:
        if output is not None:
            output.write(pages.sure_page(known.need, known.sure))
        raise


def _by_setting_out(
    scenario: Scenario, answer: RollsToBuy, clock: Clock, show: ProgressLine | None
) -> tuple[Saving, ...]:
    """Return what another start, finish or height would save, for a room of which no roll is in hand yet."""
    needed, size = answer.sure.figure.enough, answer.need.size
    if scenario.setting_out is None or any(lot.count is not None for lot in scenario.job.lots) or not needed:
        return ()
    cheaper = cheaper_placements(
        scenario.setting_out,
        scenario.job,
        clock,
        fewer_than=size.bought(needed) - size.sale.packet + 1,
        progress=None if show is None else show.places,
    )
    return tuple(Saving(what, Figure(proved.rolls, int(proved.bound))) for what, proved, _ in cheaper)


def _what_one_more_takes(
    scenario: Scenario, answer: RollsToBuy, clock: Clock, show: ProgressLine | None
) -> Returning | None:
    """Return what could be returned, with what would have to be given up to return one more."""
    back = answer.returning
    fewer = None if back is None else one_fewer(answer.need.job, back)
    if back is None or fewer is None:
        return back
    walls = walls_in_order(fewer, scenario.setting_out, scenario.cutting.first_walls)
    steps = could_be_given_up(fewer, walls, scenario.setting_out, clock.left, show)
    others = tuple(step.what for step in steps if not step.to_be_had and step.kind != "trim")
    return replace(back, otherwise=others)


def _size(text: str, units: str) -> Size:
    """Return the size that ``LENGTH=PRICE``, or ``LENGTH`` alone, stands for; of a packet the price is that of all."""
    written, _, price = (part.strip() for part in text.partition("="))
    packed = _PACKET.fullmatch(written)
    sale, written = (Sale(int(packed[1])), packed[2]) if packed else (Sale(), written)
    length = length_typed("--offered", written, units)
    if not length:
        raise UsageError(f"--offered: a roll must be longer than 0; {_EXAMPLE}")
    if not price:
        return Size(length, None, sale)
    amount = number_in(price)
    if amount is None:
        raise UsageError(f"--offered: {price!r} is no price, a number without currency; {_EXAMPLE}")
    return Size(length, amount / sale.packet, sale)
