"""What the schema says of every route: who may, what it is called, and each problem that it can answer."""

from __future__ import annotations

from typing import Any

import pytest

from courtwright.api.app import create_app
from courtwright.api.problem import COMMON, MEDIA
from courtwright.desk.office import Office

#: What nobody need be signed in for: the ways in, and whether the service works.
OPEN = {
    "POST /api/session",
    "POST /api/entry/look",
    "POST /api/entry/set-up",
    "POST /api/entry/sign-in",
    "POST /api/entry/password",
    "POST /api/invitations/accept",
    "POST /api/customer/session",
    "GET /api/health/live",
    "GET /api/health/ready",
}
PROBLEM = {"$ref": "#/components/schemas/Problem"}


@pytest.fixture(scope="module")
def schema() -> dict[str, Any]:
    """Return the schema; what is in the office makes no difference."""
    return create_app(Office(None)).openapi()  # type: ignore[arg-type]  # nothing is asked of the store


@pytest.fixture(scope="module")
def operations(schema: dict[str, Any]) -> dict[str, dict[str, Any]]:
    """Return every operation."""
    return {f"{way.upper()} {path}": one for path, ways in schema["paths"].items() for way, one in ways.items()}


def names(operation: dict[str, Any], place: str) -> set[str]:
    """Return the names of what an operation is asked with."""
    return {one["name"].lower() for one in operation.get("parameters", ()) if one["in"] == place}


def test_each_has_a_name_of_its_own(operations: dict[str, dict[str, Any]]) -> None:
    """From which clients make theirs."""
    ids = [one["operationId"] for one in operations.values()]
    assert len(operations) > 100
    assert sorted(set(ids)) == sorted(ids)


def test_each_shape_has_a_name_of_its_own(schema: dict[str, Any]) -> None:
    """Two of one name would be told apart by where they stand in the code, which is nobody's business."""
    assert [name for name in schema["components"]["schemas"] if "__" in name] == []


def test_each_says_what_it_does_and_where_it_belongs(operations: dict[str, dict[str, Any]]) -> None:
    """A summary, a sentence that ends, one tag."""
    for name, one in operations.items():
        assert one["summary"], name
        assert one["description"].endswith("."), name
        assert len(one["tags"]) == 1, name


def test_each_says_who_may(operations: dict[str, dict[str, Any]]) -> None:
    """Somebody of the company or a customer; only the ways in are open."""
    assert {name for name, one in operations.items() if "security" not in one} == OPEN
    for name, one in operations.items():
        whose = "customer" if " /api/customer" in name else "person"
        assert one.get("security", [{whose: []}]) == [{whose: []}], name


def test_each_tells_its_problems_in_one_shape(schema: dict[str, Any], operations: dict[str, dict[str, Any]]) -> None:
    """Those of all routes, and those that come of what it is asked with."""
    assert schema["components"]["schemas"]["Problem"]["required"]
    for name, one in operations.items():
        told = {int(status) for status in one["responses"]}
        wanted = set(COMMON)
        if names(one, "path"):
            wanted.add(404)
        if "if-match" in names(one, "header"):
            wanted |= {412, 428}
        if "idempotency-key" in names(one, "header"):
            wanted.add(409)
        assert wanted <= told, (name, wanted - told)
        for status, answer in one["responses"].items():
            assert answer["description"], (name, status)
            if int(status) >= 400:
                assert answer["content"] == {MEDIA: {"schema": PROBLEM}}, (name, status)


def test_each_says_what_comes_when_all_is_well(operations: dict[str, dict[str, Any]]) -> None:
    """A status that is no problem; with what it answers, unless that is nothing."""
    for name, one in operations.items():
        well = {int(status): answer for status, answer in one["responses"].items() if int(status) < 400}
        assert any(200 <= status < 300 for status in well), name
        for status, answer in well.items():
            assert ("content" in answer) == (status not in (204, 304)), (name, status)


def test_every_reference_leads_somewhere(schema: dict[str, Any]) -> None:
    """Nothing that the schema points to is missing from it."""
    found = set[str]()

    def look(part: Any) -> None:
        if isinstance(part, dict):
            found.update([part["$ref"]] if isinstance(part.get("$ref"), str) else [])
            for one in part.values():
                look(one)
        elif isinstance(part, list):
            for one in part:
                look(one)

    look(schema)
    assert found
    assert {one.removeprefix("#/components/schemas/") for one in found} <= set(schema["components"]["schemas"])
