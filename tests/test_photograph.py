"""A photograph of the paper: where its lines lie, what is made of it, and what is refused."""

from __future__ import annotations

import json
import struct
import zlib
from io import BytesIO
from typing import TYPE_CHECKING, Final

import pytest
from PIL import Image, ImageChops, ImageStat
from typer.testing import CliRunner

from cutplan.cli.all_commands import app
from cutplan.faults import ScenarioError
from cutplan.paper.photographed import Photographed
from cutplan.parts.read_parts import read_scenario
from cutplan.photograph import PictureError, print_of
from cutplan.scenario.read import parse_scenario
from leaf_print import REPEAT, SIZE, WIDTH, leaf_print, photographed, seen
from sessions import REPOSITORY

if TYPE_CHECKING:
    from pathlib import Path

    from cutplan.paper.photographed import Point

SCENARIO: Final = REPOSITORY / "scenarios" / "photographed-paper.toml"
TEXT: Final = SCENARIO.read_text(encoding="utf-8")
LINES: Final = TEXT[TEXT.index("left = [[") : TEXT.index("[[wall]]")]
PRINT: Final = leaf_print(REPEAT / 3)
FROM_ASIDE: Final = seen(0.3, -0.25)


def lines_of(corners: tuple[Point, ...]) -> str:
    """Return the four lines through the corners of a strip, as a scenario tells them."""
    one, two, three, four = (list(corner) for corner in corners)
    return f"left = {[one, four]}\nright = {[two, three]}\ntop = {[one, two]}\nbottom = {[four, three]}\n\n"


def beside(folder: Path, picture: bytes, lines: str = LINES, **changed: str) -> Path:
    """Return a scenario with a picture beside it."""
    (folder / "photographed-paper.jpg").write_bytes(picture)
    text = TEXT.replace(LINES, lines)
    for old, new in changed.items():
        text = text.replace(old, new)
    scenario = folder / "wall.toml"
    scenario.write_text(text, encoding="utf-8")
    return scenario


def refused(scenario: Path) -> str:
    """Return why the picture of a scenario cannot be used, without where it is told."""
    with pytest.raises(PictureError) as refusal:
        print_of(read_scenario(scenario))
    said = str(refusal.value)
    assert said.startswith(f"{scenario}: paper.picture: ")
    assert said.endswith(", or leave [paper.picture] out")
    return said.removeprefix(f"{scenario}: paper.picture: ").removesuffix(", or leave [paper.picture] out")


# What is made of it


@pytest.mark.parametrize(("aside", "down"), [(0.0, 0.0), (0.3, -0.25), (-0.4, 0.0), (0.0, 0.35)])
def test_straightened_print_is_the_print(tmp_path: Path, aside: float, down: float) -> None:
    """From straight ahead or from aside: the same picture, its colours out by less than 5 of 255 on average."""
    corners = seen(aside, down)
    printed = print_of(read_scenario(beside(tmp_path, photographed(PRINT, corners), lines_of(corners))))

    assert printed is not None
    assert printed.height == REPEAT
    assert printed.doubts == ()
    straight = Image.open(BytesIO(printed.jpeg))
    wanted = PRINT.resize(straight.size, Image.Resampling.BOX)
    assert max(ImageStat.Stat(ImageChops.difference(straight, wanted)).mean) < 5


@pytest.mark.parametrize("aside", [-0.5, -0.2, 0.0, 0.35])
@pytest.mark.parametrize("down", [-0.4, 0.0, 0.3])
def test_proportions_are_seen_from_any_side(aside: float, down: float) -> None:
    """640 mm by 530 mm, however the camera is held; with another lens than a phone's they would be out by little."""
    one, two, three, four = seen(aside, down)
    shown = Photographed("x.jpg", (one, four), (two, three), (one, two), (four, three))

    assert shown.height_by_width(SIZE) == pytest.approx(REPEAT / WIDTH, rel=1e-6)


@pytest.mark.parametrize(("label", "width"), [("53 cm/third", "530"), ("64 cm/third", "700")])
def test_wrong_repeat_or_width_shows(tmp_path: Path, label: str, width: str) -> None:
    """Where the picture's proportions belie the label the print keeps its own, so that repeats do not meet."""
    changed = {"64 cm/third": label, "roll_width = 530": f"roll_width = {width}"}
    printed = print_of(read_scenario(beside(tmp_path, photographed(PRINT, FROM_ASIDE), **changed)))

    assert printed is not None
    assert float(printed.height) == pytest.approx(int(width) * REPEAT / WIDTH, rel=1e-3)
    assert "measure both on the roll" in printed.doubts[0]


def test_free_match_is_as_high_as_the_picture_says(tmp_path: Path) -> None:
    """It has no repeat to be fitted to."""
    changed = {"64 cm/third": "free", "motif_drop = 120\n": "", '"motif"': '"joint"'}
    printed = print_of(read_scenario(beside(tmp_path, photographed(PRINT, FROM_ASIDE), **changed)))

    assert printed is not None
    assert float(printed.height) == pytest.approx(REPEAT, rel=1e-3)


def test_only_a_small_picture_is_kept_of_it(tmp_path: Path) -> None:
    """No date, place or camera; at most 24 000 bytes, for every picture of a page holds it."""
    photo = Image.open(BytesIO(photographed(PRINT, FROM_ASIDE)))
    exif = Image.Exif()
    exif[0x010F] = "Camera of our own"
    exif.get_ifd(0x8825)[1] = "N"  # a place on earth
    written = BytesIO()
    photo.save(written, "JPEG", exif=exif, comment=b"by somebody")
    printed = print_of(read_scenario(beside(tmp_path, written.getvalue())))

    assert printed is not None
    assert len(printed.jpeg) <= 24_000
    kept = Image.open(BytesIO(printed.jpeg))
    assert not kept.getexif()
    assert {"exif", "comment", "icc_profile"}.isdisjoint(kept.info)


def test_lines_lie_in_the_picture_as_it_is_seen(tmp_path: Path) -> None:
    """A phone held upright stores its picture lying and says so (orientation 6: turn it right)."""
    exif = Image.Exif()
    exif[0x0112] = 6
    written = BytesIO()
    lying = Image.open(BytesIO(photographed(PRINT, FROM_ASIDE))).transpose(Image.Transpose.ROTATE_90)
    lying.save(written, "JPEG", exif=exif, quality=90)
    printed = print_of(read_scenario(beside(tmp_path, written.getvalue())))

    assert printed is not None
    straight = Image.open(BytesIO(printed.jpeg))
    wanted = PRINT.resize(straight.size, Image.Resampling.BOX)
    assert max(ImageStat.Stat(ImageChops.difference(straight, wanted)).mean) < 5


@pytest.mark.parametrize("mode", ["L", "RGBA", "P", "CMYK", "1", "I;16"])
def test_any_kind_of_colours_is_taken(tmp_path: Path, mode: str) -> None:
    """Grey, see-through, few colours: all come out as colours on white."""
    picture = Image.new(mode, SIZE)
    written = BytesIO()
    picture.save(written, "JPEG" if mode == "CMYK" else "PNG")

    assert print_of(read_scenario(beside(tmp_path, written.getvalue()))) is not None


def test_large_photograph_is_decoded_smaller(tmp_path: Path) -> None:
    """21 million pixels of a phone: lines are told in its own pixels, seven times those of the small one."""
    large = Image.open(BytesIO(photographed(PRINT, FROM_ASIDE))).resize((4200, 5040))
    written = BytesIO()
    large.save(written, "JPEG", quality=60)
    corners = tuple((7 * x, 7 * y) for x, y in FROM_ASIDE)
    printed = print_of(read_scenario(beside(tmp_path, written.getvalue(), lines_of(corners))))

    assert printed is not None
    straight = Image.open(BytesIO(printed.jpeg))
    assert max(ImageStat.Stat(ImageChops.difference(straight, PRINT.resize(straight.size))).mean) < 6


# What is refused


def claiming(width: int, height: int) -> bytes:
    """Return a PNG of a few bytes that says it has so many pixels."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0))
    return b"\x89PNG\r\n\x1a\n" + head + chunk(b"IDAT", zlib.compress(b"\0" * 100_000)) + chunk(b"IEND", b"")


@pytest.mark.parametrize(
    ("picture", "said"),
    [
        (b"", "is no picture, or of a kind not read; save it as JPEG or PNG"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "is no picture, or of a kind not read; save it as JPEG or PNG"),
        (b"GIF89a\x01\x00\x01\x00\x00\x00\x00;", "is no picture, or of a kind not read; save it as JPEG or PNG"),
        (claiming(8000, 8000), "claims more than 60 million pixels; save the picture smaller"),
        (claiming(11_000, 11_000), "claims more than 60 million pixels; save the picture smaller"),
        (claiming(60_000, 60_000), "claims more than 60 million pixels; save the picture smaller"),
    ],
    ids=["nothing", "drawing", "another kind", "64 million", "121 million", "3600 million"],
)
def test_what_is_no_picture_or_a_bomb_is_refused(tmp_path: Path, picture: bytes, said: str) -> None:
    """Named, and not decoded: 3600 million pixels would fill 10 GB."""
    assert refused(beside(tmp_path, picture)) == f"'photographed-paper.jpg' {said}"


@pytest.mark.parametrize("part", [0.3, 0.7])
@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_damaged_picture_is_refused(tmp_path: Path, kind: str, part: float, monkeypatch: pytest.MonkeyPatch) -> None:
    """Half copied from the phone, though the PDF writer tells Pillow to fill in what is missing."""
    monkeypatch.setattr("PIL.ImageFile.LOAD_TRUNCATED_IMAGES", True)
    written = BytesIO()
    Image.open(BytesIO(photographed(PRINT, FROM_ASIDE))).save(written, kind)
    whole = written.getvalue()

    assert "'photographed-paper.jpg' is damaged (" in refused(beside(tmp_path, whole[: int(len(whole) * part)]))


def test_too_large_a_file_is_refused(tmp_path: Path) -> None:
    """More than 30 MB are not read."""
    scenario = beside(tmp_path, b"")
    with (tmp_path / "photographed-paper.jpg").open("wb") as file:
        file.truncate(30_000_001)

    assert refused(scenario) == "'photographed-paper.jpg' is larger than 30 MB; save the picture smaller"


def test_missing_picture_and_folder_are_refused(tmp_path: Path) -> None:
    """Each with what to do."""
    scenario = beside(tmp_path, b"")
    picture = tmp_path / "photographed-paper.jpg"
    picture.unlink()
    missing = refused(scenario)
    picture.mkdir()

    assert missing == "'photographed-paper.jpg' is not in the scenario's folder; copy the picture there"
    assert refused(scenario) == "'photographed-paper.jpg' is no file; give the picture itself"


def test_link_out_of_the_folder_is_not_followed(tmp_path: Path) -> None:
    """Neither of the picture itself nor of a folder on the way to it; one that stays within is."""
    (tmp_path / "job" / "below").mkdir(parents=True)
    outside = tmp_path / "outside.jpg"
    outside.write_bytes(photographed(PRINT, FROM_ASIDE))
    scenario = beside(tmp_path / "job", b"")
    picture = tmp_path / "job" / "photographed-paper.jpg"
    picture.unlink()
    picture.symlink_to(outside)
    by_link = refused(scenario)
    picture.unlink()
    (tmp_path / "job" / "below" / "print.jpg").write_bytes(outside.read_bytes())
    picture.symlink_to("below/print.jpg")

    assert by_link == "'photographed-paper.jpg' leads out of the scenario's folder; copy the picture there"
    assert print_of(read_scenario(scenario)) is not None


def test_scenario_without_a_folder_has_no_picture() -> None:
    """From standard input nobody knows where it would lie."""
    with pytest.raises(PictureError, match="standard input lies in no folder; give the scenario as a file"):
        print_of(parse_scenario(TEXT, "standard input"))


def test_lines_off_the_picture_are_refused(tmp_path: Path) -> None:
    """The lower level line crosses the left edge 33 pixels above the foot of 720; twice as low it is off."""
    lines = LINES.replace("[[32.4, 667.2], [509.3, 632.4]]", "[[32.4, 867.2], [509.3, 832.4]]")

    assert refused(beside(tmp_path, photographed(PRINT, FROM_ASIDE), lines)).endswith(
        "outside its 600 x 720 pixels; lay them on the paper"
    )


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        ('"photographed-paper.jpg"', '"../paper.jpg"', "paper.picture.file: must lie beside this file, or in a folder"),
        ('"photographed-paper.jpg"', '"/etc/paper.jpg"', "paper.picture.file: must lie beside this file"),
        ('"photographed-paper.jpg"', '"c:/paper.jpg"', "paper.picture.file: must lie beside this file"),
        ('"photographed-paper.jpg"', "'a\\b.jpg'", "paper.picture.file: must lie beside this file"),
        ('"photographed-paper.jpg"', '"paper.svg"', "paper.picture.file: must be a picture, .jpg, .jpeg, .png, .webp"),
        ("left = [[92.7, 90.2], [32.4, 667.2]]\n", "", "paper.picture.left: is missing; add for example left = [["),
        ("[[92.7, 90.2], [32.4, 667.2]]", "[[92.7, 90.2]]", "paper.picture.left: must be two places in the picture"),
        ("[[92.7, 90.2], [32.4, 667.2]]", "[[nan, 90.2], [32.4, 667.2]]", "paper.picture.left: must be two places"),
        ("[[92.7, 90.2], [32.4, 667.2]]", "[[1e9, 90.2], [32.4, 667.2]]", "paper.picture.left: must be two places"),
        ("[[92.7, 90.2], [32.4, 667.2]]", "[[92, 90], [93, 91]]", "paper.picture: left goes through two places closer"),
        ("[[92.7, 90.2], [32.4, 667.2]]", "[[600, 90], [0, 667]]", "paper.picture: two lines cross within the paper"),
        ("[[92.7, 90.2], [32.4, 667.2]]", "[[550, 90], [590, 667]]", "paper.picture: left and right are the wrong way"),
        ("[[92.7, 90.2], [32.4, 667.2]]", "[[92.7, 90.2], [470.5, 164.2]]", "paper.picture: a plumb line and a level"),
        ("bottom = [[32.4, 667.2], [509.3, 632.4]]", "bottom = [[92, 95], [470, 170]]", "paper.picture: the lines"),
    ],
)  # fmt: skip
def test_faults_of_the_table_are_told_in_their_place(old: str, new: str, fault: str) -> None:
    """Before any file is looked at: where, what, and how to mend it."""
    assert TEXT.count(old) == 1
    with pytest.raises(ScenarioError) as found:
        parse_scenario(TEXT.replace(old, new), "wall.toml")

    (told,) = found.value.faults
    assert f"{told.where}: {told.what}".startswith(fault)


# Commands


def test_plan_echoes_the_path_and_the_lines_only_and_holds(tmp_path: Path) -> None:
    """The judge needs no picture, and a plan is made without one: nobody has copied it here."""
    scenario, plan = tmp_path / "wall.toml", tmp_path / "plan.json"
    scenario.write_text(TEXT, encoding="utf-8")
    made = CliRunner().invoke(app, ["plan", str(scenario), "--json", "-o", str(plan)])
    judged = CliRunner().invoke(app, ["check", str(plan)])

    assert (made.exit_code, judged.exit_code) == (0, 0), judged.output
    picture = json.loads(plan.read_text(encoding="utf-8"))["scenario"]["paper"]["picture"]
    assert picture.keys() == {"file", "left", "right", "top", "bottom"}
    assert picture["left"] == [[92.7, 90.2], [32.4, 667.2]]


@pytest.mark.parametrize("command", ["draw", "sheet"])
def test_command_says_what_is_wrong_with_the_picture(tmp_path: Path, command: str) -> None:
    """Before it plans; exit status 2, and nothing written."""
    scenario = beside(tmp_path, b"no picture")
    result = CliRunner().invoke(app, [command, str(scenario), "-o", str(tmp_path / "out.html")])

    assert result.exit_code == 2
    assert "paper.picture: 'photographed-paper.jpg' is no picture" in result.stderr
    assert not (tmp_path / "out.html").exists()


def picture_table(of: str) -> str:
    """Return the table of the picture, of a paper that is called so."""
    return TEXT[TEXT.index("[paper.picture]") : TEXT.index("[[wall]]")].replace("paper", of, 1)


def test_band_has_a_photograph_of_its_own(tmp_path: Path) -> None:
    """A part of a room's file, ``room.toml/frieze``, finds its picture beside that file; the filling has none."""
    room = (REPOSITORY / "scenarios" / "parts" / "dado-room.toml").read_text(encoding="utf-8")
    before, label, after = room.partition('match = "32 cm"\nprice = 41.00\n')
    (tmp_path / "photographed-paper.jpg").write_bytes(photographed(PRINT, FROM_ASIDE))
    file = tmp_path / "room.toml"
    file.write_text(before + label.replace("32", "64") + picture_table("band.paper") + after, encoding="utf-8")
    drawn = {part: CliRunner().invoke(app, ["draw", f"{file}/{part}"]).stdout for part in ("frieze", "filling")}

    assert "data:image/jpeg" in drawn["frieze"]
    assert "<svg" in drawn["filling"]
    assert "data:image/jpeg" not in drawn["filling"]


def test_rooms_of_a_contract_may_have_a_photograph_in_one_file(tmp_path: Path) -> None:
    """It is no other paper for that; a room written out elsewhere does without."""
    one, other = tmp_path / "one.toml", tmp_path / "other.toml"
    one.write_text(TEXT, encoding="utf-8")
    other.write_text(TEXT.replace(picture_table("paper"), ""), encoding="utf-8")
    contract = tmp_path / "contract.toml"
    contract.write_text('[[rooms]]\nfile = "one.toml"\n\n[[rooms]]\nfile = "other.toml"\n', encoding="utf-8")
    (tmp_path / "out").mkdir()
    result = CliRunner().invoke(app, ["contract", str(contract), "--rooms", str(tmp_path / "out")])

    assert result.exit_code == 0, result.output
    assert len(list((tmp_path / "out").iterdir())) == 2
    assert all("picture" not in path.read_text(encoding="utf-8") for path in (tmp_path / "out").iterdir())


def test_scenario_of_our_own_is_drawn_with_its_print(tmp_path: Path) -> None:
    """Its picture is small, is what the script draws, and stands in the sheet once for each picture of a wall."""
    picture = SCENARIO.with_suffix(".jpg")
    sheet = tmp_path / "job.html"
    result = CliRunner().invoke(app, ["sheet", str(SCENARIO), "-o", str(sheet)])

    assert picture.stat().st_size < 40_000
    assert picture.read_bytes() == photographed(PRINT, FROM_ASIDE)
    assert result.exit_code == 0, result.output
    assert sheet.read_text(encoding="utf-8").count("data:image/jpeg;base64,") == 1
