"""How many rolls to buy, as a page of plain text: what to buy, why, and everything that it rests on."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, Final

from cutplan.lengths import Rounding, show
from cutplan.render.pages.layout_of_page import section, table, wrapped
from cutplan.render.pages.plan_page import money
from cutplan.render.words.names import listed_with_and
from cutplan.table.steps import SHORT_ROLL

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator
    from fractions import Fraction

    from cutplan.buying import Answer
    from cutplan.buying.certain import Figure
    from cutplan.buying.odds import Odds
    from cutplan.buying.short_rolls import ShortRolls, TightRoll
    from cutplan.buying.sizes import Mixture, SizeChoice

_MOST_NAMED: Final = 5
"""More rolls or drops than this are counted instead of named."""


def buying_page(answer: Answer, notes: Iterable[str] = (), units: str = "mm", *, is_room: bool = False) -> str:
    """Return the whole page.

    Parameters
    ----------
    answer
        What was found out.
    notes
        What the reader of the scenario should know about how it was read.
    units
        ``mm``, ``cm``, ``m``, or ``in`` for feet and inches, as the user's tape reads.
    is_room
        True when the drops follow from a room survey, so that its start may be moved.

    """
    parts = [
        wrapped(advice(answer)),
        _bullets(_reasons(answer, units)),
        _named("Notes", _bullets(notes)),
        section("How many rolls", *_figures(answer, units)),
        _named("The chance that fewer do", *_odds(answer)),
        _named("Short rolls", *_short(answer, units)),
        _named("Sizes on offer", *_sizes(answer, units)),
        _named("What would save a roll", _bullets(_savings(answer, units, is_room=is_room))),
        section("If a drop is spoiled", wrapped(_spoiled(answer))),
        section("Rules of thumb", *_rules(answer)),
    ]
    return "\n\n".join(part for part in parts if part) + "\n"


# What to buy


def advice(answer: Answer) -> str:
    """Return what to buy, in one sentence."""
    advised = answer.recommendation
    if not advised.buy:
        return f"Buy nothing: the {_in_hand(answer)} enough."
    buy = f"Buy {_rolls(advised.buy)} of {answer.need.job.paper.name}"
    if advised.buy > 1:
        buy += ", all of one batch"
    buy += _bracketed(advised.cost)
    if not advised.returned:
        return f"{buy}{', and open and measure all of them before the first cut' if advised.must_measure else ''}."
    back = f"expect to return {advised.returned} unopened{_bracketed(advised.refund)}"
    if advised.open_first == answer.sure.figure.enough and not advised.must_measure:
        return f"{buy}, and {back}."
    return f"{buy}, open and measure {advised.open_first} of them before the first cut, and {back}."


def _reasons(answer: Answer, units: str) -> Iterator[str]:
    if answer.need.has_rolls_in_hand:
        yield f"The {_in_hand(answer)} used first; the figures say what to buy besides."
    yield _certain(answer)
    if answer.opened.figure.enough < answer.sure.figure.enough:
        number = answer.opened.figure.enough
        yield (
            f"{_rolls(number)} {_are(number)} certain to be enough if all are opened, and the first motif of each is "
            "measured, before the first cut."
        )
    yield from _likely(answer)
    if answer.short is not None and answer.short.figure.enough > answer.sure.figure.enough:
        yield _short_reason(answer, answer.short, units)
    if answer.recommendation.returned:
        yield "Shops take back unopened rolls, not opened ones; a batch that is sold out cannot be matched later."
    if answer.wishes.wants_spare:
        yield f"One full drop of the longest is counted in, to be kept for repair ({answer.need.job.drops[-1].label})."


def _certain(answer: Answer) -> str:
    figure = answer.sure.figure
    if not figure.enough:
        return f"Even cut as they come, the {_in_hand(answer)} certain to be enough: proved."
    sure = f"{_rolls(figure.enough)} {_are(figure.enough)} certain to be enough, cut one after another as they come"
    if not answer.need.job.paper.pattern.is_free:
        sure += ", however they begin"
    if figure.is_exact:
        return f"{sure}: proved, and no fewer are certain."
    return f"{sure}: proved; whether fewer are certain is not known (never fewer than {figure.least})."


def _likely(answer: Answer) -> Iterator[str]:
    number = answer.recommendation.open_first
    for odds in answer.odds:
        if odds.rolls == number:
            yield (
                f"Opened and measured first, {_rolls(number)} {_are(number)} enough in {_chance(odds)} of all cases; "
                "otherwise open another, and cut nothing before that."
            )


def _short_reason(answer: Answer, short: ShortRolls, units: str) -> str:
    certain = f"{_figure(short.figure)} {_are(short.figure.enough)} certain"
    if short.opened != short.figure:
        certain += f", {_range(short.opened)} if length and first motif of each are measured first"
    return (
        f"A roll may be sold {_percent(short.tolerance)} short{_standard(answer)}: if every one is, {certain}. "
        f"Rolls known to be {show(answer.need.size.length, units)} long need no such reserve (--tolerance 0)."
    )


# The figures


def _figures(answer: Answer, units: str) -> list[str]:
    rows = [("certain, cut one after another as they come", _range(answer.sure.figure))]
    if not answer.need.job.paper.pattern.is_free:
        rows += [
            ("certain, if all are opened and measured before the first cut", _range(answer.opened.figure)),
            ("at best, if every roll begins where its layout wants: no promise", _range(answer.sure.at_best)),
        ]
    parts = [table(("", "rolls to buy" if answer.need.has_rolls_in_hand else "rolls"), rows)]
    if answer.opened.worst is not None:
        parts.append(wrapped(_worst(answer, answer.opened.worst, units)))
    elif not answer.opened.figure.is_exact:
        parts.append(
            wrapped("There are too many ways in which so many rolls can begin to go through them all in time.")
        )
    return parts


def _worst(answer: Answer, worst: tuple[Fraction, ...], units: str) -> str:
    motifs = Counter(show(motif, units) for motif in worst)
    if len(motifs) == 1:
        (motif,) = motifs
        where = f"the first motif {motif} below the end of each"
    else:
        listed = listed_with_and([f"{motif} on {count}" for motif, count in motifs.items()])
        where = f"the first motif below the end {listed} of them"
    too_few = answer.opened.figure.least - 1
    beside = " besides those in hand" if answer.need.has_rolls_in_hand else ""
    return f"With {_rolls(too_few)}{beside} it can go wrong even when all are measured first: with {where}."


def _odds(answer: Answer) -> list[str]:
    if not answer.odds:
        return []
    simulated = [odds.draws for odds in answer.odds if odds.draws is not None]
    rows = [(str(odds.rolls), f"{_chance(odds)}{_interval(odds)}") for odds in answer.odds]
    rows.append((str(answer.opened.figure.enough), "certain"))
    words = "Each roll begins anywhere in the repeat, as likely in one place as in another, and all are measured first."
    if simulated:
        words += (
            f" From {simulated[0]} draws, the same every time, each decided for certain; the interval in brackets "
            "holds the true chance 19 times in 20."
        )
    else:
        words += " Worked out exactly."
    return [wrapped(words), table(("rolls", "chance"), rows)]


def _interval(odds: Odds) -> str:
    return "" if odds.is_exact else f" ({100 * odds.low:.1f} to {100 * odds.high:.1f} %)"


def _chance(odds: Odds) -> str:
    """Return a chance in per cent; what is only likely never looks certain, nor what is unlikely impossible."""
    text = f"{float(100 * odds.chance):.1f}"
    if text == "100.0":
        return f"over {min(100 * odds.low, 99.9):.1f} %"
    if text == "0.0" and (odds.chance or not odds.is_exact):
        return f"under {max(100 * odds.high, 0.1):.1f} %"
    return f"{text} %"


# Short rolls and other sizes


def _short(answer: Answer, units: str) -> list[str]:
    short = answer.short
    if short is None:
        if not answer.wishes.tolerance:
            return []
        shortage = _percent(answer.wishes.tolerance)
        return [wrapped(f"On rolls {shortage} short{_standard(answer)} some drop is too long to be certain of.")]
    length = show(short.length, units, Rounding.DOWN)
    words = f"If every roll is {_percent(short.tolerance)} short{_standard(answer)}, which is {length} long, "
    if short.figure.enough:
        words += f"{_figure(short.figure)} {_are(short.figure.enough)} certain"
        words += f", {_figure(short.opened)} if measured first." if short.opened != short.figure else "."
    else:
        words += "nothing need be bought either."
    lines = [wrapped(words)]
    if short.tight:
        lines.append(wrapped(_tight(answer, short, units)))
    return lines


def _tight(answer: Answer, short: ShortRolls, units: str) -> str:
    which = _which_tight(short.tight, units)
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
    return listed_with_and([f"{roll.roll} {_lacks(roll, units)}" for roll in tight])


def _lacks(roll: TightRoll, units: str) -> str:
    slack, lacking = show(roll.slack, units, Rounding.DOWN), show(roll.lacking, units, Rounding.UP)
    return f"has {slack} of slack and would be {lacking} too short"


def _sizes(answer: Answer, units: str) -> list[str]:
    if not answer.sizes:
        return []
    rows = [_size_row(choice, units) for choice in answer.sizes]
    if answer.mixed is not None and len(answer.mixed.rolls) > 1:
        rows.append(_mixture_row(answer.mixed, units))
    words = "Rolls to be certain"
    if answer.wishes.tolerance:
        words += f", each {_percent(answer.wishes.tolerance)} short of its marked length"
    return [wrapped(f"{words}."), table(("size", "rolls", "paper", "cost"), rows), wrapped(_cheapest(answer, units))]


def _size_row(choice: SizeChoice, units: str) -> tuple[str, str, str, str]:
    length = choice.size.length
    if choice.figure is None:
        return (show(length, units), "too short", "", "")
    cost = "" if choice.cost is None else money(choice.cost)
    return (show(length, units), _range(choice.figure), show(choice.figure.enough * length, units), cost)


def _mixture_row(mixed: Mixture, units: str) -> tuple[str, str, str, str]:
    rolls = " + ".join(f"{count} × {show(size.length, units)}" for size, count in mixed.rolls)
    paper = sum((count * size.length for size, count in mixed.rolls), 0 * mixed.cost)
    return (rolls, str(sum(count for _, count in mixed.rolls)), show(paper, units), money(mixed.cost))


def _cheapest(answer: Answer, units: str) -> str:
    priced = [(choice.cost, choice) for choice in answer.sizes if choice.cost is not None]
    mixed = answer.mixed
    if mixed is not None and len(mixed.rolls) > 1 and all(mixed.cost < cost for cost, _ in priced):
        rolls = listed_with_and([f"{count} of {show(size.length, units)}" for size, count in mixed.rolls])
        proved = "no mixture costs less"
        if not mixed.is_proved:
            proved = f"not proved, but none costs less than {money(mixed.least_cost)}"
        return f"Cheapest: {rolls}, {money(mixed.cost)} in all; {proved}."
    if priced and len(priced) == len([choice for choice in answer.sizes if choice.figure is not None]):
        cost, choice = min(priced, key=lambda item: item[0])
        return f"Cheapest: {_rolls(int(cost / (choice.size.price or 1)))} of {show(choice.size.length, units)}."
    return "Price every size to learn which is the cheapest."


# Savings and spoiled drops


def _savings(answer: Answer, units: str, *, is_room: bool) -> list[str]:
    certain = answer.sure.figure.enough
    if not certain:
        return []
    lines = []
    if answer.opened.figure.enough < certain:
        fewer = f"{_figure(answer.opened.figure)} instead of {certain}"
        lines.append(f"Open the rolls and measure each before the first cut: {fewer}.")
    trim = answer.trim
    if trim is not None:
        top, bottom = (show(part, units, Rounding.DOWN) for part in (trim.top, trim.bottom))
        largest = "the largest trim that does" if trim.is_largest else "a larger trim may do too"
        lines.append(f"Trim of {top} at the top and {bottom} at the bottom: {_figure(trim.figure)} ({largest}).")
    longer = answer.longer
    if longer is not None and longer.figure.enough and 2 * longer.figure.enough < certain:
        size = f"Rolls of double length ({show(longer.length, units)}), if they are to be had"
        lines.append(f"{size}: {_figure(longer.figure)}, the paper of {2 * longer.figure.enough}.")
    lines += [f"{saving.what.read(units)}: {_figure(saving.figure)}." for saving in answer.further_savings]
    if not lines:
        lines = ["Nothing that was tried: less trim (down to 2 in in all), rolls of double length, measuring first."]
    if is_room:
        lines.append("Another start, finish or height of the print may save one too: cutplan compare shows them.")
    return lines


def _spoiled(answer: Answer) -> str:
    spoiled = answer.spoiled
    bought = answer.sure.figure.enough
    if spoiled.is_left_over:
        return "Any one drop can be cut again from what the plan leaves over; no more rolls are needed."
    if spoiled.figure.enough <= bought:
        return (
            "No more rolls are needed whichever one drop is spoiled, but only if that is planned for before the first "
            "cut (--spare keeps one drop of the longest)."
        )
    drops = spoiled.dearest
    if not drops:
        return (
            f"Whether one drop may be spoiled was not settled in time; {_rolls(spoiled.figure.enough)} would cover it."
        )
    which = f"drop {drops[0]}" if len(drops) == 1 else f"any of {len(drops)} drops"
    if 1 < len(drops) <= _MOST_NAMED:
        which = f"one of the drops {listed_with_and(list(drops))}"
    reserve = answer.recommendation.buy - spoiled.figure.enough
    needed = f"{_figure(spoiled.figure)} {_are(spoiled.figure.enough)} needed instead of {bought}"
    return f"If {which} is spoiled, {needed}{'; the reserve covers that' if reserve >= 0 else ''}."


# Rules of thumb


def _rules(answer: Answer) -> list[str]:
    needed = answer.sure.plan.rolls_needed
    rows = [(rule.name, _beside(rule.rolls, needed), str(rule.rolls)) for rule in answer.rules]
    words = (
        f"Beside the {_rolls(needed)} of the plan. None of them knows where a roll begins or which pieces lie together "
        "on one, and an area does not know where a roll ends."
    )
    return [wrapped(words), table(("rule", "that would be", "rolls"), rows)]


def _beside(rolls: int, needed: int) -> str:
    if rolls == needed:
        return "the same"
    return f"{needed - rolls} too few" if rolls < needed else f"{rolls - needed} too many"


# Words


def _figure(figure: Figure) -> str:
    return f"{_range(figure)} {'roll' if figure.enough == 1 else 'rolls'}"


def _range(figure: Figure) -> str:
    return str(figure.enough) if figure.is_exact else f"{figure.least} to {figure.enough}"


def _rolls(number: int) -> str:
    return "1 roll" if number == 1 else f"{number} rolls"


def _are(number: int) -> str:
    return "is" if number == 1 else "are"


def _in_hand(answer: Answer) -> str:
    return f"{_rolls(answer.need.rolls_in_hand)} in hand {_are(answer.need.rolls_in_hand)}"


def _bracketed(amount: Fraction | None) -> str:
    return "" if amount is None else f" ({money(amount)})"


def _percent(part: Fraction) -> str:
    return f"{float(100 * part):g} %"


def _standard(answer: Answer) -> str:
    return " (EN 233)" if answer.wishes.tolerance == SHORT_ROLL else ""


def _named(title: str, *parts: str) -> str:
    given = [part for part in parts if part]
    return section(title, *given) if given else ""


def _bullets(lines: Iterable[str]) -> str:
    return "\n".join(wrapped(line, "  - ", "    ") for line in lines)
