"""Files are written whole or not at all, and never over the scenario."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from typing import TYPE_CHECKING

import pytest
from typer.testing import CliRunner

from cutplan.cli import in_and_out
from cutplan.cli.all_commands import app
from cutplan.cli.contract_command import CONTRACT, CONTRACT_PAGE
from cutplan.cli.in_and_out import KEPT, PLAN, PLAN_PAGE
from cutplan.cli.new_command import ANSWERS
from cutplan.whole_file import FileKind, WriteError, refuse_target, write_new, write_whole

if TYPE_CHECKING:
    from pathlib import Path


def test_writing_replaces_a_file_whole(tmp_path: Path) -> None:
    """The new text stands alone in the folder: no part file is left beside it."""
    target = tmp_path / "plan.json"
    target.write_text("old and longer", encoding="utf-8")
    write_whole(str(target), "new ↑\n")

    assert target.read_bytes() == "new ↑\n".encode()
    assert os.listdir(tmp_path) == ["plan.json"]  # noqa: PTH208 - names, hidden ones too


def test_writing_keeps_the_permissions_of_the_file_replaced(tmp_path: Path) -> None:
    """A plan that the whole crew may read stays readable to the crew."""
    target = tmp_path / "plan.json"
    target.write_text("old", encoding="utf-8")
    target.chmod(0o664)
    write_whole(str(target), "new")

    assert target.stat().st_mode & 0o777 == 0o664


def test_writing_through_a_link_keeps_the_link(tmp_path: Path) -> None:
    """The file linked to is replaced, not the link."""
    target, link = tmp_path / "plan.json", tmp_path / "latest.json"
    target.write_text("old", encoding="utf-8")
    link.symlink_to(target)
    write_whole(str(link), "new")

    assert link.is_symlink()
    assert target.read_text(encoding="utf-8") == "new"


def test_failed_writing_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """When the disk is full the old plan is still there, whole, with nothing beside it."""

    def full(_handle: int) -> None:
        raise OSError(28, "No space left on device")

    target = tmp_path / "plan.json"
    target.write_text("old", encoding="utf-8")
    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(WriteError) as caught:
        write_whole(str(target), "new")

    assert str(caught.value) == f"{target}: cannot be written: no space left on device; nothing was changed"
    assert target.read_text(encoding="utf-8") == "old"
    assert os.listdir(tmp_path) == ["plan.json"]  # noqa: PTH208 - names, hidden ones too


def test_scenario_itself_is_no_place_for_its_plan(tmp_path: Path) -> None:
    """Whatever the name it is reached by."""
    scenario, link = tmp_path / "wall.toml", tmp_path / "plan.json"
    scenario.write_text("", encoding="utf-8")
    link.symlink_to(scenario)
    with pytest.raises(WriteError) as caught:
        refuse_target(str(link), str(scenario), PLAN, force=True)

    assert str(caught.value) == f"{link}: is the scenario itself; give the plan another name"


def test_folders_are_no_place_for_a_plan(tmp_path: Path) -> None:
    """Neither a folder itself nor a file in a folder that is not there."""
    with pytest.raises(WriteError) as is_folder:
        refuse_target(str(tmp_path), "wall.toml", PLAN)
    with pytest.raises(WriteError) as no_folder:
        refuse_target(str(tmp_path / "jobs" / "plan.json"), "wall.toml", PLAN)

    assert str(is_folder.value) == f"{tmp_path}: is a folder; give the name of a file in it"
    missing = str(tmp_path / "jobs")
    assert (
        str(no_folder.value)
        == f"{missing}/plan.json: there is no folder {missing!r}; make it first, or write elsewhere"
    )


def test_what_cutplan_wrote_is_known_by_its_mark(tmp_path: Path) -> None:
    """A text bears a last line with a sum, JSON its format; each is replaced by its own kind only."""
    page, plan = tmp_path / "plan.txt", tmp_path / "plan.json"
    write_whole(str(page), "4 rolls\n", PLAN_PAGE)
    write_whole(str(plan), '{\n  "format": "cutplan-plan/1"\n}\n', PLAN)

    assert page.read_text(encoding="utf-8").startswith("4 rolls\n[cutplan-plan-page/1 ")
    refuse_target(str(page), "wall.toml", PLAN_PAGE)
    refuse_target(str(plan), "wall.toml", PLAN)
    for path, kind in ((page, PLAN), (page, KEPT), (plan, PLAN_PAGE)):
        with pytest.raises(WriteError, match=r"is not .* as cutplan left it; .* --force"):
            refuse_target(str(path), "wall.toml", kind)
        refuse_target(str(path), "wall.toml", kind, force=True)


def test_what_was_changed_since_is_no_longer_ours(tmp_path: Path) -> None:
    """Offcuts kept, to which somebody has added the rest of a scenario, are a scenario."""
    kept = tmp_path / "kept.toml"
    write_whole(str(kept), "[[offcut]]\n", KEPT)
    refuse_target(str(kept), "wall.toml", KEPT)
    kept.write_text("[paper]\n" + kept.read_text(encoding="utf-8"), encoding="utf-8")

    with pytest.raises(WriteError, match="is there already"):
        refuse_target(str(kept), "wall.toml", KEPT)


KINDS = [kind for kind in vars(in_and_out).values() if isinstance(kind, FileKind)] + [CONTRACT, CONTRACT_PAGE, ANSWERS]
WRITERS = {
    "plan none.toml -o": in_and_out.PLAN_PAGE,
    "plan none.toml --json -o": in_and_out.PLAN,
    "plan none.toml --stock-out": in_and_out.KEPT,
    "buy none.toml -o": in_and_out.BUYING_PAGE,
    "buy none.toml --json -o": in_and_out.BUYING,
    "compare none.toml -o": in_and_out.COMPARING_PAGE,
    "compare none.toml --json -o": in_and_out.COMPARING,
    "contract none.toml -o": CONTRACT_PAGE,
    "contract none.toml --json -o": CONTRACT,
    "draw none.toml -o": in_and_out.DRAWING,
    "sheet none.toml -o": in_and_out.JOB_SHEET,
    "sheet none.toml --customer -o": in_and_out.CUSTOMER_PAGE,
    "sheet none.toml -o pdf": in_and_out.JOB_SHEET_PDF,
    "sheet none.toml --customer -o pdf": in_and_out.CUSTOMER_PAGE_PDF,
}
"""Each way to have a file written, of a scenario that is not there, and the kind of file."""


def documents() -> dict[str, bytes]:
    """Return a file of every kind that cutplan writes, by its name, and some that are nobody's to replace."""
    ours = {
        kind.name: kind.signed(f'{{"format": "{kind.mark}"}}'.encode() if not kind.line else b"x") for kind in KINDS
    }
    ours[CONTRACT.name] = b'{"format": "cutplan-plans/1", "contract": {}}'
    others = {
        "another job's scenario": b'units = "mm"\n[paper]\nroll_length = "10 m"\n',
        "a record": b'{"format":"cutplan-record/1","entry":1}\n',
        "the end of a record": b'{"format": "cutplan-record-end/1", "entries": 1}\n',
        "half a plan": b'{"format": "cutplan-plan/1", "rolls": [',
        "a page changed since": ours[PLAN_PAGE.name].replace(b"x", b"y", 1),
        "somebody's notes": b"buy paste\n",
    }
    return ours | others


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
def test_only_a_file_of_its_own_kind_is_replaced_unasked(kind: FileKind, tmp_path: Path) -> None:
    """Every kind of file that cutplan writes against every kind of file that may be there."""
    target = tmp_path / "there"
    refused = set()
    for name, content in documents().items():
        target.write_bytes(content)
        try:
            refuse_target(str(target), "wall.toml", kind)
        except WriteError:
            refused.add(name)
        refuse_target(str(target), "wall.toml", kind, force=True)

    assert refused == documents().keys() - {kind.name}


@pytest.mark.parametrize("words", WRITERS)
def test_every_command_keeps_what_it_did_not_write(words: str, tmp_path: Path) -> None:
    """Another job's scenario is refused before the command's own is read; what it wrote itself, or --force, is not."""
    command, kind = words.removesuffix(" pdf").split(), WRITERS[words]
    target = tmp_path / ("there.pdf" if words.endswith(" pdf") else "there")
    told = []
    for name, force in (("another job's scenario", []), ("another job's scenario", ["--force"]), (kind.name, [])):
        target.write_bytes(documents()[name])
        told.append(CliRunner().invoke(app, [*command, str(target), *force]).stderr)
        assert target.read_bytes() == documents()[name]

    refusal = f"is there already, and is not {kind.name} as cutplan left it"
    assert [refusal in each for each in told] == [True, False, False]
    assert ["none.toml" in each for each in told] == [False, True, True]


def test_plan_of_several_parts_is_a_plan_and_a_contract_is_none(tmp_path: Path) -> None:
    """Both are lists of plans by their mark: ``plan --json`` replaces the one, ``contract --json`` the other."""
    parts, rooms = tmp_path / "parts.json", tmp_path / "rooms.json"
    parts.write_bytes(b'{"format": "cutplan-plans/1", "plans": []}')
    rooms.write_bytes(documents()[CONTRACT.name])

    refuse_target(str(parts), "wall.toml", PLAN)
    refuse_target(str(rooms), "wall.toml", CONTRACT)
    for path, kind in ((parts, CONTRACT), (rooms, PLAN)):
        with pytest.raises(WriteError, match="is there already"):
            refuse_target(str(path), "wall.toml", kind)


@pytest.mark.parametrize("content", [b"units = 'mm'", b'{"format": "cutplan-plan/1"', b"{}", b"\xff\x00"])
def test_what_others_wrote_is_kept(content: bytes, tmp_path: Path) -> None:
    """A scenario, half a plan, other JSON, and bytes that are no text; an empty file holds nothing to lose."""
    target = tmp_path / "plan.json"
    target.write_bytes(content)
    with pytest.raises(WriteError, match="is there already"):
        refuse_target(str(target), "wall.toml", PLAN)
    target.write_bytes(b"")
    refuse_target(str(target), "wall.toml", PLAN)


def test_name_too_long_for_a_file_is_said_before_the_work(tmp_path: Path) -> None:
    """300 characters: no system has such files."""
    with pytest.raises(WriteError, match="is too long for the name of a file"):
        refuse_target(str(tmp_path / ("x" * 300)), "wall.toml", PLAN)


def test_new_file_is_written_whole_and_over_nothing(tmp_path: Path) -> None:
    """The second time there is a file already, which stays."""
    target = tmp_path / "room.toml"
    write_new(str(target), "first")
    with pytest.raises(WriteError, match="is not written over"):
        write_new(str(target), "second")

    assert target.read_text(encoding="utf-8") == "first"
    assert os.listdir(tmp_path) == ["room.toml"]  # noqa: PTH208 - names, hidden ones too


WRITER = """\
import os, signal, sys
from cutplan.interruption import listen
from cutplan.whole_file import write_whole
to_disk = os.fsync
os.fsync = lambda handle: (os.kill(os.getpid(), int(sys.argv[2])), to_disk(handle))
listen()
write_whole(sys.argv[1], "new")
print("went on")
"""


@pytest.mark.parametrize("name", ["SIGALRM", "SIGQUIT", "SIGUSR1", "SIGRTMAX", "SIGTERM"])
def test_no_signal_that_can_be_heard_ends_a_writing(name: str, tmp_path: Path) -> None:
    """Sent before the file has its name, it ends the program once the file is whole, and nothing lies beside it."""
    number = getattr(signal, name)
    command = [sys.executable, "-c", WRITER, "plan.txt", str(number)]
    done = subprocess.run(command, cwd=tmp_path, check=False, capture_output=True, text=True)  # noqa: S603 - our own

    assert (done.returncode, done.stdout, done.stderr) == (-number, "", "")
    assert [(path.name, path.read_text(encoding="utf-8")) for path in tmp_path.iterdir()] == [("plan.txt", "new")]


def test_what_a_killed_program_left_goes_with_the_next_writing(tmp_path: Path) -> None:
    """Nobody can hear SIGKILL: the part file is never taken for the plan, and goes once nobody can be writing it."""
    command = [sys.executable, "-c", WRITER, "plan.txt", str(int(signal.SIGKILL))]
    subprocess.run(command, cwd=tmp_path, check=False, capture_output=True)  # noqa: S603 - our own
    (left,) = tmp_path.iterdir()
    assert left.name.endswith(".part")
    write_whole(str(tmp_path / "plan.txt"), "new")
    assert left.exists()  # another may be writing it still

    long_ago = time.time() - 3600
    os.utime(left, (long_ago, long_ago))
    write_whole(str(tmp_path / "plan.txt"), "newer")

    assert [path.name for path in tmp_path.iterdir()] == ["plan.txt"]
