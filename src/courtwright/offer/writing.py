"""Writes all files of an offer at once, or none."""

from __future__ import annotations

import contextlib
import json
import os
import re
import tempfile
from collections.abc import Mapping
from pathlib import Path

from courtwright.errors import OutputError
from courtwright.offer.answer import offer_json
from courtwright.offer.calendar import schedule_ics
from courtwright.offer.document import offer_pdf
from courtwright.offer.dxf import plan_dxf
from courtwright.offer.geopackage import site_gpkg
from courtwright.offer.paper import Paper
from courtwright.offer.request import OfferRequest
from courtwright.offer.spreadsheet import quantities_xlsx
from courtwright.says import say

#: Files that one offer may have and the next may lack.
_MAY_GO = re.compile(r"plan-[^/\\]+\.svg|schedule\.ics")


def write_offer(request: OfferRequest, folder: Path) -> tuple[Path, ...]:
    """Write an offer, or a budget letter, with its drawings and tables.

    Parameters
    ----------
    request : OfferRequest
        What is offered.
    folder : Path
        Where to; made if it is not there. Files of an earlier offer are replaced, others are left alone.

    Returns
    -------
    tuple of Path
        What was written: ``offer.pdf``, ``plan-PAD.svg`` of every pad, ``quantities.xlsx``, ``site.gpkg``,
        ``plan.dxf``, ``offer.json``, and ``schedule.ics`` when a start is given.

    Raises
    ------
    OutputError
        If a file cannot be made or written. Then nothing in the folder has changed.
    """
    files = offer_files(request)
    return write_together(files, folder)


def offer_files(request: OfferRequest) -> dict[str, bytes]:
    """Return the content of every file of an offer, by name."""
    paper = Paper.of(request)
    files = {"offer.pdf": offer_pdf(paper)}
    for name, plan in zip(plan_names([pad.id for pad in request.site.pads]), paper.plans, strict=True):
        files[name] = plan.encode()
    files["quantities.xlsx"] = quantities_xlsx(paper)
    files["site.gpkg"] = site_gpkg(paper)
    files["plan.dxf"] = plan_dxf(paper)
    if request.start is not None:
        files["schedule.ics"] = schedule_ics(paper, request.start)
    files["offer.json"] = offer_json(paper, [*files, "offer.json"])
    return files


def plan_names(pads: list[str]) -> list[str]:
    """Return the name of each pad's plan: a file name whatever the pad is called, no two alike.

    Examples
    --------
    >>> plan_names(["upper", "a/b", "a b"])
    ['plan-upper.svg', 'plan-a-b.svg', 'plan-a-b-2.svg']
    """
    names: list[str] = []
    for pad in pads:
        base = re.sub(r"[^\w.-]+", "-", pad)[:80].strip(".-") or "pad"
        name, count = f"plan-{base}.svg", 1
        while name.casefold() in (other.casefold() for other in names):
            count += 1
            name = f"plan-{base}-{count}.svg"
        names.append(name)
    return names


def write_together(files: Mapping[str, bytes], folder: Path) -> tuple[Path, ...]:
    """Write files beside their places first, and move them there only when all are written."""
    made = _make(folder)
    waiting: dict[Path, Path] = {}
    try:
        outdated = _outdated(folder, files) if "offer.json" in files else []
        for name, content in files.items():
            waiting[folder / name] = _beside(folder / name, content)
        _replace(waiting)
        for path in outdated:
            path.unlink(missing_ok=True)
    except OSError as error:
        _clear(waiting, made)
        raise _unwritable(folder, error) from error
    return tuple(folder / name for name in files)


def _make(folder: Path) -> list[Path]:
    """Make a folder with its parents; return those that were not there, outermost first."""
    missing = [path for path in (*reversed(folder.parents), folder) if not path.exists()]
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except FileExistsError as error:
        problem = say("offer.folder-is-file", folder=str(folder))
        raise OutputError(problem, where=str(folder), fix=say("offer.choose-folder")) from error
    except OSError as error:
        raise _unwritable(folder, error) from error
    return missing


def _unwritable(folder: Path, error: OSError) -> OutputError:
    problem = say("offer.unwritable-folder", folder=str(folder), detail=error.strerror or type(error).__name__)
    return OutputError(problem, where=str(folder), fix=say("offer.choose-folder"))


def _beside(path: Path, content: bytes) -> Path:
    if path.is_dir():
        raise IsADirectoryError(21, f"{path.name} is a folder")
    descriptor, name = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
    with os.fdopen(descriptor, "wb") as file:
        file.write(content)
    Path(name).chmod(0o644)
    return Path(name)


def _replace(waiting: dict[Path, Path]) -> None:
    """Move every file to its place; if one cannot be moved, put back what stood there before."""
    kept: dict[Path, bytes | None] = {}
    try:
        for path, temporary in list(waiting.items()):
            kept[path] = path.read_bytes() if path.exists() else None
            temporary.replace(path)
            del waiting[path]
    except OSError:
        for path, content in kept.items():
            if path in waiting:
                continue
            if content is None:
                path.unlink(missing_ok=True)
            else:
                path.write_bytes(content)
        raise


def _clear(waiting: dict[Path, Path], made: list[Path]) -> None:
    for temporary in waiting.values():
        with contextlib.suppress(OSError):
            temporary.unlink(missing_ok=True)
    for folder in reversed(made):
        with contextlib.suppress(OSError):
            folder.rmdir()


def _outdated(folder: Path, files: Mapping[str, bytes]) -> list[Path]:
    """Return the plans and the calendar that the folder's earlier offer wrote and this one does not."""
    try:
        earlier = json.loads((folder / "offer.json").read_text(encoding="utf-8"))["files"]
    except (OSError, ValueError, KeyError, TypeError):
        return []
    names = [name for name in earlier if isinstance(name, str)] if isinstance(earlier, list) else []
    return [folder / name for name in names if _MAY_GO.fullmatch(name) and name not in files]
