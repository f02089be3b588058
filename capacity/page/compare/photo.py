"""A photo of the old closet in place of its drawing: scaled down, without where and when it was taken, in the folder.

It is never sent anywhere; the page shows it to whoever sees the page.
"""

from __future__ import annotations

import io
import struct
import warnings
from pathlib import Path

import streamlit as st

from capacity.disk.files import read_bytes, write_text
from capacity.errors import Fault, InputError
from capacity.page.household import one_writer, plain
from capacity.page.words import told

FILE_NAME = "before.jpg"
MOST_MEGABYTES, MOST_DOTS, LONGEST_SIDE = 20, 50_000_000, 1600
"""Of what is brought, and its picture; and of the picture that is kept [MB, pixels, pixels]."""

FORMATS = ("JPEG", "PNG")


def scaled(data: bytes, name: str) -> bytes:
    """A picture as a JPEG of at most `LONGEST_SIDE`, turned as it was held, with nothing but the picture in it.

    Raises
    ------
    InputError
        When it is too large, or no JPEG or PNG that can be read.
    """
    from PIL import Image, ImageOps

    wrong = [Fault(name, "", f"is no picture that can be read; use a {' or '.join(FORMATS)} file")]
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            picture = Image.open(io.BytesIO(data), formats=FORMATS)
            if picture.width * picture.height > MOST_DOTS:
                words = (
                    f"has {picture.width} x {picture.height} dots; at most {MOST_DOTS // 1_000_000} million are read"
                )
                raise InputError([Fault(name, "", words)])
            picture.draft("RGB", (LONGEST_SIDE, LONGEST_SIDE))
            small = picture if picture.mode in ("RGB", "RGBA", "L") else picture.convert("RGBA")
            small.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
            upright = ImageOps.exif_transpose(small).convert("RGBA")
            ground = Image.new("RGBA", upright.size, "white")
            ground.alpha_composite(upright)
            kept = io.BytesIO()
            ground.convert("RGB").save(kept, "JPEG", quality=85)
    except (OSError, ValueError, SyntaxError, EOFError, struct.error, Image.DecompressionBombError):
        raise InputError(wrong) from None
    return kept.getvalue()


def read_photo(folder: Path) -> bytes | None:
    """The photo of a folder; None where there is none that can be shown."""
    path = folder / FILE_NAME
    try:
        data = b"" if path.is_symlink() else read_bytes(path)
    except OSError:
        return None
    return data if data.startswith(b"\xff\xd8") else None


def ask(folder: Path) -> None:
    """Draw the way in for a photo, and the way out for the one that is there."""
    has_one = read_photo(folder) is not None
    with st.expander("A photo of the old closet", expanded=bool(st.session_state.get("photo_fault"))):
        st.caption("It stays in this folder, smaller, and is sent to nobody. It then stands in place of the drawing.")
        turn = st.session_state.setdefault("photo_turn", 0)
        file = st.file_uploader(
            "A JPEG or PNG file", type=["jpg", "jpeg", "png"], max_upload_size=MOST_MEGABYTES, key=f"photo_in_{turn}"
        )
        if file is not None:
            _keep(folder, file.name, file.getvalue())
        fault = st.session_state.pop("photo_fault", "")
        if fault:
            st.error(plain(fault))
        if has_one:
            st.button("Take the photo out", key="photo_out", on_click=_take_out, args=(folder,))


def _keep(folder: Path, name: str, data: bytes) -> None:
    """Put it into the folder, and draw the page with it."""
    try:
        picture = scaled(data, name)
        with one_writer(folder):
            write_text(folder / FILE_NAME, picture)
    except InputError as error:
        st.session_state.photo_fault = f"Not kept: {'; '.join(told(error))}"
        return
    st.session_state.photo_turn += 1  # an empty field again
    st.session_state.photo_is_new = True
    st.rerun()


def _take_out(folder: Path) -> None:
    try:
        with one_writer(folder):
            (folder / FILE_NAME).unlink(missing_ok=True)
    except (InputError, OSError) as error:
        st.session_state.photo_fault = f"Not taken out: {error}"
