"""The photograph on the page: the pictures beside the file, and the lines that are kept in it."""

from __future__ import annotations

from io import BytesIO
from typing import TYPE_CHECKING, Final

import pytest
from PIL import Image

from cutplan.parts.read_parts import read_scenario
from cutplan.photograph import MOST_BYTES
from page_client import Visitor
from test_page_door import SCENARIOS
from test_photograph import claiming

if TYPE_CHECKING:
    from pathlib import Path

LINES: Final = {
    "left": "100 90, 40 660",
    "right": "470.5 164.2, 509.3 632.4",
    "top": "92.7 90.2, 470.5 164.2",
    "bottom": "32.4 667.2, 509.3 632.4",
}


@pytest.fixture
def visitor(tmp_path: Path) -> Visitor:
    """Return a browser at the job whose paper is photographed, beside another picture and a link out of the folder."""
    folder = tmp_path / "job"
    folder.mkdir()
    for name in ("photographed-paper.toml", "photographed-paper.jpg"):
        (folder / name).write_bytes((SCENARIOS / name).read_bytes())
    (folder / "other.PNG").write_bytes(b"another")
    (tmp_path / "secret.jpg").write_bytes(b"secret")
    (folder / "link.jpg").symlink_to(tmp_path / "secret.jpg")
    return Visitor(folder / "photographed-paper.toml")


def kept(visitor: Visitor) -> str:
    """Return the job's file as it is now."""
    return visitor.desk.text()


def test_pictures_beside_the_file_are_offered(visitor: Visitor) -> None:
    """Whatever their names' case; the one that is told of is chosen, with its lines."""
    part = visitor.get("/part/photograph").text

    assert "<option selected>photographed-paper.jpg</option>" in part
    assert "<option>other.PNG</option>" in part
    assert "[92.7, 90.2]" in part
    assert visitor.get("/photograph/photographed-paper.jpg").headers["content-type"] == "image/jpeg"
    assert visitor.get("/photograph/other.PNG").body == b"another"


def test_strips_side_by_side_show_the_print_itself(visitor: Visitor) -> None:
    """Beside the label, so that its step from strip to strip is seen on the paper's own flowers."""
    assert visitor.get("/part/paper").text.count("/print.jpg?") == 1


@pytest.mark.parametrize(
    "name", ["link.jpg", "photographed-paper.toml", "..%2Fsecret.jpg", "../secret.jpg", "none.jpg"]
)
def test_no_other_file_is_shown(visitor: Visitor, name: str) -> None:
    """Neither what a link leads out to, nor what is no picture, nor what lies elsewhere."""
    answer = visitor.get(f"/photograph/{name}")

    assert answer.status == 404
    assert b"secret" not in answer.body


def test_lines_are_kept_with_the_rest_of_the_file(visitor: Visitor) -> None:
    """Comments stay; what is kept reads as the same lines."""
    before = kept(visitor)
    answer = visitor.post("/photograph", {"file": "photographed-paper.jpg", **LINES})

    assert answer.fields == {"said": "The picture and its lines are kept in the file."}
    assert kept(visitor) == before.replace("[[92.7, 90.2], [32.4, 667.2]]", "[[100, 90], [40, 660]]")
    assert visitor.desk.path is not None
    photographed = read_scenario(visitor.desk.path).job.paper.photographed
    assert photographed is not None
    assert photographed.left == ((100, 90), (40, 660))


def test_without_a_picture_its_table_is_taken_out(visitor: Visitor) -> None:
    """And told anew with the next one."""
    visitor.post("/photograph", {"file": ""})
    without = kept(visitor)
    visitor.post("/photograph", {"file": "other.PNG", **LINES})

    assert "[paper.picture]" not in without
    assert 'file = "other.PNG"' in kept(visitor)
    assert "no picture, or of a kind not read" in visitor.get("/part/photograph").text


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"file": "../secret.jpg"}, "No picture beside the file is called ../secret.jpg"),
        ({"file": "link.jpg"}, "'link.jpg' leads out of the scenario's folder; copy the picture there"),
        ({"left": "550 90, 590 660"}, "Left and right are the wrong way round, or top and bottom; swap the two"),
        ({"left": "550 90"}, "A line goes through two places in the picture"),
        ({"left": "nan 90, 1e9 660"}, "A line goes through two places in the picture"),
        ({"left": 5}, "Left is no text"),
    ],
)
def test_what_cannot_be_is_refused_in_words(visitor: Visitor, changed: dict[str, object], said: str) -> None:
    """And the file stays as it was."""
    before = kept(visitor)
    answer = visitor.post("/photograph", {"file": "photographed-paper.jpg", **LINES, **changed})

    assert answer.fields == {"error": said}
    assert kept(visitor) == before


# A picture sent from the page


def phone_picture(size: tuple[int, int] = (3000, 4000)) -> bytes:
    """Return a picture as a phone takes it: lying on its side, with the camera's name and a comment in it."""
    exif = Image.Exif()
    exif[0x0112], exif[0x010F] = 6, "Nobody's camera"  # to be turned by a quarter; who made the camera
    written = BytesIO()
    Image.new("RGB", size, "teal").save(written, "JPEG", exif=exif, comment=b"at home", quality=50)
    return written.getvalue()


def test_picture_sent_is_kept_small_upright_and_without_its_past(visitor: Visitor) -> None:
    """4000 x 3000 as seen: its longer side is 2400 then, and nothing but colours is in it; it can be chosen at once."""
    answer = visitor.send("/picture", "Hop vine.JPG", phone_picture())
    assert visitor.desk.path is not None
    kept_file = visitor.desk.path.parent / "Hop vine.jpg"
    picture = Image.open(BytesIO(kept_file.read_bytes()))

    assert answer.fields["file"] == "Hop vine.jpg"
    assert picture.size == (2400, 1800)
    assert b"camera" not in kept_file.read_bytes()
    assert b"at home" not in kept_file.read_bytes()
    assert not picture.getexif()
    assert ">Hop vine.jpg</option>" in visitor.get("/part/photograph").text


def test_picture_sent_never_takes_another_ones_place(visitor: Visitor) -> None:
    """The second of a name gets a number; a name with a way in it loses the way."""
    small = phone_picture((30, 40))
    names = [visitor.send("/picture", name, small).fields["file"] for name in ("a.jpg", "a.png", "../../a.jpg", "..")]

    assert names == ["a.jpg", "a 2.jpg", "a 3.jpg", "paper.jpg"]
    assert visitor.desk.path is not None
    assert not (visitor.desk.path.parent.parent / "a.jpg").exists()


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"no picture at all", "is no picture, or of a kind not read"),
        (phone_picture((300, 400))[:900], "is damaged"),
        (claiming(60_000, 60_000), "claims more than 60 million pixels"),
        (b"", "is no picture"),
        (bytes(MOST_BYTES + 1), "takes more than 30 MB"),
    ],
    ids=["text", "damaged", "bomb", "empty", "large"],
)
def test_what_is_no_picture_is_refused_and_not_kept(visitor: Visitor, data: bytes, said: str) -> None:
    """Before it is decoded, where it claims to be huge; no file appears."""
    assert visitor.desk.path is not None
    before = sorted(visitor.desk.path.parent.iterdir())
    answer = visitor.send("/picture", "paper.jpg", data)

    assert answer.status == 409
    assert said in str(answer.fields["error"])
    assert sorted(visitor.desk.path.parent.iterdir()) == before


def test_larger_than_any_picture_is_refused_unread(visitor: Visitor) -> None:
    """50 MB by what they say they are, and by what they are; a foreign page sends none; other posts stay small."""
    data = bytes(50_000_000)

    assert visitor.send("/picture", "paper.jpg", data).status == 413
    assert visitor.send("/picture", "paper.jpg", data, **{"content-length": "10"}).status == 413
    assert visitor.send("/picture", "paper.jpg", b"x", origin="http://evil.example").status == 403
    assert visitor.send("/edit", "paper.jpg", bytes(100_000)).status == 413
    assert "error" in visitor.post("/picture", {"picture": "x"}).fields


def test_survey_without_a_name_keeps_no_picture() -> None:
    """There is no file yet that it could lie beside."""
    answer = Visitor(None).send("/picture", "paper.jpg", phone_picture((30, 40)))

    assert "Give the job a name first" in str(answer.fields["error"])
