"""What every test shares: one Hypothesis profile, modest and the same on every run."""

from __future__ import annotations

from hypothesis import settings

settings.register_profile("cutplan", max_examples=50, deadline=None, derandomize=True)
settings.load_profile("cutplan")
