"""What every test in a browser has at hand."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from in_chromium import launched

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Browser


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """Return Chromium, started once for all tests of a file."""
    with launched() as started:
        yield started
