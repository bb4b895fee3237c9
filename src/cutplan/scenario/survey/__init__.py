"""Surveys: the tables of a scenario that describe a room, read into a setting out.

Every fault is reported at its key: what cannot be read here, and what the room's own records refuse. The reading
itself is in :mod:`cutplan.scenario.survey.room_tables`, which a plain list of drops need not load.
"""

from typing import Final

SURVEY_KEYS: Final = ("room", "wall", "start", "finish")
"""The top-level keys of a survey; a scenario has these or ``drop``."""
