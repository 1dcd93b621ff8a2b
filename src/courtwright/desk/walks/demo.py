"""The demo site as a file that a job takes in as a walk."""

from __future__ import annotations

import functools
import io
import zipfile

from courtwright.desk.caller import Caller
from courtwright.site.demo import demo_files

#: The same file on any day.
_NO_TIME = (1980, 1, 1, 0, 0, 0)


def demo_site(caller: Caller) -> bytes:
    """Return the demo site as a zip of its folder, the same whenever it is asked for.

    Raises
    ------
    RefusedError
        If the caller may see no walks.
    """
    caller.require("walks.read")
    return _zipped()


@functools.cache
def _zipped() -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_STORED) as archive:
        for name, content in demo_files().items():
            archive.writestr(zipfile.ZipInfo(name, _NO_TIME), content)
    return out.getvalue()
