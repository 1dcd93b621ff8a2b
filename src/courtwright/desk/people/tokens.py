"""Secrets that a browser or a link carries: 256 random bits; only their SHA-256 is kept.

A token is found by its hash, so that the time of the search tells of hashes, from which no way leads to a token.
"""

from __future__ import annotations

import hashlib
import re
import secrets

#: 32 bytes, in letters that an address may hold.
_FORM = re.compile(r"[A-Za-z0-9_-]{43}")


def new_token() -> str:
    """Return a token that nobody can guess."""
    return secrets.token_urlsafe(32)


def hashed(token: str) -> str | None:
    """Return the hash under which a token is kept, or None when no token looks so.

    Parameters
    ----------
    token : str
        As it came in.

    Examples
    --------
    >>> hashed("x" * 43)[:8], hashed("x" * 42), hashed("é" * 43)
    ('cc0b1c2c', None, None)
    """
    if not _FORM.fullmatch(token):
        return None
    return hashlib.sha256(token.encode()).hexdigest()
