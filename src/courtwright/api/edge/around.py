"""Puts the guards around an app, in their order."""

from __future__ import annotations

from dataclasses import dataclass, field

from starlette.types import ASGIApp

from courtwright.api.edge.bodies import Bodies
from courtwright.api.edge.crowd import Crowd
from courtwright.api.edge.faults import Faults
from courtwright.api.edge.framing import Framing
from courtwright.api.edge.hosts import LOOPBACK, Hosts
from courtwright.api.edge.journal import Journal
from courtwright.api.edge.pace import Pace
from courtwright.api.edge.request_ids import RequestIds
from courtwright.api.edge.security_headers import SecurityHeaders
from courtwright.api.edge.sizes import OURS, Sizes
from courtwright.api.edge.streams import OpenStreams, Streams
from courtwright.api.logs import Log


@dataclass(frozen=True, slots=True)
class Edge:
    """What the guards hold to.

    Parameters
    ----------
    names : tuple of str
        Host names that are served.
    sizes : Sizes
        Largest bodies.
    pace : Pace
        Slowest bodies.
    most_requests, most_of_one : int
        Served at once, to all and to one address. [-]
    """

    names: tuple[str, ...] = LOOPBACK
    sizes: Sizes = OURS
    pace: Pace = field(default_factory=Pace)
    most_requests: int = 200
    most_of_one: int = 150


def around(app: ASGIApp, edge: Edge, log: Log, streams: OpenStreams) -> ASGIApp:
    """Return an app behind its guards.

    Parameters
    ----------
    app : ASGIApp
        What is guarded.
    edge : Edge
        What the guards hold to.
    log : Log
        Is told of requests and faults.
    streams : OpenStreams
        Takes in streams of events, so that they can be ended.
    """
    inner: ASGIApp = Streams(app, streams)
    inner = Bodies(inner, edge.sizes, edge.pace)
    inner = Hosts(inner, edge.names)
    inner = Crowd(inner, edge.most_requests, edge.most_of_one)
    inner = Framing(inner)
    # From here on every answer, a refusal or a fault too, has its headers, its line in the log and its name.
    inner = Faults(inner, log)
    inner = SecurityHeaders(inner)
    inner = Journal(inner, log)
    return RequestIds(inner)
