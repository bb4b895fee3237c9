"""The steps in words, each written once: as a sentence, and in parts for whoever sets them apart."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import NamedTuple

from msgspec import Struct

from cutplan.lengths import ZERO, Length, Rounding, show
from cutplan.paper.sale import Edges
from cutplan.paper.stock import Lot
from cutplan.render.words.names import PLAIN, Script, capital, drops_named, listed_with_and, roll_named, rolls_named
from cutplan.render.words.readings import FEET, across, left_over, place, to_cut
from cutplan.table.lay_aside import Aside, asides_of
from cutplan.table.left_over import Leavings
from cutplan.table.steps import CheckMatch, CutDrop, CutOff, NextStretch, OpenRoll, Sequence, Step


class Told(NamedTuple):
    """A step in words."""

    sentence: str
    what: str
    """What to do, in a few words."""
    figure: str = ""
    """The one length to measure; empty where there is none."""
    more: str = ""
    """Whatever else belongs to it, in sentences."""
    write: str = ""
    """What is to be written on a piece, in a sentence."""

    def then(self, more: str) -> Told:
        """Return it with more said at its end."""
        return self._replace(sentence=f"{self.sentence} {more}".strip(), more=f"{self.more} {more}".strip())


def steps_told(
    sequence: Sequence, units: str, script: Script = PLAIN, leavings: Leavings | None = None
) -> Iterator[tuple[str, Step, Told]]:
    """Yield the steps in order, each with a heading wherever another roll is taken up; else the heading is empty."""
    lots = {step.roll: step.lot for step in sequence.steps if isinstance(step, OpenRoll)}
    told = teller(sequence, units, script, leavings)
    seen: set[str] = set()
    now = None
    for step in sequence.steps:
        heading = "" if step.roll == now else _heading(step, lots[step.roll], script, is_again=step.roll in seen)
        now = step.roll
        seen.add(now)
        yield heading, step, told(step)


def teller(
    sequence: Sequence, units: str, script: Script = PLAIN, leavings: Leavings | None = None
) -> Callable[[Step], Told]:
    """Return how the steps of a sequence are put in words, with what is then to be laid aside."""
    words = StepWords(units, show(sequence.plan.job.paper.pattern.repeat, units, Rounding.UP), script)
    asides = asides_of(sequence, leavings)
    return lambda step: words.of(step).then(
        " ".join(_sentence(aside, units, script) for aside in asides.get(step.number, ()))
    )


def words_of(sequence: Sequence, units: str) -> Callable[[Step], str]:
    """Return how the steps of a sequence are put in sentences, with what is then to be laid aside."""
    told = teller(sequence, units)
    return lambda step: told(step).sentence


def _heading(step: Step, lot: Lot, script: Script, *, is_again: bool) -> str:
    if isinstance(step, OpenRoll) and step.count > 1:
        return f"{capital(rolls_named(step, script))}: {step.count} rolls, each cut like this"
    return capital(roll_named(step.roll, lot, script)) + (" again" if is_again else "")


class StepWords(Struct, frozen=True):
    """Puts steps in words; ``repeat`` is the repeat as shown, for a lead-in that only the print can tell."""

    units: str
    repeat: str
    script: Script = PLAIN

    def of(self, step: Step) -> Told:
        """Return a step in words."""
        if isinstance(step, OpenRoll):
            return self._opening(step)
        if isinstance(step, NextStretch):
            sentence = self._going_on(step)
            return Told(sentence, sentence)
        if isinstance(step, CutOff):
            return self._cutting_off(step)
        if isinstance(step, CheckMatch):
            return self._checking(step)
        return self._cutting(step)

    def _opening(self, step: OpenRoll) -> Told:
        lot = step.lot
        facts = [f"at least {left_over(step.length, self.units)}" if step.is_open else show(step.length, self.units)]
        if lot.batch is not None:
            facts.append(f"batch {self.script.label(lot.batch)}")
        facts += across(lot, self.units)
        name = "each roll" if step.count > 1 else roll_named(step.roll, lot, self.script)
        take = f"Take up {name} again" if step.is_open else f"Take {name}" if lot.is_offcut else f"Open {name}"
        source = step.hangs_first or lot.cut_from
        if source is not None:
            take = f"When drop {self.script.label(source)} hangs and is trimmed, take up {name}"
        told = Told(f"{take} ({', '.join(facts)})", take, more=f"{', '.join(facts)}.")
        if step.first_motif is not None:
            motif = self._motif(step.first_motif, "its end", "from" if lot.is_foot_first else "below")
            told = Told(f"{told.sentence} and check: {motif}", take, more=f"{told.more} Check: {motif}.")
        told = told._replace(sentence=f"{told.sentence}.")
        return told.then("It comes off foot first.") if lot.is_foot_first else told

    def _going_on(self, step: NextStretch) -> str:
        rest = "what is left" if step.length is None else f"the {left_over(step.length, self.units)} left"
        if step.flaw:
            return f"Cut off {rest} before the flaw, and the flaw with it ({show(step.flaw, self.units)})."
        if step.length == 0:
            return f"Take up piece {step.stretch} of the roll."
        return f"Lay aside {rest} of this piece and take up piece {step.stretch} of the roll."

    def _cutting_off(self, step: CutOff) -> Told:
        if step.motif_below is None:
            figure = self._cut_off(step.length or ZERO)
            return Told(f"Cut off {figure}.", "Cut off the end" if step.is_lead_in else "Cut off", figure)
        if step.length is None:
            motif = self._motif(step.motif_below, "it")
            return Told(
                f"Cut its end back (by less than {self.repeat}) to leave the {motif}.",
                "Cut the end back to the print",
                place(step.motif_below, self.units),
                f"From the new end down to the motif. Less than {self.repeat} comes off.",
            )
        figure, leave = self._cut_off(step.length), f"leave the {self._motif(step.motif_below, 'the new end')}."
        return Told(f"Cut off {figure}, to {leave}", "Cut off", figure, f"To {leave}")

    def _checking(self, step: CheckMatch) -> Told:
        lay = f"lay drop {self.script.piece(step.right)} to the right of drop {self.script.piece(step.left)}"
        if step.left == step.right:
            lay = f"lay two drops {self.script.piece(step.left)} side by side"
        if step.is_along:
            more = f"{lay}, tops level. The print must be alike in both, all along; if not, cut no further."
            return Told(f"Check: {more}", "Check the print", more=capital(more))
        more = f"{lay}, tops level. The print must meet all down the joint; if not, cut no further."
        return Told(f"Check: {more}", "Check the match", more=capital(more))

    def _cutting(self, step: CutDrop) -> Told:
        piece = self.script.piece(step.piece)
        what, figure = f"Cut drop {piece}", to_cut(step.length, self.units)
        turned = ": it hangs turned end for end" if step.is_turned else ""
        write = f"Write {self.script.written(piece, '↓' if step.is_turned else '↑')} on its back{turned}."
        if step.edges.has_selvedge:
            write = f"{write} {self._trimming(step.edges)}"
        if step.motif_below is None:
            return Told(f"{what}: {figure}. {write}", what, figure, write=write)
        motif = self._motif(step.motif_below, "its top")
        if step.is_foot_first:
            motif = f"{self._motif(step.motif_below, 'its foot', 'from')}, which comes first"
        return Told(f"{what}: {figure}, {motif}. {write}", what, figure, f"{capital(motif)}.", write)

    def _trimming(self, edges: Edges) -> str:
        sides = (("left", edges.left), ("right", edges.right))
        off = listed_with_and([f"{show(width, self.units)} off its {side} edge" for side, width in sides if width])
        return f"Trim {off}, by knife and straightedge."

    def _cut_off(self, length: Length) -> str:
        """Return a length to be cut off; one that a tape cannot tell from nothing is said to be small."""
        reading = place(length, self.units)
        if reading != place(ZERO, self.units):
            return reading
        return "less than 1/16 in" if self.units in FEET else "less than 1 mm"

    def _motif(self, below: Length, where: str, way: str = "below") -> str:
        return f"motif {place(below, self.units)} {way} {where}" if below else f"motif exactly at {where}"


def _sentence(aside: Aside, units: str, script: Script) -> str:
    """Return what to lay aside, and how it is marked."""
    labels = aside.labels
    if labels.count > 1:
        mark = f"{script.quotes[0]}{labels.prefix.strip()}{script.quotes[1]}, the label of its roll and ↑"
        return f"Write {mark} on what is left of each, and lay it aside."
    mark = script.written(script.label(labels.at(labels.first_number)))
    if aside.is_cut_off:
        return f"Keep what comes off: write {mark} on it."
    if not aside.falls:
        return f"Write {mark} on what is left of the {_whole(aside)}, and lay it aside."
    paper = aside.paper
    size = f"{show(paper.length, units, Rounding.DOWN)} long"
    if paper.left is not None and paper.right is not None:
        size += f", from {show(paper.left, units)} to {show(paper.right, units)} across"
    use = ""
    if aside.for_drops:
        use = f"; {drops_named(aside.for_drops, script)} will be cut from it"
    return f"When it hangs and is trimmed, lay aside what comes away ({size}): write {mark} on it{use}."


def _whole(aside: Aside) -> str:
    """Return what the paper is left of."""
    if "stretch" in aside.labels.prefix:
        return "piece"
    return "offcut" if aside.labels.lot.is_offcut else "roll"
