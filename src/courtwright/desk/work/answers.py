"""Answers about a walk: the documents that the commands print, computed by workers and kept until something changes."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from importlib.metadata import version
from typing import Any

from courtwright.desk.caller import Caller
from courtwright.desk.kinds.asked import AnswerAsked, Language, What, payload
from courtwright.desk.office import Office
from courtwright.desk.walks.walk_records import walked_files
from courtwright.desk.walks.walks import seen_walk
from courtwright.desk.work.handing import PARTS, own_parts
from courtwright.desk.work.tasks import Work, ask_for
from courtwright.errors import DamagedError, MissingError
from courtwright.says import say
from courtwright.store.rows.answers import Answer
from courtwright.store.rows.tasks import Task
from courtwright.store.unit import Unit
from courtwright.trade.digest import trade_digest

KIND = "answer"


@dataclass(frozen=True, slots=True)
class Question:
    """What is asked of a walk.

    Parameters
    ----------
    what : {"check", "ground", "verdict", "price", "maps"}
        Which answer.
    language : {"en", "es"}
        Of its sentences.
    seed : int
        Of everything drawn at random. [-]
    """

    what: What
    language: Language = "en"
    seed: int = 1

    @property
    def needs(self) -> str:
        """The right that its answer asks for."""
        return "prices.read" if self.what == "price" else "answers.read"


@dataclass(frozen=True, slots=True)
class Told:
    """An answer that is kept.

    Parameters
    ----------
    answer : Answer
        To what, and what it rests on.
    document : bytes
        The JSON document, as the command prints it.
    is_current : bool
        Whether the walk, its files, the release, the trade's data and, for a price, the contractor's own rates are
        still those that it rests on.
    """

    answer: Answer
    document: bytes
    is_current: bool


@dataclass(frozen=True, slots=True)
class _Basis:
    """What an answer rests on: the last update of the walk [-], and the digest of all else."""

    seq: int
    made_with: str


def ask(office: Office, caller: Caller, walk_id: str, question: Question) -> Told | Task:
    """Return the kept answer where it is current, else the task that computes it.

    Parameters
    ----------
    office, caller, walk_id
        Where, who asks, and about which walk.
    question : Question
        What.

    Raises
    ------
    InputError
        If the walk is too large to be handed over.
    MissingError, RefusedError
        If there is no walk that the caller may see, or the caller may not have this answer.
    """
    caller.require(question.needs)
    with office.reading() as unit:
        walk = seen_walk(unit, caller, walk_id)
        basis = _basis(unit, walk_id, question.what)
        kept = _kept(office, unit, walk_id, question, basis)
        if kept is not None and kept.is_current:
            return kept
        work = _work(unit, walk_id, walk.job_id, question, basis)
    with office.writing(caller) as unit:
        return ask_for(office, unit, work)


def last_answer(office: Office, caller: Caller, walk_id: str, question: Question) -> Told:
    """Return the last answer to a question, current or not.

    Raises
    ------
    MissingError, RefusedError
        If there is none, no walk that the caller may see, or the caller may not have this answer.
    """
    caller.require(question.needs)
    with office.reading() as unit:
        seen_walk(unit, caller, walk_id)
        kept = _kept(office, unit, walk_id, question, _basis(unit, walk_id, question.what))
    if kept is None:
        raise MissingError(say("desk.no-answer"), fix=say("desk.no-answer-do"))
    return kept


def keep_answer(office: Office, unit: Unit, task: Task, result: bytes) -> None:
    """Keep an answer in place of the one before: what becomes of a task of the kind ``answer``."""
    del office
    asked = task.request
    unit.answers.keep(
        Answer(
            task.about,
            asked["what"],
            asked["language"],
            asked["seed"],
            asked["seq"],
            asked["made_with"],
            unit.tasks.hand.at,
            unit.keep(result),
        )
    )


def _basis(unit: Unit, walk_id: str, what: What) -> _Basis:
    """Return what an answer would rest on now; a file may come long after the update that names it."""
    house = _house(unit, what)
    come = sorted(unit.photos.hashes(walk_id) | unit.surveys.hashes(walk_id))
    made_with = json.dumps([version("courtwright"), trade_digest(), come, *([house] if house else [])]).encode()
    return _Basis(unit.updates.seq(walk_id), hashlib.sha256(made_with).hexdigest())


def _house(unit: Unit, what: What) -> Mapping[str, Mapping[str, Any]] | None:
    """Return the contractor's own rates where the answer rests on them."""
    return (unit.house_rates.now() or None) if what == "price" else None


def _kept(office: Office, unit: Unit, walk_id: str, question: Question, basis: _Basis) -> Told | None:
    found = unit.answers.find(walk_id, question.what, question.language, question.seed)
    if found is None:
        return None
    try:
        document = office.store.blobs.get(found.sha256)
    except DamagedError:
        return None  # a cache: it is computed again
    return Told(found, document, (found.seq, found.made_with) == (basis.seq, basis.made_with))


def _work(unit: Unit, walk_id: str, job_id: str, question: Question, basis: _Basis) -> Work:
    _, files = walked_files(unit, walk_id)
    come = unit.photos.hashes(walk_id) | unit.surveys.hashes(walk_id)
    asked = AnswerAsked(question.what, question.language, seed=question.seed, house=_house(unit, question.what))
    return Work(
        KIND,
        about=walk_id,
        job_id=job_id,
        needs=question.needs,
        payload=payload(asked, files.written),
        request={
            **asdict(question),
            **asdict(basis),
            PARTS: own_parts(files, come),
        },
    )
