"""Pictures of rolls: each to scale from its outer end, with its drops, the print along it, and what is lost or left."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from msgspec import Struct

from cutplan.lengths import ZERO, Length, Rounding
from cutplan.paper.stock import Lot, Stretch
from cutplan.plan.plan import Cut, RollLayout
from cutplan.render.drawing.lettering import ISOLATED, LINE, Box, Lettering, fitted, isolated_piece, width_of
from cutplan.render.drawing.marks import CUT, EDGE, NAME, PENCIL, SMALL, TRIM, arrow_head, hatching
from cutplan.render.drawing.picture import FULL_WIDTH, PAPER, Pen, Picture
from cutplan.render.words.names import rolls_named
from cutplan.render.words.readings import left_over, on_tape, to_cut
from cutplan.table.steps import CutDrop, LeftOver, Sequence

_LONGEST: Final = FULL_WIDTH - 54
_WIDTH: Final = 44.0
"""A roll is drawn this wide where its paper's width is not known, and never narrower."""
_WIDEST: Final = 90.0
_SIZES: Final = (30.0, 24.0, 19.0)
_LEAST: Final = 16.0
_NOTCH: Final = 7.0
_CLOSEST_NOTCHES: Final = 5.0
_LOSS = -45
_ROWS: Final = 4
"""Rows above a roll in which narrow drops are named."""


class _Laid(Struct, frozen=True):
    """One layout to be drawn, and the scale it is drawn at."""

    sequence: Sequence
    turned: frozenset[str]
    """Pieces that hang turned end for end: their arrow points to the end that comes off last."""
    layout: RollLayout
    pieces: tuple[str, ...]
    left: LeftOver
    per_mm: float
    """Units for a millimetre along the roll."""
    wide: float
    """How wide the roll is drawn, in units."""

    @property
    def lot(self) -> Lot:
        return self.left.lot

    def x(self, along: Length) -> float:
        return float(along) * self.per_mm

    def band(self, start: Length, end: Length) -> Box:
        return Box(self.x(start), 0, self.x(end), self.wide)

    def cuts_in(self, stretch: Stretch) -> list[Cut]:
        end = stretch.start + stretch.length
        return [cut for cut in self.layout.cuts if stretch.start <= cut.start and cut.end <= end]


def roll_pictures(sequence: Sequence, units: str = "mm", name: str = "rolls") -> tuple[Picture, ...]:
    """Return a picture of each layout of a plan, in the order of its layouts; all are to one scale.

    ``name`` begins the ids in the pictures.
    """
    longest = max(left.lot.length for left in sequence.left)
    per_mm = _LONGEST / float(longest)
    width = sequence.plan.job.paper.roll_width
    wide = _WIDTH if width is None else min(max(float(width) * per_mm, _WIDTH), _WIDEST)
    turned = frozenset(step.piece for step in sequence.steps if isinstance(step, CutDrop) and step.is_turned)
    rows = zip(sequence.plan.layouts, sequence.pieces, sequence.left, strict=True)
    return tuple(
        _picture(_Laid(sequence, turned, layout, pieces, left, per_mm, wide), units, f"{name}-{number}")
        for number, (layout, pieces, left) in enumerate(rows, start=1)
    )


def _picture(laid: _Laid, units: str, name: str) -> Picture:
    picture = Picture(name, rolls_named(laid.left, ISOLATED), _description(laid, units))
    lost = hatching(picture, _LOSS)
    picture.box(laid.band(ZERO, laid.lot.length), fill=PAPER)
    for before, after in _lost(laid):
        picture.box(laid.band(before, after), fill=lost, pen=PENCIL)
    _draw_flaws(picture, laid)
    for cut in laid.layout.cuts:
        _draw_cut(picture, laid, cut)
    _draw_print(picture, laid)
    _draw_ends(picture, laid)
    narrow = []
    for run in _runs(laid):
        if len(run) == 1 and run[0][0].width >= _LEAST * LINE:
            _number(picture, laid, *run[0])
        else:
            narrow.append(run)
    _read_off(picture, laid, units)
    _say_what_is_left(picture, laid, units)
    for run in narrow:
        _name_above(picture, run)
    return picture


# Where paper goes


def _lost(laid: _Laid) -> Iterator[tuple[Length, Length]]:
    """Yield lead-ins and match losses: from where to where along the roll."""
    for stretch in laid.lot.stretches:
        at = stretch.start
        for cut in laid.cuts_in(stretch):
            if at < cut.start:
                yield at, cut.start
            at = cut.end


def _flaws(laid: _Laid) -> Iterator[tuple[Length, Length]]:
    """Yield what lies between the stretches of a roll, or where it is cut into pieces."""
    at = ZERO
    for stretch in laid.lot.stretches:
        if stretch.start > ZERO:
            yield at, stretch.start
        at = stretch.start + stretch.length
    if at < laid.lot.length:
        yield at, laid.lot.length


def _datums(laid: _Laid) -> Iterator[Length]:
    """Yield where the print's datums lie along the roll, as far as that is known."""
    repeat = laid.sequence.plan.job.paper.pattern.repeat
    for stretch in laid.lot.stretches:
        at = _one_datum(laid, stretch)
        if at is None:
            continue
        at -= (at - stretch.start) // repeat * repeat
        while at <= stretch.start + stretch.length:
            yield at
            at += repeat


def _one_datum(laid: _Laid, stretch: Stretch) -> Length | None:
    """Return where one datum lies in a stretch: as measured, or as the first drop on it needs it."""
    if stretch.first_motif is not None:
        return stretch.start + stretch.first_motif
    cuts = laid.cuts_in(stretch)
    if not cuts:
        return None
    drop = laid.sequence.plan.job.drop(cuts[0].drop)
    below = drop.cut_length - drop.motif_below_cut if laid.lot.is_foot_first else drop.motif_below_cut
    return cuts[0].start + below


# Drawing


def _draw_flaws(picture: Picture, laid: _Laid) -> None:
    for start, end in _flaws(laid):
        box = laid.band(start, end)
        picture.box(box, fill=PAPER, pen=CUT)
        if end > start:
            crossed = [[(box.left, box.top), (box.right, box.bottom)], [(box.left, box.bottom), (box.right, box.top)]]
            picture.lines(crossed, CUT)


def _draw_cut(picture: Picture, laid: _Laid, cut: Cut) -> None:
    drop = laid.sequence.plan.job.drop(cut.drop)
    picture.box(laid.band(cut.start, cut.end), fill=PAPER, pen=CUT)
    near, far = (drop.trim_bottom, drop.trim_top) if laid.lot.is_foot_first else (drop.trim_top, drop.trim_bottom)
    for trim, along in ((near, cut.start + near), (far, cut.end - far)):
        if trim:
            picture.line([(laid.x(along), 0), (laid.x(along), laid.wide)], TRIM)


def _draw_print(picture: Picture, laid: _Laid) -> None:
    """Notch both edges of the paper at each motif datum."""
    pattern = laid.sequence.plan.job.paper.pattern
    if pattern.is_free or laid.x(pattern.repeat) < _CLOSEST_NOTCHES:
        return
    places = list(_datums(laid))
    notches = [[(laid.x(at), 0.0), (laid.x(at), _NOTCH)] for at in places]
    notches += [[(laid.x(at), laid.wide - _NOTCH), (laid.x(at), laid.wide)] for at in places]
    picture.lines(notches, Pen(2.2))


def _draw_ends(picture: Picture, laid: _Laid) -> None:
    """Draw the paper's edges, a knife's arrow at the end it is cut from, and the roll at the other."""
    end, wide = laid.x(laid.lot.length), laid.wide
    picture.line([(0, 0), (end, 0)], EDGE)
    picture.line([(0, wide), (end, wide)], EDGE)
    picture.line([(0, 0), (0, wide)], EDGE)
    if laid.lot.is_offcut:
        picture.line([(end, 0), (end, wide)], EDGE)
        return
    core = f"M{end:.1f} 0C{end + 16:.1f} 0 {end + 16:.1f} {wide:.1f} {end:.1f} {wide:.1f}"
    core += f"C{end - 9:.1f} {wide:.1f} {end - 9:.1f} {wide * 0.2:.1f} {end + 2:.1f} {wide * 0.2:.1f}"
    core += f"C{end + 9:.1f} {wide * 0.2:.1f} {end + 9:.1f} {wide * 0.8:.1f} {end + 1:.1f} {wide * 0.8:.1f}"
    picture.path(core, Box(end - 9, 0, end + 16, wide), pen=Pen(2.4))
    picture.keep_clear(Box(end - 9, 0, end + 16, wide))


def _runs(laid: _Laid) -> list[list[tuple[Box, str]]]:
    """Return where each drop lies and what is written on it; those too narrow for that, one after another, together."""
    runs: list[list[tuple[Box, str]]] = []
    for cut, piece in zip(laid.layout.cuts, laid.pieces, strict=True):
        box = laid.band(cut.start, cut.end)
        least = _LEAST * LINE
        if runs and max(box.width, runs[-1][0][0].width, (box.left - runs[-1][-1][0].right) / 2) < least:
            runs[-1].append((box, piece))
        else:
            runs.append([(box, piece)])
    return runs


def _name_above(picture: Picture, run: list[tuple[Box, str]]) -> None:
    """Write above narrow drops, in the order in which they lie, what is written on their backs."""
    left, right = run[0][0].left, run[-1][0].right
    names = [isolated_piece(piece) for _, piece in run]
    words = ", ".join(names)
    if width_of(words, SMALL) > FULL_WIDTH:
        words = fitted(f"{names[0]} … {names[-1]}", FULL_WIDTH, SMALL)
    half = Lettering(words, SMALL, 0, 0).box.width / 2
    middle = (left + right) / 2
    x = min(max(middle, half), max(FULL_WIDTH - half, half))
    rows = (Lettering(words, SMALL, x, -SMALL * (0.9 + LINE * row)) for row in range(_ROWS))
    written = picture.letter_first(rows)
    if written is not None:
        picture.line([(left + 2, -4), (right - 2, -4)], Pen(1.6))
        picture.line([(middle, written.y + SMALL / 2), (middle, -4)], PENCIL)


def _number(picture: Picture, laid: _Laid, box: Box, piece: str) -> None:
    """Write on a drop what is written on its back, and an arrow to its top."""
    y = laid.wide / 2
    label = isolated_piece(piece)
    for size in _SIZES:
        whole = Lettering(label, size, (box.left + box.right) / 2, y, is_bold=True)
        if whole.box.width + 6 <= box.width:
            picture.letter(whole, plate=True)
            _arrow_to_top(picture, laid, piece, box, whole)
            return
    is_upright = box.width < laid.wide
    size = max(min(_SIZES[-1], box.width / LINE), _LEAST)
    shown = fitted(label, (laid.wide if is_upright else box.width) - 6, size, is_bold=True)
    middle = (box.left + box.right) / 2
    picture.letter(Lettering(shown, size, middle, y, is_bold=True, is_upright=is_upright), plate=True)


def _arrow_to_top(picture: Picture, laid: _Laid, piece: str, box: Box, written: Lettering) -> None:
    room = (box.width - written.box.width) / 2
    if room < 26:  # noqa: PLR2004 - units that an arrow needs beside the number
        return
    y = laid.wide / 2
    towards = 1 if laid.lot.is_foot_first or piece in laid.turned else -1
    start = written.x + towards * (written.box.width / 2 + 2)
    tip = start + towards * 20
    picture.line([(start, y), (tip, y)], Pen(1.6))
    arrow_head(picture, (tip, y), (towards, 0), 8)


def _read_off(picture: Picture, laid: _Laid, units: str) -> None:
    """Write below each drop how long it is cut, where there is room; the table says it in any case."""
    y = laid.wide + NAME * 0.75
    for cut in laid.layout.cuts:
        box = laid.band(cut.start, cut.end)
        drop = laid.sequence.plan.job.drop(cut.drop)
        reading = on_tape(drop.cut_length, units, Rounding.UP)
        lettering = Lettering(reading, NAME, (box.left + box.right) / 2, y)
        if lettering.box.width <= box.width + 20:
            picture.letter(lettering)


def _say_what_is_left(picture: Picture, laid: _Laid, units: str) -> None:
    rest = laid.left.rests[-1].length
    if not rest:
        return
    box = laid.band(laid.lot.length - rest, laid.lot.length)
    shown = left_over(rest, units)
    words = f"left {shown}"
    inside = (box.left + box.right - 9) / 2
    if Lettering(words, SMALL, 0, 0).box.width < box.width - 14 and picture.letter(
        Lettering(words, SMALL, inside, laid.wide / 2), plate=True
    ):
        return
    lettering = Lettering(words, SMALL, 0, 0)
    x = min((box.left + box.right) / 2, laid.x(laid.lot.length) + 16 - lettering.box.width / 2)
    y = -SMALL * 0.9
    picture.letter(Lettering(words, SMALL, x, y))
    picture.line([((box.left + box.right) / 2, y + 10), ((box.left + box.right) / 2, 6)], PENCIL)


def _description(laid: _Laid, units: str) -> str:
    said = []
    for cut, piece in zip(laid.layout.cuts, laid.pieces, strict=True):
        length = to_cut(laid.sequence.plan.job.drop(cut.drop).cut_length, units)
        said.append(f"drop {isolated_piece(piece)}, {length}")
    left = f"{left_over(laid.left.slack, units)} left at its inner end"
    return f"From its outer end: {'; '.join(said)}; {left}."
