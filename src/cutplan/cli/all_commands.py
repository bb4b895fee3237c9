"""The program with all its commands loaded: for the completion of what is typed, and for whoever runs several."""

from __future__ import annotations

from importlib import import_module

from cutplan.cli.app import app
from cutplan.cli.command_table import COMMANDS

__all__ = ["app"]

for _module in dict.fromkeys(command.module for command in COMMANDS.values()):
    import_module(f"cutplan.cli.{_module}")
