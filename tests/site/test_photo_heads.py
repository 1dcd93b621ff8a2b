"""The head of a photo tells what the whole photo tells."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as some
from PIL import Image

from courtwright.errors import InputError
from courtwright.site.photo_heads import head_of
from courtwright.site.photos import read_photo
from courtwright.site.record import Photo
from tests.places import ROOT

PHOTOS = sorted(
    file
    for folder in ("tests/data/photos", "src/courtwright/site/demo_site/photos")
    for file in (ROOT / folder).iterdir()
)


def told(content: bytes) -> Photo | str:
    try:
        return read_photo(content, "a")
    except InputError as error:
        return error.problem.id


# --- laws ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("file", PHOTOS, ids=lambda file: file.name)
def test_the_head_tells_what_the_whole_tells(file: Path) -> None:
    """Photos with orientation, time and place, broken ones, and what is none."""
    content = file.read_bytes()
    assert told(head_of(content)) == told(content)


def test_a_head_is_small() -> None:
    """A picture of some megabytes has a head of some hundred bytes."""
    out = io.BytesIO()
    Image.effect_noise((2000, 1500), 90.0).save(out, "JPEG", quality=95)
    content = out.getvalue()
    assert len(content) > 1_000_000
    assert len(head_of(content)) < 2_000
    assert told(head_of(content)) == told(content)


_REAL = next(file for file in PHOTOS if file.name == "hopper_orientation_5.jpg").read_bytes()


@given(some.integers(0, len(_REAL)), some.binary(max_size=4))
def test_damage_is_told_of_the_head_as_of_the_whole(at: int, put: bytes) -> None:
    """Cut short, and bytes changed anywhere."""
    for content in (_REAL[:at], _REAL[:at] + put + _REAL[at + len(put) :]):
        assert told(head_of(content)) == told(content)


@given(some.binary(max_size=40))
def test_anything_has_a_head(content: bytes) -> None:
    """Never more than it is."""
    for one in (content, b"\xff\xd8" + content, b"\xff\xd8\xff" + content):
        assert one.startswith(head_of(one))
