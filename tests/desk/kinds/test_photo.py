"""A photo is looked at in a worker: what it tells is told, what leaves is bare, and what is hostile is refused."""

from __future__ import annotations

import io
import json
import os
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from PIL import Image

from courtwright.desk.kinds import KINDS, parcel
from courtwright.desk.kinds.photo import FACTS, LARGE, SMALL, run
from courtwright.desk.workers import WorkerPool
from courtwright.errors import InputError
from courtwright.site.previews import MOST_WHOLE
from tests.desk.kinds.demo import untold
from tests.places import DATA, shared_data


def encoded(mode: str, size: tuple[int, int], kind: str, **options: object) -> bytes:
    out = io.BytesIO()
    Image.new(mode, size).save(out, kind, **options)
    return out.getvalue()


def shown(jpeg: bytes) -> tuple[int, int]:
    with Image.open(io.BytesIO(jpeg)) as picture:
        assert picture.format == "JPEG"
        assert not {"exif", "xmp", "icc_profile", "comment"} & picture.info.keys()
        return picture.size


@pytest.fixture(scope="module")
def pool() -> Iterator[WorkerPool]:
    with WorkerPool(1, KINDS["photo"].most_seconds) as made:
        yield made


# --- published answers --------------------------------------------------------------------------


def test_facts_are_those_that_other_readers_tell(pool: WorkerPool):
    """Size of the upright picture and time as written, for cameras and phones of many makers."""
    folder = shared_data("photos_exif")
    truth = json.loads((folder / "truth.json").read_text(encoding="utf-8"))
    seen = 0
    for name, true in truth.items():
        if not true["pixels_decode"]:
            continue
        made = parcel.unpack(pool.run("photo", (folder / name).read_bytes()))
        facts = json.loads(made[FACTS])
        turned = true["format"] == "JPEG" and (true["orientation"] or 1) >= 5
        assert [facts["width"], facts["height"]] == true["size_raw"][:: -1 if turned else 1], name
        written = true["datetime_original"] or true["datetime"]
        assert (facts["taken_at"] or "")[:19].replace("T", " ") == (written or "").replace(":", "-", 2), name
        assert facts["has_location"] == (true["gps"] is not None), name
        assert facts["media_type"] == {"JPEG": "image/jpeg", "MPO": "image/jpeg", "HEIF": "image/heic"}[true["format"]]
        longest = max(facts["width"], facts["height"])
        assert [max(shown(made[size])) for size in (LARGE, SMALL)] == [min(1600, longest), min(320, longest)]
        seen += 1
    assert seen > 20


# --- laws ---------------------------------------------------------------------------------------


def test_a_png_is_a_photo_too():
    """By its content; the previews are JPEGs."""
    made = parcel.unpack(run(encoded("RGBA", (3200, 1600), "PNG"), untold))
    assert json.loads(made[FACTS]) == {
        "media_type": "image/png",
        "width": 3200,
        "height": 1600,
        "taken_at": None,
        "has_location": False,
    }
    assert (shown(made[LARGE]), shown(made[SMALL])) == ((1600, 800), (320, 160))


# --- refusals -----------------------------------------------------------------------------------

_JPEG = (DATA / "photos" / "hopper_orientation_2.jpg").read_bytes()
_HEIC = (DATA / "photos" / "RGB_8__128x128.heif").read_bytes()


@pytest.mark.parametrize(
    ("content", "id"),
    [
        (b"", "photo-broken"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>", "photo-broken"),
        (b"<!doctype html><script>alert(1)</script>", "photo-broken"),
        (b"%PDF-1.7\n", "photo-broken"),
        (b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 9 9\n%%EndComments\n", "photo-other-kind"),
        (encoded("RGB", (9, 9), "GIF"), "photo-other-kind"),
        (encoded("RGB", (9, 9), "TIFF"), "photo-other-kind"),
        (encoded("RGB", (9, 9), "WEBP"), "photo-other-kind"),
        (_JPEG[: len(_JPEG) // 2], "photo-broken"),
        (_JPEG[:300], "photo-broken"),
        (_HEIC[: len(_HEIC) // 2], "photo-broken"),
        (encoded("RGB", (400, 400), "PNG")[:-60], "photo-broken"),
        ((DATA / "photos" / "broken.png").read_bytes(), "photo-broken"),
        ((DATA / "photos" / "corrupted.heic").read_bytes(), "photo-broken"),
        ((DATA / "photos" / "decompression_bomb.gif").read_bytes(), "photo-huge"),
        (encoded("1", (8000, MOST_WHOLE // 8000 + 1), "PNG"), "photo-huge"),
    ],
)
def test_what_is_no_whole_photo_is_refused(content: bytes, id: str):
    """Empty, text that a browser would run, other pictures, files cut short, bombs."""
    with pytest.raises(InputError) as refused:
        run(content, untold)
    assert refused.value.problem.id == f"site.{id}"
    assert refused.value.fix is not None


def test_a_file_larger_than_any_photo_is_not_opened():
    """Told by its size alone."""
    with pytest.raises(InputError) as refused:
        run(_JPEG + bytes(100_000_000), untold)
    assert refused.value.problem.id == "site.photo-huge"


REFUSALS = {"site.photo-broken", "site.photo-huge", "site.photo-other-kind"}


def refusal(content: bytes) -> str | None:
    """Return the id of what a file is refused for; None for one that is shown, bare."""
    try:
        made = parcel.unpack(run(content, untold))
    except InputError as error:
        return error.problem.id
    assert max(shown(made[SMALL])) <= 320
    return None


@pytest.mark.parametrize(
    "folder", ["exif_fuzz_metadata_extractor", "pillow", "heif", "tiff_rasterio", "xml_defusedxml", "gofuzz"]
)
def test_hostile_files_are_shown_bare_or_refused(folder: str):
    """Each within five seconds of computing: a picture, or a complaint; never a fault."""
    for file in sorted(shared_data("hostile", folder).rglob("*")):
        if file.is_file():
            before = time.process_time()
            assert refusal(file.read_bytes()) in REFUSALS | {None}, file
            assert time.process_time() - before < 5.0, file


def test_the_largest_that_is_decoded_takes_less_than_a_gigabyte():
    """Half a megabyte that grows to the bound, of the sort that takes most: grey in 16 bits, made colour whole."""
    side = int(MOST_WHOLE**0.5)
    with WorkerPool(1, 60.0) as pool:
        made = parcel.unpack(pool.run("photo", encoded("I;16", (side, side), "PNG", compress_level=1)))
        process = Path(f"/proc/{pool.pids[0]}")
        status = (process / "status").read_text(encoding="utf-8")
        times = (process / "stat").read_text(encoding="utf-8").rpartition(")")[2].split()[11:13]
    assert shown(made[LARGE]) == (1600, 1600)
    assert int(status.partition("VmHWM:")[2].split()[0]) < 1_000_000  # kB
    assert sum(map(int, times)) / os.sysconf("SC_CLK_TCK") < 5.0
