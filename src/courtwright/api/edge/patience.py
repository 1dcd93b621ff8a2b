"""HTTP as uvicorn speaks it, with an end to waiting: for a request's head, and for a reader that does not read."""

from __future__ import annotations

import asyncio
from typing import Any, cast

import h11
from uvicorn.protocols.http.h11_impl import H11Protocol, RequestResponseCycle

from courtwright.api.edge.answering import MEDIA, problem
from courtwright.api.edge.security_headers import ALWAYS
from courtwright.says import say

_BUSY = b"HTTP/1.1 503 Service Unavailable\r\nConnection: close\r\nRetry-After: 2\r\nContent-Length: 0\r\n\r\n"


class PatientProtocol(H11Protocol):
    """One connection. A head that is not whole in time closes it, and so does an answer that nobody takes."""

    #: For the head of a request, from its connection or its first byte on. [s]
    head_s = 10.0
    #: For an answer that waits to be read. [s]
    reader_s = 60.0
    #: Connections at once, those that do nothing too. [-]
    most_connections = 1000

    _head_timer: asyncio.TimerHandle | None = None
    _reader_timer: asyncio.TimerHandle | None = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # pyright: ignore[reportIncompatibleMethodOverride] – as the parent has it
        """Begin to wait for a request."""
        super().connection_made(transport)
        if len(self.connections) > self.most_connections:
            transport.write(_BUSY)
            transport.close()
            return
        self._wait_for_head()

    def data_received(self, data: bytes) -> None:
        """Take in bytes; while they are those of a head, it has to be whole in time."""
        before = self.cycle
        if not self._head_timer and self._is_between():
            self._wait_for_head()
        super().data_received(data)
        if self.cycle is not before:
            self._stop_waiting_for_head()

    def on_response_complete(self) -> None:
        """Go on to the next request; one that has already begun to come in has to come whole."""
        before = self.cycle
        super().on_response_complete()
        is_begun = bool(self.conn.trailing_data[0]) and self.cycle is before
        if is_begun and not self.transport.is_closing():
            self._wait_for_head()

    def connection_lost(self, exc: Exception | None) -> None:
        """Forget the connection."""
        self._stop_waiting_for_head()
        self._stop_waiting_for_reader()
        super().connection_lost(exc)

    def pause_writing(self) -> None:
        """Wait for a reader that is slower than the answer."""
        super().pause_writing()
        self._stop_waiting_for_reader()
        self._reader_timer = self.loop.call_later(self.reader_s, self.transport.abort)

    def resume_writing(self) -> None:
        """Go on: the reader has read."""
        self._stop_waiting_for_reader()
        super().resume_writing()

    def send_400_response(self, msg: str) -> None:
        """Answer what is no HTTP, in the shape of every other problem."""
        title, do = say("api.edge-no-http"), say("api.edge-no-http-do")
        self._refuse(400, problem(400, "no-http", title, do, "en"))

    def _is_between(self) -> bool:
        """Tell whether no request is being served; before the first there is none at all."""
        cycle = cast(RequestResponseCycle | None, self.cycle)
        return cycle is None or cycle.response_complete

    def _wait_for_head(self) -> None:
        self._stop_waiting_for_head()
        self._head_timer = self.loop.call_later(self.head_s, self._give_up)

    def _stop_waiting_for_head(self) -> None:
        if self._head_timer:
            self._head_timer.cancel()
            self._head_timer = None

    def _stop_waiting_for_reader(self) -> None:
        if self._reader_timer:
            self._reader_timer.cancel()
            self._reader_timer = None

    def _give_up(self) -> None:
        if not self.transport.is_closing():
            title, do = say("api.edge-slow"), say("api.edge-slow-do")
            self._refuse(408, problem(408, "too-slow", title, do, "en"))

    def _refuse(self, status: int, body: bytes) -> None:
        if self.conn.our_state not in (h11.IDLE, h11.SEND_RESPONSE):
            self.transport.abort()
            return
        told: list[tuple[bytes, bytes]] = [
            (b"content-type", MEDIA),
            (b"content-length", str(len(body)).encode()),
            (b"connection", b"close"),
            *ALWAYS.items(),
        ]
        events: tuple[Any, ...] = (
            h11.Response(status_code=status, headers=told),
            h11.Data(data=body),
            h11.EndOfMessage(),
        )
        for event in events:
            self.transport.write(self.conn.send(event) or b"")
        self.transport.close()
