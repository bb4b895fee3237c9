"""Surveys: the tables of a scenario that describe a room, read into a setting out.

Every fault is reported at its key: what cannot be read here, and what the room's own records refuse.
"""

from cutplan.survey.whole import SURVEY_KEYS, read_setting_out

__all__ = ["SURVEY_KEYS", "read_setting_out"]
