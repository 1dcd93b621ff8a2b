"""Looks at one photo: what it tells of itself, and two copies that may be shown to anybody.

In: the file as the camera wrote it; its name is not needed and not trusted. Out: a `parcel` of

- ``large.jpg`` and ``small.jpg``: upright, 1600 and 320 pixels at most on the longer side, pixels and nothing else;
- ``facts.json``: ``media_type`` of the original, ``width`` and ``height`` of the upright picture [px], ``taken_at``
  as the camera wrote it (ISO, with a zone only where it wrote one) or null, and ``has_location``.
"""

from __future__ import annotations

import json

from courtwright.desk.kinds import Told, parcel
from courtwright.site.photos import photo_refused, read_photo
from courtwright.site.previews import previews
from courtwright.site.record import Photo

LARGE, SMALL, FACTS = "large.jpg", "small.jpg", "facts.json"
#: Longest sides. [px]
_LONGEST = (1600, 320)
#: No camera's photo is larger. [bytes]
_MOST_BYTES = 100_000_000
_NAME = "photo"


def run(payload: bytes, told: Told) -> bytes:
    """Return a photo's previews and facts.

    Raises
    ------
    InputError
        If it is broken, cut short, far too large, or no JPEG, PNG or HEIC.
    """
    if len(payload) > _MOST_BYTES:
        raise photo_refused("photo-huge", _NAME)
    facts = _facts(read_photo(payload, _NAME))
    told(1, 2)
    large, small = previews(payload, _LONGEST, name=_NAME)
    told(2, 2)
    return parcel.pack({LARGE: large, SMALL: small, FACTS: json.dumps(facts).encode()})


def _facts(photo: Photo) -> dict[str, object]:
    return {
        "media_type": f"image/{photo.kind}",
        "width": photo.width,
        "height": photo.height,
        "taken_at": photo.taken_at.isoformat() if photo.taken_at else None,
        "has_location": photo.has_location,
    }
