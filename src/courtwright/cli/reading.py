"""Reads the site that a command was given."""

from __future__ import annotations

from pathlib import Path

import click

from courtwright.cli.talk import Talk
from courtwright.site import read_site
from courtwright.site.record import SiteRecord

#: The argument that every command about a site takes.
site_argument = click.argument("site", type=click.Path(exists=True, path_type=Path))


def read(site: Path, talk: Talk) -> SiteRecord:
    """Return the record of a site; the talk goes on in the job's own units."""
    record = read_site(site)
    talk.units = record.job.units
    return record
