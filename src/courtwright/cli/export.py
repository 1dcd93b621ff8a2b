"""The command ``export``."""

from __future__ import annotations

import contextlib
from pathlib import Path
from typing import TYPE_CHECKING

import click

from courtwright.cli.stored import stored
from courtwright.cli.talk import Talk, talking

if TYPE_CHECKING:
    from courtwright.desk.places import Places

_EXAMPLES = (
    "\b\n"
    """Example
  courtwright export everything"""
)


@click.command("export", epilog=_EXAMPLES)
@click.argument("folder", type=click.Path(path_type=Path))
@talking
@stored
def command(talk: Talk, folder: Path, places: Places) -> None:
    """Write everything as open files: for each job a folder with sites, photos, offers and records.

    FOLDER is empty or not there yet. A running service may go on.
    """
    from courtwright.desk.caller import THE_MACHINE
    from courtwright.desk.keeping.bundles import export
    from courtwright.desk.office import Office
    from courtwright.desk.places import open_existing
    from courtwright.store.backup import lost

    with contextlib.closing(open_existing(places)) as store:
        done = export(Office(store), THE_MACHINE, folder, talk.progress)
    answer = {"folder": str(folder), "jobs": done.jobs, "files": done.files}
    line = talk.words("exported", folder=str(folder), jobs=done.jobs, files=done.files)
    talk.give(answer, [line], lost(done.missing))
