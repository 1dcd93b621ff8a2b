"""Write the first witness of the bundle's form again; to be used only until the first release that keeps data."""

from __future__ import annotations

import datetime as dt
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT))

from tests.store.full_job import add_job, add_person, id_of  # noqa: E402 – as above

from courtwright.desk.keeping.open_copies import copies  # noqa: E402 – as above
from courtwright.desk.office import Office  # noqa: E402 – the tests are no package that is installed
from courtwright.store.bundle.pack import pack  # noqa: E402 – as above
from courtwright.store.keys import Keys  # noqa: E402 – as above
from courtwright.store.opened import open_store  # noqa: E402 – as above

TARGET = ROOT / "tests" / "data" / "bundles" / "first.zip"

with tempfile.TemporaryDirectory() as folder:
    store = open_store(f"sqlite:///{folder}/store.sqlite", f"{folder}/blobs")
    office = Office(store, now=lambda: dt.datetime(2026, 5, 4, 8, tzinfo=dt.UTC), keys=Keys(Path(folder) / "keys"))
    add_person(office)
    add_job(office)
    TARGET.parent.mkdir(exist_ok=True)
    with TARGET.open("w+b") as out, store.reading() as unit:
        pack(unit, id_of("greens"), out, copies)
    store.close()
