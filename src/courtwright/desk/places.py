"""Where an office keeps its things: one data folder with its database, files and keys, unless told otherwise."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from platformdirs import user_data_path

from courtwright.errors import CallError
from courtwright.says import say
from courtwright.store.engine import file_of
from courtwright.store.failures import told
from courtwright.store.opened import Store, open_store


@dataclass(frozen=True, slots=True)
class Places:
    """Where things are.

    Parameters
    ----------
    folder : Path
        The data folder.
    database : str
        Address of the database.
    files : str
        Folder or address of the kept files.
    keys : Path
        Folder of the keys, outside the database and outside every backup.
    parts : Path
        Folder of this machine for files that have not come as a whole.
    """

    folder: Path
    database: str
    files: str
    keys: Path
    parts: Path


def usual_folder() -> Path:
    """Return the data folder of this user, as this system has it."""
    return user_data_path("courtwright", appauthor=False)


def places_in(folder: Path | None = None, database: str | None = None, files: str | None = None) -> Places:
    """Return where things are.

    Parameters
    ----------
    folder : Path or None
        The data folder; that of this user unless given.
    database : str or None
        Address of another database than the file ``courtwright.sqlite`` of the folder.
    files : str or None
        Another folder or address than ``blobs`` in the folder.

    Examples
    --------
    >>> places_in(Path("data")).database
    'sqlite:///data/courtwright.sqlite'
    """
    folder = folder or usual_folder()
    return Places(
        folder,
        database or f"sqlite:///{folder / 'courtwright.sqlite'}",
        files or str(folder / "blobs"),
        folder / "keys",
        folder / "parts",
    )


def open_places(places: Places) -> Store:
    """Open the store of an office; one that is not there yet is made, for this user's eyes only.

    Raises
    ------
    CallError, StoreError
        As `open_store` does, or if the folder cannot be made.
    """
    with told():
        places.folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    return open_store(places.database, places.files, places.parts)


def open_existing(places: Places) -> Store:
    """Open the store of an office that has one: a mistyped folder is told instead of filled with an empty store.

    Raises
    ------
    CallError
        If there is none.
    StoreError
        As `open_store` does.
    """
    file = file_of(places.database)
    if file is not None and not file.exists():
        raise CallError(say("desk.no-store"), where=str(file), fix=say("desk.no-store-do"))
    return open_store(places.database, places.files, places.parts)
