"""Lists photos: size, EXIF time, orientation and whether they tell a place. No pixel is decoded, nothing changed."""

from __future__ import annotations

import datetime as dt
import io
import re
import warnings
from typing import Any, BinaryIO, cast

import pi_heif
from PIL import Image

from courtwright.errors import InputError
from courtwright.says import say
from courtwright.site.complaints import Complaints
from courtwright.site.files import SiteFiles
from courtwright.site.record import Photo

FOLDER = "photos/"
#: A larger picture is no photo of a walk, and would take gigabytes to open. [px]
MOST_PIXELS = 250_000_000
#: A camera's file is known after some hundred reads; one that was made to go on in pieces of a byte takes minutes. [-]
MOST_READS = 100_000
_KINDS = {"JPEG": "jpeg", "MPO": "jpeg", "PNG": "png"}
_NOT_PHOTOS = ("thumbs.db", "desktop.ini")
_HEIC = re.compile(rb"....ftyp(heic|heix|heim|heis|hevc|hevx|mif1|msf1)", re.DOTALL)
_ORIENTATION, _TIME, _EXIF, _GPS = 0x0112, 0x0132, 0x8769, 0x8825
_TAKEN, _OFFSET = 0x9003, 0x9011
_PNG_START = b"\x89PNG\r\n\x1a\n"
_EXIF_TIME = re.compile(r"(\d{4})[:\-](\d\d)[:\-](\d\d)[ T](\d\d):(\d\d):(\d\d)")
_EXIF_OFFSET = re.compile(r"([+-])(\d\d):(\d\d)")


class _NoPhotoError(Exception):
    """Raised within this file with the code of the complaint."""


def list_photos(files: SiteFiles, complaints: Complaints) -> tuple[Photo, ...]:
    """Return the photos of a site, and complain of each that cannot be opened.

    Parameters
    ----------
    files : SiteFiles
        The site; its photos lie in ``photos/``.
    complaints : Complaints
        Takes in what is broken, too large or of another kind.

    Returns
    -------
    tuple of Photo
        By name.
    """
    found: list[Photo] = []
    for name in files.names():
        last = name.rpartition("/")[2]
        if not name.startswith(FOLDER) or last.startswith(".") or last.lower() in _NOT_PHOTOS:
            continue
        try:
            with files.open(name) as handle:
                found.append(listed(handle, name))
        except _NoPhotoError as error:
            complaints.error(name, "", str(error))
        except OSError:
            complaints.error(name, "", "photo-broken")
    return tuple(found)


def photo_refused(code: str, name: str) -> InputError:
    """Return why a file is not taken for a photo, to be raised. ``code`` is that of the complaint."""
    return InputError(say(f"site.{code}"), where=name, fix=say(f"site.{code}-do"))


def read_photo(content: bytes, name: str) -> Photo:
    """Return what one photo tells of itself; known by its content, whatever it is called.

    Parameters
    ----------
    content : bytes
        The file as the camera wrote it.
    name : str
        What it is called.

    Raises
    ------
    InputError
        If it is broken, far too large, or of another kind.
    """
    try:
        return listed(io.BytesIO(content), name)
    except _NoPhotoError as error:
        raise photo_refused(str(error), name) from error
    except OSError as error:
        raise photo_refused("photo-broken", name) from error


def listed(handle: BinaryIO, name: str) -> Photo:
    """Return one photo as listed.

    Parameters
    ----------
    handle : BinaryIO
        The file.
    name : str
        Its name in the site.

    Returns
    -------
    Photo
        Width and height are those of the upright picture.
    """
    head = handle.read(16)
    handle.seek(0)
    try:
        if _HEIC.match(head):
            return _heic(handle, name)
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            return _pillow(handle, name)
    except (_NoPhotoError, OSError):
        raise
    except Exception as error:  # a damaged header may break a decoder in any way
        raise _NoPhotoError("photo-broken") from error


class _Patient:
    """A file that is not read for ever."""

    def __init__(self, handle: BinaryIO) -> None:
        self._handle, self._reads = handle, 0

    def read(self, size: int = -1) -> bytes:
        self._count()
        return self._handle.read(size)

    def readline(self) -> bytes:
        self._count()
        return self._handle.readline()

    def seek(self, offset: int, whence: int = io.SEEK_SET) -> int:
        return self._handle.seek(offset, whence)

    def tell(self) -> int:
        return self._handle.tell()

    def _count(self) -> None:
        self._reads += 1
        if self._reads > MOST_READS:
            raise _NoPhotoError("photo-broken")


def _pillow(handle: BinaryIO, name: str) -> Photo:
    patient = _Patient(handle)
    try:
        image = Image.open(cast("BinaryIO", patient))
    except Image.DecompressionBombError as error:
        raise _NoPhotoError("photo-huge") from error
    kind = _KINDS.get(image.format or "")
    if kind is None:
        raise _NoPhotoError("photo-other-kind")
    width, height = _checked(image.size)
    if kind == "png" and "exif" not in image.info:
        # Left to look for it behind the pixels, Pillow would decode all of them.
        image.info["exif"] = _png_exif(patient)
    exif = _exif_of(image)
    orientation = exif.get(_ORIENTATION, 1) if exif else 1
    orientation = orientation if orientation in range(1, 9) else 1
    if orientation >= 5:
        width, height = height, width
    return _photo(name, kind, (width, height), orientation, exif, image.info.get("xmp"))


def _heic(handle: BinaryIO, name: str) -> Photo:
    """List a HEIC, whose reader gives the upright size already."""
    heif = pi_heif.open_heif(handle, convert_hdr_to_8bit=False)
    size = _checked(heif.size)
    exif = Image.Exif()
    block = heif.info.get("exif")
    if isinstance(block, bytes):
        try:
            exif.load(block)
        except Exception:  # a damaged block may break its reader in any way; the photo is good without it
            exif = Image.Exif()
    return _photo(name, "heic", size, 1, exif, heif.info.get("xmp"))


def _checked(size: tuple[int, int]) -> tuple[int, int]:
    if size[0] * size[1] > MOST_PIXELS:
        raise _NoPhotoError("photo-huge")
    return size


def _png_exif(file: _Patient) -> bytes | None:
    """Return the EXIF of a PNG from wherever it stands, the pixels passed over; None when there is none.

    References
    ----------
    W3C, "Portable Network Graphics (PNG) Specification", 3rd ed., 2025, 5.3 and 11.3.4.5.
    """
    file.seek(len(_PNG_START))
    while len(head := file.read(8)) == 8:
        length, kind = int.from_bytes(head[:4]), head[4:]
        if kind == b"eXIf":
            return file.read(length)
        file.seek(length + 4, io.SEEK_CUR)
    return None


def _exif_of(image: Image.Image) -> Image.Exif | None:
    try:
        return image.getexif()
    except Exception:  # as above: the photo is good without it
        return None


def _photo(name: str, kind: str, size: tuple[int, int], orientation: int, exif: Image.Exif | None, xmp: Any) -> Photo:
    taken = _block(exif, _EXIF)
    place = _block(exif, _GPS)
    written = taken.get(_TAKEN) or (exif.get(_TIME) if exif else None)
    has_location = bool(place.keys() & {2, 4}) or (isinstance(xmp, bytes) and b"GPSL" in xmp)
    return Photo(name, kind, *size, orientation, _time(written, taken.get(_OFFSET)), has_location)


def _block(exif: Image.Exif | None, tag: int) -> dict[int, Any]:
    try:
        return dict(exif.get_ifd(tag)) if exif else {}
    except Exception:  # as above
        return {}


def _time(written: object, offset: object) -> dt.datetime | None:
    """Return the time as the camera wrote it, with a zone only when it wrote one.

    Examples
    --------
    >>> _time("2021:04:11 15:47:53", "-05:00").isoformat(), _time("0000:00:00 00:00:00", None)
    ('2021-04-11T15:47:53-05:00', None)
    """
    match = _EXIF_TIME.match(written) if isinstance(written, str) else None
    if match is None:
        return None
    zone = _EXIF_OFFSET.match(offset) if isinstance(offset, str) else None
    try:
        away = dt.timedelta(hours=int(zone[2]), minutes=int(zone[3])) if zone else None
        tz = None if zone is None or away is None else dt.timezone(away if zone[1] == "+" else -away)
        year, month, day, hour, minute, second = (int(part) for part in match.groups())
        return dt.datetime(year, month, day, hour, minute, second, tzinfo=tz)
    except ValueError:
        return None
