"""A worker's answer is the command's answer, byte for byte."""

from __future__ import annotations

import contextlib
import io
import json
import sys
from pathlib import Path
from unittest import mock

import pytest

from courtwright.cli import main as entry
from courtwright.desk.kinds.answer import run
from courtwright.desk.kinds.asked import AnswerAsked, What, payload
from courtwright.desk.workers import WorkerPool
from courtwright.errors import ArchiveError
from courtwright.job.answers.documents import document_text
from courtwright.job.answers.maps import maps_document
from courtwright.job.answers.plain import Reader
from courtwright.site import NothingLeftError
from courtwright.site.files import HeldFiles
from courtwright.site.folder import read_files
from tests.desk.kinds.demo import BARE, DEMO, demo, untold, zipped


def printed(*arguments: object) -> bytes:
    """Return what a command prints, without the end of its line."""
    out = io.StringIO()
    with (
        mock.patch.object(sys, "argv", ["courtwright", *map(str, arguments), "--json"]),
        contextlib.redirect_stdout(out),
        contextlib.redirect_stderr(io.StringIO()),
        pytest.raises(SystemExit),
    ):
        entry.main()
    return out.getvalue().removesuffix("\n").encode()


@pytest.fixture(scope="module")
def pool():
    with WorkerPool(1, 60.0, warm=("answer",)) as made:
        yield made


# --- laws ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("what", ["check", "ground", "verdict", "price"])
def test_the_answer_about_the_demo_site_is_what_the_command_prints(what: What, pool: WorkerPool):
    """From a worker process, with its steps told."""
    told: list[tuple[int, int]] = []
    answer = pool.run("answer", payload(AnswerAsked(what), demo()), lambda *step: told.append(step))
    assert answer == printed(what, DEMO)
    assert told
    assert told[-1][0] == told[-1][1]


@pytest.mark.parametrize(
    ("ask", "arguments"),
    [
        (AnswerAsked("verdict", "es"), ("verdict", "--lang", "es")),
        (AnswerAsked("price", seed=7), ("price", "--seed", "7")),
        (AnswerAsked("ground", seed=7), ("ground", "--seed", "7")),
        (AnswerAsked("check", "es"), ("check", "--lang", "es")),
    ],
)
def test_language_and_seed_are_those_of_the_command(ask: AnswerAsked, arguments: tuple[str, ...], tmp_path: Path):
    """The same with the same choices, on a site with next to nothing known, as files and as a zip."""
    (tmp_path / "site.toml").write_bytes(BARE["site.toml"])
    command, *options = arguments
    expected = printed(command, tmp_path, *options)
    assert run(payload(ask, BARE), untold) == expected
    assert run(payload(ask, zipped(BARE)), untold) == expected


def test_maps_are_told_for_machines(pool: WorkerPool):
    """No command prints them: the document itself, from a worker process, with its steps told."""
    told: list[tuple[int, int]] = []
    answer = pool.run("answer", payload(AnswerAsked("maps", "es"), demo()), lambda *step: told.append(step))
    document = maps_document(read_files(HeldFiles(demo()), "site"), Reader("es"))
    assert answer == document_text(document).encode()
    assert told[-1] == (2, 2)


def test_units_may_be_the_readers_own():
    """The sentences change, the numbers do not."""
    ours = json.loads(run(payload(AnswerAsked("price"), BARE), untold))
    theirs = json.loads(run(payload(AnswerAsked("price", units="metric"), BARE), untold))
    assert ours != theirs
    assert [o["price"] for o in ours["pads"][0]["options"]] == [o["price"] for o in theirs["pads"][0]["options"]]


# --- refusals -----------------------------------------------------------------------------------


def test_a_site_of_which_nothing_is_left_is_refused_with_its_complaints(pool: WorkerPool):
    """Through the worker as in this process: the same sentences, and the name that was given."""
    site = {"site.toml": b"[[pad]]\nid = 'a'\noutline = 'round'\n"}
    ask = payload(AnswerAsked("verdict", name="walk of April"), site)
    with pytest.raises(NothingLeftError) as here:
        run(ask, untold)
    with pytest.raises(NothingLeftError) as there:
        pool.run("answer", ask)
    assert there.value.where == "walk of April"
    assert there.value.problem == here.value.problem
    assert there.value.complaints == here.value.complaints
    assert there.value.complaints


@pytest.mark.parametrize("name", ["../site.toml", "/site.toml", "a/../../b", "photos\\a.jpg", "./site.toml", ""])
def test_a_file_that_leaves_the_site_is_refused(name: str):
    """The same names that a zip may not hold, and others than the plain form."""
    with pytest.raises(ArchiveError):
        run(payload(AnswerAsked("check"), {**BARE, name: b"x"}), untold)
