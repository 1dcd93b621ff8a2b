"""Photos for the paper: upright, small, and without the place they were taken at or anything else hidden in them."""

from __future__ import annotations

import io
import re
from collections.abc import Mapping, Sequence
from pathlib import PurePosixPath

from PIL import Image

from courtwright.errors import InputError
from courtwright.site.previews import previews
from courtwright.site.record import Photo

_LONGEST = 900  # px: about 270 to the inch at half the width of a page
#: So many are enough to see what was found.
_MOST = 12


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
        (small,) = previews(content, (_LONGEST,))
    except InputError:
        return None
    return small


def shown_photos(photos: Sequence[Photo], contents: Mapping[str, bytes]) -> tuple[tuple[Photo, str, bytes | None], ...]:
    """Return the photos that an offer shows, each with its file name and its small copy; None where nobody can read it.

    Parameters
    ----------
    photos : sequence of Photo
        Of the site.
    contents : mapping of str to bytes
        The files by name, as the camera wrote them.
    """
    return tuple((photo, name, for_paper(contents[photo.name])) for photo, name in named_photos(photos, contents))


def named_photos(photos: Sequence[Photo], contents: Mapping[str, bytes]) -> tuple[tuple[Photo, str], ...]:
    """Return the photos that an offer shows, each with the name of its small copy, readable or not."""
    given = [photo for photo in photos if photo.name in contents][:_MOST]
    return tuple((photo, f"photo-{n}.jpg") for n, photo in enumerate(given))


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
