"""Photos as they may leave the office: upright, small, pixels and nothing else – no place, no name, no number."""

from __future__ import annotations

import contextlib
import io
import warnings
from collections.abc import Sequence

import pi_heif
from PIL import Image, ImageOps

from courtwright.errors import InputError
from courtwright.site.photos import MOST_PIXELS, photo_refused

#: A larger picture is not decoded where that takes all of it at once; a plain JPEG is decoded small. [px]
MOST_WHOLE = 64_000_000
_FORMATS = ("JPEG", "PNG", "HEIF")
#: What is shrunk as it is; others would lose by it and are made colours first.
_SHRINKS_WELL = ("RGB", "L", "CMYK", "RGBA", "LA")

pi_heif.register_heif_opener()


def previews(content: bytes, longest: Sequence[int], quality: int = 78, name: str = "") -> tuple[bytes, ...]:
    """Return a photo as upright JPEGs that hold pixels and nothing else.

    Parameters
    ----------
    content : bytes
        The file as the camera wrote it.
    longest : sequence of int
        The longest side of each, falling; a smaller photo stays as large as it is. [px]
    quality : int
        Of the JPEGs, 1 to 95. [-]
    name : str
        What the photo is called, for the complaint.

    Returns
    -------
    tuple of bytes
        In the order asked for.

    Raises
    ------
    InputError
        If nobody can read it as a photo, or it is larger than any camera's.
    """
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # a camera's odd tags; nothing of them is kept
            with Image.open(io.BytesIO(content), formats=_FORMATS) as picture:
                if picture.width * picture.height > _most_pixels(picture):
                    raise photo_refused("photo-huge", name)
                upright = _upright(picture, longest[0])
    except InputError:
        raise
    except (Image.DecompressionBombError, MemoryError) as error:
        raise photo_refused("photo-huge", name) from error
    except (OSError, SyntaxError, ValueError, ArithmeticError, LookupError, TypeError) as error:
        raise photo_refused("photo-broken", name) from error
    return tuple(_bare(upright, side, quality) for side in longest)


def _most_pixels(picture: Image.Image) -> int:
    is_plain_jpeg = picture.format in ("JPEG", "MPO") and not picture.info.get("progressive")
    return MOST_PIXELS if is_plain_jpeg else MOST_WHOLE


def _upright(picture: Image.Image, longest: int) -> Image.Image:
    picture.draft("RGB", (longest, longest))
    picture.load()
    if picture.mode in _SHRINKS_WELL:
        picture.thumbnail((longest, longest))
    turned = picture
    with contextlib.suppress(Exception):  # a damaged tag may break its reader in any way; the pixels are good
        turned = ImageOps.exif_transpose(picture)
    return turned.convert("RGB")


def _bare(upright: Image.Image, longest: int, quality: int) -> bytes:
    """Return a JPEG of the pixels alone; what came with them stays behind with the picture they are taken from."""
    small = upright.copy()
    small.thumbnail((longest, longest))
    bare = Image.new("RGB", small.size)
    bare.paste(small)
    out = io.BytesIO()
    bare.save(out, "JPEG", quality=quality)
    return out.getvalue()
