"""A photo of the old closet: scaled down and bare, shown beside the layout, and hostile files refused in one line."""

from __future__ import annotations

import io
import random
import struct
import zlib
from contextlib import suppress
from pathlib import Path

import pytest
from PIL import Image
from support.hostile import mutated
from support.opened_pages import Open, fitted, said

from capacity.errors import InputError
from capacity.page.compare import photo


def _picture(form: str, mode: str = "RGB", size: tuple[int, int] = (2400, 1200), **more: object) -> bytes:
    out = io.BytesIO()
    picture = Image.new(mode, size)
    picture.paste(Image.new(mode, (size[0] // 2, size[1]), 200 if mode in ("L", "P", "I;16") else None))
    picture.save(out, form, **more)
    return out.getvalue()


def _exif(orientation: int) -> Image.Exif:
    exif = Image.Exif()
    exif[0x0112] = orientation
    exif[0x0132] = "2026:01:02 03:04:05"
    exif.get_ifd(0x8825)[2] = (48.0, 1.0, 2.0)
    return exif


@pytest.mark.parametrize("form", ["JPEG", "PNG"])
def test_a_photo_is_scaled_turned_and_bare_of_place_and_time(form: str) -> None:
    kept = photo.scaled(_picture(form, exif=_exif(6)), "x.jpg")
    with Image.open(io.BytesIO(kept)) as picture:
        assert (picture.format, picture.size) == ("JPEG", (800, 1600))  # held upright
        assert not picture.getexif()
    assert b"2026:01:02" not in kept


@pytest.mark.parametrize(("form", "mode"), [("PNG", "RGBA"), ("PNG", "P"), ("PNG", "LA"), ("PNG", "1"), ("PNG", "I;16"),
                                            ("JPEG", "L"), ("JPEG", "CMYK")])  # fmt: skip
def test_every_mode_of_a_picture_is_taken(form: str, mode: str) -> None:
    out = io.BytesIO()
    Image.new(mode, (30, 20)).save(out, form)
    with Image.open(io.BytesIO(photo.scaled(out.getvalue(), "x"))) as picture:
        assert picture.size == (30, 20)


def _claims(width: int, height: int) -> bytes:
    """A PNG of a few bytes that claims to be so large."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0))
    return b"\x89PNG\r\n\x1a\n" + head + chunk(b"IDAT", zlib.compress(b"\0" * 100)) + chunk(b"IEND", b"")


@pytest.mark.parametrize(
    "data",
    [b"", b"GIF89a", b"<svg xmlns='http://www.w3.org/2000/svg'/>", b"\xff\xd8\xff\xe0", _picture("GIF"),
     _picture("TIFF"), _picture("PNG")[:900], _claims(100, 100), _claims(60_000, 60_000),
     _claims(2**31 - 1, 2**31 - 1)],
)  # fmt: skip
def test_what_is_no_picture_is_refused_in_one_line(data: bytes) -> None:
    with pytest.raises(InputError) as caught:
        photo.scaled(data, "x.png")
    assert str(caught.value).startswith("x.png: ")
    assert "\n" not in str(caught.value)


def test_spoiled_pictures_are_read_or_refused() -> None:
    chance = random.Random(5)
    for form in ("JPEG", "PNG"):
        whole = _picture(form, size=(60, 40), exif=_exif(3)).decode("latin-1")
        for _ in range(150):
            spoiled = mutated(chance, [whole]).encode("latin-1", errors="replace")
            with suppress(InputError):
                assert photo.scaled(spoiled, "x").startswith(b"\xff\xd8")


def test_the_photo_stands_in_place_of_the_drawing_and_is_taken_out(opened: Open, small: Path) -> None:
    fitted(small)
    page = opened(small, "compare")
    page.file_uploader(key="photo_in_0").set_value(("closet.png", b"no picture", "image/png")).run()
    assert "Not kept: closet.png: is no picture that can be read" in said(page)
    page.file_uploader(key="photo_in_0").set_value(("closet.jpg", _picture("JPEG"), "image/jpeg")).run()
    assert not page.exception
    assert (small / photo.FILE_NAME).read_bytes().startswith(b"\xff\xd8")
    assert len(page.get("image")) == 1  # who brings a photo sees it
    page.radio(key="compare_as").set_value("a drawing").run()
    assert not page.get("image")
    page.radio(key="compare_as").set_value("the photo").run()
    assert len(page.get("image")) == 1
    assert len(page.get("plotly_chart")) == 3  # after, and both gains
    page.button(key="photo_out").click().run()
    assert not page.exception
    assert not (small / photo.FILE_NAME).exists()
    assert not page.get("image")
