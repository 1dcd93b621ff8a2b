"""One page of a list, and where the next begins."""

from __future__ import annotations

import base64
import binascii
import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

from courtwright.errors import InputError
from courtwright.says import say
from courtwright.store.rows.base import After, Kept

T = TypeVar("T")
K = TypeVar("K", bound=Kept)


@dataclass(frozen=True, slots=True)
class Page(Generic[T]):
    """Some items of a list.

    Parameters
    ----------
    items : sequence
        In order.
    next : str or None
        What to ask with for the items that follow; None when there are none.
    """

    items: Sequence[T]
    next: str | None


def page_of(found: Sequence[K], most: int) -> Page[K]:
    """Return a page from the records asked for, one more of which was asked for than the page holds.

    Parameters
    ----------
    found : sequence of Kept
        At most ``most + 1`` of them.
    most : int
        How many a page holds. [-]
    """
    items = found[:most]
    return Page(items, _cursor(items[-1]) if len(found) > most else None)


def _cursor(record: Kept) -> str:
    text = f"{record.changed_at.isoformat()} {record.id}"
    return base64.urlsafe_b64encode(text.encode()).decode().rstrip("=")


def after_of(cursor: str | None) -> After | None:
    """Return where a page is to begin.

    Raises
    ------
    InputError
        If the cursor is none of ours.
    """
    if cursor is None:
        return None
    try:
        text = base64.urlsafe_b64decode(cursor + "=" * (-len(cursor) % 4)).decode()
        at, id = text.split(" ")
        moment = dt.datetime.fromisoformat(at)
        # A moment at either end of the calendar may have none in UTC.
        in_utc = moment.astimezone(dt.UTC)
    except (ValueError, OverflowError, binascii.Error) as error:
        raise InputError(say("desk.cursor"), where="after", fix=say("desk.cursor-do")) from error
    if moment.tzinfo is None or "\x00" in id:
        raise InputError(say("desk.cursor"), where="after", fix=say("desk.cursor-do"))
    return in_utc, id
