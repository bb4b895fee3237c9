"""What ``buy --json``, ``plan --json`` and the page of ``buy`` state of a small room, worked out again another way.

Nothing of the package is used: the scenario is taken from its echo, what fits on a roll is found by trying every order
of the pieces from every start of the print that matters, and each sentence is read back from the page. Rooms are of
up to seven pieces, all lengths whole millimetres.
"""

from __future__ import annotations

import re
from fractions import Fraction
from functools import cache
from itertools import product
from math import gcd
from typing import TYPE_CHECKING, Any, Final

from msgspec import Struct
from msgspec.structs import replace

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Sequence

Document = dict[str, Any]
Sets = frozenset[int]
"""Each set of pieces, a bit for each, that can be cut from one roll."""

FRESH: Final = "any other"
"""The batch of rolls bought that need match none in hand."""

NEVER: Final = 1000
"""More rolls than anybody asks about."""


class Piece(Struct, frozen=True):
    """A piece as it is cut, and how far below its cut top a motif lies."""

    label: str
    length: Fraction
    datum: Fraction
    wall: str | None
    left: Fraction | None = None
    right: Fraction | None = None


class Roll(Struct, frozen=True):
    """A roll in hand; its first motif is None while it is sealed."""

    label: str
    length: Fraction
    motif: Fraction | None
    batch: str | None


class Room(Struct, frozen=True):
    """A scenario as the judge sees it."""

    length: Fraction
    repeat: Fraction
    pieces: tuple[Piece, ...]
    rolls: tuple[Roll, ...]
    trim: tuple[Fraction, Fraction]

    @property
    def everything(self) -> int:
        """Return every piece."""
        return (1 << len(self.pieces)) - 1

    def shortened(self, part: Fraction) -> Room:
        """Return the room when every roll that nobody has measured is so much shorter."""
        rolls = tuple(
            replace(roll, length=roll.length * (1 - part)) if roll.motif is None else roll for roll in self.rolls
        )
        return replace(self, length=self.length * (1 - part), rolls=rolls)

    def with_trim(self, top: Fraction, bottom: Fraction) -> Room:
        """Return the room with another trim."""
        before = sum(self.trim)
        pieces = tuple(
            replace(piece, length=piece.length - before + top + bottom, datum=piece.datum - self.trim[0] + top)
            for piece in self.pieces
        )
        return replace(self, pieces=pieces, trim=(top, bottom))

    def with_one_more(self, label: str) -> Room:
        """Return the room with one more piece of a drop."""
        piece = next(piece for piece in self.pieces if piece.label == label)
        return replace(self, pieces=(*self.pieces, piece))


def room_of(scenario: Document) -> Room:
    """Return what a scenario echoed in a document says; its bare numbers are millimetres."""
    paper, trim = scenario["paper"], scenario.get("trim", {})
    top, bottom = Fraction(trim.get("top", 50)), Fraction(trim.get("bottom", 50))
    match = re.match(r"free|(\d+)", str(paper["match"]))
    assert match is not None
    pieces = [
        Piece(
            drop["label"],
            top + Fraction(drop["height"]) + bottom,
            top + Fraction(drop.get("first_motif", 0)),
            drop.get("wall"),
        )
        for drop in scenario["drop"]
        for _ in range(drop.get("count", 1))
    ]
    rolls = []
    for roll in scenario.get("roll", []):
        motif = roll.get("first_motif")
        count = roll.get("count", 1)
        rolls += [
            Roll(
                roll["label"] if count == 1 else f"{roll['label']}-{number}",
                Fraction(roll.get("length", paper["roll_length"])),
                None if motif is None else Fraction(motif),
                roll.get("batch"),
            )
            for number in range(1, count + 1)
        ]
    repeat = Fraction(match[1] or 0)
    return Room(Fraction(paper["roll_length"]), repeat, tuple(pieces), tuple(rolls), (top, bottom))


# What one roll gives.


def laid_out(room: Room, length: Fraction, motifs: Iterable[Fraction], usable: Fraction) -> Sets:
    """Return each set of pieces that some order fits on paper whose print begins in one of these ways."""
    return _laid_out(room.pieces, room.repeat, usable, tuple(sorted(set(motifs)))) if length > 0 else frozenset([0])


@cache
def _laid_out(pieces: tuple[Piece, ...], repeat: Fraction, usable: Fraction, motifs: tuple[Fraction, ...]) -> Sets:
    found = {0}

    def lay(taken: int, end: Fraction, motif: Fraction) -> None:
        for number, piece in enumerate(pieces):
            if taken >> number & 1:
                continue
            start = end + (motif - piece.datum - end) % repeat if repeat else end
            if start + piece.length <= usable:
                found.add(taken | 1 << number)
                lay(taken | 1 << number, start + piece.length, motif)

    for motif in motifs:
        lay(0, Fraction(0), motif)
    return frozenset(found)


def certain_sets(room: Room, length: Fraction, motif: Fraction | None = None) -> Sets:
    """Return what a roll gives for certain: measured, or sealed, when the worst lead-in is a whole repeat."""
    if motif is not None or not room.repeat:
        return laid_out(room, length, [motif or Fraction(0)], length)
    return laid_out(room, length, {piece.datum % room.repeat for piece in room.pieces}, length - room.repeat)


def best_sets(room: Room, length: Fraction) -> Sets:
    """Return what a roll gives that begins where it is wanted."""
    if not room.repeat:
        return certain_sets(room, length)
    return laid_out(room, length, {piece.datum % room.repeat for piece in room.pieces}, length)


def sets_by_start(room: Room, length: Fraction) -> dict[Sets, Fraction]:
    """Return what a roll may give once it is measured, with the share of the repeat in which it begins so."""
    if not room.repeat:
        return {certain_sets(room, length): Fraction(1)}
    step = _common_step(room, length)
    steps = int(room.repeat / step)
    shares: dict[Sets, Fraction] = {}
    # An end between two whole steps lies on no place of a piece and ends no layout: the middle stands for the step.
    for number in range(steps):
        sets = laid_out(room, length, [(number + Fraction(1, 2)) * step], length)
        shares[sets] = shares.get(sets, Fraction(0)) + Fraction(1, steps)
    return shares


def _common_step(room: Room, length: Fraction) -> Fraction:
    """Return the greatest length of which all that matter are whole multiples."""
    lengths = [room.repeat, length, *(part for piece in room.pieces for part in (piece.length, piece.datum))]
    below = 1
    for each in lengths:
        below = below * each.denominator // gcd(below, each.denominator)
    above = 0
    for each in lengths:
        above = gcd(above, int(each * below))
    return Fraction(above, below)


# Whether rolls are enough.


def covers(room: Room, rolls: Iterable[tuple[Sets, str | None]]) -> bool:
    """Return True when all pieces can be cut, each wall from one batch where batches and walls are told."""
    stock = list(rolls)
    batches = {batch for _, batch in stock}
    walls = {piece.wall for piece in room.pieces}
    if len(batches) < 2 or None in walls:
        return _reached(stock, room.everything)
    names = sorted(wall or "" for wall in walls)
    every = sorted({batch or "" for _, batch in stock})
    for chosen in product(every, repeat=len(names)):
        of_wall = dict(zip(names, chosen, strict=True))
        if all(
            _reached(
                [sets for sets in stock if (sets[1] or "") == batch],
                sum(1 << n for n, piece in enumerate(room.pieces) if of_wall[piece.wall or ""] == batch),
            )
            for batch in set(chosen)
        ):
            return True
    return False


def _reached(stock: Sequence[tuple[Sets, str | None]], wanted: int) -> bool:
    done = {0}
    for sets, _ in stock:
        done |= {before | added for before in done for added in sets if not before & added and added & wanted == added}
        if wanted in done:
            return True
    return wanted in done


def in_hand(room: Room) -> list[tuple[Sets, str | None]]:
    """Return what the rolls in hand give for certain."""
    return [(certain_sets(room, roll.length, roll.motif), roll.batch) for roll in room.rolls]


def batches_to_buy(room: Room, batches: Sequence[str], rolls: int) -> Iterator[tuple[str | None, ...]]:
    """Yield the batches that so many rolls bought may be of."""
    if not batches:
        told = any(roll.batch for roll in room.rolls)
        yield ((FRESH if told else None),) * rolls
        return
    yield from {tuple(sorted(chosen)) for chosen in product(batches, repeat=rolls)}


def least_to_buy(room: Room, batches: Sequence[str], *, at_best: bool = False, length: Fraction | None = None) -> int:
    """Return the fewest rolls to buy, certain or at best; NEVER when no number will do."""
    new = (best_sets if at_best else certain_sets)(room, length or room.length)
    stock = in_hand(room)
    if at_best:
        stock = [
            (
                best_sets(room, roll.length) if roll.motif is None else certain_sets(room, roll.length, roll.motif),
                roll.batch,
            )
            for roll in room.rolls
        ]
    rolls = 0
    while not any(
        covers(room, [*stock, *((new, batch) for batch in bought)]) for bought in batches_to_buy(room, batches, rolls)
    ):
        rolls += 1
        if rolls > len(room.pieces):
            return NEVER
    return rolls


def chance_of(room: Room, rolls: int) -> Fraction:
    """Return the chance that so many rolls bought are enough when they and the sealed ones in hand are measured."""
    stock = [certain_sets(room, roll.length, roll.motif) for roll in room.rolls if roll.motif is not None]
    sealed = [roll.length for roll in room.rolls if roll.motif is None] + [room.length] * rolls
    known: dict[frozenset[int], Fraction] = {frozenset([0]): Fraction(1)}
    for shares in [*({sets: Fraction(1)} for sets in stock), *(sets_by_start(room, length) for length in sealed)]:
        more: dict[frozenset[int], Fraction] = {}
        for done, chance in known.items():
            for sets, share in shares.items():
                reached = frozenset(before | added for before in done for added in sets if not before & added)
                more[reached] = more.get(reached, Fraction(0)) + chance * share
        known = more
    return sum((chance for done, chance in known.items() if room.everything in done), Fraction(0))


def least_measured_first(room: Room) -> int:
    """Return the fewest rolls to buy that always do when all are measured first."""
    rolls = 0
    while chance_of(room, rolls) < 1:
        rolls += 1
    return rolls


# What a plan leaves over.


def drops_left_over(room: Room, plan: Document) -> set[str]:
    """Return the drops that can be cut again from what a printed plan leaves on the rolls that it opens."""
    batch_of = {roll.label: roll.batch for roll in room.rolls}
    wall_batch = (plan.get("batches") or {}).get("walls", {})
    served = set()
    for roll in plan["rolls"]:
        cuts = [(Fraction(cut["from"]), Fraction(cut["to"]), cut["drop"].partition(" (")[0]) for cut in roll["cuts"]]
        datum = None if roll["first_motif_mm"] is None else Fraction(str(roll["first_motif_mm"]))
        first = next(piece for piece in room.pieces if piece.label == cuts[0][2])
        if datum is None:
            datum = cuts[0][0] + first.datum
        # The lead-in of a sealed roll may be shorter than it is written down; nothing is promised of it.
        starts = [cuts[0][0] if roll["sealed"] and room.repeat else Fraction(0), *(end for _, end, _ in cuts)]
        ends = [*(start for start, _, _ in cuts), Fraction(str(roll["length_mm"]))]
        for start, end in zip(starts, ends, strict=True):
            for piece in room.pieces:
                at = start + (datum - piece.datum - start) % room.repeat if room.repeat else start
                same = piece.wall not in wall_batch or wall_batch[piece.wall] == (batch_of.get(roll["lot"]) or "")
                if at + piece.length <= end and same:
                    served.add(piece.label)
    return served


# The judge.


class Judge:
    """Compares what is stated with what is true; :attr:`faults` is what was found."""

    def __init__(self, buy: Document, page: str, plan: Document | None, tolerance: Fraction) -> None:
        self.buy, self.plan, self.tolerance = buy, plan, tolerance
        self.page = " ".join(page.split())
        self.room = room_of(buy["scenario"])
        self.batches = self._batches()
        self.faults: list[str] = []
        self.stated = 0

    def _batches(self) -> list[str]:
        told = sorted({roll.batch for roll in self.room.rolls if roll.batch})
        return [batch for batch in told if batch in self.buy["buy"]["must_join"]]

    def same(self, what: str, stated: object, true: object) -> None:
        """Note a fault unless what is stated is true."""
        self.stated += 1
        if stated != true:
            self.faults.append(f"{what}: says {stated}, is {true}")

    def true(self, what: str, holds: object) -> None:
        """Note a fault unless it holds."""
        self.stated += 1
        if not holds:
            self.faults.append(f"not so: {what}")

    def bounds(self, what: str, figure: Document, true: int, *, exact: bool = True) -> None:
        """Note a fault unless the truth lies within the bounds, and is both of them where they are to be exact."""
        if exact:
            self.same(what, (figure["rolls"], figure["lower_bound"]), (true, true))
        elif not figure["lower_bound"] <= true <= figure["rolls"]:
            self.same(what, figure, true)

    @property
    def shares_batches(self) -> bool:
        """Return True where each wall is from one of several batches."""
        told = {roll.batch for roll in self.room.rolls if roll.batch} | ({FRESH} if not self.batches else set())
        walls = all(piece.wall is not None for piece in self.room.pieces)
        return walls and len(told) > 1 and any(roll.batch for roll in self.room.rolls)

    def judge(self) -> list[str]:
        """Return every fault."""
        self.figures()
        self.chances()
        self.short_rolls()
        self.savings()
        self.spoiled()
        self.going_back()
        self.batches_bought()
        self.headline()
        return self.faults

    def judge_large(self, needed_with_one_more: Callable[[str], int]) -> list[str]:
        """Return every fault of what can be judged of a room of any size, none of its rolls in hand.

        ``needed_with_one_more`` tells how many rolls a plan needs when one more of a drop is wanted.
        """
        assert self.plan is not None
        assert not self.room.rolls
        now = self.buy["certain"]["rolls"]
        self.same("rolls of the plan", self.plan["rolls_needed"], now)
        if self.buy["short_rolls"] is not None:
            self.tight()
        stated = self.buy["spoiled_drop"]
        left = drops_left_over(self.room, self.plan)
        labels = {piece.label for piece in self.room.pieces}
        dear, planned = set(stated["dearest"]), set(stated["only_if_planned"])
        self.same("drops that are not left over", dear | planned, labels - left)
        self.same("left over", stated["left_over"], left == labels)
        for label in dear | planned:
            self.same(f"rolls if {label} is spoiled", needed_with_one_more(label), now + (label in dear))
        self._spoiled_sentence(stated, now)
        self.headline()
        return self.faults

    def figures(self) -> None:
        """Compare what is certain, measured first and at best."""
        self.bounds("certain", self.buy["certain"], least_to_buy(self.room, self.batches))
        self.bounds("at best", self.buy["at_best"], least_to_buy(self.room, self.batches, at_best=True))
        if not self.shares_batches:
            self.bounds("measured first", self.buy["measured_first"], least_measured_first(self.room))
        elif self.buy["measured_first"]["rolls"] < self.buy["certain"]["rolls"]:
            self.same("measured first with batches", self.buy["measured_first"], "not worked out")
        if self.plan is not None and not self.room.rolls:
            self.same("rolls of the plan", self.plan["rolls_needed"], self.buy["certain"]["rolls"])
        worst = self.buy["measured_first"]["too_few_with"]
        if worst is not None:
            stock = [
                (certain_sets(self.room, roll.length, roll.motif), None)
                for roll in self.room.rolls
                if roll.motif is not None
            ]
            stock += [(certain_sets(self.room, self.room.length, Fraction(motif)), None) for motif in worst]
            stock += [
                (certain_sets(self.room, Fraction(roll["length"]), Fraction(roll["first_motif"])), None)
                for roll in self.buy["measured_first"]["too_few_with_in_hand"]
            ]
            self.true("the worst case is too little", not covers(self.room, stock))

    def chances(self) -> None:
        """Compare exact chances with the truth; drawn ones may be off by five deviations."""
        for odds in self.buy["odds"]:
            true = chance_of(self.room, odds["rolls"])
            if odds["exact"] is not None:
                self.same(f"chance of {odds['rolls']}", Fraction(odds["exact"]), true)
            elif abs(odds["chance"] - float(true)) > 5 * (float(true * (1 - true)) / odds["draws"]) ** 0.5:
                self.same(f"chance of {odds['rolls']}", odds["chance"], float(true))

    def short_rolls(self) -> None:
        """Compare the figures for rolls as short as they may be."""
        stated = self.buy["short_rolls"]
        if stated is None:
            return
        short = self.room.shortened(self.tolerance)
        self.bounds("short", stated["certain"], least_to_buy(short, self.batches))
        if not self.shares_batches:
            self.bounds("short, measured first", stated["measured_first"], least_measured_first(short))
        self.tight()

    def tight(self) -> None:
        """Look whether the rolls named are those of the printed plan that have less slack than they may be short."""
        if self.plan is None:
            return
        tight = {
            roll["roll"]: Fraction(str(roll["length_mm"])) - Fraction(roll["cuts"][-1]["to"])
            for roll in self.plan["rolls"]
            if roll["first_motif_mm"] is None
        }
        lengths = {roll["roll"]: Fraction(str(roll["length_mm"])) for roll in self.plan["rolls"]}
        true = {
            label: (slack, self.tolerance * lengths[label] - slack)
            for label, slack in tight.items()
            if slack < self.tolerance * lengths[label]
        }
        stated = self.buy["short_rolls"]
        said = {roll["roll"]: (Fraction(roll["slack"]), Fraction(roll["lacking"])) for roll in stated["too_tight"]}
        self.same("tight rolls of the printed plan", said, true)

    def savings(self) -> None:
        """Look at a smaller trim, and at rolls of twice the length."""
        now = self.buy["certain"]["rolls"]
        longer = self.buy["savings"]["double_length"]
        if longer is not None:
            double = replace(self.room, length=2 * self.room.length)
            self.bounds("double length", longer, least_to_buy(double, self.batches))
        self._trim("trim", self.buy["savings"]["trim"], self.room, now)

    def _trim(self, what: str, trim: Document | None, room: Room, now: int) -> None:
        """Look whether the trim saves a roll, and a millimetre more does not."""
        least = Fraction(254, 5)
        if trim is None:
            if now and sum(room.trim) > least:
                share = room.trim[0] / sum(room.trim)
                smallest = Fraction(51)
                top = Fraction(round(smallest * share))
                left = least_to_buy(room.with_trim(top, smallest - top), self.batches)
                self.true(f"{what}: none saves a roll", left >= now)
            return
        top, bottom = Fraction(trim["top"]), Fraction(trim["bottom"])
        self.bounds(what, trim, least_to_buy(room.with_trim(top, bottom), self.batches))
        self.true(f"{what} saves a roll", trim["rolls"] < now)
        if trim["is_largest"]:
            total = top + bottom + 1
            more = Fraction(round(total * room.trim[0] / sum(room.trim)))
            if total < sum(room.trim):
                again = least_to_buy(room.with_trim(more, total - more), self.batches)
                self.true(f"a millimetre more than {what} saves nothing", again >= now)

    def spoiled(self) -> None:
        """Look whether every drop is in the one class that it belongs to."""
        stated = self.buy["spoiled_drop"]
        now = self.buy["certain"]["rolls"]
        needs = {
            piece.label: least_to_buy(self.room.with_one_more(piece.label), self.batches) for piece in self.room.pieces
        }
        self.same("not settled", stated["not_settled"], [])
        if self.plan is not None:
            left = drops_left_over(self.room, self.plan)
            self.same(
                "dear when spoiled", set(stated["dearest"]), {k for k, n in needs.items() if n > now and k not in left}
            )
            planned = {k for k, n in needs.items() if n <= now and k not in left}
            self.same("spoiled, only if planned", set(stated["only_if_planned"]), planned)
            self.same("left over", stated["left_over"], left == set(needs))
        waiting = [needs[label] for label in (*stated["dearest"], *stated["only_if_planned"])]
        self.bounds("rolls if one is spoiled", stated, max([now, *waiting]))
        self._spoiled_sentence(stated, now)

    def _spoiled_sentence(self, stated: Document, now: int) -> None:
        said = re.search(r"If a drop is spoiled =+ (.*?) Rules of thumb", self.page)
        text = said[1] if said else ""
        if stated["left_over"]:
            self.same(
                "sentence",
                text,
                "Any one drop can be cut again from what the plan leaves over; no more rolls are needed.",
            )
            return
        labels = {piece.label for piece in self.room.pieces}
        for what, pattern in (
            ("dearest", r"If ((?:(?!If ).)*?) is spoiled, (?:\d+ rolls? (?:is|are) needed instead|\d+ rolls? must be)"),
            ("only_if_planned", r"If ((?:(?!If ).)*?) is spoiled, no more rolls are needed, but only"),
        ):
            found = re.search(pattern, text)
            self.same(f"{what} named", named(found[1], labels) if found else set(), set(stated[what]))
        number = re.search(r"is spoiled, (\d+) rolls? (?:must be bought|(?:is|are) needed instead of (\d+))", text)
        if stated["dearest"]:
            self.same(
                "rolls named",
                None if number is None else (number[1], number[2] or "0"),
                (str(stated["rolls"]), str(now)),
            )
        rest = "Any other can be cut again from what the plan leaves over." in text
        self.same(
            "others are said to be left over",
            rest,
            len(stated["dearest"]) + len(stated["only_if_planned"]) < len(labels),
        )

    def going_back(self) -> None:
        """Look at what could be returned, and at what returning one more would take."""
        back = self.buy["returning"]
        self.same("returning is spoken of", back is not None, self.buy["certain"]["rolls"] == 0)
        if back is None or self.plan is None:
            return
        opened = {roll["roll"] for roll in self.plan["rolls"]}
        sealed = [roll for roll in self.room.rolls if roll.motif is None]
        unopened = [roll.label for roll in sealed if roll.label not in opened]
        self.same("opened", back["opened"], len(opened))
        self.same("could be returned", back["unopened"], unopened)
        for label in unopened:
            self.true(f"{label} is named", label in self.page)
        if back["one_more_by_another_plan"] is None:
            return
        kept = len(sealed) - len(unopened)
        room = replace(
            self.room, rolls=tuple(roll for roll in self.room.rolls if roll.motif is not None), length=sealed[0].length
        )
        needed = least_to_buy(room, [])
        self.same("one more by another plan", back["one_more_by_another_plan"], needed < kept)
        measured = least_measured_first(room) < kept <= needed
        self.same("one more if measured", back["one_more_if_measured"], measured)
        if not back["one_more_by_another_plan"]:
            self._trim("trim to return one", back["one_more_with_trim"], room, kept)
        if back["of_those_needed_if_short"] is not None:
            short = least_to_buy(room.shortened(self.tolerance), [])
            stay = min(max(short - kept, 0), len(unopened))
            self.same("needed if short", back["of_those_needed_if_short"], stay)
        elif self.tolerance:
            self.same("rolls so short will do", least_to_buy(room.shortened(self.tolerance), []), NEVER)

    def batches_bought(self) -> None:
        """Look whether the rolls advised, of their batches, are enough, and those advised where none is to be had."""
        advised = self.buy["buy"]
        tolerance = self.tolerance if self.buy["short_rolls"] is not None else Fraction(0)
        room = self.room.shortened(tolerance)
        of_batches = [batch for batch, number in advised["of_batches"].items() for _ in range(number)]
        if of_batches:
            self.same("rolls of all batches", len(of_batches), advised["rolls"])
            if not advised["must_measure"]:
                new = certain_sets(room, room.length)
                bought = [(new, batch) for batch in of_batches]
                self.true("they are enough", covers(room, [*in_hand(room), *bought]))
        other = advised["if_of_another_batch"]
        if other is not None:
            walls_told = all(piece.wall is not None for piece in room.pieces)
            alone = room if walls_told else replace(room, rolls=())
            least = least_to_buy(alone, []) if walls_told else min(least_to_buy(alone, []), least_measured_first(alone))
            self.same("rolls of another batch", other, max(least, 0))

    def headline(self) -> None:
        """Look whether the first sentence says what the document says."""
        advised = self.buy["buy"]
        if not advised["rolls"]:
            rolls = len(self.room.rolls)
            expected = "Buy nothing: the 1 roll in hand is enough."
            if rolls > 1:
                expected = f"Buy nothing: the {rolls} rolls in hand are enough."
            if advised["must_measure"]:
                expected = f"{expected[:-1]}, if opened and measured before the first cut."
            self.true("headline", self.page.startswith(expected))
            return
        match = re.match(r"Buy (\d+) rolls? ", self.page)
        self.same("headline", match and int(match[1]), advised["rolls"])
        for batch, number in advised["of_batches"].items():
            part = f"{number} of batch {batch}" if len(advised["of_batches"]) > 1 else f" of batch {batch}"
            self.true(f"batch {batch} in the headline", part in self.page.partition(". ")[0] + ".")
        back = re.search(r"expect to return (\d+) unopened", self.page.partition(" - ")[0])
        self.same("returned", (back and int(back[1])) or 0, advised["return_unopened"])
        lacking = re.search(r"What is bought is, in the plan, for (.*?)\. ", self.page)
        if lacking is not None and not self.shares_batches:
            self.the_rest_is_in_hand(lacking[1])

    def the_rest_is_in_hand(self, text: str) -> None:
        """Look whether what is not said to be cut from rolls bought can be cut from those in hand."""
        labels = {piece.label for piece in self.room.pieces}
        counts = {
            drop: int(number) for number, drop in re.findall(r"(\d+) of the \d+ of drop (\S+?)(?:,| and|$)", text)
        }
        whole = set() if "drops" not in text and "drop " in text and counts else named(text, labels)
        if "all drops" in text:
            whole = labels
        left = []
        for piece in self.room.pieces:
            if counts.get(piece.label):
                counts[piece.label] -= 1
            elif piece.label not in whole - set(counts):
                left.append(piece)
        room = replace(self.room, pieces=tuple(left))
        self.true("the rest is in hand", not left or covers(room, in_hand(room)))


def named(text: str, labels: set[str]) -> set[str]:
    """Return the drops that a sentence names."""
    if "any drop" in text or "all drops" in text:
        return labels
    found = set()
    for first, last in re.findall(r"(\d+) to (\d+)", text):
        found |= {str(number) for number in range(int(first), int(last) + 1)}
    return found | (set(re.findall(r"\w+", text)) & labels)
