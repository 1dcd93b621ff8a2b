"""What is shown of a photo is upright and small, and holds pixels and nothing else."""

from __future__ import annotations

import io
import json

import numpy as np
import pytest
from PIL import Image

from courtwright.errors import InputError
from courtwright.site.previews import MOST_WHOLE, previews
from tests.places import shared_data


def opened(jpeg: bytes) -> Image.Image:
    return Image.open(io.BytesIO(jpeg))


# --- published answers --------------------------------------------------------------------------


def test_the_same_picture_stored_in_eight_turns_is_shown_the_same():
    """A published set: one picture under every orientation; upright they differ by no more than JPEG noise."""
    folder = shared_data("photos_exif", "orientation_recurser")
    shown = [
        np.asarray(opened(previews(file.read_bytes(), (320,))[0]), dtype=float)
        for file in sorted(folder.glob("*.jpg"))
        if not file.stem.endswith("_0")
    ]
    assert len(shown) == 8
    assert all(other.shape == shown[0].shape and np.abs(other - shown[0]).mean() < 4.0 for other in shown)


def test_photos_of_many_cameras_have_the_shape_that_other_readers_tell():
    """Upright width to height, as two other libraries read the originals; those they cannot decode are refused."""
    folder = shared_data("photos_exif")
    truth = json.loads((folder / "truth.json").read_text(encoding="utf-8"))
    for name, true in truth.items():
        try:
            large, small = previews((folder / name).read_bytes(), (1600, 320))
        except InputError:
            assert not true["pixels_decode"], name
            continue
        turned = true["format"] == "JPEG" and (true["orientation"] or 1) >= 5
        width, height = true["size_raw"][:: -1 if turned else 1]
        scale = min(1.0, 320 / max(width, height))
        assert opened(small).size == pytest.approx((width * scale, height * scale), abs=1.0), name
        assert max(opened(large).size) == min(1600, max(width, height)), name


# --- laws ---------------------------------------------------------------------------------------


def test_nothing_but_pixels_is_left():
    """No EXIF, no place, no comment, no colour profile, no XMP: the file's segments are those of a bare picture."""
    exif = Image.Exif()
    exif[0x010F] = "the maker"
    exif.get_ifd(0x8825).update({1: "N", 2: (41.0, 12.0, 0.0), 3: "W", 4: (73.0, 54.0, 0.0)})
    out = io.BytesIO()
    Image.new("RGB", (400, 300), "red").save(
        out, "JPEG", exif=exif, comment=b"a name", icc_profile=b"x" * 200, xmp=b"<x:xmpmeta>GPSLatitude</x:xmpmeta>"
    )
    assert b"the maker" in out.getvalue()
    for shown in previews(out.getvalue(), (1600, 320)):
        assert not {"exif", "xmp", "comment", "icc_profile"} & opened(shown).info.keys()
        assert not any(word in shown for word in (b"Exif", b"the maker", b"a name", b"GPSL", b"ICC_PROFILE"))


def test_a_small_photo_is_not_made_larger():
    """There is nothing more to see in it."""
    out = io.BytesIO()
    Image.new("RGB", (40, 30)).save(out, "PNG")
    assert [opened(shown).size for shown in previews(out.getvalue(), (1600, 320))] == [(40, 30), (40, 30)]


# --- refusals -----------------------------------------------------------------------------------


def test_a_picture_that_would_fill_the_memory_is_not_decoded():
    """A PNG of a few kilobytes with more pixels than a camera of its kind has."""
    out = io.BytesIO()
    side = int(MOST_WHOLE**0.5) + 1
    Image.new("1", (side, side)).save(out, "PNG")
    assert len(out.getvalue()) < 100_000
    with pytest.raises(InputError) as refused:
        previews(out.getvalue(), (320,))
    assert refused.value.problem.id == "site.photo-huge"
