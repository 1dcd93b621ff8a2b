"""The command ``restore``."""

from __future__ import annotations

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
  courtwright restore friday.zip --check
  courtwright restore friday.zip --keys friday-keys.zip --data ~/courts
  courtwright restore friday.zip --database postgresql://office@localhost/courts"""
)


@click.command("restore", epilog=_EXAMPLES)
@click.argument("file", type=FILE)
@click.option("--keys", type=FILE, help="The file of keys that backup wrote beside it.")
@click.option("--check", is_flag=True, help="Read and check the file; write nothing.")
@talking
@stored
def command(talk: Talk, file: Path, keys: Path | None, check: bool, places: Places) -> None:
    """Put a backup into a store that has nothing yet, of either database: all of it or nothing."""
    from courtwright.desk.keeping.bundles import restore
    from courtwright.desk.keeping.keys import read_keys, seal_check
    from courtwright.store.backup import check_backup, lost

    with file.open("rb") as handle:
        if check:
            manifest = check_backup(handle, file.name)
            answer = {"file": str(file), "as_of": manifest.as_of, "made_by": manifest.made_by}
            talk.give(answer, [talk.words("backup-whole", at=talk.moment(manifest.as_of))], lost(manifest.missing))
            return
        with read_keys(keys, places):
            done = restore(places, handle, file.name, seal_check(places))
    answer = {"file": str(file), "as_of": done.manifest.as_of, "rows": done.rows, "files": done.files}
    lines = [talk.words("restored", at=talk.moment(done.manifest.as_of), jobs=done.rows["job"], files=done.files)]
    lines.append(talk.words("restored-sign-in"))
    talk.give(answer, lines, done.complaints)
