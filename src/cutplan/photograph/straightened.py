"""One repeat of a strip, straightened out of a photograph: the only place that decodes pictures.

A picture that claims too many pixels is refused before it is decoded. Only its colours are kept: no date, no place, no
name of a camera.
"""

from __future__ import annotations

import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from functools import lru_cache
from io import BytesIO
from typing import TYPE_CHECKING, Final

from cutplan.paper.photographed import Photographed, Point
from cutplan.photograph.file_beside import PictureError

if TYPE_CHECKING:
    from PIL.Image import Image


FORMATS: Final = ("JPEG", "PNG", "WEBP")
MOST_PIXELS: Final = 60_000_000
"""More than phones take; decoded, they fill 180 MB."""
_LONGER_SIDE: Final = 400
"""Pixels of what is kept: a strip is drawn 2 cm wide on a sheet, and that prints as finely as an eye can see."""
_FINER: Final = 3
_DECODED: Final = 2400
"""Pixels of a longer side that are enough to take a finer one from, where the file can be decoded smaller."""
_MOST_KEPT: Final = 24_000
"""Bytes, for it is written into every picture of a page."""
_QUALITIES: Final = (85, 75, 60, 45, 30)


@lru_cache(maxsize=2)
def straightened(data: bytes, photographed: Photographed) -> tuple[bytes, float]:
    """Return one repeat of a strip as a small JPEG, and how much higher than wide the paper between the lines is.

    PictureError when the data are no picture, a damaged one or a bomb, or the lines lie outside it.
    """
    file = photographed.file
    picture, scale = _read(data, file)
    corners = [(x * scale[0], y * scale[1]) for x, y in photographed.corners]
    for x, y in corners:
        if not (-1 <= x <= picture.width + 1 and -1 <= y <= picture.height + 1):
            where = f"({x / scale[0]:.0f}, {y / scale[1]:.0f})"
            size = f"{picture.width / scale[0]:.0f} x {picture.height / scale[1]:.0f} pixels"
            raise PictureError(f"two lines in {file!r} cross at {where}, outside its {size}; lay them on the paper")
    ratio = photographed.height_by_width((picture.width / scale[0], picture.height / scale[1]))
    return _small(_laid_flat(picture, corners, ratio)), ratio


def kept(data: bytes, file: str) -> bytes:
    """Return a photograph as a JPEG of its colours alone, no larger than prints are taken from.

    PictureError when the data are no picture, a damaged one or a bomb.
    """
    picture, _ = _read(data, file)
    picture.thumbnail((_DECODED, _DECODED))
    picture.info.clear()
    written = BytesIO()
    picture.save(written, "JPEG", quality=_QUALITIES[0], optimize=True)
    return written.getvalue()


def _read(data: bytes, file: str) -> tuple[Image, Point]:
    """Return a picture and how much smaller it was decoded than it is; PictureError for what is none."""
    from PIL import Image, UnidentifiedImageError  # noqa: PLC0415 - only where a picture is told

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            image = Image.open(BytesIO(data), formats=FORMATS)
        is_bomb = image.width * image.height > MOST_PIXELS
        picture, scale = (image, (1.0, 1.0)) if is_bomb else _decoded(image)
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        is_bomb = True
    except UnidentifiedImageError as error:
        raise PictureError(f"{file!r} is no picture, or of a kind not read; save it as JPEG or PNG") from error
    except (OSError, ValueError, SyntaxError, EOFError, IndexError) as error:
        raise PictureError(f"{file!r} is damaged ({error}); copy the picture once more") from error
    if is_bomb:
        most = MOST_PIXELS // 1_000_000
        raise PictureError(f"{file!r} claims more than {most} million pixels; save the picture smaller")
    return picture, scale


@contextmanager
def _damage_told() -> Iterator[None]:
    """Let what is missing be told: the PDF writer, once loaded, has it filled in with grey."""
    from PIL import ImageFile  # noqa: PLC0415 - likewise

    is_filled_in, ImageFile.LOAD_TRUNCATED_IMAGES = ImageFile.LOAD_TRUNCATED_IMAGES, False
    try:
        yield
    finally:
        ImageFile.LOAD_TRUNCATED_IMAGES = is_filled_in


def _decoded(image: Image) -> tuple[Image, Point]:
    """Return a picture as one sees it, in colours on white, and how much smaller it was decoded than it is."""
    from PIL import Image, ImageOps  # noqa: PLC0415 - likewise

    whole = image.size
    image.draft("RGB", (_DECODED, _DECODED))  # a JPEG is decoded at half, a quarter or an eighth where that is enough
    with _damage_told():
        image.load()
    scale = (image.width / whole[0], image.height / whole[1])
    turned = ImageOps.exif_transpose(image)
    if turned.size != image.size:
        scale = scale[::-1]
    if turned.has_transparency_data:
        seen = turned.convert("RGBA")
        return Image.alpha_composite(Image.new("RGBA", seen.size, "white"), seen).convert("RGB"), scale
    return turned.convert("RGB"), scale


def _laid_flat(picture: Image, corners: list[Point], ratio: float) -> Image:
    """Return the piece between the corners as if it were seen from straight ahead."""
    from PIL import Image  # noqa: PLC0415 - likewise

    longer = _LONGER_SIDE / max(ratio, 1)
    size = (max(round(longer), 1), max(round(longer * ratio), 1))
    finer = (size[0] * _FINER, size[1] * _FINER)
    seen = picture.transform(finer, Image.Transform.PERSPECTIVE, _onto(corners, finer), Image.Resampling.BICUBIC)
    return seen.resize(size, Image.Resampling.BOX)


def _onto(corners: list[Point], size: tuple[int, int]) -> tuple[float, ...]:
    """Return the eight numbers of the perspective that lays a picture of ``size`` on four corners of another.

    References
    ----------
    P. S. Heckbert, Fundamentals of texture mapping and image warping, Berkeley 1989, section 2.2.3.

    """
    (x0, y0), (x1, y1), (x2, y2), (x3, y3) = corners
    right, down, aside = (x1 - x2, y1 - y2), (x3 - x2, y3 - y2), (x0 - x1 + x2 - x3, y0 - y1 + y2 - y3)
    whole = right[0] * down[1] - right[1] * down[0]
    g = (aside[0] * down[1] - aside[1] * down[0]) / whole
    h = (right[0] * aside[1] - right[1] * aside[0]) / whole
    width, height = size
    return (
        (x1 - x0 + g * x1) / width, (x3 - x0 + h * x3) / height, x0,
        (y1 - y0 + g * y1) / width, (y3 - y0 + h * y3) / height, y0,
        g / width, h / height,
    )  # fmt: skip


def _small(image: Image) -> bytes:
    """Return a picture as a small JPEG of its colours alone."""
    image.info.clear()  # or a comment would be copied
    for quality in _QUALITIES:
        written = BytesIO()
        image.save(written, "JPEG", quality=quality, optimize=True)
        if written.tell() <= _MOST_KEPT:
            break
    return written.getvalue()
