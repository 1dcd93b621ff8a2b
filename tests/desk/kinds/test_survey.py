"""A worker looks at survey files, good ones and those that were made to harm, in words and in time."""

from __future__ import annotations

import json
import time

import pytest

from courtwright.desk.kinds.asked import StakesAsked, SurveyAsked, payload
from courtwright.desk.kinds.survey import run
from courtwright.errors import CallError, InputError
from tests.desk.kinds.demo import BARE, untold

#: Longer than any look at a small file takes, however bad it is. [s]
_IN_TIME = 5.0


def site(data: bytes, name: str = "file") -> dict[str, bytes]:
    return {"site.toml": BARE["site.toml"] + f'shots = "{name}"\n'.encode(), name: data}


# --- laws ---------------------------------------------------------------------------------------


def test_a_good_list_is_told_in_metres_and_in_the_readers_words() -> None:
    """Feet where the job counts in feet; the row that cannot be read is told in Spanish."""
    data = b"point,x,y,z\n1,5,5,10\n2,50,5,11\n3,50,100,12\n4,5,here,12\n"
    told = json.loads(run(payload(SurveyAsked("file", "es"), site(data)), untold))
    assert (told["kind"], told["points"], told["on_pad"]) == ("text", 3, 3)
    # 10 ft and 12 ft.
    assert (told["lowest_m"], told["highest_m"]) == (3.048, 3.6576)
    assert (told["unit_m"], told["height_unit_m"]) == (0.3048, 0.3048)
    (one,) = told["complaints"]
    assert (one["at"], one["code"]) == ("line 5", "row-unread")
    assert "no tiene" in one["says"]


# --- refusals -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "data",
    [
        b"<?xml version='1.0'?><!DOCTYPE a [<!ENTITY b 'b'>"
        + b"".join(b"<!ENTITY b%d '%s'>" % (n, b"&b%d;" % (n - 1) * 20 if n else b"&b;" * 20) for n in range(30))
        + b"]><LandXML>&b29;</LandXML>",
        b"<?xml version='1.0'?><!DOCTYPE a [<!ENTITY f SYSTEM 'file:///etc/passwd'>]><LandXML>&f;</LandXML>",
        b"[" * 200_000,
        b'{"type": "FeatureCollection", "features": [' + b'{"type": 1},' * 50_000,
        b"  0\nSECTION\n  2\nENTITIES\n" + b"  0\nLINE\n" * 20_000,
        b"999\n" * 200_000,
        b'"' * 3_000_000,
        b"1,2,3\n" * 60_000,
        b"LASF" + b"\xff" * 5000,
        b"II*\x00" + b"\xff" * 5000,
        b"SQLite format 3\x00" + b"\xff" * 5000,
        b"\x00\x00\x27\x0a" + b"\xff" * 5000,
        b"x,y,z\n" + b"9" * 1_000_000 + b",1,1\n",
        "\u00a0\n".encode(),
    ],
    ids=[
        "bomb",
        "entity",
        "deep",
        "cut",
        "dxf",
        "remarks",
        "quotes",
        "many",
        "las",
        "tiff",
        "sqlite",
        "shp",
        "number",
        "blank",
    ],
)
def test_what_is_made_to_harm_is_told_in_time(data: bytes) -> None:
    """No height is made up of it, and what is wrong is said of the file."""
    began = time.monotonic()
    told = json.loads(run(payload(SurveyAsked("file"), site(data)), untold))
    assert time.monotonic() - began < _IN_TIME
    assert told["complaints"]
    assert all(one["file"] in ("file", "site.toml") for one in told["complaints"])
    assert "root:" not in json.dumps(told)
    assert told["on_pad"] <= 1


def test_a_file_that_has_not_come_and_another_question_are_refused() -> None:
    """With what is missing."""
    with pytest.raises(InputError):
        run(payload(SurveyAsked("other"), site(b"1,2,3,4\n")), untold)
    with pytest.raises(InputError):
        run(payload(SurveyAsked("file"), {"site.toml": b"", "file": b"1,2,3,4\n"}), untold)
    with pytest.raises(CallError):
        run(payload(StakesAsked("a"), site(b"1,2,3,4\n")), untold)
