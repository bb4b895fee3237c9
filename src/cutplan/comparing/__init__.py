"""Comparing: other places for a room's start and finish, and other heights of its print, side by side."""
