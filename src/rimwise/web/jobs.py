"""The page of what is being worked out: how far it is, told as it goes on, and cancelling."""

from __future__ import annotations

import asyncio
import json
import time
from collections.abc import AsyncIterator
from urllib.parse import urlencode

from fastapi import FastAPI, Response
from fastapi.responses import RedirectResponse, StreamingResponse

from rimwise.web.rendering import page
from rimwise.web.working import Job, Worker

__all__ = ["add_jobs"]

#: How often a job is looked at, and how long a browser that left may go unnoticed, seconds.
_TICK_S, _SILENT_S = 0.2, 5.0


def add_jobs(app: FastAPI, worker: Worker) -> None:
    """Add the page of a job, the stream that tells how far it is, and cancelling."""

    @app.get("/job/{job_id}")
    def working(job_id: str) -> Response:
        job = worker.job(job_id)
        state = job.state  # it may end while its page is made
        if state in ("running", "cancelled"):
            return page("job", title=job.title, job=job, state=state)
        failed = state == "failed"
        to = f"{job.form}?{urlencode({'job': job.id})}" if failed else job.ends_at
        return RedirectResponse(to, 303)

    @app.get("/job/{job_id}/events")
    async def events(job_id: str) -> Response:
        return StreamingResponse(_told(worker, worker.job(job_id)), media_type="text/event-stream")

    @app.post("/job/{job_id}/cancel")
    def cancel(job_id: str) -> Response:
        worker.job(job_id).stop.set()
        return RedirectResponse(f"/job/{job_id}", 303)


async def _told(worker: Worker, job: Job) -> AsyncIterator[str]:
    """Tell a browser how far a job is whenever that changed, until it ends or the server stops.

    A browser that is silent is only found out by telling it something: a line it ignores.
    """
    last, at = "", time.monotonic()
    while job.state == "running" and not worker.closed:
        told = json.dumps({"told": job.told, "share": job.percent})
        if told != last:
            last, at = told, time.monotonic()
            yield f"data: {told}\n\n"
        elif time.monotonic() - at > _SILENT_S:
            at = time.monotonic()
            yield ":\n\n"
        await asyncio.sleep(_TICK_S)
    if job.state != "running":
        yield "event: ended\ndata:\n\n"
