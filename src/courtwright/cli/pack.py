"""The command ``pack``."""

from __future__ import annotations

import contextlib
from pathlib import Path
from typing import TYPE_CHECKING

import click

from courtwright.cli.stored import stored
from courtwright.cli.talk import Talk, talking
from courtwright.errors import CallError
from courtwright.says import say

if TYPE_CHECKING:
    from courtwright.desk.places import Places

_EXAMPLES = (
    "\b\n"
    """Examples
  courtwright pack "Greens Road" --out greens.zip
  courtwright pack 3f6c1c0e-58a1-4b0e-9c55-0e7b3b1d2f10 --out greens.zip --data ~/courts"""
)


@click.command("pack", epilog=_EXAMPLES)
@click.argument("job")
@click.option("--out", "target", type=click.Path(path_type=Path), required=True, help="File to write, not there yet.")
@talking
@stored
def command(talk: Talk, job: str, target: Path, places: Places) -> None:
    """Write one job with all that belongs to it to one file, readable without this program.

    JOB is its id, or a part of its name or address that no other job has. A running service may go on.
    """
    from courtwright.desk.caller import THE_MACHINE
    from courtwright.desk.keeping.bundles import find_job, pack_job
    from courtwright.desk.office import Office
    from courtwright.desk.places import open_existing
    from courtwright.store.backup import lost, written_whole
    from courtwright.store.failures import told

    if target.exists():
        raise CallError(say("desk.file-there"), where=str(target), fix=say("cli.pack-there-do"))
    with contextlib.closing(open_existing(places)) as store:
        office = Office(store)
        id = find_job(office, THE_MACHINE, job)
        with told(), written_whole(target) as half, half.open("w+b") as file:
            packed = pack_job(office, THE_MACHINE, id, file)
    size, files = target.stat().st_size, len(packed.manifest.files)
    answer = {"file": str(target), "job": id, "size_bytes": size, "rows": packed.rows}
    wrong = tuple(lost(packed.manifest.missing))
    talk.give(answer, [talk.words("packed", file=str(target), files=files, size=size / 1e6)], wrong)
