"""A program with a pool, to be ended from outside: prints its workers, then rests, and closes when it is asked to."""

import signal
import sys
import threading

from courtwright.desk.workers import WorkerPool, WorkError


def main(patience: float) -> None:
    asked = threading.Event()
    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, lambda *_: asked.set())
    pool = WorkerPool(2, 60.0, home="tests.desk.trial")
    pool.run("nap", b"1")

    def rest() -> None:
        try:
            say(pool.run("nap", b"100", told=lambda done, _: say("busy") if done == 0 else None).decode())
        except WorkError as error:
            say(error.code)

    thread = threading.Thread(target=rest)
    say(" ".join(map(str, pool.pids)))
    thread.start()
    asked.wait()
    pool.close(patience)
    thread.join()
    say("closed")


def say(text: str) -> None:
    sys.stdout.write(text + "\n")
    sys.stdout.flush()


if __name__ == "__main__":
    main(float(sys.argv[1]))
