"""What many routes are asked with: a page of a list, and a key for what is to be done once."""

from __future__ import annotations

import hashlib
from typing import Annotated

from fastapi import Depends, Header, Query, Request

from courtwright.store.unit import Once

Most = Annotated[int, Query(ge=1, le=200, description="How many at once.")]
After = Annotated[str | None, Query(max_length=200, description="The value of next from the page before.")]
Since = Annotated[int, Query(ge=0, le=2**53, description="The sequence number after which to begin.")]

_Key = Annotated[
    str | None,
    Header(
        alias="Idempotency-Key",
        min_length=1,
        max_length=80,
        pattern=r"^[\x21-\x7e]+$",
        description="New for each request that is meant; the same when it is sent again.",
    ),
]


async def _once(request: Request, key: _Key = None) -> Once | None:
    if key is None:
        return None
    asked = f"{request.method} {request.url.path}\n".encode() + await request.body()
    return Once(key, hashlib.sha256(asked).hexdigest())


#: The request's own key, when it has one.
TheOnce = Annotated[Once | None, Depends(_once)]
