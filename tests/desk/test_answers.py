"""Answers about a walk: those of the commands, computed once, and again when anything has changed."""

from __future__ import annotations

import dataclasses
import datetime as dt
import json
import time
import uuid
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from courtwright.desk.caller import Caller
from courtwright.desk.kinds.asked import AnswerAsked, What, asked
from courtwright.desk.office import Office
from courtwright.desk.walks.photos import list_files
from courtwright.desk.walks.walk_files import site_file
from courtwright.desk.work import handing
from courtwright.desk.work.answers import Question, Told, ask, keep_answer, last_answer
from courtwright.desk.work.runner import Runner
from courtwright.desk.work.tasks import stop_task, task
from courtwright.desk.workers import WorkerPool
from courtwright.errors import MissingError, RefusedError
from courtwright.site.photos import read_photo
from courtwright.store.rows.tasks import Task
from tests.desk.demo_walk import a_walk
from tests.desk.jobs import CREW, CREW_OFF, ESTIMATOR, HEAD, a_job
from tests.desk.kinds.demo import BARE, demo
from tests.desk.kinds.test_answer import printed


@pytest.fixture(scope="module")
def pool() -> Iterator[WorkerPool]:
    with WorkerPool(1, 60.0, warm=("answer",)) as made:
        yield made


@pytest.fixture
def office(office: Office) -> Office:
    """Give the office a clock that goes as it does, and new ids."""
    return dataclasses.replace(office, now=lambda: dt.datetime.now(dt.UTC), new_id=lambda: str(uuid.uuid4()))


def answered(office: Office, walk: str, question: Question) -> Told:
    """Return the answer once it is there."""
    asked = ask(office, ESTIMATOR, walk, question)
    until = time.monotonic() + 60.0
    while isinstance(asked, Task):
        found = task(office, ESTIMATOR, asked.id)
        assert not found.is_over or found.state == "done", found
        assert time.monotonic() < until
        time.sleep(0.02)
        asked = ask(office, ESTIMATOR, walk, question) if found.is_over else asked
    return asked


def task_of(office: Office, caller: Caller, walk: str, question: Question) -> Task:
    """Return the task that computes an answer."""
    made = ask(office, caller, walk, question)
    assert isinstance(made, Task)
    return made


def computed(office: Office, walk: str, question: Question, document: bytes = b"{}") -> Told:
    """Return an answer as if a worker had given this document."""
    asked = task_of(office, ESTIMATOR, walk, question)
    with office.writing_as(asked.by) as unit:
        keep_answer(office, unit, unit.tasks.end(asked.id, "done"), document)
    return last_answer(office, ESTIMATOR, walk, question)


# --- laws ---------------------------------------------------------------------------------------


def test_answers_about_the_demo_site_are_what_the_commands_print(
    office: Office, pool: WorkerPool, tmp_path: Path
) -> None:
    """To the byte, in either language, from any seed; a second time without a worker.

    The command reads the site folder that the walk is saved as: its marks are called by their UUIDs.
    """
    walk = a_walk(office, a_job(office))
    runner = Runner(office, pool, 1)
    runner.start(is_alone=True)
    questions = [Question("check"), Question("price", "es", 7)]
    try:
        told = {question: answered(office, walk, question) for question in questions}
    finally:
        runner.stop()
    _, saved = site_file(office, ESTIMATOR, walk)
    with saved, zipfile.ZipFile(saved) as archive:
        archive.extractall(tmp_path / "site")
    for question, found in told.items():
        seed = ("--seed", question.seed) if question.what == "price" else ()
        assert found.document == printed(question.what, tmp_path / "site", "--lang", question.language, *seed)
        assert found.is_current
        again = ask(office, ESTIMATOR, walk, question)
        assert again == found


def test_an_answer_stays_until_the_walk_changes(office: Office) -> None:
    """Then it is told as the last one, not current, and asking begins work."""
    job = a_job(office)
    walk, question = a_walk(office, job, BARE), Question("verdict")
    first = computed(office, walk, question)
    assert first.is_current
    assert ask(office, ESTIMATOR, walk, question) == first
    changed(office, walk)
    last = last_answer(office, ESTIMATOR, walk, question)
    assert (last.document, last.is_current) == (first.document, False)
    assert isinstance(ask(office, ESTIMATOR, walk, question), Task)


def changed(office: Office, walk: str) -> None:
    """Type something more into a walk."""
    import pycrdt

    from courtwright.desk.walks.sync import send
    from courtwright.store.walk.envelope import Envelope, pack

    document = pycrdt.Doc()
    document["answers"] = answers = pycrdt.Map()
    answers["outlet_within"] = "60 ft"
    update = document.get_update()
    send(office, ESTIMATOR, walk, pack(Envelope(str(uuid.uuid4()), office.now(), update)))


def test_a_file_that_comes_late_makes_the_answer_an_old_one(office: Office) -> None:
    """The document named it before it came; the walk's last update is the same."""
    walk, question = a_walk(office, a_job(office)), Question("ground")
    first = computed(office, walk, question)
    with office.writing(ESTIMATOR) as unit:
        content = b"point,easting,northing,elevation\n1,1,1,1\n"
        unit.surveys.add(
            office.new_id(), walk_id=walk, sha256=unit.keep(content), name="x.csv", media="text/csv", size_bytes=9
        )
    last = last_answer(office, ESTIMATOR, walk, question)
    assert (last.answer, last.is_current) == (first.answer, False)


def test_another_release_or_other_data_of_the_trade_answer_again(
    office: Office, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What was answered before is still told."""
    walk, question = a_walk(office, a_job(office), BARE), Question("price")
    computed(office, walk, question)
    monkeypatch.setattr("courtwright.desk.work.answers.trade_digest", lambda: "other")
    assert not last_answer(office, ESTIMATOR, walk, question).is_current
    assert isinstance(ask(office, ESTIMATOR, walk, question), Task)


def test_an_answer_that_comes_late_does_not_replace_a_later_one(office: Office) -> None:
    """Two may be computed at a time, of two states of the walk."""
    walk, question = a_walk(office, a_job(office), BARE), Question("verdict")
    early = task_of(office, ESTIMATOR, walk, question)
    changed(office, walk)
    later = computed(office, walk, question, b'{"later": 1}')
    with office.writing_as(early.by) as unit:
        keep_answer(office, unit, early, b'{"early": 1}')
    assert last_answer(office, ESTIMATOR, walk, question) == later


def test_questions_are_kept_apart(office: Office) -> None:
    """By what, language and seed; and asked twice they are one task."""
    walk = a_walk(office, a_job(office), BARE)
    questions = [Question("price"), Question("price", "es"), Question("price", "en", 2), Question("check")]
    ids, again = ([task_of(office, who, walk, q).id for q in questions] for who in (ESTIMATOR, HEAD))
    assert len(set(ids)) == 4
    assert again == ids
    for n, question in enumerate(questions):
        stop_task(office, ESTIMATOR, ids[n])
        computed(office, walk, question, json.dumps({"n": n}).encode())
    assert [last_answer(office, ESTIMATOR, walk, q).document for q in questions] == [
        json.dumps({"n": n}).encode() for n in range(4)
    ]


def test_a_worker_is_handed_the_site_and_of_photos_what_they_tell(office: Office) -> None:
    """Kept files are not kept a second time; of a photo the head goes along, of a survey file the whole."""
    walk = a_walk(office, a_job(office))
    made = task_of(office, ESTIMATOR, walk, Question("check"))
    blobs = office.store.blobs
    assert len(blobs.get(made.input_sha256)) < 100_000
    question, site = asked(AnswerAsked, handing.payload_of(blobs, made))
    assert not isinstance(site, bytes)
    assert (question.what, question.language, question.seed) == ("check", "en", 1)
    own = demo()
    assert site.keys() == own.keys()
    for name, content in site.items():
        if name.startswith("photos/"):
            assert len(content) < len(own[name]) / 4
            assert read_photo(content, name) == read_photo(own[name], name)
        elif name.endswith(".csv"):
            assert content == own[name]


def test_a_kept_file_that_is_lost_is_as_one_that_never_came(office: Office) -> None:
    """The rest is answered."""
    walk = a_walk(office, a_job(office))
    made = task_of(office, ESTIMATOR, walk, Question("check"))
    photo = next(iter(list_files(office, ESTIMATOR, walk, "photo").items))
    office.store.blobs._path(photo.sha256).unlink()
    _, site = asked(AnswerAsked, handing.payload_of(office.store.blobs, made))
    assert len(site) == len(demo()) - 1


def test_an_answer_whose_document_is_lost_is_computed_again(office: Office) -> None:
    """It was a cache."""
    walk, question = a_walk(office, a_job(office), BARE), Question("verdict")
    first = computed(office, walk, question)
    office.store.blobs._path(first.answer.sha256).unlink()
    with pytest.raises(MissingError):
        last_answer(office, ESTIMATOR, walk, question)
    assert computed(office, walk, question).is_current


# --- refusals -----------------------------------------------------------------------------------


@pytest.mark.parametrize("what", ["check", "ground", "verdict", "price"])
def test_the_crew_is_told_no_money_and_nothing_of_others_walks(office: Office, what: What) -> None:
    """Neither by asking nor by looking at what others asked."""
    walk, question = a_walk(office, a_job(office), BARE), Question(what)
    computed(office, walk, question)
    for look in (ask, last_answer):
        if what == "price":
            with pytest.raises(RefusedError):
                look(office, CREW, walk, question)
        else:
            assert isinstance(look(office, CREW, walk, question), Told)
        with pytest.raises(RefusedError if what == "price" else MissingError):
            look(office, CREW_OFF, walk, question)
        with pytest.raises(MissingError):
            look(office, ESTIMATOR, str(uuid.uuid4()), question)


def test_what_was_never_asked_has_no_answer(office: Office) -> None:
    """And says what to do."""
    with pytest.raises(MissingError):
        last_answer(office, ESTIMATOR, a_walk(office, a_job(office), BARE), Question("verdict"))
