"""The pages as a process of their own, on a data file made for a trial."""

from __future__ import annotations

import shutil
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import httpx

__all__ = ["PROGRAM", "Server", "serving", "trial_data"]

ROOT = Path(__file__).parents[1]
#: Runs the command line in another process.
PROGRAM = [sys.executable, "-c", "from rimwise.cli.main import run; run()"]


class Server:
    """A running server: its address and its process."""

    def __init__(self, address: str, process: subprocess.Popen[bytes], errors: Path) -> None:
        self.address = address
        self.process = process
        self._errors = errors

    @property
    def memory_mb(self) -> float:
        """What the process holds in memory now (Linux)."""
        status = Path(f"/proc/{self.process.pid}/status").read_text("ascii")
        (line,) = [one for one in status.splitlines() if one.startswith("VmRSS")]
        return int(line.split()[1]) / 1024.0

    @property
    def complaints(self) -> list[str]:
        """What the server wrote to standard error, less what it says at its start."""
        lines = self._errors.read_text("utf-8", "replace").splitlines()
        return [line for line in lines if "Traceback" in line or "Error" in line or "ERROR" in line]


@contextmanager
def serving(data: Path) -> Iterator[Server]:
    """Serve a data file on a free port of the loopback address."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    errors = data.with_name("server-errors.txt")
    with errors.open("wb") as told:
        process = subprocess.Popen(
            [*PROGRAM, "--data", str(data), "serve", "--port", str(port)],
            stdout=subprocess.DEVNULL,
            stderr=told,
        )
    server = Server(f"http://127.0.0.1:{port}", process, errors)
    try:
        _wait_for(server)
        yield server
    finally:
        process.terminate()
        process.wait(timeout=30)


def _wait_for(server: Server) -> None:
    deadline = time.monotonic() + 90.0
    while time.monotonic() < deadline:
        try:
            httpx.get(f"{server.address}/log", timeout=10.0).raise_for_status()
        except httpx.TransportError:
            time.sleep(0.1)
        else:
            return
    raise RuntimeError("the server did not answer within 90 seconds")


def trial_data(folder: Path, source: Path | None = None) -> Path:
    """Return a data file for a trial: a copy of ``source``, or the tests' small season, planned."""
    data = folder / "trial.db"
    if source is not None:
        shutil.copyfile(source, data)
        return data
    sys.path.insert(0, str(ROOT / "tests"))
    from tiny_season import planned_file

    return planned_file(folder).rename(data)
