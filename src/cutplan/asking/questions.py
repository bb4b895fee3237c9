"""The survey's questions: one list for every face that asks them, each with its reason and its kind of answer.

A key is where the scenario holds the answer, ``paper.roll_width``; those of walls and what stands on them belong to
each entry of that list. Bare numbers are read in the unit that the first question settles.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Final, Generic, TypeVar

from msgspec import Struct

from cutplan.asking.answers import (
    CLOCK,
    COUNT,
    DISTANCE,
    GROWTH,
    HEIGHT,
    LENGTH,
    LINE,
    MATCH,
    MINUTES,
    NAME,
    NAMES,
    OFFER,
    PRICE,
    PROFILE,
    ROLLS,
    STANDING,
    YEAR,
    YES_OR_NO,
    AnswerKind,
    choice,
    count_from,
    optional,
    per_cent,
)
from cutplan.lining.wishes import AtOpenings, LiningWay
from cutplan.materials.material import Use
from cutplan.paper.match_label import DIRECTIONS
from cutplan.paper.pattern import Pattern
from cutplan.parts.border_tables import JOINS
from cutplan.plan.order import USUAL_OPEN_ROLLS, Follow
from cutplan.room.profile import Profile
from cutplan.room.walls import CornerKind, FittingKind, OpeningKind
from cutplan.scenario.lining_table import CORNERS
from cutplan.scenario.sale_keys import MOST_IN_A_PACKET, MOST_SINGLES
from cutplan.scenario.sale_keys import PRICE_PER as PRICES_PER
from cutplan.scenario.sale_keys import SOLD_BY as LENGTHS_SOLD
from cutplan.scenario.toml_text import length_value
from cutplan.scenario.trim_table import USUAL_TRIM
from cutplan.scenario.usual import (
    BORDER_WIDTH,
    MOTIF,
    OPENING,
    REPEAT,
    ROLL_LENGTH,
    ROLL_WIDTH,
    TRIM,
    WALL_HEIGHT,
    WALL_WIDTH,
    Usual,
)
from cutplan.scenario.usual import SELVEDGE as SELVEDGE_WIDTH
from cutplan.setting_out import Puts, Way
from cutplan.table.timetable import USUAL_FOLDED, PastedOn

T = TypeVar("T")

UNITS: Final = ("mm", "cm", "m", "in", "ft")
IMPERIAL: Final = frozenset({"in", "ft"})


class Question(Struct, Generic[T], frozen=True):
    """One question."""

    key: str
    """Where a scenario holds its answer; of what it holds nowhere, such as a number of walls, a key of our own."""
    wording: str
    why: str
    """What the answer is for, or how to find it."""
    kind: AnswerKind[T]
    """What may be answered, and how it is read."""
    default: str | None = None
    """What no answer stands for: empty for nothing; None when there must be an answer."""
    imperial: str | None = None
    """The same for a survey in feet and inches, where it is another."""
    usual: Usual | None = None
    """What lengths of the kind usually are."""
    remark: str = ""
    """What the scenario says beside the answer."""

    def offered(self, units: str) -> str | None:
        """Return what no answer stands for, in a survey in these units."""
        return self.imperial if self.imperial is not None and units in IMPERIAL else self.default

    def doubt(self, value: object, units: str) -> str | None:
        """Return what is to be asked back about an answer that is unusual for its kind; None of a usual one."""
        if isinstance(value, Profile):
            value = max(height for _, height in value.points)
        elif isinstance(value, Pattern):
            value = None if value.is_free else value.repeat
        return self.usual.doubt(value, units) if self.usual and isinstance(value, Fraction) else None


_NAMED: Final = "So that the plan can name it."
_TRIM_OFFERED: Final = length_value(USUAL_TRIM, "mm") + " mm"

# fmt: off
UNIT: Final = Question("units", "Which unit do you measure in: mm, cm, m, in or ft?",
    "Bare numbers are read in it; an answer may always carry its own unit, such as 8 ft 2 1/2 in.", choice(UNITS),
    UNITS[0])

# The paper

PAPER_NAME: Final = Question("paper.name", "What is the paper called?", "So that you know it again.", NAME,
    "wallpaper")
PAPER_LENGTH: Final = Question("paper.roll_length", "How long is a roll?", "As marked on its label.", LENGTH,
    "10.05 m", "33 ft", ROLL_LENGTH, "as marked on the label")
PAPER_WIDTH: Final = Question("paper.roll_width", "How wide is a roll?", "Between its two edges, dry.", LENGTH,
    "530 mm", "20 1/2 in", ROLL_WIDTH, "between its edges, dry")
SELVEDGE: Final = Question("paper.selvedge", "How wide a selvedge is trimmed off each edge?",
    "By knife and straightedge, before it hangs; 0 for paper that is ready trimmed.", DISTANCE, "0",
    usual=SELVEDGE_WIDTH, remark="trimmed off each edge")
SELVEDGE_LEFT: Final = Question("paper.selvedge_left", "How wide a selvedge is trimmed off its left edge?",
    "Where the two edges differ; empty for what both lose.", optional(DISTANCE), "", usual=SELVEDGE_WIDTH)
SELVEDGE_RIGHT: Final = Question("paper.selvedge_right", "And off its right edge?", SELVEDGE_LEFT.why,
    optional(DISTANCE), "", usual=SELVEDGE_WIDTH)
OVERLAP: Final = Question("paper.overlap", "By how much do neighbours overlap?",
    "Where they share some print: one is lapped over the other, and both are cut through; 0 where edges meet.",
    DISTANCE, "0", remark="lapped and cut through: strips hang at a pitch of so much less")
PAPER_MATCH: Final = Question("paper.match", "What is the match?",
    'Repeat and offset as the label prints them: "free", "64 cm", "64/32 cm"; or "sheets" for a mural.', MATCH,
    usual=REPEAT, remark="repeat and offset, as the label prints them")
REVERSE: Final = Question("paper.reverse", "Does the label say to reverse every other length?",
    "It evens out the shade: every second length is hung the other way up.", YES_OR_NO, "no",
    remark="every second length hangs turned end for end")
SIDEWAYS: Final = Question("paper.sideways", "May a short piece be hung on its side?",
    "Where rolls are too few: a plain paper, or one printed alike every way.", YES_OR_NO, "no",
    remark="a short piece may be turned by a quarter")
EDGE_TRIM: Final = Question("equal_strips.edge_trim", "In equal strips, how much comes off each edge at least?",
    "Of grasscloth and the like, hung in strips of one width on each wall; empty for any other paper.",
    optional(DISTANCE), "", remark="at least, off each edge: every wall is hung in equal strips")
SHEET_COUNT: Final = Question("sheets.count", "How many numbered sheets has the set?",
    "They make one picture, and hang in their order from left to right.", count_from(1), remark="sheets of the set")
FIRST_SHEET: Final = Question("sheets.first", "Which sheet hangs furthest to the left?",
    "Any unbroken run of them may be hung.", count_from(1), "1", remark="the sheet furthest to the left")
SHEET_POINT: Final = Question("sheets.first_motif", "How far below a sheet's top edge is the point that you go by?",
    "Any one point of the picture, the horizon say; you are asked later how far it hangs below the level line.",
    DISTANCE, remark="from a sheet's top edge down to the point of the picture that hanging goes by")
CENTRED: Final = Question("start.puts.set", "Is the set centred on the wall?",
    "What is too wide then comes off the two outer sheets alike, and they are hung from the left.", YES_OR_NO, "yes")
DIRECTION: Final = Question("paper.offset_direction",
    "Does the print of the strip to the right sit lower (down) or higher (up)?",
    "Lay two lengths side by side and look: labels do not say it, and the two are different papers.",
    choice(DIRECTIONS), remark="the print of the strip to the right sits lower or higher")
PAPER_PRICE: Final = Question("paper.price", "What does a roll cost?",
    "Of one roll, in your own currency; or say of what, as in 150 per packet of 2, 45 per single of a double, "
    "12.50 per m. Where it does not matter leave it empty, or say how it is sold: packet of 2, double, m, yd.",
    optional(OFFER), "")
PRICE_PER: Final = Question("paper.price_per", "Of what is that the price?",
    "Of a roll, a packet, a single of a double roll, a metre or a yard.", choice(PRICES_PER), PRICES_PER[0])
PACKET: Final = Question("paper.packet", "How many rolls are in a packet that is not broken?",
    "Each of them a piece of its own; 1 where every roll is sold by itself.", count_from(1, MOST_IN_A_PACKET), "1",
    remark="rolls to a packet, which is not broken")
SINGLES: Final = Question("paper.singles", "As how many singles does one roll count?",
    "A double roll is one piece that counts as two; 1 where a roll is just a roll.", count_from(1, MOST_SINGLES), "1",
    remark="one piece that counts as so many singles")
SOLD_BY: Final = Question("paper.sold_by", "Is it cut to order, by the metre or yard?",
    "m or yd; empty for paper sold by the roll.", optional(choice(LENGTHS_SOLD)), "")
ORDER_LEAST: Final = Question("paper.order_least", "What is the shortest length that can be ordered?",
    "Empty for one step of the next question.", optional(LENGTH), "", remark="no order is shorter")
ORDER_STEP: Final = Question("paper.order_step", "In what steps can more be ordered?",
    "Empty for whole metres, or whole yards.", optional(LENGTH), "", remark="and so much more at a time")
MOTIF_FROM_LEFT: Final = Question("paper.motif_from_left", "How far is the motif from the left?",
    "From the left edge of a strip to the middle of its motif, to centre it; empty if you do not measure it.",
    optional(DISTANCE), "", usual=MOTIF, remark="from the strip's left edge to the motif's middle")
MOTIF_WIDTH: Final = Question("paper.motif_width", "How wide is the motif?",
    "To be warned where a corner or a door cuts it in half; 0 if you do not measure it.", DISTANCE, "0", usual=MOTIF,
    remark="half of it on either side of that middle")
MOTIF_ABOVE: Final = Question("paper.motif_above", "How far does the motif reach above its datum?",
    "From its datum, the point that you measure motifs to, up to its top: to keep it whole below the ceiling.",
    DISTANCE, "0", usual=MOTIF, remark="how far the motif reaches above its datum")
MOTIF_BELOW: Final = Question("paper.motif_below", "How far does it reach below?", "And down to its foot.", DISTANCE,
    "0", usual=MOTIF, remark="and below it")
GROWS: Final = Question("paper.wet_growth", "By how many per cent does it grow in width when wet?",
    "Pasted paper widens by up to 1 or 2 per cent while it soaks; paper hung on a pasted wall by nothing.", GROWTH,
    "0", remark="per cent of its width, when pasted")
FOIL: Final = Question("paper.foil", "Is it a foil paper (yes or no)?",
    "Foil conducts: it is trimmed short of sockets and switches.", YES_OR_NO, "no", remark="it conducts")

# Trims

TRIM_TOP: Final = Question("trim.top", "How much is trimmed at the top?",
    "Added to each drop and cut off on the wall; more where the ceiling runs out of level.", DISTANCE, _TRIM_OFFERED,
    "2 in", TRIM, "added to each drop, cut off on the wall")
TRIM_BOTTOM: Final = Question("trim.bottom", "And at the bottom?", "The same at the skirting.", DISTANCE,
    _TRIM_OFFERED, "2 in", TRIM)

# The room as a whole

CLOSES: Final = Question("room.closes", "Does the paper go all round, back to where it begins (yes or no)?",
    "Then the last strip meets the first, and the print cannot match there.", YES_OR_NO, "no",
    remark="the last wall meets the first")
LEVEL_LINE: Final = Question("room.level_line", "How high is the level line above the floor line?",
    "What the print hangs from, where the ceiling is out of level; empty for the wall's top at the start.",
    optional(LENGTH), "", remark="what the print hangs from, above the floor line")
BUILT: Final = Question("room.built", "In which year was the house built?",
    "Old paint may hold lead; empty if you do not know.", optional(YEAR), "")
TEXTURED: Final = Question("room.textured", "Is there a textured coating on walls or ceiling (yes or no)?",
    "Old ones may hold asbestos, and are not sanded before they are tested.", YES_OR_NO, "no",
    remark="a textured coating")

# Each wall

WALLS: Final = Question("walls", "How many walls are papered?",
    "Each stretch from corner to corner counts; one on which a chimney breast stands is one.", count_from(1), "1")
WALL_NAME: Final = Question("wall.name", "What is it called?", _NAMED, NAME)
WIDTH: Final = Question("wall.width", "How wide is it?", "From corner to corner.", LENGTH, usual=WALL_WIDTH,
    remark="from corner to corner")
TOP: Final = Question("wall.height", "How high is its top above the floor line?",
    "Where it slopes or steps: places from its left with the height at each, 0=1150; 1400=2380.", PROFILE,
    usual=WALL_HEIGHT)
FOOT: Final = Question("wall.foot", "And its foot?",
    "0 unless it stands beside a stair; the same floor line serves all walls.", PROFILE, "0",
    remark="the skirting beside a stair")
CORNER: Final = Question("wall.corner", "The corner at its right: internal or external?",
    "Paper is turned 20 mm into an internal corner, and 40 mm round an external one.",
    choice([kind.value for kind in CornerKind]), CornerKind.INTERNAL.value, remark="the one at its right")

TURN: Final = Question("wall.turn", "How much paper is turned round that corner?",
    "Where it is other than 20 mm into an internal corner, or 40 mm round an external one.", optional(LENGTH), "")
LAP: Final = Question("wall.lap", "How much of that does the next length cover?",
    "Else all of it in an internal corner, and nothing at an external one.", optional(DISTANCE), "")
TRUE_CORNER: Final = Question("wall.true_corner", "Is the corner plumb, so that paper goes round it uncut (yes or no)?",
    "An external one only.", YES_OR_NO, "no")

# What stands on it

OPENINGS: Final = Question("openings", "How many openings has it?",
    "Doors, windows, fireplaces, fitted units, alcoves: whatever interrupts the paper; breast for a chimney breast.",
    STANDING, "0")
_OPENING_KINDS: Final = [kind.value for kind in OpeningKind]
OPENING_KIND: Final = Question("wall.opening.kind", "What is it?", f"One of {', '.join(_OPENING_KINDS)}.",
    choice(_OPENING_KINDS))
OPENING_NAME: Final = Question("wall.opening.name", "What is it called?", _NAMED, NAME)
OPENING_LEFT: Final = Question("wall.opening.left", "How far is it from the wall's left?", "To its edge.", DISTANCE,
    remark="from the wall's left")
OPENING_WIDTH: Final = Question("wall.opening.width", "How wide is it?", "Where the paper stops: frame and all.",
    LENGTH, usual=OPENING)
OPENING_FOOT: Final = Question("wall.opening.foot", "How high is its foot?",
    "Of its lower edge above the floor line: a window's sill.", DISTANCE, remark="above the floor line")
OPENING_HEIGHT: Final = Question("wall.opening.height", "How high is it itself?",
    "From its foot to its head; of a fireplace, to its shelf.", LENGTH, usual=OPENING,
    remark="from its foot to its head")
REVEAL: Final = Question("wall.opening.reveal", "How deep is its reveal?",
    "Depth of the reveal that is papered too; 0 for none.", DISTANCE, "0", remark="depth of the reveal")
FITTINGS: Final = Question("fittings", "How many fittings?",
    "Radiators, sockets, switches: to be warned of, and to centre the paper on.", COUNT, "0")
_FITTING_KINDS: Final = [kind.value for kind in FittingKind]
FITTING_KIND: Final = Question("wall.fitting.kind", "What is it?", f"One of {', '.join(_FITTING_KINDS)}.",
    choice(_FITTING_KINDS))
FITTING_NAME: Final = Question("wall.fitting.name", "What is it called?", _NAMED, NAME)
FITTING_LEFT: Final = Question("wall.fitting.left", "How far is it from the wall's left?", "To its edge.", DISTANCE,
    remark="from the wall's left")
FITTING_WIDTH: Final = Question("wall.fitting.width", "How wide is it?", "0 for a point, such as bare wires.",
    DISTANCE, "0")
FITTING_FOOT: Final = Question("wall.fitting.foot", "How high is its foot?", "Above the floor line.",
    optional(DISTANCE), "")
FITTING_HEIGHT: Final = Question("wall.fitting.height", "How high is it, from foot to head?", "Where that is known.",
    optional(DISTANCE), "")

# A chimney breast, which is one thing to whoever measures, and several walls to the paper

BREAST_LEFT: Final = Question("breast_left", "How far is the breast from the wall's left?",
    "The width of the alcove there; 0 where the breast fills the corner.", DISTANCE)
BREAST_WIDTH: Final = Question("breast_width", "How wide is its face?", "From corner to corner.", LENGTH,
    usual=WALL_WIDTH)
BREAST_DEPTH: Final = Question("breast_depth", "How far does it stand out?",
    "The depth of the alcoves: paper goes round its two outer corners.", LENGTH)
FIREPLACE_WIDTH: Final = Question("fireplace_width", "How wide is its fireplace?",
    "In the middle of the face, surround and all; 0 for none.", DISTANCE, "0")
FIREPLACE_HEIGHT: Final = Question("fireplace_height", "How high is the fireplace?", "From the floor to its shelf.",
    DISTANCE, "0")

BREAST: Final = (BREAST_LEFT, BREAST_WIDTH, BREAST_DEPTH, FIREPLACE_WIDTH, FIREPLACE_HEIGHT)

# The start and the finish

START_WALL: Final = Question("start.wall", "On which wall does hanging begin?",
    "The focal one, that the eye meets first.", NAME, remark="the focal wall")
START_AT: Final = Question("start.at", "At which point?",
    "Its distance from the wall's left, or the name of what it is the middle of; middle is the wall's own.", DISTANCE,
    "middle", remark="the point to centre on")
PUTS: Final = Question("start.puts", "What is put there: the motif, a joint, or the middle of a strip?",
    "With a printed motif centre the motif, if it was measured; else what leaves wider strips at the ends.",
    choice([puts.value for puts in Puts]), remark="what lies on that point")
MOTIF_DROP: Final = Question("start.motif_drop", "How far down does the first motif hang?",
    "From the level line, normally the ceiling, down to its datum; keep a whole motif below the ceiling.", DISTANCE,
    remark="from the level line down to the first motif")
MOTIF_AT: Final = Question("start.motif_at", "Or how high does it hang above the floor, or above or below what?",
    "Such as 165 cm, or 40 mm above bed head, or 60 mm below picture; in place of how far down it hangs.",
    optional(HEIGHT), "")
WAY: Final = Question("start.way", f"Which way round: {', '.join(way.value for way in Way)}?",
    "The strip after the first is hung on that side; one way only if the first strip begins at the run's end.",
    choice([way.value for way in Way]), next(way.value for way in Way), remark="which way round")
FINISH: Final = Question("finish.over", "Over which opening does it close?",
    "The last joint never matches. Left empty: the least to see over a door or window, or the corner by a door.",
    optional(NAME), "", remark="where the room closes")

# Rolls in hand

ROLLS_IN_HAND: Final = Question("rolls", "How many rolls have you?",
    'With none, as many sealed rolls are planned as the room needs. "6, all sealed" says all of them at once.', ROLLS,
    "0")
ROLL_LABEL: Final = Question("roll.label", "What is the roll called?",
    "Written on the roll, so that the plan can name it.", NAME)
FIRST_MOTIF: Final = Question("roll.first_motif", "Where is its first motif?",
    "From its outer end down to the first motif datum; empty for a roll that is still sealed.", optional(DISTANCE),
    "", remark="from its outer end down")

# Rails, bands and borders, where they are asked about

RAILS: Final = Question("rails", "How many rails part the walls?",
    "Dado rail, picture rail, or a line where two papers meet: each band between them has a paper of its own.", COUNT,
    "1")
RAIL_NAME: Final = Question("rail.name", "What is it called?", _NAMED, NAME)
RAIL_FOOT: Final = Question("rail.foot", "How high is its lower edge?",
    "Above the floor line; or 900 mm above foot along a stair, or 300 mm below top under a slope.", LINE,
    remark="its lower edge")
RAIL_HEIGHT: Final = Question("rail.height", "How high is the rail itself?",
    "Measured plumb; it is not papered. 0 where two papers meet on a line.", DISTANCE, "0", remark="not papered")
BAND_NAME: Final = Question("band.name", "What is this band called?", _NAMED, NAME)
BARE: Final = Question("band.bare", "Is it left bare (yes or no)?", "Painted or panelled: nothing is planned for it.",
    YES_OR_NO, "no", remark="nothing is planned for it")
BORDERS: Final = Question("borders", "How many borders?", "Round the room, or round a door or a window.", COUNT, "0")
BORDER_NAME: Final = Question("border.name", "What is this border called?", _NAMED, NAME)
ROUND: Final = Question("border.round", "Round which opening?", "Its name; empty for a border round the room.",
    optional(NAME), "")
BORDER_FOOT: Final = Question("border.foot", "How high is its lower edge?",
    "Above the floor line, the same all round; or as 900 mm above foot along a stair.", LINE,
    remark="its lower edge, above the floor line")
LET_IN: Final = Question("border.let_in", "Is it let in (yes or no)?",
    "Let in, the drops stop at its edge; else it hangs over the paper.", YES_OR_NO, "no",
    remark="the drops stop at its edge")
BORDER_PAPER: Final = Question("border.paper.name", "What is its paper called?", "So that you know it again.", NAME,
    "border")
BORDER_LENGTH: Final = Question("border.paper.roll_length", "How long is a roll of it?", "As marked on its label.",
    LENGTH, "5 m", "15 ft", ROLL_LENGTH, "as marked on the label")
BORDER_WIDE: Final = Question("border.paper.roll_width", "How wide is it?", "From edge to edge.", LENGTH,
    usual=BORDER_WIDTH, remark="how wide the border is")
BORDER_REPEAT: Final = Question("border.paper.match", "How long is its repeat?",
    "Along its length, from one motif to the next like it; empty for none.", optional(LENGTH), "", usual=REPEAT,
    remark="from one motif to the next like it")

LINED: Final = Question("lined", "Are the walls lined first (yes or no)?",
    "Plain lining under the paper: it follows from the same survey.", YES_OR_NO, "no")
LINING_LENGTH: Final = Question("lining.roll_length", "How long is a roll of lining?", "As marked on its label.",
    LENGTH, "10.05 m", "33 ft", ROLL_LENGTH, "as marked on the label")
LINING_WIDE: Final = Question("lining.roll_width", "How wide is it?", "From edge to edge.", LENGTH, "560 mm", "22 in",
    ROLL_WIDTH, "from edge to edge")
UPRIGHT: Final = Question("lining.upright", "Do its lengths run up and down (yes or no)?",
    "Else they run along the walls, from the ceiling down, so that no joint can lie under one of the paper's.",
    YES_OR_NO, "no")
ROUND_CORNERS: Final = Question("lining.round", "Is it carried round internal corners (yes or no)?",
    "Else its lengths are broken in them.", YES_OR_NO, "no")

# What only some jobs need: asked where somebody looks for it

ROLL_COUNT: Final = Question("roll.count", "How many rolls are there like it?", "Of one batch, and all as it is.",
    count_from(1), "1")
ROLL_LONG: Final = Question("roll.length", "How long is it?",
    "Empty for what the label says; a part of a roll is measured.", optional(LENGTH), "", usual=ROLL_LENGTH)
ROLL_BATCH: Final = Question("roll.batch", "Of which batch is it?", "As printed on its label: no wall takes two.",
    optional(NAME), "")
ROLL_PRICE: Final = Question("roll.price", "What does it cost?", "Where it costs another price than the paper's.",
    optional(PRICE), "")
ROLL_SHEET: Final = Question("roll.sheet", "Which sheet of the set is it?", "Of numbered sheets only.",
    optional(count_from(1)), "")
FOOT_FIRST: Final = Question("roll.foot_first", "Does it come off foot first (yes or no)?",
    "Rolled the other way round: its print stands on its head as it comes off.", YES_OR_NO, "no")
FLAW_FROM: Final = Question("roll.flaws.from", "Where does the flaw begin?", "From the roll's outer end.", LENGTH)
FLAW_TO: Final = Question("roll.flaws.to", "Where does it end?", "From the roll's outer end too.", LENGTH)
PIECE_LONG: Final = Question("roll.pieces.length", "How long is the piece?",
    "Of a bolt in several pieces, each in the order in which they come off.", LENGTH)
PIECE_MOTIF: Final = Question("roll.pieces.first_motif", "Where is its first motif?", FIRST_MOTIF.why,
    optional(DISTANCE), "")
OFFCUT_LABEL: Final = Question("offcut.label", "What is written on the offcut?", _NAMED, NAME)
OFFCUT_LONG: Final = Question("offcut.length", "How long is it?", "Along its print.", LENGTH)
OFFCUT_MOTIF: Final = Question("offcut.first_motif", "How far below its top is the first motif?",
    "Empty where nobody has measured it.", optional(DISTANCE), "")
OFFCUT_LEFT: Final = Question("offcut.left", "Where across the strip does it begin?",
    "From the strip's left edge; empty for the edge itself.", optional(DISTANCE), "")
OFFCUT_RIGHT: Final = Question("offcut.right", "Where across the strip does it end?",
    "From the strip's left edge too; empty for all of its width.", optional(LENGTH), "")
OFFCUT_SHEET: Final = Question("offcut.sheet", "Which sheet of a set is it from?", "Of numbered sheets only.",
    optional(count_from(1)), "")
OFFCUT_BATCH: Final = Question("offcut.batch", "Of which batch is it?", ROLL_BATCH.why, optional(NAME), "")

PASTED: Final = Question("pace.pasted", "Is the paste put on the paper or on the wall?",
    "A paper for a pasted wall neither soaks nor waits folded.", choice([what.value for what in PastedOn]))
SOAK: Final = Question("pace.soak", "How many minutes does it soak?",
    "As the label says; every length soaks alike, or joints open. None on a pasted wall.", MINUTES)
FOLDED: Final = Question("pace.folded", "How many pasted lengths may wait folded?", "Three or four at a time.",
    count_from(1), str(USUAL_FOLDED))
TO_CUT: Final = Question("pace.minutes_cut", "How many minutes to cut a length?", "As you work.", MINUTES, "3")
TO_PASTE: Final = Question("pace.minutes_paste", "How many minutes to paste one?", "And to fold it.", MINUTES, "4")
TO_HANG: Final = Question("pace.minutes_full", "How many minutes to hang a full length?", "And to trim it.", MINUTES,
    "12")
TO_HANG_SMALL: Final = Question("pace.minutes_small", "How many minutes to hang a short one?",
    "Of less than half the longest: over a door, say.", MINUTES, "6")
BEGIN: Final = Question("pace.begin", "When does your day begin?", "The hour and minutes, such as 07:30.", CLOCK,
    "08:00")
STOP: Final = Question("pace.stop", "When does your day end?", "By when all that is pasted hangs; empty for no end.",
    optional(CLOCK), "")
MATE: Final = Question("pace.mate", "Does a mate cut and paste (yes or no)?", "While you hang.", YES_OR_NO, "no")
CUT_ORDER: Final = Question("cutting.order", "In which order are lengths cut?",
    "As they hang, wall by wall, or to save paper whatever hangs first.", choice([way.value for way in Follow]),
    Follow.DROPS.value)
FIRST_WALLS: Final = Question("cutting.first_walls", "Which walls come first where the rolls are too few?",
    "Their names in order, a semicolon between them; else that of the start, then the largest.", optional(NAMES), "")
OPEN_ROLLS: Final = Question("cutting.open_rolls", "How many rolls may be open at once?", "On the table, half used.",
    count_from(1), str(USUAL_OPEN_ROLLS))

BAND_ABOVE: Final = Question("band.above", "Above which rail is it?", "Empty for the lowest band.", optional(NAME), "")
BAND_BELOW: Final = Question("band.below", "Below which rail is it?", "Empty for the highest band.", optional(NAME), "")
BAND_LEVEL: Final = Question("band.level_line", "How high is its level line?",
    "What its print hangs from, above the floor line; empty for its own top at the start.", optional(LENGTH), "")
BORDER_TOP: Final = Question("border.top", "Or how high is its upper edge?",
    "In place of its lower one; or as 0 mm below top.", optional(LINE), "")
BORDER_ENDS: Final = Question("border.ends", "How much longer is each end cut?", "To be trimmed where two strips meet.",
    optional(DISTANCE), "")
BORDER_JOINS: Final = Question("border.joins", "Where may its strips be joined?", "In corners nobody sees a joint.",
    choice(JOINS), JOINS[0])
BORDER_ACROSS: Final = Question("border.across", "How many lie side by side on a roll?", "Slit apart, each is a strip.",
    count_from(1), "1")
LINING_NAME: Final = Question("lining.name", "What is the lining called?", "Its grade, say.", optional(NAME), "")
LINING_PRICE: Final = Question("lining.price", "What does a roll of lining cost?", "Of one roll.", optional(PRICE), "")
LINING_WAY: Final = Question("lining.way", "Which way do its lengths run?",
    "Along the walls, from the ceiling down, or up and down.", choice([way.value for way in LiningWay]),
    LiningWay.HORIZONTAL.value)
LINING_CORNERS: Final = Question("lining.corners", "Is it broken in corners or carried round?",
    "Inner ones, where lengths run along the walls.", choice(CORNERS), CORNERS[0])
AT_OPENINGS: Final = Question("lining.at_openings", "How does it pass an opening?",
    "Cut out of one length, or in two lengths that meet beside it.", choice([way.value for way in AtOpenings]),
    AtOpenings.LEAST_WASTE.value)
STOP_SHORT: Final = Question("lining.stop_short", "How far short of corners does it stop?",
    "Of ceiling and skirting too.", optional(DISTANCE), "")
LINING_END: Final = Question("lining.end", "How much longer is each of its ends cut?", "To be trimmed on the wall.",
    optional(DISTANCE), "")
LINING_CLEAR: Final = Question("lining.clear", "How far from one another are joints kept?",
    "Of the lining and of the paper over it.", optional(DISTANCE), "")
LINING_DRIES: Final = Question("lining.dries", "How many hours does it dry?", "Before anything hangs over it.",
    count_from(1, 336), "24")
DAMP: Final = Question("damp", "How many linings against damp?", "Each on one part of one wall, under all else.", COUNT,
    "0")
DAMP_ADHESIVE: Final = Question("damp_lining.adhesive", "What is it hung with?", "The adhesive of its own label.", NAME)
DAMP_WALL: Final = Question("damp_lining.part.wall", "On which wall?", "Its name.", NAME)
DAMP_LEFT: Final = Question("damp_lining.part.left", "From where on that wall?", "From its left; empty for its edge.",
    optional(DISTANCE), "")
DAMP_WIDTH: Final = Question("damp_lining.part.width", "How wide is that part?", "Empty for all of the wall.",
    optional(LENGTH), "")
DAMP_FOOT: Final = Question("damp_lining.part.foot", "How high does it begin?",
    "Above the floor line; empty for the floor.", optional(DISTANCE), "")
DAMP_HEIGHT: Final = Question("damp_lining.part.height", "How high does it reach?",
    "Above the floor; empty for all of it.", optional(LENGTH), "")
MATERIALS: Final = Question("materials", "What else is bought: how many things?",
    "Paste, size, filler, each as it is sold; the shopping list tells how much.", COUNT, "0")
MATERIAL_NAME: Final = Question("material.name", "What is it called?", "As it is bought.", NAME)
MATERIAL_USE: Final = Question("material.use", "What is it for?", "Paste, adhesive, size or filler.",
    choice([use.value for use in Use]))
COVERS: Final = Question("material.covers", "What does a pack cover?",
    "By its label: 40 m2, 430 sq ft; of filler 60 m.",
    optional(NAME), "")
PACK: Final = Question("material.pack", "What does it come in?", "A tub, a packet, a bag.", optional(NAME), "pack")
PACK_PRICE: Final = Question("material.price", "What does a pack cost?", "Of one.", optional(PRICE), "")

MATERIAL_ON: Final = Question("material.on", "For which parts of the job alone?",
    "Their names, a semicolon between them; else wherever it is of use.", optional(NAMES), "")

# A contract: rooms alike, and how many there are

ROOM_COUNT: Final = Question("rooms.count", "How many such rooms are there?",
    "Mirrored ones too; rooms not alike have a file each.", count_from(1, 9999), "1", remark="how many there are")
MIRRORED: Final = Question("rooms.mirrored", "How many of them are mirrored?",
    "Their walls are, left and right changed over; their print is not.", count_from(0, 9999), "0", remark="of them")
SPARE: Final = Question("contract.spare", "How many rolls are to be spare, in per cent?",
    "What the contract asks for besides the rolls needed.", per_cent(100), "0",
    remark="per cent of the rolls, bought besides")

# fmt: on

QUESTIONS: Final[tuple[Question[object], ...]] = tuple(
    value for value in dict(globals()).values() if isinstance(value, Question)
)
"""All of them, in the order of the survey."""
