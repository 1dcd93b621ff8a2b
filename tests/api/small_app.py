"""A small app that does what the guards are there for."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator

from fastapi import FastAPI, Request, Response
from fastapi.responses import StreamingResponse

#: What nobody may find in an answer or a log.
SECRET = "ana@example.org"


def small_app() -> FastAPI:
    """Return a new app."""
    app = FastAPI()

    @app.post("/api/echo")
    async def echo(request: Request) -> int:
        return len(await request.body())

    @app.get("/api/links/{token}")
    def link(token: str) -> str:
        return token[:0]

    @app.get("/api/health/live")
    def live() -> str:
        return "yes"

    @app.get("/api/broken")
    def broken() -> None:
        raise ValueError(SECRET)

    @app.get("/api/half")
    def half() -> Response:
        async def parts() -> AsyncIterator[bytes]:
            yield b"half"
            raise ValueError(SECRET)

        return StreamingResponse(parts())

    @app.get("/api/meant")
    def meant() -> Response:
        return Response("meant", 500)

    @app.get("/api/slow")
    async def slow(seconds: float) -> str:
        await asyncio.sleep(seconds)
        return "done"

    @app.get("/api/events")
    async def events() -> Response:
        async def parts() -> AsyncIterator[bytes]:
            while True:
                yield b"data: tick\n\n"
                await asyncio.sleep(0.05)

        return StreamingResponse(parts(), media_type="text/event-stream")

    @app.get("/api/large")
    def large() -> Response:
        async def parts() -> AsyncIterator[bytes]:
            for _ in range(1000):
                yield b"x" * 65536

        return StreamingResponse(parts())

    @app.get("/who")
    def who(request: Request) -> Response:
        """Say how the request came, and set a cookie as the app's own are set."""
        answer = Response(f"{request.url.scheme} {request.client.host if request.client else ''}")
        answer.set_cookie("kept", "1", secure=request.url.scheme == "https", httponly=True, samesite="lax")
        return answer

    @app.get("/own-policy")
    def own_policy() -> Response:
        return Response(headers={"content-security-policy": "sandbox", "cache-control": "max-age=5"})

    return app
