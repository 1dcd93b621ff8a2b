"""What was found on a site: read from a folder or a zip, validated, judged by nobody yet."""

from courtwright.site.complaints import NothingLeftError
from courtwright.site.folder import read_photos, read_site
from courtwright.site.record import (
    SCHEMA_VERSION,
    Answer,
    Complaint,
    Court,
    FactValue,
    Job,
    Mark,
    Pad,
    Photo,
    Place,
    Shots,
    SiteRecord,
    Tally,
)
from courtwright.site.tallies import tallies_beyond_marks

__all__ = [
    "SCHEMA_VERSION",
    "Answer",
    "Complaint",
    "Court",
    "FactValue",
    "Job",
    "Mark",
    "NothingLeftError",
    "Pad",
    "Photo",
    "Place",
    "Shots",
    "SiteRecord",
    "Tally",
    "read_photos",
    "read_site",
    "tallies_beyond_marks",
]
