"""Guards the way in of a request's body: what is too large or too slow is answered, and the connection closed."""

from __future__ import annotations

import asyncio
from dataclasses import dataclass, field

from starlette.types import ASGIApp, Message, Receive, Scope, Send

from courtwright.api.edge.answering import answer, header
from courtwright.api.edge.pace import Pace
from courtwright.api.edge.sizes import Sizes
from courtwright.says import Says, say

#: After a refusal so much, and so long, of what is still on its way is read and dropped: closing on a caller that is
#: still sending would take the answer from it. [bytes], [s]
_LINGER_BYTES, _LINGER_S = 8 * 1024 * 1024, 2.0


class BodyRefusedError(Exception):
    """Stops the app that asked for a body which is refused; whatever it answers to this is not sent."""


class Bodies:
    """Counts and times the body of each request.

    Parameters
    ----------
    app : ASGIApp
        What is behind.
    sizes : Sizes
        Answered with 413 beyond them.
    pace : Pace
        Answered with 408 below it.
    """

    def __init__(self, app: ASGIApp, sizes: Sizes, pace: Pace) -> None:
        self.app, self.sizes, self.pace = app, sizes, pace

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Serve one request."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        body = _Body(scope, receive, send, self.sizes.at(scope["path"]), self.pace)
        # Digits only: another reading of the length was refused as no HTTP.
        if int(header(scope, b"content-length") or 0) > body.most:
            body.refuse_size()
        else:
            try:
                await self.app(scope, body.receive, body.send)
            except BodyRefusedError:
                if body.is_answered:
                    raise  # half an answer is out: the connection has to break
        await body.answer_refusal()


@dataclass(slots=True)
class _Body:
    """One body on its way in."""

    scope: Scope
    take: Receive
    give: Send
    most: int
    pace: Pace
    received: int = 0
    waited: float = 0.0
    is_whole: bool = False
    is_answered: bool = False
    refusal: tuple[int, str, Says, Says] | None = None
    clock: asyncio.AbstractEventLoop = field(default_factory=asyncio.get_running_loop)

    async def receive(self) -> Message:
        """Return the next part, within what is allowed."""
        if self.refusal:
            raise BodyRefusedError
        if self.is_whole:
            return await self.take()
        message = await self._in_time()
        self.received += len(message.get("body", b""))
        self.is_whole = not message.get("more_body", False)
        if self.received > self.most:
            self.refuse_size()
            raise BodyRefusedError
        return message

    async def send(self, message: Message) -> None:
        """Pass on what the app answers, unless its request was refused."""
        if self.refusal and not self.is_answered:
            return
        self.is_answered = True
        await self.give(message)

    def refuse_size(self) -> None:
        """Note that the body is too large."""
        limit = say("api.edge-large", most=self.most / 1_000_000)
        self.refusal = (413, "too-large", limit, say("api.edge-large-do"))

    async def answer_refusal(self) -> None:
        """Send the refusal, when there is one and nothing has been answered yet."""
        if not self.refusal or self.is_answered:
            return
        status, code, title, do = self.refusal
        if status == 413 and not self.is_whole:
            await self._linger()
        await answer(self.scope, self.give, status, code, title, do, closes=True)

    async def _in_time(self) -> Message:
        began = self.clock.time()
        try:
            async with asyncio.timeout(self.pace.patience(self.waited, self.received)):
                message = await self.take()
        except TimeoutError as error:
            self.refusal = (408, "too-slow", say("api.edge-slow"), say("api.edge-slow-do"))
            raise BodyRefusedError from error
        self.waited += self.clock.time() - began
        return message

    async def _linger(self) -> None:
        # One that asks first has sent nothing yet.
        if header(self.scope, b"expect").lower() == "100-continue" and not self.received:
            return
        dropped = 0
        try:
            async with asyncio.timeout(_LINGER_S):
                while dropped < _LINGER_BYTES:
                    message = await self.take()
                    dropped += len(message.get("body", b""))
                    if not message.get("more_body", False):
                        return
        except TimeoutError:
            return
