"""What every test shares: one modest Hypothesis profile, and a browser where one is asked for."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from hypothesis import settings

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Browser

settings.register_profile("cutplan", max_examples=50, deadline=None, derandomize=True)
settings.load_profile("cutplan")


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """Return Chromium, started once for all tests of a file in tests/browser."""
    from in_chromium import launched  # noqa: PLC0415 - found beside those tests only

    with launched() as started:
        yield started
