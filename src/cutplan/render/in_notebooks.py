"""Which records a notebook shows as pictures: told to it by name, so that nothing is loaded before one is shown."""

from __future__ import annotations

import sys
from collections.abc import Callable
from importlib import import_module
from typing import Final

SHOWN: Final = (
    ("text/html", "cutplan.plan.plan", "Plan", "plan_html"),
    ("image/svg+xml", "cutplan.room.walls", "Room", "room_svg"),
    ("image/svg+xml", "cutplan.setting_out.whole", "SettingOut", "setting_out_svg"),
)
"""The kind of picture, the record's module and name, and the function of ``notebook`` that draws it."""


def tell_notebook() -> None:
    """Tell the notebook that this process serves, if it does, how records are shown."""
    # Whoever runs in a notebook has loaded IPython long before.
    ipython = sys.modules.get("IPython")
    shell = None if ipython is None else ipython.get_ipython()
    if shell is None:
        return
    for kind, module, name, drawing in SHOWN:
        shell.display_formatter.formatters[kind].for_type_by_name(module, name, _drawn_by(drawing))


def _drawn_by(name: str) -> Callable[[object], str]:
    """Return the function of this name, loaded when it is first called."""

    def draw(record: object) -> str:
        drawn: str = getattr(import_module("cutplan.render.notebook"), name)(record)
        return drawn

    return draw
