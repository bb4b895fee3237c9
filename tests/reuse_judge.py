"""What a plan says is worth keeping, what its notes say, and what ``fit`` says of an offcut, worked out again.

Nothing of the package is used: pieces, paper and walls are taken from ``plan --json``, where a piece may lie on paper
from the definition alone, and the fewest rolls by trying every roll for every piece. Each sentence is read back from
the page. Rooms are those of ``reuse_rooms``: rolls without flaws, top first; walls level, openings without reveals.
"""

from __future__ import annotations

import re
from fractions import Fraction
from itertools import pairwise, permutations, product
from typing import TYPE_CHECKING, Any, Final

from msgspec import Struct
from msgspec.structs import replace

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

Document = dict[str, Any]
TRIM: Final = Fraction(50)
LEAST_FOR_PATCHES: Final = 1000
NEAR, NARROW, TALL = 50, 60, 3000
MINUS: Final = "\N{MINUS SIGN}"

NOTES: Final = {
    "joint": r"the joint between columns (\S+) and (\S+) on (.+?), (\S+) mm from its left, "
    r"is only (\S+) mm from (?:the )?(.+)",
    "narrow strip": r"column (\S+) shows only (\S+) mm on (.+?):.*",
    "cut motif": r"the (ceiling|foot) cuts (\S+) mm off a motif, of which (\S+) mm shows, in columns? (.+)",
    "closing joint": r"the closing joint, between columns (\S+) and (\S+), falls on (.+?), (\S+) mm from its left, "
    r".*?; the print (.+)",
    "fitting": r"(.+?) on (.+?), (\S+) mm from its left: isolate.*",
    "longest length": r"the longest length hangs (\S+) mm high.*",
}
"""How the notes are worded; in parentheses what they state."""


class Paper(Struct, frozen=True):
    """Paper in one piece; its first motif is None where nobody measured it, its edges those of a whole strip."""

    label: str
    length: Fraction
    motif: Fraction | None
    left: Fraction
    right: Fraction
    batch: str | None = None
    cut_from: str | None = None
    is_offcut: bool = False


class Piece(Struct, frozen=True):
    """A drop: its cut length, how far below its cut top a motif lies, the width that it needs."""

    label: str
    length: Fraction
    datum: Fraction
    left: Fraction
    right: Fraction
    walls: tuple[str, ...]
    fallen: tuple[Paper, ...]

    @property
    def wall(self) -> str | None:
        """The wall that it hangs on, of those that it is carried over; None where that is not told."""
        return self.walls[0] or None


class Facts:
    """What a plan as JSON says of the job, and how pieces lie on paper."""

    def __init__(self, plan: Document) -> None:
        self.plan, self.scenario = plan, plan["scenario"]
        paper = self.scenario["paper"]
        self.strip = Fraction(paper["roll_width"])
        match = re.match(r"(\d+)(?:/(\d+))?", str(paper["match"]))
        self.repeat = Fraction(match[1]) if match else Fraction(0)
        self.offset = Fraction(match[2] or 0) if match else Fraction(0)
        self.roll_length = Fraction(paper["roll_length"])
        self.pieces = list(self._hung() if "wall" in self.scenario else self._listed())
        self.piece_of = {piece.label: piece for piece in self.pieces}
        self.papers = {paper.label: paper for paper in self._in_hand()}
        self.papers |= {paper.label: paper for piece in self.pieces for paper in piece.fallen}
        self.wall_batch: dict[str, str] = (plan.get("batches") or {}).get("walls", {})
        self.roll_batches = {paper.batch for paper in self._in_hand() if not paper.is_offcut} or {None}

    def _in_hand(self) -> Iterator[Paper]:
        for kind in ("roll", "offcut"):
            for entry in self.scenario.get(kind, []):
                motif = entry.get("first_motif", None if self.repeat else 0)
                yield Paper(
                    entry["label"],
                    Fraction(entry.get("length", self.roll_length)),
                    None if motif is None else Fraction(motif),
                    Fraction(entry.get("left", 0)),
                    Fraction(entry.get("right", self.strip)),
                    entry.get("batch"),
                    is_offcut=kind == "offcut",
                )

    def _listed(self) -> Iterator[Piece]:
        for drop in self.scenario["drop"]:
            motif, label = Fraction(drop.get("first_motif", 0)), drop["label"]
            fallen = tuple(
                Paper(
                    f"cut-out of {label}",
                    Fraction(cut_out["length"]),
                    self.within(motif - Fraction(cut_out["from_top"])),
                    Fraction(cut_out["left"]),
                    Fraction(cut_out["right"]),
                    cut_from=label,
                    is_offcut=True,
                )
                for cut_out in drop.get("cut_outs", [])
            )
            edges = Fraction(drop.get("left", 0)), Fraction(drop.get("right", self.strip))
            yield Piece(
                label, 2 * TRIM + Fraction(drop["height"]), TRIM + motif, *edges, (drop.get("wall", ""),), fallen
            )

    def _hung(self) -> Iterator[Piece]:
        openings = {wall["name"]: wall.get("opening", []) for wall in self.scenario["wall"]}
        for entry in self.plan["setting_out"]["pieces"]:
            top, foot, motif = (Fraction(entry[key]) for key in ("top", "foot", "first_motif"))
            left, right = Fraction(entry["paper_from"]), Fraction(entry["paper_to"])
            label, length = entry["drop"], 2 * TRIM + top - foot
            found: list[tuple[Fraction, ...]] = []
            for panel in entry["panels"]:
                begin, end, on_paper = (Fraction(panel[key]) for key in ("from", "to", "paper_from"))
                for opening in openings[panel["wall"]]:
                    first = max(begin, Fraction(opening["left"]))
                    last = min(end, Fraction(opening["left"] + opening["width"]))
                    head = min(top, Fraction(opening.get("foot", 0) + opening["height"]))
                    sill = max(foot, Fraction(opening.get("foot", 0)))
                    if first < last and sill < head:
                        edges = on_paper + first - begin, on_paper + last - begin
                        found.append((head - sill, self.within(motif - (top - head)), *edges))
            names = ["cut-out"] if len(found) == 1 else [f"cut-out {number + 1}" for number in range(len(found))]
            fallen: dict[str, tuple[Fraction, ...]] = dict(zip(names, found, strict=True))
            datum = self.within(TRIM + motif)
            fallen |= {"left": (length, datum, Fraction(0), left)} if left else {}
            fallen |= {"right": (length, datum, right, self.strip)} if right < self.strip else {}
            papers = tuple(
                Paper(f"{what} of {label}", size, at, begin, end, cut_from=label, is_offcut=True)
                for what, (size, at, begin, end) in fallen.items()
            )
            walls = tuple(dict.fromkeys(panel["wall"] for panel in entry["panels"]))
            yield Piece(label, length, TRIM + motif, left, right, walls, papers)

    def within(self, length: Fraction) -> Fraction:
        """Return a length within the repeat; 0 for a free match."""
        return length % self.repeat if self.repeat else Fraction(0)

    def lead_in(self, paper: Paper, piece: Piece) -> Fraction:
        """Return what comes off the top of paper before a piece; the worst where its print is not known."""
        return self.repeat if paper.motif is None else self.within(paper.motif - piece.datum)

    def holds(self, paper: Paper, piece: Piece) -> bool:
        """Return True when a piece can be cut from paper: its length below the lead-in, and its width."""
        wide = paper.left <= piece.left and piece.right <= paper.right
        return wide and self.lead_in(paper, piece) + piece.length <= paper.length

    def serves(self, paper: Paper) -> list[Piece]:
        """Return the pieces that paper could be, its batch that of their wall, the longest first."""
        if None not in self.roll_batches and paper.batch not in self.roll_batches:
            return []
        found = [
            piece
            for piece in self.pieces
            if self.holds(paper, piece)
            and self.wall_batch.get(piece.wall or "", paper.batch or "") == (paper.batch or "")
        ]
        return sorted(found, key=lambda piece: -piece.length)

    def source(self, label: str) -> Paper:
        """Return the paper that a drop is cut from in the plan, as wide and of the batch that it truly is."""
        lot = next(roll["lot"] for roll in self.plan["rolls"] for cut in roll["cuts"] if cut["drop"] == label)
        return self.as_it_is(self.papers.get(lot) or Paper(lot, self.roll_length, None, Fraction(0), self.strip))

    def as_it_is(self, paper: Paper) -> Paper:
        """Return paper with the width and batch of what it falls out of."""
        if paper.cut_from is None:
            return paper
        source = self.source(paper.cut_from)
        left, right = max(paper.left, source.left), min(paper.right, source.right)
        return replace(paper, left=left, right=right, batch=source.batch)

    def left_over(self) -> Iterator[tuple[Paper, str]]:
        """Yield each piece of paper left, and what it is: lead-in (unknown), loss, end, cut-out, or untouched."""
        used = set()
        for roll in self.plan["rolls"]:
            used.add(roll["lot"])
            lot = self.papers.get(roll["lot"]) or Paper(roll["lot"], self.roll_length, None, Fraction(0), self.strip)
            lot = self.as_it_is(lot)
            cuts = [(Fraction(cut["from"]), Fraction(cut["to"]), self.piece_of[cut["drop"]]) for cut in roll["cuts"]]
            datum = cuts[0][0] + cuts[0][2].datum if lot.motif is None else lot.motif
            starts, ends = [Fraction(0), *(cut[1] for cut in cuts)], [*(cut[0] for cut in cuts), lot.length]
            for place, (start, end) in enumerate(zip(starts, ends, strict=True)):
                where = "end" if place == len(cuts) else f"loss {place}" if place else "start"
                known = "unknown" if lot.motif is None and not place else where.partition(" ")[0]
                if end > start:
                    label = f"{where} of {roll['roll']}"
                    yield replace(lot, label=label, length=end - start, motif=self.within(datum - start)), known
        for paper in self.papers.values():
            there = self.as_it_is(paper)
            if paper.is_offcut and paper.label not in used and there.left < there.right:
                yield there, "cut-out" if paper.cut_from else "untouched"

    # The fewest rolls, by trying.

    def fewest(self, more: Paper | None = None) -> int | None:
        """Return the fewest rolls with one more offcut in hand; None when there are too few."""
        stock = [paper for paper in self.papers.values() if paper.cut_from is None] + ([more] if more else [])
        if "roll" not in self.scenario:
            endless = [
                Paper(f"new {n}", self.roll_length, None, Fraction(0), self.strip) for n in range(len(self.pieces))
            ]
            stock += endless
        walls = sorted({piece.wall for piece in self.pieces if piece.wall is not None})
        shares = len(self.roll_batches) > 1 and all(piece.wall is not None for piece in self.pieces)
        if None not in self.roll_batches:
            stock = [paper for paper in stock if paper.batch in self.roll_batches]
        batches = sorted(self.roll_batches, key=str)
        tried = [
            self._fewest(stock, dict(zip(walls, chosen, strict=True)) if shares else {})
            for chosen in (product(batches, repeat=len(walls)) if shares else [()])
        ]
        return min((rolls for rolls in tried if rolls is not None), default=None)

    def _fewest(self, stock: list[Paper], batch_of: dict[str, str | None]) -> int | None:
        best: list[int] = []

        def go_on(number: int, held: dict[str, tuple[Piece, ...]], there: list[Paper], rolls: int) -> None:
            if best and rolls >= best[0]:
                return
            if number == len(self.pieces):
                best[:] = [rolls]
                return
            piece, seen = self.pieces[number], set()
            for paper in there:
                alike = replace(paper, label=""), held.get(paper.label)
                wall_batch = batch_of.get(piece.wall or "", paper.batch)
                if alike in seen or paper.batch != wall_batch or not self.holds(paper, piece):
                    continue
                seen.add(alike)
                laid = (*held.get(paper.label, ()), piece)
                if self._all_on(paper, laid):
                    fallen = [
                        replace(
                            one, batch=paper.batch, left=max(one.left, paper.left), right=min(one.right, paper.right)
                        )
                        for one in piece.fallen
                    ]
                    opened = not paper.is_offcut and paper.label not in held
                    go_on(number + 1, held | {paper.label: laid}, [*there, *fallen], rolls + opened)

        go_on(0, {}, stock, 0)
        return best[0] if best else None

    def _all_on(self, paper: Paper, pieces: Sequence[Piece]) -> bool:
        """Return True when some order of the pieces fits; unmeasured paper begins where the first of them wants."""
        for order in permutations(pieces):
            datum = order[0].datum if paper.motif is None else paper.motif
            end, room = Fraction(0), paper.length - (self.repeat if paper.motif is None else 0)
            for piece in order:
                end += self.within(datum - piece.datum - end) + piece.length
            if end <= room:
                return True
        return False


def numbered(column: Document) -> str:
    """Return a column's number as it is printed."""
    return str(column["column"]).replace("-", MINUS)


class Judge:
    """Compares what is stated with what is true; :attr:`faults` is what was found."""

    def __init__(self, plan: Document, page: str) -> None:
        self.facts = Facts(plan)
        self.page = page
        self.faults: list[str] = []
        self.stated = 0

    def same(self, what: str, stated: object, true: object) -> None:
        """Note a fault unless what is stated is true."""
        self.stated += 1
        if stated != true:
            self.faults.append(f"{what}: says {stated}, is {true}")

    # What is kept.

    def keeping(self) -> None:
        """Look at every piece that is to be kept, at what it would serve as, and at every piece that is binned."""
        kept, binned, lost = {}, {}, 0
        walls: dict[str, tuple[str, ...]] = {}
        offcuts = {entry["label"] for entry in self.facts.scenario.get("offcut", [])}
        for paper, what in self.facts.left_over():
            serves = [] if what == "unknown" else self.facts.serves(paper)
            is_whole = paper.left == 0 and paper.right == self.facts.strip
            if serves or (is_whole and paper.length >= LEAST_FOR_PATCHES) or paper.label in offcuts:
                kept[paper.label] = self._described(paper, what, serves)
                walls[paper.label] = serves[0].walls if serves else ("",)
            elif what in ("unknown", "loss", "start"):
                lost += 1
            else:
                binned[paper.label] = paper.length
        said = {item.partition(": ")[0]: item.partition(": ")[2] for item in self._items("Keep")}
        self.same("kept", sorted(said), sorted(kept))
        for label in said.keys() & kept.keys():
            # A strip that is carried round a corner may be called by either wall.
            true = [kept[label].replace("WALL", wall) for wall in walls[label]]
            self.same(label, said[label], said[label] if said[label] in true else true[0])
        text = self._section("Bin")
        self.same(
            "binned",
            {label.strip(): Fraction(size) for label, size in re.findall(r"([^,()]+) \((\d+) mm\)", text)},
            binned,
        )
        number = re.search(r"(\d+) lead-ins and match losses|(the lead-in or match loss)", text)
        self.same("lead-ins and losses", 0 if number is None else int(number[1] or 1), lost)

    def _described(self, paper: Paper, what: str, serves: list[Piece]) -> str:
        lot = re.sub(r"-\d+$", "", paper.label.partition(" of ")[2])
        at_least = what == "end" and self.facts.repeat and self._is_sealed(paper.label.partition(" of ")[2], lot)
        facts = [f"{'at least ' if at_least else ''}{paper.length} mm"]
        if self.facts.repeat and paper.motif is not None:
            facts.append(f"motif {paper.motif} mm below its top")
        if paper.left or paper.right != self.facts.strip:
            facts.append(f"from {paper.left} mm to {paper.right} mm of the strip's width")
        use = "patches, but as no whole drop"
        if serves:
            others = len(serves) - 1
            more = f", or {others} other{'s' * (others > 1)}" if others else ""
            wall = " of WALL" if serves[0].wall else ""
            use = f"drop {serves[0].label}{wall}{more}, for repair"
        return f"{', '.join(facts)}; would serve as {use}."

    def _is_sealed(self, label: str, lot: str) -> bool:
        paper = self.facts.papers.get(label) or self.facts.papers.get(lot)
        return paper is None or paper.motif is None

    def _section(self, title: str) -> str:
        found = re.search(rf"(?:^|\n){title}\n=+\n+(.*?)(?:\n\n\S[^\n]*\n==|\Z)", self.page, re.DOTALL)
        return " ".join(found[1].split()) if found else ""

    def _items(self, title: str) -> list[str]:
        return [item for item in re.split(r"(?:^| )- (?=\S)", self._section(title)) if ": " in item and item]

    # Notes.

    def notes(self) -> None:
        """Look at the notes on joints, narrow strips, cut motifs, the closing joint, fittings, the longest length."""
        said = self.facts.plan["notes"]
        true = {
            "joint": self._near_joints(),
            "narrow strip": self._narrow_strips(),
            "cut motif": self._cut_motifs(),
            "closing joint": self._closing(),
            "fitting": self._fittings(),
            "longest length": self._longest(),
        }
        for what, expected in true.items():
            found = [match.groups() for note in said if (match := re.fullmatch(NOTES[what], note))]
            self.same(what, sorted(found), sorted(expected))

    @property
    def _columns(self) -> list[Document]:
        columns: list[Document] = self.facts.plan["setting_out"]["columns"]
        return sorted(columns, key=lambda column: column["column"])

    def _walls(self) -> dict[str, Document]:
        return {wall["name"]: wall for wall in self.facts.scenario["wall"]}

    def _near_joints(self) -> Iterator[tuple[str, ...]]:
        walls, closes = list(self._walls().values()), self.facts.scenario["room"]["closes"]
        for left, right in pairwise(self._columns):
            edge = right["panels"][0]
            number = next(n for n, wall in enumerate(walls) if wall["name"] == edge["wall"])
            at, wall = Fraction(edge["from"]), walls[number]
            place = numbered(left), numbered(right), edge["wall"], tape(at)
            sides = [(side, one["kind"]) for one in wall.get("opening", []) for side in _sides(one)]
            if sides and (near := min(abs(at - side) for side, _ in sides)) < NEAR:
                yield (*place, tape(near), min(sides, key=lambda side: abs(at - side[0]))[1])
            corners = [at] if closes or number else []
            corners += [wall["width"] - at] if closes or number + 1 < len(walls) else []
            if corners and 0 < min(corners) < NEAR:
                yield (*place, tape(min(corners)), "corner")

    def _narrow_strips(self) -> Iterator[tuple[str, ...]]:
        """Yield parts of a strip that hang by themselves: the paper of one does not go on where the last ends."""
        for column in self._columns:
            parts: list[list[Document]] = []
            for panel in column["panels"]:
                if parts and parts[-1][-1]["paper_to"] == panel["paper_from"]:
                    parts[-1].append(panel)
                else:
                    parts.append([panel])
            for part in parts:
                width = sum((Fraction(panel["to"]) - Fraction(panel["from"]) for panel in part), Fraction(0))
                if width < NARROW:
                    names = " and ".join(dict.fromkeys(panel["wall"] for panel in part))
                    yield numbered(column), tape(width), names

    def _cut_motifs(self) -> Iterator[tuple[str, ...]]:
        paper, repeat = self.facts.scenario["paper"], self.facts.repeat
        above, below = paper.get("motif_above", 0), paper.get("motif_below", 0)
        if not repeat or not above + below:
            return
        columns: dict[tuple[str, Fraction, Fraction], set[int]] = {}
        for piece in self.facts.plan["setting_out"]["pieces"]:
            seen = [
                p
                for p in piece["panels"]
                if Fraction(p["paper_from"]) <= paper["motif_from_left"] <= Fraction(p["paper_to"])
            ]
            if not seen:
                continue
            wall = self._walls()[seen[0]["wall"]]
            along = Fraction(seen[0]["from"]) + paper["motif_from_left"] - Fraction(seen[0]["paper_from"])
            open_below = any(
                _sides(one)[0] <= along <= _sides(one)[1] and not one.get("foot") for one in wall.get("opening", [])
            )
            top, foot = Fraction(piece["top"]), Fraction(piece["foot"])
            for turn in range(-2, int((top - foot) / repeat) + 3):
                datum = top - Fraction(piece["first_motif"]) - turn * repeat
                upper, lower = datum + above, datum - below
                if top == wall["height"] and lower < top < upper:
                    columns.setdefault(("ceiling", upper - top, top - lower), set()).add(piece["column"])
                if foot == 0 and not open_below and lower < foot < upper:
                    columns.setdefault(("foot", foot - lower, upper - foot), set()).add(piece["column"])
        for (edge, cut, shown), numbers in columns.items():
            *rest, last = (str(number).replace("-", MINUS) for number in sorted(numbers))
            yield edge, tape(cut), tape(shown), f"{', '.join(rest)} and {last}" if rest else last

    def _closing(self) -> Iterator[tuple[str, ...]]:
        """Yield it; the print of a strip goes on a strip's width further to the right, an offset lower."""
        if not self.facts.scenario["room"]["closes"]:
            return
        first, last, facts = self._columns[0], self._columns[-1], self.facts
        edge = first["panels"][0]
        place = numbered(last), numbered(first), edge["wall"], tape(Fraction(edge["from"]))
        out: list[str] = []
        if facts.repeat:
            ahead = Fraction(edge["paper_from"]) - Fraction(last["panels"][-1]["paper_to"])
            strips = min((-1, 0, 1), key=lambda number: (abs(ahead + number * facts.strip), -number))
            lower = facts.within((first["column"] - last["column"] - strips) * facts.offset)
            lower -= facts.repeat if 2 * lower > facts.repeat else 0
            missing = ahead + strips * facts.strip
            out += [f"sits {tape(abs(lower))} mm {'lower' if lower > 0 else 'higher'}"] * bool(lower)
            share = f"{tape(abs(missing))} mm of it is" if out else f"has {tape(abs(missing))} mm"
            out += [f"{share} {'missing' if missing > 0 else 'repeated'} sideways"] * (2 * abs(missing) >= 1)
        yield (*place, f"on its right {', and '.join(out)}" if out else "meets there")

    def _fittings(self) -> Iterator[tuple[str, ...]]:
        for wall in self._walls().values():
            for fitting in wall.get("fitting", []):
                yield fitting["kind"], wall["name"], tape(Fraction(fitting["left"]))

    def _longest(self) -> Iterator[tuple[str, ...]]:
        pieces = self.facts.plan["setting_out"]["pieces"]
        longest = max(Fraction(piece["top"]) - Fraction(piece["foot"]) for piece in pieces)
        if longest > TALL:
            yield (tape(longest),)

    # An offcut in the hand.

    def fitting(self, page: str, length: int, left: int | None, right: int | None, motif: int | None) -> None:
        """Look at where ``fit`` says that an offcut fits, by how much it misses, and what it saves."""
        facts, said = self.facts, " ".join(page.split())
        edges = Fraction(left or 0), facts.strip if right is None else Fraction(right)
        known = None if motif is None and facts.repeat else Fraction(motif or 0)
        paper = Paper("in the hand", Fraction(length), known, *edges, is_offcut=True)
        held = [piece for piece in facts.pieces if facts.holds(paper, piece)]
        heading = re.search(r"fits (nowhere|(\d+) drops?)\.", said)
        self.same("fits", heading and (heading[2] or heading[1]), str(len(held)) if held else "nowhere")
        if not held:
            for piece in facts.pieces:
                self._missed(said, paper, piece)
            return
        rows = re.findall(r"(?m)^(\d+) +(\d+) mm +(\d+) mm +(\d+) mm$", page)
        true = [
            (
                piece.label,
                str(piece.length),
                str(off := facts.lead_in(paper, piece)),
                str(paper.length - off - piece.length),
            )
            for piece in held
        ]
        self.same("table", sorted(rows), sorted(true))
        self._saved(said, paper, held)

    def _missed(self, said: str, paper: Paper, piece: Piece) -> None:
        """Look whether every reason that there is stands beside a drop, and no other."""
        why = r"((?:too short|print|wrong side).*?)(?= \d+ (?:too|print|wrong)|$)"
        after = re.search(rf"(?:-|missing|short|short by \d+ mm) {piece.label} {why}", said)
        reasons = []
        if piece.length > paper.length:
            reasons.append(f"too short by {piece.length - paper.length} mm")
        elif (off := self.facts.lead_in(paper, piece)) + piece.length > paper.length:
            short = off + piece.length - paper.length
            reasons.append(
                f"print in the wrong place: {off} mm must come off its top first, and then it is {short} mm too short"
            )
        for side, missing in (("left", paper.left - piece.left), ("right", piece.right - paper.right)):
            if missing > 0:
                reasons.append(f"wrong side: {missing} mm of the strip's {side} is missing")
        self.same(f"drop {piece.label} is missed", after and after[1].strip(), "; ".join(reasons))

    def _saved(self, said: str, paper: Paper, held: list[Piece]) -> None:
        facts = self.facts
        told = [batch for batch in facts.roll_batches if batch]
        without = facts.fewest()
        asked: list[str | None] = [*told] or [None]
        for batch in asked:
            text = (
                said
                if len(told) < 2
                else said.partition(f"If it is of batch {batch}: ")[2].partition(" If it is of")[0]
            )
            having = facts.fewest(replace(paper, batch=batch))
            taken = re.findall(r"((?:\d+ (?:parts? of a? ?)?rolls?(?: and )?)+) with", text)
            named = [sum(map(int, re.findall(r"\d+", rolls))) for rolls in taken]
            if "too few, with it and without" in text:
                self.same(f"too few with it of {batch}", None, having)
            elif "without it they are too few" in text:
                self.same(f"too few without it of {batch}", (None, True), (without, having is not None))
            elif "t saves most" in text:
                self.same(f"saves of {batch}", named, [without, having])
            else:
                self.same(f"saves none of {batch}", (named, having), ([without], without))
                longest = max(piece.length for piece in held)
                spared = re.search(r"As drop (\S+), the longest", text)
                self.same("the longest", spared and facts.piece_of[spared[1]].length, longest)


def tape(length: Fraction) -> str:
    """Return a length to the nearest millimetre, halves up."""
    return str(int(length + Fraction(1, 2)))


def _sides(opening: Document) -> tuple[Fraction, Fraction]:
    return Fraction(opening["left"]), Fraction(opening["left"] + opening["width"])
