"""The app: every route, and how each problem is answered. What stands around it is in ``edge``."""

from __future__ import annotations

from importlib.metadata import version
from pathlib import Path

from fastapi import FastAPI

from courtwright.api import problem
from courtwright.api.built import BUILT
from courtwright.api.lifespan import working
from courtwright.api.logs import Log
from courtwright.api.problem import COMMON, Problem
from courtwright.api.routes import (
    answers,
    client,
    company,
    customer,
    demo,
    enter,
    entry,
    events,
    health,
    invitations,
    jobs,
    links,
    offers,
    people,
    photos,
    rates,
    session,
    stakes,
    surveys,
    sync,
    tasks,
    uploads,
    walk_files,
    walks,
)
from courtwright.api.watching import Watchers
from courtwright.desk.office import Office
from courtwright.desk.people.guesses import Guesses

#: Looked through in this order: what is asked most often comes first.
_ROUTERS = (
    jobs.router,
    walks.router,
    walk_files.router,
    sync.router,
    uploads.router,
    photos.router,
    tasks.router,
    offers.router,
    answers.router,
    stakes.router,
    surveys.router,
    events.router,
    session.router,
    health.router,
    customer.router,
    links.router,
    people.router,
    invitations.router,
    company.router,
    rates.router,
    demo.router,
    entry.router,
    enter.router,
    client.router,
)


def create_app(office: Office, *, workers: int = 0, log: Log | None = None, built: Path = BUILT) -> FastAPI:
    """Return the app that serves an office.

    Parameters
    ----------
    office : Office
        The open store with its clock.
    workers : int
        Processes for long work; with none it waits. [-]
    log : Log or None
        Is told of faults in long work.
    built : Path
        Where the built client lies.
    """
    app = FastAPI(
        title="courtwright",
        version=version("courtwright"),
        summary="For the estimator of a sport-court contractor.",
        openapi_url="/api/openapi.json",
        # A way on is told by our pages alone; an address with a stroke too many is none.
        redirect_slashes=False,
        # Their pages load scripts from elsewhere, which ours forbid.
        docs_url=None,
        redoc_url=None,
        lifespan=working(workers, log),
    )
    app.state.office = office
    app.state.guesses = Guesses()
    app.state.watchers = Watchers()
    app.state.runner = None
    app.state.client = built
    problem.install(app)
    for router in _ROUTERS:
        app.include_router(router, responses=COMMON)
    _declare_problems(app)
    return app


def _declare_problems(app: FastAPI) -> None:
    """Put the shape of a problem among the schema's components, where every route points to it."""
    made = app.openapi

    def openapi() -> dict[str, object]:
        schema = made()
        parts = Problem.model_json_schema(ref_template="#/components/schemas/{model}")
        components = schema.setdefault("components", {}).setdefault("schemas", {})
        components.update(parts.pop("$defs", {}), Problem=parts)
        return schema

    app.openapi = openapi
