"""What of a photo says all that a list of photos tells: a day's photos need not be read whole."""

from __future__ import annotations

_START, _SCAN = b"\xff\xd8", 0xDA
#: Marks that no length follows.
_BARE = frozenset((0x01, *range(0xD0, 0xDA)))


def head_of(content: bytes) -> bytes:
    """Return a JPEG up to where its pixels begin, and anything else whole.

    Notes
    -----
    `photos.read_photo` tells the same of both: it reads the segments before the scan, and decodes nothing.

    References
    ----------
    ITU-T T.81, 1992, B.1.1.4: marker segments and their lengths.

    Examples
    --------
    >>> head_of(b"no photo")
    b'no photo'
    """
    if not content.startswith(_START):
        return content
    at = len(_START)
    while content[at : at + 1] == b"\xff" and at + 4 <= len(content):
        mark = content[at + 1]
        if mark == 0xFF:
            at += 1  # fill before a mark
            continue
        if mark in _BARE:
            break
        at += 2 + int.from_bytes(content[at + 2 : at + 4])
        if mark == _SCAN:
            return content[:at]
    return content
