"""The command ``unpack``."""

from __future__ import annotations

import contextlib
from pathlib import Path
from typing import TYPE_CHECKING

import click

from courtwright.cli.stored import FILE, stored
from courtwright.cli.talk import Talk, talking

if TYPE_CHECKING:
    from courtwright.desk.places import Places

_EXAMPLES = (
    "\b\n"
    """Examples
  courtwright unpack greens.zip
  courtwright unpack greens.zip --check"""
)


@click.command("unpack", epilog=_EXAMPLES)
@click.argument("file", type=FILE)
@click.option("--check", is_flag=True, help="Read and check the file; write nothing.")
@talking
@stored
def command(talk: Talk, file: Path, check: bool, places: Places) -> None:
    """Put the job of a file that pack wrote into the store; nothing is written over what is there.

    The whole file is checked before anything is written. A running service may go on.
    """
    from courtwright.desk.caller import THE_MACHINE
    from courtwright.desk.keeping.bundles import unpack_job
    from courtwright.desk.office import Office
    from courtwright.desk.places import open_places
    from courtwright.store.backup import lost
    from courtwright.store.bundle.unpack import read_job

    with file.open("rb") as handle:
        if check:
            read = read_job(handle, file.name)
            answer = {"file": str(file), "job": read.job["id"], "name": read.job["name"]}
            line = talk.words("bundle-whole", name=read.job["name"])
            talk.give(answer, [line], lost(read.bundle.manifest.missing))
            return
        with contextlib.closing(open_places(places)) as store:
            done = unpack_job(Office(store), THE_MACHINE, handle, file.name)
    answer = {"file": str(file), "job": done.job_id, "name": done.name, "is_new": done.is_new, "added": done.added}
    id = "unpacked-new" if done.is_new else "unpacked-more" if done.added else "unpacked-nothing"
    line = talk.words(id, name=done.name, job=done.job_id, rows=sum(done.added.values()))
    talk.give(answer, [line], lost(done.missing))
