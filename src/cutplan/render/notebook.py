"""How plans and rooms show themselves in a notebook."""

from __future__ import annotations

from hashlib import sha256
from html import escape

from cutplan.plan.plan import Plan
from cutplan.render.drawing.picture import stacked
from cutplan.render.drawing.roll_picture import roll_pictures
from cutplan.render.drawing.wall_picture import bare_wall_pictures, wall_pictures
from cutplan.render.words.answer_words import answer
from cutplan.room.walls import Room
from cutplan.setting_out import SettingOut
from cutplan.table.sequence import sequence_of


def plan_html(plan: Plan) -> str:
    """Return a plan as HTML: its answer in sentences, and its rolls drawn."""
    if not plan.layouts:
        return "<p>No plan was found.</p>"
    sequence = sequence_of(plan)
    lines = "".join(f"<p>{escape(line)}</p>" for line in answer(plan))
    return f"<div>{lines}{stacked(roll_pictures(sequence, name=_name(plan)))}</div>"


def setting_out_svg(setting_out: SettingOut) -> str:
    """Return a room set out as one SVG: its walls with the paper on them."""
    return stacked([part.picture for part in wall_pictures(setting_out, name=_name(setting_out))])


def room_svg(room: Room) -> str:
    """Return a room as one SVG: its walls with their openings and fittings."""
    return stacked([part.picture for part in bare_wall_pictures(room, name=_name(room))])


def _name(record: object) -> str:
    """Return a beginning for ids that no other record's pictures in the same notebook have."""
    return f"c{sha256(repr(record).encode()).hexdigest()[:12]}"
