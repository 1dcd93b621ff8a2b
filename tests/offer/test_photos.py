"""Photos for the paper hold pixels and nothing else."""

from __future__ import annotations

import io

import pytest
from PIL import Image

from courtwright.offer.photos import for_paper


def encoded(mode: str, size: tuple[int, int], kind: str, **options: object) -> bytes:
    out = io.BytesIO()
    Image.new(mode, size, 128 if mode in "LP" else None).save(out, kind, **options)
    return out.getvalue()


def test_a_photo_is_turned_upright_and_loses_its_place():
    """Orientation 6 is a quarter turn: width and height change places."""
    exif = Image.Exif()
    exif[0x0112] = 6
    exif[0x8825] = {1: "N", 2: (41.0, 0.0, 0.0)}
    small = for_paper(encoded("RGB", (400, 200), "JPEG", exif=exif))
    assert small is not None
    with Image.open(io.BytesIO(small)) as picture:
        assert picture.size == (200, 400)
        assert not picture.getexif()
        assert "exif" not in picture.info


@pytest.mark.parametrize(
    ("mode", "kind"), [("RGBA", "PNG"), ("P", "PNG"), ("L", "JPEG"), ("CMYK", "JPEG"), ("I;16", "PNG")]
)
def test_any_picture_becomes_a_small_one_in_colour(mode: str, kind: str):
    """Whatever a camera or a scanner wrote."""
    small = for_paper(encoded(mode, (1800, 1200), kind))
    assert small is not None
    with Image.open(io.BytesIO(small)) as picture:
        assert picture.mode == "RGB"
        assert max(picture.size) == 900


@pytest.mark.parametrize("content", [b"", b"no picture", b"\xff\xd8\xff\xe0 broken", b"\x89PNG\r\n\x1a\n" + b"\0" * 40])
def test_what_is_no_picture_is_told_apart(content: bytes):
    """None, and no fault."""
    assert for_paper(content) is None


def test_a_picture_cut_short_is_told_apart():
    """The end of the file is missing."""
    whole = encoded("RGB", (900, 900), "PNG")
    assert for_paper(whole[: len(whole) // 2]) is None
