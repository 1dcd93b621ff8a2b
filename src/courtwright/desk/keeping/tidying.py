"""What the service clears away now and then: beginnings that nobody came back to. Nothing that was kept whole."""

from __future__ import annotations

import datetime as dt

from courtwright.desk.office import Office
from courtwright.desk.walks.uploads import tidy_uploads

#: Whatever writes a file is done with it, or dead, after so long.
_HALF_WRITTEN = dt.timedelta(days=1)


def tidy(office: Office) -> None:
    """Give up uploads to which nothing came for long, and take away files that a crash left half-written.

    Raises
    ------
    StoreError
        If the store cannot be written just now.
    """
    tidy_uploads(office)
    office.store.blobs.tidy(office.now() - _HALF_WRITTEN)
