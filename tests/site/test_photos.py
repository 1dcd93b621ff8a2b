"""Photos are listed upright, with their time and whether they tell a place; broken ones are told."""

from __future__ import annotations

import contextlib
import datetime as dt
import io
import json
import struct
import zlib
from pathlib import Path

import pytest
from PIL import Image, ImageFile, PngImagePlugin

from courtwright.site import read_site
from courtwright.site.photos import listed, read_photo
from tests.places import DATA, shared_data
from tests.site.sites import PAD, brief, read, zipped

PHOTOS = DATA / "photos"


def jpeg(size: tuple[int, int], **tags: object) -> bytes:
    """Return a small JPEG with these EXIF tags."""
    exif = Image.Exif()
    exif[0x0112] = tags.get("orientation", 1)
    if "taken" in tags:
        exif.get_ifd(0x8769)[0x9003] = tags["taken"]
        exif.get_ifd(0x8769)[0x9011] = tags.get("offset", "")
    if tags.get("gps"):
        exif.get_ifd(0x8825).update({1: "N", 2: (41.0, 12.0, 0.0), 3: "W", 4: (73.0, 54.0, 0.0)})
    out = io.BytesIO()
    Image.new("RGB", size).save(out, "JPEG", exif=exif)
    return out.getvalue()


# --- published answers --------------------------------------------------------------------------


def test_sizes_times_and_places_are_those_of_other_readers():
    """Upright size, orientation, time taken and the presence of a place, as two other libraries read them."""
    folder = shared_data("photos_exif")
    truth = json.loads((folder / "truth.json").read_text(encoding="utf-8"))
    for name, true in truth.items():
        with (folder / name).open("rb") as handle:
            photo = listed(handle, name)
        turned = true["format"] == "JPEG" and (true["orientation"] or 1) >= 5
        assert (photo.width, photo.height) == tuple(true["size_raw"][:: -1 if turned else 1]), name
        assert photo.has_location == (true["gps"] is not None), name
        written = true["datetime_original"] or true["datetime"]
        told = None if photo.taken_at is None else photo.taken_at.strftime("%Y:%m:%d %H:%M:%S")
        assert told == written, name


# --- laws ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "kind", "orientation", "size"),
    [
        ("hopper_orientation_2.jpg", "jpeg", 2, (128, 128)),
        ("hopper_orientation_5.jpg", "jpeg", 5, (128, 128)),
        ("hopper_orientation_8.jpg", "jpeg", 8, (128, 128)),
        ("L_exif_xmp_iptc.heic", "heic", 1, (64, 64)),
        ("RGB_8__128x128.heif", "heic", 1, (128, 128)),
    ],
)
def test_photos_of_every_kind_are_listed(name: str, kind: str, orientation: int, size: tuple[int, int]):
    """By content; a HEIC counts as upright, which is how its reader gives it."""
    with (PHOTOS / name).open("rb") as handle:
        photo = listed(handle, name)
    assert (photo.kind, photo.orientation, (photo.width, photo.height)) == (kind, orientation, size)


def test_a_photo_tells_its_time_zone_only_when_the_camera_did(tmp_path: Path):
    """EXIF times have no zone unless an offset is written beside them; a turned photo is listed upright."""
    files = {
        "site.toml": PAD,
        "photos/a.jpg": jpeg((40, 30), orientation=6, taken="2026:04:11 09:30:00"),
        "photos/b.JPG": jpeg((40, 30), taken="2026:04:11 09:30:00", offset="-04:00", gps=True),
        "photos/c.jpg": jpeg((40, 30), taken="0000:00:00 00:00:00"),
        "photos/.DS_Store": b"x",
        "photos/Thumbs.db": b"x",
    }
    a, b, c = read(tmp_path, files).photos
    assert (a.width, a.height, a.orientation) == (30, 40, 6)
    assert a.taken_at == dt.datetime(2026, 4, 11, 9, 30)  # noqa: DTZ001 the camera wrote no zone
    assert not a.has_location
    assert b.taken_at == dt.datetime(2026, 4, 11, 9, 30, tzinfo=dt.timezone(dt.timedelta(hours=-4)))
    assert b.has_location
    assert c.taken_at is None


def test_photos_in_a_zip_are_listed_alike(tmp_path: Path):
    """A zip is read in memory."""
    files = {
        "site.toml": PAD,
        "photos/a.jpg": jpeg((40, 30)),
        "photos/b.heic": (PHOTOS / "L_exif_xmp_iptc.heic").read_bytes(),
    }
    assert read_site(zipped(tmp_path / "a.zip", files)).photos == read(tmp_path / "a", files).photos


# --- refusals -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("data", "code"),
    [
        (b"", "photo-broken"),
        (b"words", "photo-broken"),
        ((PHOTOS / "broken.png").read_bytes(), "photo-broken"),
        ((PHOTOS / "corrupted.heic").read_bytes(), "photo-broken"),
        ((PHOTOS / "L_exif_xmp_iptc.heic").read_bytes()[:200], "photo-broken"),
        ((PHOTOS / "hopper_orientation_2.jpg").read_bytes()[:100], "photo-broken"),
        ((PHOTOS / "decompression_bomb.gif").read_bytes(), "photo-huge"),
    ],
)
def test_a_broken_photo_is_told_and_the_others_listed(data: bytes, code: str, tmp_path: Path):
    """Empty, cut off, corrupt, or a bomb: one error, no traceback, nothing decoded."""
    record = read(tmp_path, {"site.toml": PAD, "photos/a.jpg": data, "photos/b.jpg": jpeg((4, 4))})
    assert brief(record.complaints) == [("photos/a.jpg", "", code, "error")]
    assert [photo.name for photo in record.photos] == ["photos/b.jpg"]


def test_damaged_exif_loses_only_itself(tmp_path: Path):
    """A photo whose EXIF another reader crashed on is still a photo, or told."""
    data = (DATA / "hostile" / "exif_fuzzed.jpg").read_bytes()
    record = read(tmp_path, {"site.toml": PAD, "photos/a.jpg": data})
    assert len(record.photos) + len(record.complaints) == 1


@pytest.mark.parametrize("folder", ["exif_fuzz_metadata_extractor", "pillow", "heif"])
def test_hostile_pictures_are_listed_or_told(folder: str, tmp_path: Path):
    """Each becomes a photo or one complaint."""
    files = [file for file in sorted(shared_data("hostile", folder).iterdir()) if file.is_file()]
    record = read(tmp_path, {"site.toml": PAD, **{f"photos/{f.name}": f.read_bytes() for f in files}})
    assert len(record.photos) + len(record.complaints) == len(files)
    assert {c.code for c in record.complaints} <= {"photo-broken", "photo-huge", "photo-other-kind"}


def _chunk(kind: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))


def _png(before: bytes = b"", after: bytes = b"", side: int = 8) -> bytes:
    head = _chunk(b"IHDR", struct.pack(">IIBBBBB", side, side, 8, 0, 0, 0, 0))
    pixels = _chunk(b"IDAT", zlib.compress(bytes(side * (side + 1))))
    return b"\x89PNG\r\n\x1a\n" + head + before + pixels + after + _chunk(b"IEND", b"")


def test_no_pixel_of_a_photo_is_decoded(monkeypatch: pytest.MonkeyPatch):
    """A PNG of some kilobytes may have a gigabyte of them, and EXIF behind them is found all the same."""

    def decode(_: object) -> None:
        raise AssertionError

    monkeypatch.setattr(ImageFile.ImageFile, "load", decode)
    monkeypatch.setattr(PngImagePlugin.PngImageFile, "load", decode)
    assert read_photo(_png(side=3000), "a.png").width == 3000
    exif = Image.Exif()
    exif[0x0132] = "2026:04:16 09:30:00"
    for place in ("before", "after"):
        photo = read_photo(_png(**{place: _chunk(b"eXIf", exif.tobytes()[6:])}), "a.png")
        assert photo.taken_at == dt.datetime(2026, 4, 16, 9, 30)  # noqa: DTZ001 – a camera that tells no zone


@pytest.mark.parametrize(
    "data",
    [
        _png(before=_chunk(b"teSt", b"") * 300_000),
        _png(after=_chunk(b"teSt", b"") * 300_000),
        b"\xff\xd8" + b"\xff\xe3\x00\x02" * 300_000,
        b"\xff\xd8" + b"\xff" * 300_000,
        b"\xff\xd8\xff\xe0\x00\x02" + bytes(300_000),
        b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 9 9\n" + b"%a\n" * 300_000,
    ],
    ids=["png", "png behind", "jpeg", "fill", "junk", "eps"],
)
def test_a_head_that_never_ends_is_not_read_to_its_end(data: bytes):
    """Sixty megabytes of it took half a minute and two gigabytes."""
    reads = 0

    class Counted(io.BytesIO):
        def read(self, size: int | None = -1, /) -> bytes:
            nonlocal reads
            reads += 1
            return super().read(size)

    with contextlib.suppress(Exception):  # refused in whatever words: it is that it ends that counts
        listed(Counted(data), "a.jpg")
    assert reads < 120_000
