"""Sixteen people posting readings at once, against a bare form that commits one row with the same care."""

from __future__ import annotations

import asyncio
import socket
import sqlite3
import statistics
import sys
import tempfile
import threading
import time
import urllib.request
from collections.abc import AsyncIterator, Iterator
from contextlib import asynccontextmanager, contextmanager
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import uvicorn
from measuring import Result
from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse
from starlette.routing import Route

from tersum.records import visits
from tersum.records.home import new_id
from tersum.records.store import open_store
from tersum.visit.decision import Terms
from tersum.visit.plan import Instrument, Limit, Plan, SamplingPoint
from tersum.web.app import create_app

NAME = "post a reading, 16 people at once"
GOAL = "within 3 times a bare Starlette post with the same commit"
PEOPLE, POSTS, ROUNDS = 16, 20, 7
_ANSWERED = {"swab": "cleaned.1.1", "dry": "yes", "rinsed": "yes", "fresh_area": "yes", "number": "41", "blank": "3"}
Job = tuple[str, dict[str, str]]


def measure() -> list[Result]:
    """Let everybody post at once, ours and the bare form in turns, and take the median round of each."""
    with tempfile.TemporaryDirectory() as folder:
        jobs = [_visits(Path(folder) / "home", round_) for round_ in range(ROUNDS + 1)]
        with _served(create_app(Path(folder) / "home")) as ours, _served(_bare(Path(folder))) as bare:
            for round_ in jobs:
                _open_forms(ours, round_)
            _round(bare, _bare_jobs()), _round(ours, jobs[0])  # a first round does not count
            pairs = [(_round(bare, _bare_jobs()), _round(ours, round_)) for round_ in jobs[1:]]
    _tell("bare form", [one for one, _ in pairs])
    _tell("reading", [one for _, one in pairs])
    return [Result(f"{PEOPLE} people, {POSTS} readings each", "bare Starlette post, SQLite FULL", 3.0,
                   statistics.median(_seconds(one) for _, one in pairs),
                   statistics.median(_seconds(one) for one, _ in pairs), ROUNDS)]


def _visits(home: Path, round_: int) -> list[list[Job]]:
    """Plan a visit for each person, and return what each of them will post: the first swab at every point."""
    limit = Limit("Demo Meter", "Demo Swab", 100.0, "smooth", 240.0, "invented", "practice")
    points = tuple(SamplingPoint(f"point {number:02d}", "smooth", "high", True) for number in range(POSTS))
    jobs = []
    with open_store(home, "example", create=True, zone="Etc/UTC") as store:
        for person in range(PEOPLE):
            plan = Plan(f"round {round_}, person {person}", "example", "Place", "room", "Etc/UTC", True, points, 0, (),
                        Terms(), Instrument("Demo Meter", "Demo Swab"), (limit,))
            visit_id = visits.seal_plan(store, plan, seed=None, needs={}).visit_id
            jobs.append([(f"/visits/example/{visit_id}/points/{place}/reading",
                          {"operation_id": new_id(), **_ANSWERED}) for place in range(1, POSTS + 1)])
    return jobs


def _open_forms(port: int, jobs: list[list[Job]]) -> None:
    """Open every form once, as people do before they send it; that is not timed."""
    for path, fields in (one for person in jobs for one in person):
        query = urlencode({name: fields[name] for name in ("swab", "dry", "rinsed", "fresh_area")})
        with urllib.request.urlopen(f"http://127.0.0.1:{port}{path}?{query}", timeout=30) as page:
            if b'name="number"' not in page.read():
                raise RuntimeError(f"no form at {path}")


def _bare_jobs() -> list[list[Job]]:
    return [[("/reading", {"operation_id": new_id(), **_ANSWERED}) for _ in range(POSTS)] for _ in range(PEOPLE)]


def _bare(folder: Path) -> Starlette:
    """Return one form that puts what was sent into one row: one writer at a time, committed and synced, 303."""
    database = sqlite3.connect(folder / "bare.sqlite", isolation_level=None, check_same_thread=False)
    for statement in ("PRAGMA journal_mode=WAL", "PRAGMA synchronous=FULL",
                      "CREATE TABLE reading (operation_id TEXT PRIMARY KEY, body BLOB NOT NULL)"):
        database.execute(statement)
    lock = threading.Lock()

    def put(fields: dict[str, str]) -> None:
        with lock:
            database.execute("BEGIN IMMEDIATE")
            database.execute("INSERT INTO reading VALUES (?, ?)", (fields["operation_id"], str(fields).encode()))
            database.execute("COMMIT")

    async def sent(request: Request) -> RedirectResponse:
        form = await request.form()
        await run_in_threadpool(put, {name: str(value) for name, value in form.items()})
        return RedirectResponse("/", 303)

    return Starlette(routes=[Route("/reading", sent, methods=["POST"])])


@contextmanager
def _served(app: Any) -> Iterator[int]:
    with socket.socket() as here:
        here.bind(("127.0.0.1", 0))
        server = uvicorn.Server(uvicorn.Config(app, log_level="error", access_log=False))
        thread = threading.Thread(target=server.run, kwargs={"sockets": [here]}, daemon=True)
        thread.start()
        while not server.started:
            time.sleep(0.01)
        yield here.getsockname()[1]
        server.should_exit = True
        thread.join(timeout=20)


def _round(port: int, jobs: list[list[Job]]) -> list[float]:
    """Return how long each post took, seconds, after how long all of them took."""
    async def everybody() -> list[float]:
        start = time.perf_counter()
        times = await asyncio.gather(*(_person(port, one) for one in jobs))
        return [time.perf_counter() - start, *(each for one in times for each in one)]

    return asyncio.run(everybody())


async def _person(port: int, jobs: list[Job]) -> list[float]:
    """Post one form after the other over one connection; every one must be taken."""
    times = []
    async with _connected(port) as (reader, writer):
        for path, fields in jobs:
            body = urlencode(fields).encode()
            writer.write(f"POST {path} HTTP/1.1\r\nhost: 127.0.0.1:{port}\r\nsec-fetch-site: same-origin\r\n"
                         f"content-type: application/x-www-form-urlencoded\r\ncontent-length: {len(body)}\r\n\r\n"
                         .encode() + body)
            start = time.perf_counter()
            head = await reader.readuntil(b"\r\n\r\n")
            times.append(time.perf_counter() - start)
            if not head.startswith(b"HTTP/1.1 303"):
                raise RuntimeError(f"not taken: {head.splitlines()[0].decode()}")
    return times


@asynccontextmanager
async def _connected(port: int) -> AsyncIterator[tuple[asyncio.StreamReader, asyncio.StreamWriter]]:
    reader, writer = await asyncio.open_connection("127.0.0.1", port)
    try:
        yield reader, writer
    finally:
        writer.close()


def _seconds(one: list[float]) -> float:
    """Return how long one post takes of a round, all people together."""
    return one[0] / (PEOPLE * POSTS)


def _tell(name: str, rounds: list[list[float]]) -> None:
    waits = sorted(each for one in rounds for each in one[1:])
    middle, p99 = waits[len(waits) // 2], waits[int(0.99 * len(waits))]
    rate = statistics.median(1.0 / _seconds(one) for one in rounds)
    print(f"{name}: {rate:.0f} posts a second; a person waits {1e3 * middle:.1f} ms, p99 {1e3 * p99:.1f} ms",
          file=sys.stderr)
