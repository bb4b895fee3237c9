"""How many rolls to buy, as a page of plain text: what to buy, why, and everything that it rests on."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Sequence
from fractions import Fraction
from typing import Final

from cutplan.buying.certain import Certain, Figure
from cutplan.buying.how_many import RollsToBuy
from cutplan.buying.need import Need, Size
from cutplan.buying.odds import Odds
from cutplan.buying.returning import Returning
from cutplan.buying.savings import SmallerTrim
from cutplan.buying.short_rolls import ShortRolls, TightRoll
from cutplan.buying.sizes import Mixture, SizeChoice
from cutplan.lengths import Rounding, show
from cutplan.paper.stock import SHORT_ROLL, Paper
from cutplan.plan.plan import Plan
from cutplan.render.pages.layout_of_page import bullets, paragraphs, section, table, wrapped
from cutplan.render.words.answer_words import money
from cutplan.render.words.names import capital, drops_named, listed_with_and, listed_with_or
from cutplan.render.words.sale_words import as_sold
from cutplan.render.words.sheet_words import SPOILED, set_words, sheet_lines, sheets_named
from cutplan.wording import counted, in_runs

_MOST_NAMED: Final = 5
"""More rolls than this are counted instead of named."""


def buying_page(answer: RollsToBuy, notes: Iterable[str] = (), units: str = "mm", *, is_room: bool = False) -> str:
    """Return the whole page, with the scenario's notes.

    ``is_room`` tells that the drops follow from a room survey, so that its start may be moved.
    """
    return paragraphs(
        wrapped(advice(answer, units)),
        bullets(_reasons(answer, units)),
        section("Notes", bullets(notes)),
        section("How many rolls", *_figures(answer, units)),
        section("The chance that fewer do", *_odds(answer)),
        section("Short rolls", *_short(answer, units)),
        section("Sizes on offer", *_sizes(answer, units)),
        section("What would save a roll", bullets(_savings(answer, units, is_room=is_room))),
        section("What returning one more would take", bullets(_one_more(answer, units))),
        section("If a drop is spoiled", wrapped(_spoiled(answer))),
        section("Rules of thumb", *_rules(answer)),
    )


def sheets_page(order: Sequence[int], plan: Plan, notes: Iterable[str] = (), units: str = "mm") -> str:
    """Return the whole page for a set of numbered sheets: which of them to order, and what comes off each."""
    paper = plan.job.paper
    facts = [f"{capital(set_words(paper, units))}.", *sheet_lines(plan, units), SPOILED]
    return paragraphs(wrapped(to_order(order, paper)), bullets(facts), section("Notes", bullets(notes)))


def to_order(order: Sequence[int], paper: Paper) -> str:
    """Return which sheets to order, in a sentence."""
    if not order:
        return f"Buy nothing: every sheet of {paper.name} that hangs is in hand."
    cost = "" if paper.price is None else f", {money(paper.price * len(order))} in all"
    return f"Buy {sheets_named(order)} of {paper.name}{cost}."


# What to buy


def advice(answer: RollsToBuy, units: str = "mm") -> str:
    """Return what to buy, in one sentence; of the sizes on offer, the cheapest that was worked out."""
    advised = answer.recommendation
    mixed, best = answer.cheapest_mixture, answer.cheapest_size
    if mixed is not None:
        rolls = listed_with_and([_rolls_of(count, size, units) for size, count in mixed.rolls])
        return f"Buy {rolls}, {answer.need.job.paper.name}, all of one batch{_bracketed(mixed.cost)}."
    if not answer.is_own_size_advised and best is not None and best.found is not None:
        rolls = _rolls_of(best.found.buy, best.size, units)
        buy = f"Buy {rolls}, {answer.need.job.paper.name}{_of_batch(best.found.buy)}{_bracketed(best.measured_cost)}"
        return f"{buy}{_measuring(answer) if best.found.buy < best.found.as_they_come else ''}."
    if not advised.buy:
        measured = ", if opened and measured before the first cut" if advised.must_measure else ""
        return f"Buy nothing: the {_in_hand(answer.need)} enough{measured}."
    buy = f"Buy {as_sold(answer.need.size.sale, advised.buy)} of {answer.need.job.paper.name}"
    buy += _of_batch(advised.buy, advised.of_batches) + _bracketed(advised.cost)
    if not advised.returned:
        return f"{buy}{_measuring(answer) if advised.must_measure else ''}."
    sale = answer.need.size.sale
    returned = str(advised.returned) if sale.packet == 1 else as_sold(sale, advised.returned)
    back = f"expect to return {returned} unopened{_bracketed(advised.refund)}"
    if advised.open_first == answer.sure.figure.enough and not advised.must_measure:
        return f"{buy}, and {back}."
    opened = f"open and measure {advised.open_first} of them" if advised.open_first else "open none of them"
    return f"{buy}, {opened} before the first cut, and {back}."


def _of_batch(rolls: int, of_batches: Sequence[tuple[str, int]] = ()) -> str:
    if len(of_batches) == 1:
        return f" of batch {of_batches[0][0]}"
    if of_batches:
        return ": " + listed_with_and([f"{number} of batch {batch}" for batch, number in of_batches])
    return ", all of one batch" if rolls > 1 else ""


def _measuring(answer: RollsToBuy) -> str:
    beside = ", and the sealed ones in hand," if answer.need.unopened_in_hand else ""
    return f", and open and measure all of them{beside} before the first cut"


def _reasons(answer: RollsToBuy, units: str) -> Iterator[str]:
    if not answer.is_own_size_advised:
        cost = answer.sizes[0].measured_cost
        own = f"The figures below are for rolls of {show(answer.need.size.length, units)}"
        yield f"{own}{'' if cost is None else f', which would cost {money(cost)}'}; all sizes are compared there."
    if answer.need.has_rolls_in_hand:
        yield f"The {_in_hand(answer.need)} used first; the figures say what to buy besides.{_lacking(answer)}"
    yield from _joining(answer)
    yield _certain(answer.need, answer.sure.figure)
    if answer.opened.figure.enough < answer.sure.figure.enough:
        number = answer.opened.figure.enough
        yield (
            f"{_rolls_are(number)} certain to be enough if all are opened, and the first motif of each is "
            "measured, before the first cut."
        )
    yield from _likely(answer)
    if answer.short is not None and answer.short.figure.enough > answer.sure.figure.enough:
        yield _short_reason(answer, answer.short, units)
    if answer.returning is not None:
        yield from _could_return(answer, answer.returning)
    if answer.recommendation.returned:
        yield "Shops take back unopened rolls, not opened ones; a batch that is sold out cannot be matched later."
    if answer.wishes.wants_spare:
        yield f"One full drop of the longest is counted in, to be kept for repair ({answer.need.job.drops[-1].label})."


def _lacking(answer: RollsToBuy) -> str:
    """Say which drops lie on rolls that are still to be bought."""
    new = {lot.label for lot in answer.need.new}
    cut: Counter[str] = Counter()
    for layout in answer.plan.layouts:
        if layout.lot in new:
            for each in layout.cuts:
                cut[each.drop] += layout.count
    drops = answer.plan.job.drops
    whole = [drop.label for drop in drops if cut[drop.label] == drop.count]
    named = [_drops(answer, whole)] if whole else []
    named += [
        f"{cut[drop.label]} of the {drop.count} of drop {drop.label}"
        for drop in drops
        if 0 < cut[drop.label] < drop.count
    ]
    return f" What is bought is, in the plan, for {listed_with_and(named)}." if named else ""


def _joining(answer: RollsToBuy) -> Iterator[str]:
    """Say what to buy when the batches in hand are sold out."""
    if answer.otherwise is not None and answer.recommendation.buy:
        number = answer.otherwise.buy
        batches = answer.need.batches
        gone = f"batch {batches[0]} is sold out"
        if len(batches) > 1:
            gone = f"no roll of batch {listed_with_or(batches)} is to be had"
        measured = ", opened and measured first" if number < answer.otherwise.as_they_come else ""
        kept_apart = "so that no wall has two batches"
        if not answer.otherwise.need.has_rolls_in_hand:
            kept_apart = "and leave those in hand, for nobody has told which drops hang on one wall"
        yield (
            f"A roll of another batch would show beside those in hand. If {gone}, buy "
            f"{counted(number, 'roll')}{_of_batch(number)}{measured}, {kept_apart}."
        )


def _could_return(answer: RollsToBuy, back: Returning) -> Iterator[str]:
    if not back.unopened:
        yield f"None of the {counted(back.listed, 'roll')} in hand could be returned: the plan opens every sealed one."
        return
    opened = f"The plan opens {back.opened} of the {counted(back.listed, 'roll')} in hand"
    yield f"{opened}; {listed_with_and(list(back.unopened))} could be returned."
    if back.must_stay:
        which = "it" if len(back.unopened) == 1 else f"{back.must_stay} of them"
        yield f"If every roll is {_percent(answer.wishes.tolerance)} short, {which} will be needed: keep so many."


def _one_more(answer: RollsToBuy, units: str) -> list[str]:
    back = answer.returning
    if back is None or back.by_another_plan is None:
        return []
    if back.by_another_plan:
        return ["Another plan, which opens a sealed roll less: list one roll fewer, and plan again."]
    lines = []
    if back.if_measured:
        lines.append("Open the rolls that are left and measure each before the first cut.")
    if back.trim is not None:
        lines.append(_trim(back.trim, units))
    lines += [f"{capital(each.read(units))}." for each in back.otherwise]
    return lines or ["Nothing that was tried: another plan, less trim (down to 2 in in all), measuring first."]


def sure_page(need: Need, sure: Certain) -> str:
    """Return what is certain, where no more was found out before Ctrl-C."""
    beside = ""
    if need.has_rolls_in_hand and sure.figure.enough:
        batch = f", and of batch {listed_with_and(need.batches)}" if need.batches else ""
        beside = f" To be bought besides those in hand{batch}."
    return wrapped(f"{_certain(need, sure.figure)}{beside} Interrupted: no more was found out.") + "\n"


def _certain(need: Need, figure: Figure) -> str:
    if not figure.enough:
        return f"Even cut as they come, the {_in_hand(need)} certain to be enough: proved."
    sure = f"{_rolls_are(figure.enough)} certain to be enough, cut one after another as they come"
    if not need.job.paper.pattern.is_free:
        sure += ", however they begin"
    if figure.is_exact:
        return f"{sure}: proved, and no fewer are certain."
    return f"{sure}: proved; whether fewer are certain is not known (never fewer than {figure.least})."


def _likely(answer: RollsToBuy) -> Iterator[str]:
    number = answer.recommendation.open_first
    for odds in answer.odds:
        if odds.rolls == number:
            yield (
                f"Opened and measured first, {_rolls_are(number)} enough in {_chance(odds)} of all cases; "
                "otherwise open another, and cut nothing before that."
            )


def _short_reason(answer: RollsToBuy, short: ShortRolls, units: str) -> str:
    certain = _certain_to_buy(answer, short.figure)
    if short.opened != short.figure:
        certain += f", {_range(short.opened)} if length and first motif of each are measured first"
    return (
        f"A roll may be sold {_percent(short.tolerance)} short{_standard(answer)}: if every one is, {certain}. "
        f"Rolls known to be {show(answer.need.size.length, units)} long need no such reserve (--tolerance 0)."
    )


# The figures


def _figures(answer: RollsToBuy, units: str) -> list[str]:
    figures = [("certain, cut one after another as they come", answer.sure.figure)]
    if not answer.need.job.paper.pattern.is_free:
        figures += [
            ("certain, if all are opened and measured before the first cut", answer.opened.figure),
            ("at best, if every roll begins where its layout wants: no promise", answer.sure.at_best),
        ]
    heads = ("", "rolls to buy" if answer.need.has_rolls_in_hand else "rolls", "packets")
    sale = answer.need.size.sale
    width = len(heads) if sale.packet > 1 else len(heads) - 1
    packets = (Figure(sale.packets(figure.enough), sale.packets(figure.least)) for _, figure in figures)
    rows = [(words, _range(each), _range(of))[:width] for (words, each), of in zip(figures, packets, strict=True)]
    parts = [table(heads[:width], rows)]
    if answer.opened.worst is not None:
        parts.append(wrapped(_worst(answer, answer.opened.worst, units)))
    elif not answer.opened.figure.is_exact:
        parts.append(wrapped(_why_bounds(answer)))
    return parts


def _why_bounds(answer: RollsToBuy) -> str:
    if answer.need.to_buy.must_share_batches:
        return (
            "Each wall is papered from one batch; what measuring first saves is then not worked out, so that line "
            "holds two bounds."
        )
    if answer.need.has_paper_taken_for_certain:
        return (
            "Some paper in hand, in pieces or foot first, is not measured and is taken for what is certain of it; so "
            "the line for measured rolls holds two bounds."
        )
    return (
        "There are too many ways in which so many rolls can begin to go through them all in time: the line for "
        "measured rolls holds two bounds."
    )


def _worst(answer: RollsToBuy, worst: tuple[Fraction, ...], units: str) -> str:
    motifs = Counter(show(motif, units) for motif in worst)
    where = []
    if len(motifs) == 1:
        (motif,) = motifs
        where = [f"{motif} below the end of each"]
    elif motifs:
        where = [f"{motif} below the end of {count}" for motif, count in motifs.items()]
    where += [
        f"{show(motif, units)} below that of a roll of {show(length, units)} in hand"
        for length, motif in answer.opened.worst_in_hand
    ]
    number = answer.opened.figure.least - 1
    too_few = f"With {counted(number, 'roll')}" if number else "With none"
    beside = " besides those in hand" if answer.need.has_rolls_in_hand else ""
    return (
        f"{too_few}{beside} it can go wrong even when all are measured first: with the first motif "
        f"{listed_with_and(where)}."
    )


def _odds(answer: RollsToBuy) -> list[str]:
    if not answer.odds:
        return []
    simulated = [odds.draws for odds in answer.odds if odds.draws is not None]
    rows = [
        (
            str(odds.rolls),
            _chance(odds) + ("" if odds.is_exact else f" ({100 * odds.low:.1f} to {100 * odds.high:.1f} %)"),
        )
        for odds in answer.odds
    ]
    rows.append((str(answer.need.size.bought(answer.opened.figure.enough)), "certain"))
    words = "Each roll begins anywhere in the repeat, as likely in one place as in another, and all are measured first."
    if simulated:
        words += (
            f" From {simulated[0]} draws, the same every time, each decided for certain; the interval in brackets "
            "holds the true chance 19 times in 20."
        )
    elif not any(odds.is_at_least for odds in answer.odds):
        words += " Worked out exactly."
    if any(odds.is_at_least for odds in answer.odds):
        words += (
            " Paper in hand that is in pieces or foot first is taken for what is certain: the chance may be better."
        )
    return [wrapped(words), table(("rolls", "chance"), rows)]


def _chance(odds: Odds) -> str:
    """Return a chance in per cent; what is only likely never looks certain, nor what is unlikely impossible."""
    text = f"{float(100 * odds.chance):.1f}"
    if odds.is_at_least:
        return f"at least {text} %"
    if text == "100.0":
        return f"over {min(100 * odds.low, 99.9):.1f} %"
    if text == "0.0" and (odds.chance or not odds.is_exact):
        return f"under {max(100 * odds.high, 0.1):.1f} %"
    return f"{text} %"


# Short rolls and other sizes


def _short(answer: RollsToBuy, units: str) -> list[str]:
    short = answer.short
    if short is None:
        if not answer.wishes.tolerance:
            return []
        shortage = _percent(answer.wishes.tolerance)
        return [wrapped(f"On rolls {shortage} short{_standard(answer)} some drop is too long to be certain of.")]
    length = show(short.length, units, Rounding.DOWN)
    words = f"If every roll is {_percent(short.tolerance)} short{_standard(answer)}, which is {length} long, "
    if any(lot.is_as_sold for lot in answer.need.in_hand):
        words = f"If every roll is {_percent(short.tolerance)} short{_standard(answer)}, sealed ones in hand too, "
    if short.figure.enough:
        words += _certain_to_buy(answer, short.figure)
        words += f", {_figure(short.opened)} if measured first." if short.opened != short.figure else "."
    else:
        words += "nothing need be bought either."
    lines = [wrapped(words)]
    if answer.tight:
        lines.append(wrapped(_tight(answer, short, units)))
    return lines


def _tight(answer: RollsToBuy, short: ShortRolls, units: str) -> str:
    which = _which_tight(answer.tight, units)
    if short.figure.enough <= answer.sure.figure.enough:
        return (
            f"The plan for full length would not do for them, though: {which}. Measure the rolls; if one is short, "
            "plan again with the lengths found."
        )
    return f"The plan for full length hangs on less slack than that: {which}."


def _which_tight(tight: tuple[TightRoll, ...], units: str) -> str:
    if len(tight) > _MOST_NAMED:
        worst = min(tight, key=lambda roll: roll.slack)
        return f"{len(tight)} layouts do, most of all {worst.roll}, which {_lacks(worst, units)}"
    return "; ".join(f"{roll.roll} {_lacks(roll, units)}" for roll in tight)


def _lacks(roll: TightRoll, units: str) -> str:
    slack, lacking = show(roll.slack, units, Rounding.DOWN), show(roll.lacking, units, Rounding.UP)
    return f"has {slack} of slack and would be {lacking} too short"


def _sizes(answer: RollsToBuy, units: str) -> list[str]:
    if not answer.sizes:
        return []
    rows = [_size_row(choice, units) for choice in answer.sizes]
    if answer.mixed is not None and len(answer.mixed.rolls) > 1:
        rows.append(_mixture_row(answer.mixed, units))
    words = "Rolls to be certain"
    if answer.wishes.tolerance:
        words += f", each {_percent(answer.wishes.tolerance)} short of its marked length"
    words += "; paper and cost are of those opened and measured first, of a mixture cut as it comes."
    heads = ("size", "as they come", "measured first", "paper", "cost")
    return [wrapped(words), table(heads, rows), wrapped(_cheapest(answer, units))]


def _size_row(choice: SizeChoice, units: str) -> tuple[str, ...]:
    length = choice.size.length
    if choice.found is None or choice.figure is None:
        return (_size_named(choice.size, units), "too short", "", "", "")
    cost = "" if choice.measured_cost is None else money(choice.measured_cost)
    rolls = choice.size.bought(choice.found.buy)
    size = _size_named(choice.size, units)
    return (size, _range(choice.figure), str(choice.found.buy), show(rolls * length, units), cost)


def _mixture_row(mixed: Mixture, units: str) -> tuple[str, ...]:
    rolls = " + ".join(f"{count} × {show(size.length, units)}" for size, count in mixed.rolls)
    paper = sum((count * size.length for size, count in mixed.rolls), 0 * mixed.cost)
    return (rolls, str(sum(count for _, count in mixed.rolls)), "", show(paper, units), money(mixed.cost))


def _cheapest(answer: RollsToBuy, units: str) -> str:
    mixed, best = answer.cheapest_mixture, answer.cheapest_size
    if mixed is not None:
        rolls = listed_with_and([_rolls_of(count, size, units) for size, count in mixed.rolls])
        proved = "no mixture costs less, cut as it comes"
        if not mixed.is_proved:
            proved = f"not proved, but none cut as it comes costs less than {money(mixed.least_cost)}"
        return f"Cheapest: {rolls}, {money(mixed.cost)} in all; {proved}."
    if best is None:
        return "Price every size to learn which is the cheapest."
    words = f"Cheapest: {_rolls_of(0 if best.found is None else best.found.buy, best.size, units)}."
    if answer.mixed is not None:
        words += f" Cut as they come, no rolls of any sizes together cost less than {money(answer.mixed.least_cost)}."
    return words


# Savings and spoiled drops


def _savings(answer: RollsToBuy, units: str, *, is_room: bool) -> list[str]:
    certain = answer.sure.figure.enough
    if not certain:
        return []
    lines = []
    if answer.opened.figure.enough < certain:
        fewer = f"{_figure(answer.opened.figure)} instead of {certain}"
        lines.append(f"Open the rolls and measure each before the first cut: {fewer}.")
    trim = answer.trim
    if trim is not None:
        lines.append(_trim(trim, units))
    longer = answer.longer
    if longer is not None and longer.figure.enough and 2 * longer.figure.enough < certain:
        size = f"Rolls of double length ({show(longer.length, units)}), if they are to be had"
        lines.append(f"{size}: {_figure(longer.figure)}, the paper of {2 * longer.figure.enough}.")
    lines += [f"{saving.what.read(units)}: {_figure(saving.figure)}." for saving in answer.further_savings]
    if not lines:
        lines = ["Nothing that was tried: less trim (down to 2 in in all), rolls of double length, measuring first."]
    if is_room and not answer.need.has_rolls_in_hand:
        lines.append("Another start, finish or height of the print may save one too: cutplan compare shows them.")
    return lines


def _trim(trim: SmallerTrim, units: str) -> str:
    top, bottom = (show(part, units, Rounding.DOWN) for part in (trim.top, trim.bottom))
    largest = "the largest trim that does" if trim.is_largest else "a larger trim may do too"
    return f"Trim of {top} at the top and {bottom} at the bottom: {_figure(trim.figure)} ({largest})."


def _spoiled(answer: RollsToBuy) -> str:
    spoiled = answer.spoiled
    bought = answer.sure.figure.enough
    if spoiled.is_left_over:
        return "Any one drop can be cut again from what the plan leaves over; no more rolls are needed."
    sentences = []
    if spoiled.dearest:
        batches = answer.need.batches
        needed = f"{_figure(spoiled.figure)} must be bought{f', of batch {listed_with_or(batches)}' if batches else ''}"
        if bought:
            needed = f"{_figure(spoiled.figure)} {_is(spoiled.figure)} needed instead of {bought}"
        is_own = answer.is_own_size_advised
        reserve = "; the reserve covers that" if is_own and answer.recommendation.buy >= spoiled.figure.enough else ""
        which = _drops(answer, spoiled.dearest, "one of the ")
        sentences.append(f"If {which} is spoiled, {needed}{reserve}.")
    if spoiled.only_if_planned:
        which = _drops(answer, spoiled.only_if_planned, "one of the ")
        sentences.append(
            f"If {which} is spoiled, no more rolls are needed, but only if that is planned for before the first cut "
            "(--spare keeps one drop of the longest)."
        )
    if spoiled.not_settled:
        which = _drops(answer, spoiled.not_settled, "one of the ")
        sentences.append(
            f"What it takes if {which} is spoiled was not settled in time; "
            f"{counted(bought + 1, 'roll')} would cover it."
        )
    else:
        sentences.append(_others(answer))
    return " ".join(sentences).strip()


def _others(answer: RollsToBuy) -> str:
    named = len(answer.spoiled.dearest) + len(answer.spoiled.only_if_planned)
    if named == len(answer.need.job.drops):
        return ""
    return "Any other can be cut again from what the plan leaves over."


def _drops(answer: RollsToBuy, labels: Collection[str], one_of: str = "") -> str:
    """Name drops, in hanging order: those whose numbers follow one another by the first and the last of them."""
    named = [drop.label for drop in answer.need.job.drops if drop.label in labels]
    if len(named) == len(answer.need.job.drops) > 1:
        return "any drop" if one_of else "all drops"
    return drops_named(named) if len(named) == 1 else f"{one_of}drops {listed_with_and(in_runs(named))}"


# Rules of thumb


def _rules(answer: RollsToBuy) -> list[str]:
    needed = answer.plan.rolls_needed
    rows = [(rule.name, _beside(rule.rolls, needed), str(rule.rolls)) for rule in answer.rules]
    words = (
        f"Beside the {counted(needed, 'roll')} of the plan. None of them knows where a roll begins or which pieces lie "
        "together on one, and an area does not know where a roll ends."
    )
    return [wrapped(words), table(("rule", "that would be", "rolls"), rows)]


def _beside(rolls: int, needed: int) -> str:
    if rolls == needed:
        return "the same"
    return f"{needed - rolls} too few" if rolls < needed else f"{rolls - needed} too many"


# Words


def _figure(figure: Figure) -> str:
    return f"{_range(figure)} {'roll' if figure.enough == 1 else 'rolls'}"


def _certain_to_buy(answer: RollsToBuy, figure: Figure) -> str:
    beside = " besides those in hand" if answer.need.has_rolls_in_hand else ""
    return f"{_figure(figure)}{beside} {_is(figure)} certain"


def _is(figure: Figure) -> str:
    return "is" if figure.enough == 1 else "are"


def _range(figure: Figure) -> str:
    return str(figure.enough) if figure.is_exact else f"{figure.least} to {figure.enough}"


def _rolls_of(number: int, size: Size, units: str) -> str:
    return f"{as_sold(size.sale, number)} of {show(size.length, units)}"


def _size_named(size: Size, units: str) -> str:
    packet = f"{size.sale.packet} x " if size.sale.packet > 1 else ""
    return f"{packet}{show(size.length, units)}"


def _rolls_are(number: int) -> str:
    return counted(number, "roll is", "rolls are")


def _in_hand(need: Need) -> str:
    return counted(need.rolls_in_hand, "roll in hand is", "rolls in hand are")


def _bracketed(amount: Fraction | None) -> str:
    return "" if amount is None else f" ({money(amount)})"


def _percent(part: Fraction) -> str:
    return f"{float(100 * part):g} %"


def _standard(answer: RollsToBuy) -> str:
    return " (EN 233)" if answer.wishes.tolerance == SHORT_ROLL else ""
