"""What nobody came back to is cleared away; everything that was kept stays."""

from __future__ import annotations

import datetime as dt
import os
from dataclasses import replace
from pathlib import Path

from courtwright.desk.keeping.tidying import tidy
from courtwright.desk.office import Office


def test_a_half_written_file_goes_after_a_day(office: Office, tmp_path: Path) -> None:
    """The file that a crash left is there within the day and gone later; a whole one stays."""
    kept = office.store.blobs.put(b"a photo")
    half = tmp_path / "files" / kept[:2] / "x.half"
    half.write_bytes(b"a ph")
    now = office.now()
    os.utime(half, (now.timestamp(), now.timestamp()))
    tidy(replace(office, now=lambda: now + dt.timedelta(hours=23)))
    assert half.exists()
    tidy(replace(office, now=lambda: now + dt.timedelta(hours=25)))
    assert not half.exists()
    assert office.store.blobs.get(kept) == b"a photo"
