"""The record file: durable entries in order, torn ends left out, and damage found and named."""

from __future__ import annotations

import json
import os
import random
import signal
import subprocess
import sys
import threading
import time
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, Final

import pytest

from cutplan.progress import record
from cutplan.progress.record import Entry, RecordError, fingerprint, open_record, read_record
from cutplan.progress.record_beside import end_path, has_record, record_path, scenario_beside

if TYPE_CHECKING:
    from collections.abc import Iterator

WRITER: Final = """
import sys
from pathlib import Path
from cutplan.progress.record import open_record

name, path, times = sys.argv[1], Path(sys.argv[2]), int(sys.argv[3])
for turn in range(times):
    with open_record(path) as held:
        entry = held.append("note", {"by": name, "turn": turn, "filling": "x" * (turn * 97 % 3000)})
    sys.stdout.write(f"{entry.number} {turn}\\n")
    sys.stdout.flush()
"""
"""Adds entries one by one, and acknowledges each on standard output once it is kept."""


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Return where a record may be kept."""
    return tmp_path / "room.record.jsonl"


def three_notes(path: Path) -> list[Entry]:
    """Return three entries that were recorded one after another."""
    entries = []
    for word in ("one", "two", "three"):
        with open_record(path) as held:
            entries.append(held.append("note", {"word": word}))
    return entries


def three_of_an_older_version(path: Path) -> list[Entry]:
    """Return three entries without the file beside them, which is written after an entry and so tells torn from cut."""
    entries = three_notes(path)
    end_path(path).unlink()
    return entries


def lines_of(path: Path) -> list[bytes]:
    """Return the lines of a file with their ends."""
    return path.read_bytes().splitlines(keepends=True)


def start_writer(name: str, path: Path, times: int) -> subprocess.Popen[str]:
    """Start a process that adds ``times`` entries."""
    command = [sys.executable, "-c", WRITER, name, str(path), str(times)]
    return subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)  # noqa: S603 - our own


def acknowledged(process: subprocess.Popen[str]) -> Iterator[tuple[int, int]]:
    """Yield the number and turn of each entry that a process, now ended, was told is kept."""
    with process:
        assert process.stdout is not None
        shown = process.stdout.read()  # as the first line was read, or what was read with it is lost
    for line in shown.splitlines(keepends=True):
        if line.endswith("\n"):
            number, turn = line.split()
            yield int(number), int(turn)


def test_record_stands_beside_its_scenario() -> None:
    """Its name is the scenario's, so that both are found and copied together."""
    assert record_path("jobs/room.toml") == Path("jobs/room.record.jsonl")


def test_no_file_is_an_empty_record(path: Path) -> None:
    """Reading makes no file: nothing was begun."""
    assert read_record(path).entries == ()
    assert not path.exists()


def test_what_was_recorded_is_read_back_in_order(path: Path) -> None:
    """Three entries, each added by itself; their numbers are those of their lines."""
    written = three_notes(path)

    assert list(read_record(path).entries) == written
    assert [entry.number for entry in written] == [1, 2, 3]
    assert [entry.facts["word"] for entry in written] == ["one", "two", "three"]


def test_each_entry_is_one_line_and_the_first_names_the_format(path: Path) -> None:
    """Any program that reads JSON lines can read the record."""
    three_notes(path)
    first, second, _ = (json.loads(line) for line in lines_of(path))

    assert list(first)[:4] == ["format", "entry", "at", "kind"]
    assert first["format"] == "cutplan-record/1"
    assert "format" not in second


def test_entry_is_on_the_disk_before_the_call_returns(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The file is synced after each line, and its folder once, when the file is new."""
    synced = []
    real = os.fsync

    def watched(handle: int) -> None:
        synced.append(os.fstat(handle).st_ino)
        real(handle)

    monkeypatch.setattr(os, "fsync", watched)
    three_notes(path)
    file, folder = path.stat().st_ino, path.parent.stat().st_ino

    assert synced[:2] == [file, folder]
    assert synced.count(file) == 3


def test_unfinished_last_line_is_left_out_with_a_word(path: Path) -> None:
    """However much of it was written: none of it was acknowledged."""
    three_of_an_older_version(path)
    beside = "room.record.end, which counts its entries, is not beside it"
    uncounted = f"{path}: {beside}, so nobody can tell whether entries after the last were lost"
    whole = path.read_bytes()
    *kept, last = lines_of(path)
    for length in range(1, len(last)):
        path.write_bytes(b"".join(kept) + last[:length])
        reading = read_record(path)

        assert [entry.number for entry in reading.entries] == [1, 2]
        assert reading.notes(path) == [
            f"{path}: the last line was never finished, so it was not recorded and is ignored",
            uncounted,
        ]
    path.write_bytes(whole)
    assert read_record(path).notes(path) == [uncounted]


def test_next_entry_takes_the_place_of_an_unfinished_line(path: Path) -> None:
    """The torn bytes are gone, and the record is whole again."""
    three_of_an_older_version(path)
    path.write_bytes(path.read_bytes()[:-5])
    with open_record(path) as held:
        entry = held.append("note", {"word": "third again"})

    assert entry.number == 3
    assert [entry.facts["word"] for entry in read_record(path).entries] == ["one", "two", "third again"]
    assert read_record(path).torn == 0


def test_first_line_torn_is_an_empty_record(path: Path) -> None:
    """A record that was cut off in its first line holds nothing, and can be begun again."""
    three_of_an_older_version(path)
    first = lines_of(path)[0]
    for length in (1, 9, 20, len(first) - 1):
        path.write_bytes(first[:length])
        assert read_record(path).entries == ()
    with open_record(path) as held:
        assert held.append("note", {"word": "one"}).number == 1


def test_blocks_that_a_power_cut_left_empty_are_a_torn_line(path: Path) -> None:
    """A file may have its new length and not yet its new bytes, which then read as NUL."""
    three_of_an_older_version(path)
    *kept, last = lines_of(path)
    path.write_bytes(b"".join(kept) + b"\0" * (len(last) - 1) + b"\n")

    assert [entry.number for entry in read_record(path).entries] == [1, 2]


@pytest.mark.parametrize("number", [1, 2, 3])
def test_changed_line_is_an_error_with_its_number(path: Path, number: int) -> None:
    """Whichever line it is, as long as it is whole: nobody may rewrite what was done."""
    three_notes(path)
    lines = lines_of(path)
    lines[number - 1] = lines[number - 1].replace(b'"word":"', b'"word":"not ')
    path.write_bytes(b"".join(lines))
    what = "this line was changed, or a line before it was lost, since it was recorded"

    with pytest.raises(RecordError) as caught:
        read_record(path)

    assert str(caught.value) == f"{path}:{number}: {what}; put back the record as it was, from a copy"


@pytest.mark.parametrize(
    ("order", "at_fault"),
    [((1, 2), 1), ((0, 2), 2), ((1, 0, 2), 1), ((0, 2, 1), 2), ((0, 1, 1, 2), 3)],
    ids=["first lost", "second lost", "first two swapped", "last two swapped", "second twice"],
)
def test_lines_lost_or_moved_are_an_error(path: Path, order: tuple[int, ...], at_fault: int) -> None:
    """Each line is sealed to the one before it."""
    three_notes(path)
    lines = lines_of(path)
    path.write_bytes(b"".join(lines[place] for place in order))

    with pytest.raises(RecordError, match=f":{at_fault}: this line was changed, or a line before it was lost"):
        read_record(path)


def test_record_cut_off_at_a_whole_line_is_an_error(path: Path) -> None:
    """The last two of three entries deleted, each line whole: the file beside the record knows of them."""
    three_notes(path)
    path.write_bytes(lines_of(path)[0])
    with pytest.raises(RecordError) as caught:
        read_record(path)

    assert str(caught.value).startswith(
        f"{path}: the record was cut off: it ends after entry 1, and 3 were recorded; put back the record"
    )
    with pytest.raises(RecordError, match="was cut off"), open_record(path):
        pass


def test_record_that_is_gone_is_not_one_that_was_never_begun(path: Path) -> None:
    """Neither read nor begun again while the file beside it is there."""
    three_notes(path)
    path.unlink()
    with pytest.raises(RecordError, match="is gone, with 3 entries"):
        read_record(path)
    with pytest.raises(RecordError, match="is gone, with 3 entries"), open_record(path):
        pass
    assert not path.exists()
    end_path(path).unlink()
    assert read_record(path).entries == ()


def test_record_of_another_history_is_an_error(path: Path) -> None:
    """As many entries, each line sound, but not the ones that were recorded."""
    three_notes(path)
    kept = end_path(path).read_bytes()
    path.unlink()
    end_path(path).unlink()
    for _ in range(3):
        with open_record(path) as held:
            held.append("note", {"word": "another"})
    end_path(path).write_bytes(kept)

    with pytest.raises(RecordError, match="entry 3 is not the one that was recorded"):
        read_record(path)


def test_record_ahead_of_the_file_beside_it_is_sound(path: Path) -> None:
    """Killed between the two: the entry counts, though nobody was told of it. So does a record without such a file."""
    three_notes(path)
    kept = end_path(path).read_bytes()
    with open_record(path) as held:
        held.append("note", {"word": "four"}, "done 4")
    end_path(path).write_bytes(kept)
    assert (len(read_record(path).entries), read_record(path).answered) == (4, 3)
    end_path(path).unlink()
    assert (len(read_record(path).entries), read_record(path).answered) == (4, 4)


def test_command_is_answered_when_it_says_so(path: Path) -> None:
    """Until then its entry is known by the command's own words."""
    with open_record(path) as held:
        held.append("note", {"word": "one"}, "done 4")
    before = read_record(path)
    with open_record(path) as held:
        held.answer()

    assert (before.entries[-1].asked, before.answered) == ("done 4", 0)
    assert read_record(path).answered == 1


def test_file_that_is_no_record_is_not_touched(path: Path) -> None:
    """Somebody's notes under the record's name stay as they are."""
    path.write_text("remember the paste")
    with pytest.raises(RecordError, match="is no record of work done; move it away"), open_record(path) as held:
        held.append("note", {})

    assert path.read_text() == "remember the paste"


def test_record_of_another_format_is_refused(path: Path) -> None:
    """A later format is named, not guessed at."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(record, "FORMAT", "cutplan-record/2")
        three_notes(path)

    with pytest.raises(RecordError) as caught:
        read_record(path)

    assert str(caught.value) == (
        f"{path}:1: its format is 'cutplan-record/2'; this program knows 'cutplan-record/1' only"
    )


def test_full_disk_leaves_the_record_as_it_was(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A line of which only a part could be written is taken back, and the error says that nothing was recorded."""
    three_notes(path)
    before = path.read_bytes()
    real = os.write
    monkeypatch.setattr(os, "write", lambda handle, data: real(handle, data[:7]))

    with pytest.raises(RecordError) as caught, open_record(path) as held:
        held.append("note", {"word": "four"})

    assert str(caught.value) == (
        f"{path}: cannot be written, so nothing was recorded: the disk took only a part of the line"
    )
    assert path.read_bytes() == before


def test_record_in_a_folder_that_is_missing(tmp_path: Path) -> None:
    """The error names the file and the reason."""
    path = tmp_path / "nowhere" / "room.record.jsonl"
    with pytest.raises(RecordError) as caught, open_record(path):
        pass

    assert str(caught.value) == f"{path}: cannot be opened to write in it: no such file or directory"


def test_whoever_comes_second_waits_and_then_gives_up(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Patience is shortened here to a moment."""
    monkeypatch.setattr(record, "PATIENCE", 0.05)
    with (
        open_record(path),
        pytest.raises(RecordError, match="another cutplan has been writing to it"),
        open_record(path),
    ):
        pass


def test_fingerprint_does_not_depend_on_the_order_of_keys() -> None:
    """It tells documents apart by what they say."""
    assert fingerprint({"a": 1, "b": [2.5, "x"]}) == fingerprint({"b": [2.5, "x"], "a": 1})
    assert fingerprint({"a": 1}) != fingerprint({"a": 2})


def test_two_processes_at_once_are_both_kept_in_order(path: Path) -> None:
    """Two writers of 60 entries each: 120 lines, numbered through, each writer's own in its own order."""
    writers = {name: start_writer(name, path, 60) for name in ("ann", "ben")}
    told = {name: list(acknowledged(process)) for name, process in writers.items()}
    entries = read_record(path).entries

    assert [entry.number for entry in entries] == list(range(1, 121))
    for name, kept in told.items():
        assert [(entry.number, entry.facts["turn"]) for entry in entries if entry.facts["by"] == name] == kept
        assert [turn for _, turn in kept] == list(range(60))


def test_killed_at_any_moment_nothing_acknowledged_is_lost(path: Path) -> None:
    """12 writers on one record, each ended by kill -9; benchmarks/record_kill.py does hundreds."""
    chance = random.Random(20310504)  # noqa: S311 - moments to kill at
    for turn in range(12):
        process = start_writer(str(turn), path, 10_000)
        assert process.stdout is not None
        process.stdout.readline()  # it has begun to write
        time.sleep(chance.uniform(0, 0.05))
        process.send_signal(signal.SIGKILL)
        kept = list(acknowledged(process))
        reading = read_record(path)
        by_writer = [(entry.number, entry.facts["turn"]) for entry in reading.entries if entry.facts["by"] == str(turn)]

        assert by_writer[1 : len(kept) + 1] == kept
        assert len(by_writer) <= len(kept) + 2  # the first was read above; one may be kept and not yet told


def signed(path: Path, body: str) -> None:
    """Write a record of one line that carries its own sum, without the file beside it."""
    digits = sha256(body.encode()).hexdigest()[:16]
    path.write_text(f'{body},"sum":"{digits}"}}\n', encoding="utf-8")


@pytest.mark.parametrize("body", ['{"format":"cutplan-record/1","entry":1,"at":"x"', '{"format":"cutplan-record/1",'])
def test_sound_line_that_is_no_entry_is_named(path: Path, body: str) -> None:
    """One has no kind; the other is no JSON."""
    signed(path, body)

    with pytest.raises(RecordError, match=":1: this line is no entry of a record: "):
        read_record(path)


def test_adding_entries_leaves_no_word_to_say(path: Path) -> None:
    """None is unfinished, and all are counted; one entry alone that is not counted is no loss either."""
    with open_record(path) as held:
        held.append("note", {"word": "one"})
        held.append("note", {"word": "two"})
        assert held.reading.notes(path) == []
    assert read_record(path).notes(path) == []
    end_path(path).unlink()
    (note,) = read_record(path).notes(path)
    assert "room.record.end, which counts its entries, is not beside it" in note
    path.write_bytes(lines_of(path)[0])
    assert read_record(path).notes(path) == []


@pytest.mark.parametrize(("entries", "answered"), [(1, 0), (2, 2)])
def test_first_command_killed_at_once_was_not_answered(path: Path, entries: int, answered: int) -> None:
    """Before it could make the file beside its record; after a second entry that file was lost some other way."""
    with open_record(path) as held:
        for _ in range(entries):
            held.append("note", {}, "begin")
    end_path(path).unlink()

    assert read_record(path).answered == answered


def test_no_number_that_json_does_not_know_is_recorded(path: Path) -> None:
    """Neither in an entry nor in what a scenario is known by."""
    with pytest.raises(ValueError, match="not JSON compliant"):
        fingerprint({"height": float("nan")})
    with open_record(path) as held, pytest.raises(ValueError, match="not JSON compliant"):
        held.append("note", {"height": float("inf")})


def test_record_that_cannot_be_read_says_why(tmp_path: Path) -> None:
    """A folder stands in its place, or in that of the file beside it; or its name is too long for the disk."""
    folder = tmp_path / "attic.record.jsonl"
    folder.mkdir()
    beside = tmp_path / "loft.record.jsonl"
    end_path(beside).mkdir()

    for path, why in ((folder, "is a directory"), (beside, "is a directory"), (tmp_path / ("x" * 300), "too long")):
        with pytest.raises(RecordError, match=f": cannot be read: .*{why}"):
            read_record(path)


@pytest.mark.parametrize("text", ["", "{}", "[1]", '{"entries": [], "sum": "", "answered": 0}'])
def test_file_beside_the_record_that_was_changed_is_an_error(path: Path, text: str) -> None:
    """It is no JSON, or does not tell what it should."""
    three_notes(path)
    end_path(path).write_text(text, encoding="utf-8")

    with pytest.raises(RecordError, match="does not tell any more where the record beside it ends"):
        read_record(path)


def test_record_is_for_whomever_new_files_are(path: Path) -> None:
    """Its permissions are all that the system's mask leaves."""
    mask = os.umask(0)
    try:
        three_notes(path)
    finally:
        os.umask(mask)

    assert path.stat().st_mode & 0o777 == 0o666


@pytest.mark.skipif(sys.platform == "win32", reason="Windows locks for one alone")
def test_many_may_read_at_once_and_a_writer_waits_for_them(path: Path) -> None:
    """Somebody reads, and so may another; who would write waits until the first has done."""
    import fcntl  # noqa: PLC0415 - for this system only

    three_notes(path)
    with path.open("rb") as reader:
        fcntl.flock(reader, fcntl.LOCK_SH)
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(record, "PATIENCE", 0)
            assert len(read_record(path).entries) == 3
        threading.Timer(0.05, fcntl.flock, (reader, fcntl.LOCK_UN)).start()
        with open_record(path) as held:
            held.append("note", {})
    assert len(read_record(path).entries) == 4


def test_scenario_of_a_record_is_found_beside_it(tmp_path: Path) -> None:
    """By its own name, or as a part's; a dot in a name is one of either."""
    (tmp_path / "room.toml").touch()
    (tmp_path / "no. 4.toml").touch()
    found = {
        name: scenario_beside(tmp_path / f"{name}.record.jsonl") for name in ("room", "room.dado", "no. 4.a.b", "x")
    }

    assert found == {
        "room": str(tmp_path / "room.toml"),
        "room.dado": str(tmp_path / "room.toml/dado"),
        "no. 4.a.b": str(tmp_path / "no. 4.toml/a.b"),
        "x": None,
    }


def test_there_is_a_record_where_it_or_the_file_beside_it_is(tmp_path: Path) -> None:
    """A name that is too long for the disk has none."""
    scenario = tmp_path / "room.toml"
    assert not has_record(str(scenario))
    three_notes(record_path(str(scenario)))
    assert has_record(str(scenario))
    record_path(str(scenario)).unlink()
    assert has_record(str(scenario))
    assert not has_record("x" * 5000)
