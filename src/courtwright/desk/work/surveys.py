"""Looks at survey files of a walk, as long work: what a file would be as the heights of a pad, before it is taken."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from courtwright.desk.caller import Caller
from courtwright.desk.kinds.asked import FOLDER, Language, SurveyAsked, UnitSystem, payload
from courtwright.desk.office import Office
from courtwright.desk.walks.walk_records import walked_files
from courtwright.desk.walks.walks import seen_walk
from courtwright.desk.work.handing import PARTS
from courtwright.desk.work.tasks import Work, ask_for, result_of
from courtwright.errors import MissingError
from courtwright.says import say
from courtwright.site.walked import site_files
from courtwright.store.rows.tasks import Task

KIND, NEEDS = "survey", "walks.read"


def ask_look(
    office: Office,
    caller: Caller,
    walk_id: str,
    *,
    sha256: str,
    pad: str,
    columns: Mapping[str, Any] | None = None,
    place: Mapping[str, Any] | None = None,
    language: Language = "en",
    units: UnitSystem | None = None,
) -> Task:
    """Return the task that looks at a survey file of a walk; the walk itself does not change.

    Parameters
    ----------
    office, caller, walk_id
        Where, who asks, and of which walk.
    sha256 : str
        Of the file, which has come.
    pad : str
        UUID of the pad that the heights would be of.
    columns, place : mapping or None
        What is told of its columns, and of where the pad lies, as ``[pad.columns]`` and ``[pad.place]`` tell it.
    language : {"en", "es"}
        Of the sentences.
    units : {"us", "metric"} or None
        Of the sentences; None for the walk's own.

    Raises
    ------
    MissingError, RefusedError
        If there is no walk, no such file or no such pad that the caller may see, or the caller may not.
    """
    caller.require(NEEDS)
    with office.reading() as unit:
        walk = seen_walk(unit, caller, walk_id)
        says, _ = walked_files(unit, walk_id)
        file = unit.surveys.of(walk_id, sha256)
        if file is None:
            raise MissingError(say("store.missing", record=say("store.record-survey")))
        pads = says.get("pads", {})
        if not isinstance(pads.get(pad), Mapping):
            raise MissingError(say("desk.survey-no-pad"), fix=say("desk.survey-no-pad-do"))
        # As `walk` would say it, were the file taken: one pad, one file.
        told = {"name": file.name, "sha256": sha256, "columns": columns, "place": place}
        alone = {key: value for key, value in pads[pad].items() if key not in ("shots", "withdrawn")}
        plain = {"walk": says.get("walk", {}), "pads": {pad: {**alone, "shots": file.id}}, "files": {file.id: told}}
        files = site_files(plain, unit.blobs.get)
    name = next(iter(files.blobs), "")
    asked = SurveyAsked(name, language, units)
    parts = {FOLDER + name: sha256 for name, sha256 in files.blobs.items()}
    handed = payload(asked, files.written)
    work = Work(KIND, about=walk_id, job_id=walk.job_id, needs=NEEDS, payload=handed, request={PARTS: parts})
    with office.writing(caller) as unit:
        return ask_for(office, unit, work)


def look(office: Office, caller: Caller, walk_id: str, task_id: str) -> bytes:
    """Return what was seen of a survey file, as JSON.

    Raises
    ------
    MissingError, RefusedError
        If there is none that the caller may see, or it is not done.
    """
    caller.require(NEEDS)
    made = result_of(office, caller, task_id, kind=KIND, about=walk_id)
    if made is not None:
        return made
    raise MissingError(say("desk.no-survey-look"), fix=say("desk.no-survey-look-do"))
