"""Users of a service: each asks, reads the whole answer, and asks again, for some seconds.

Run as ``python -m benchmarks.users`` with a JSON `Visit` on standard input; prints the times of reading and writing.
A process of its own, so that the asking does not stand in the way of the answering.
"""

from __future__ import annotations

import asyncio
import json
import random
import sys
import time
from dataclasses import asdict, dataclass, field


@dataclass(frozen=True, slots=True)
class Visit:
    """Who asks what.

    Parameters
    ----------
    port, users : int
        Where, and how many at once. [-]
    seconds : float
        How long. [s]
    writes : float
        Share of requests that open a job; of the others one in ten lists 50 and the rest read one. [-]
    ids : list of str
        Jobs to read.
    headers : dict
        Sent with each request.
    """

    port: int
    users: int
    seconds: float
    writes: float
    ids: list[str]
    headers: dict[str, str] = field(default_factory=dict[str, str])

    def json(self) -> str:
        """Return the visit as text."""
        return json.dumps(asdict(self))


async def _visit(visit: Visit) -> dict[str, list[float]]:
    times: dict[str, list[float]] = {"read": [], "list": [], "write": []}
    until = time.perf_counter() + visit.seconds
    await asyncio.gather(*(_user(visit, random.Random(number), until, times) for number in range(visit.users)))
    return times


async def _user(visit: Visit, chance: random.Random, until: float, times: dict[str, list[float]]) -> None:
    reader, writer = await asyncio.open_connection("127.0.0.1", visit.port)
    head = "".join(f"{name}: {value}\r\n" for name, value in {"Host": "127.0.0.1", **visit.headers}.items())
    while time.perf_counter() < until:
        kind, request = _request(visit, chance, head)
        start = time.perf_counter()
        writer.write(request)
        status = await _answer(reader)
        if status not in (200, 201):
            message = f"{kind}: {status}"
            raise RuntimeError(message)
        times[kind].append(time.perf_counter() - start)
    writer.close()
    await writer.wait_closed()


def _request(visit: Visit, chance: random.Random, head: str) -> tuple[str, bytes]:
    drawn = chance.random()
    if drawn < visit.writes:
        body = json.dumps({"name": f"job {drawn}", "address": "1 Court Road"})
        size = f"Content-Type: application/json\r\nContent-Length: {len(body)}\r\n"
        return "write", f"POST /api/jobs HTTP/1.1\r\n{head}{size}\r\n{body}".encode()
    if chance.random() < 0.1:
        return "list", f"GET /api/jobs?most=50 HTTP/1.1\r\n{head}\r\n".encode()
    return "read", f"GET /api/jobs/{chance.choice(visit.ids)} HTTP/1.1\r\n{head}\r\n".encode()


async def _answer(reader: asyncio.StreamReader) -> int:
    head = await reader.readuntil(b"\r\n\r\n")
    lines = head.decode("latin-1").split("\r\n")
    size = next((int(line.split(":")[1]) for line in lines if line.lower().startswith("content-length:")), 0)
    await reader.readexactly(size)
    return int(lines[0].split(" ")[1])


def main() -> None:
    """Visit, and print the times."""
    sys.stdout.write(json.dumps(asyncio.run(_visit(Visit(**json.load(sys.stdin))))))


if __name__ == "__main__":
    main()
