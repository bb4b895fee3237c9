"""Comparing: other places for a room's start and finish, and other heights of its print, side by side."""

from cutplan.comparing.comparison import Comparison, compare
from cutplan.comparing.figures import Compared
from cutplan.comparing.front import beaten_by
from cutplan.comparing.heights import ClassCuts, HeightRange, Heights, MotifCut, heights_of
from cutplan.comparing.placements import (
    IMPERIAL_STEP,
    METRIC_STEP,
    Focus,
    Insisted,
    NotARoomError,
    Placement,
    focus_named,
    focus_of,
)
from cutplan.comparing.proving import Proved
from cutplan.comparing.sweep import processors

__all__ = [
    "IMPERIAL_STEP",
    "METRIC_STEP",
    "ClassCuts",
    "Compared",
    "Comparison",
    "Focus",
    "HeightRange",
    "Heights",
    "Insisted",
    "MotifCut",
    "NotARoomError",
    "Placement",
    "Proved",
    "beaten_by",
    "compare",
    "focus_named",
    "focus_of",
    "heights_of",
    "processors",
]
