"""The last fence: whatever breaks inside is answered as a fault, and told to the log alone."""

from __future__ import annotations

import asyncio

from starlette.types import ASGIApp, Message, Receive, Scope, Send

from courtwright.api.edge.answering import answer
from courtwright.api.edge.request_ids import request_id
from courtwright.api.logs import Log, frames
from courtwright.says import say


class Faults:
    """Answers 500 in our words for what nobody caught, never with the words of an exception.

    A 500 of the app's own is held back until the app has ended: a framework that answers a fault itself and then
    raises it again is not heard.
    """

    def __init__(self, app: ASGIApp, log: Log) -> None:
        self.app, self.log = app, log

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Serve one request."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        held: list[Message] = []
        is_started = False

        async def hold(message: Message) -> None:
            nonlocal is_started
            if held or (message["type"] == "http.response.start" and message["status"] == 500):
                held.append(message)
                return
            is_started = True
            await send(message)

        try:
            await self.app(scope, receive, hold)
        except asyncio.CancelledError:
            # The server has waited long enough for this one; nothing is above it that would need to know.
            if not is_started:
                title, do = say("api.edge-stopping"), say("api.edge-crowd-do")
                await answer(scope, send, 503, "stopping", title, do, headers=[(b"retry-after", b"5")], closes=True)
        except Exception as error:
            # An exception's own words may hold what somebody typed, so that they are not kept.
            self.log.error("fault", request=request_id(scope), fault=type(error).__name__, frames=frames(error))  # noqa: TRY400 – its text stays out
            if is_started:
                raise BrokenAnswerError from None
            await answer(scope, send, 500, "fault", say("api.edge-fault"), say("api.edge-fault-do"))
        else:
            for message in held:
                await send(message)


class BrokenAnswerError(Exception):
    """Half an answer was out when the app broke: the server has to close the connection."""
