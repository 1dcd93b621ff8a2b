"""The demo site as a walk of a job."""

from __future__ import annotations

import io
from collections.abc import Mapping

from courtwright.desk.office import Office
from courtwright.desk.walks.walk_files import import_file
from tests.desk.jobs import ESTIMATOR
from tests.desk.kinds.demo import demo, zipped


def a_walk(office: Office, job_id: str, files: Mapping[str, bytes] | None = None) -> str:
    """Return the id of a new walk that says what a site says, the demo site unless given."""
    site = io.BytesIO(zipped(demo() if files is None else files))
    return import_file(office, ESTIMATOR, job_id, site, "site.zip").walk.id
