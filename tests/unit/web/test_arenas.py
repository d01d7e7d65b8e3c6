"""Threads of the server share one arena, counted by what glibc's malloc_info(3) says of itself."""

from __future__ import annotations

import platform
import subprocess
import sys

import pytest

_COUNT = """
import ctypes, sys, threading
if "shared" in sys.argv:
    from rimwise.web.arenas import share_one_arena
    assert share_one_arena()
libc = ctypes.CDLL(None)
libc.malloc.restype = ctypes.c_void_p
libc.fdopen.restype = ctypes.c_void_p
together = threading.Barrier(8)
def take():
    libc.malloc(1000)
    together.wait()
threads = [threading.Thread(target=take) for _ in range(8)]
for one in threads: one.start()
for one in threads: one.join()
out = ctypes.c_void_p(libc.fdopen(1, b"w"))
libc.malloc_info(0, out)
libc.fflush(out)
"""


def arenas(*words):
    done = subprocess.run(
        [sys.executable, "-c", _COUNT, *words], capture_output=True, text=True, check=True
    )
    return done.stdout.count("<heap nr=")


@pytest.mark.skipif(platform.libc_ver()[0] != "glibc", reason="arenas are glibc's")
def test_threads_share_one_arena():
    assert arenas() > 1
    assert arenas("shared") == 1
