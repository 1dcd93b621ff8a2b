"""Photos for the paper: upright, small, and without the place they were taken at or anything else hidden in them."""

from __future__ import annotations

import io
import re
import warnings
from pathlib import PurePosixPath

import pi_heif
from PIL import Image, ImageOps

from courtwright.site.record import Photo

_LONGEST = 900  # px: about 270 to the inch at half the width of a page
_QUALITY = 78
_MOST_PIXELS = 200_000_000

pi_heif.register_heif_opener()


def for_paper(content: bytes) -> bytes | None:
    """Return a photo as a small upright JPEG that holds pixels and nothing else.

    Parameters
    ----------
    content : bytes
        The file as the camera wrote it.

    Returns
    -------
    bytes or None
        None when nobody can read it as a picture, or it is larger than any camera's.
    """
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # a camera's odd tags; nothing of them is kept
            with Image.open(io.BytesIO(content)) as picture:
                if picture.width * picture.height > _MOST_PIXELS:
                    return None
                picture.draft("RGB", (_LONGEST, _LONGEST))
                upright = ImageOps.exif_transpose(picture).convert("RGB")
    except (OSError, SyntaxError, ValueError, Image.DecompressionBombError):
        return None
    upright.thumbnail((_LONGEST, _LONGEST))
    bare = Image.new("RGB", upright.size)
    bare.paste(upright)
    out = io.BytesIO()
    bare.save(out, "JPEG", quality=_QUALITY)
    return out.getvalue()


def upright_size(jpeg: bytes) -> tuple[int, int]:
    """Return the width and the height of a photo for the paper. [px]"""
    with Image.open(io.BytesIO(jpeg)) as picture:
        return picture.size


def title_of(photo: Photo) -> str:
    """Return a photo's name as words: what the walker called it.

    Examples
    --------
    >>> title_of(Photo("photos/upper-2_root heave.jpg", "jpeg", 4, 3))
    'Upper 2 root heave'
    """
    words = " ".join(re.split(r"[\s_-]+", PurePosixPath(photo.name).stem)).strip()
    return words[:1].upper() + words[1:]
