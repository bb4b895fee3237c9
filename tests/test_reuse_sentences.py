"""Every sentence of ``fit``, of what to keep and of the notes, worked out again from what ``plan --json`` prints.

``benchmarks/reuse_sentences.py`` does the same for 300 rooms.
"""

from __future__ import annotations

import pytest

from reuse_asked import judged_list, judged_survey


@pytest.mark.parametrize("seed", range(24))
def test_what_is_said_of_paper_left_and_of_an_offcut_is_true(seed: int) -> None:
    """Narrow drops, cut-outs, offcuts and batches: what is kept would serve, and the offcut saves what is said."""
    faults, _ = judged_list(seed)

    assert faults == []


@pytest.mark.parametrize("seed", range(6))
def test_what_is_said_of_a_surveyed_room_is_true(seed: int) -> None:
    """Joints, narrow strips, motifs cut, the closing joint, fittings and heights; and what is kept of its plan."""
    faults, stated = judged_survey(seed)

    assert faults == []
    assert stated > 8
