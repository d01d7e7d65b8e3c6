"""Change sound files and sentences, blindly and by the lines that a change reaches.

Run by `make fuzz`. The second needs atheris, which exists for Linux on x86-64. What breaks a
reader is kept in artefacts/fuzz, and its traceback is printed.
"""

from __future__ import annotations

import argparse
import random
import re
import subprocess
import sys
import tempfile
import traceback
from pathlib import Path

ROOT = Path(__file__).parent.parent
KEPT = ROOT / "artefacts" / "fuzz"
#: Compiled functions stay as they are.
LEFT_ALONE = ["rimwise.flight.kernel", "rimwise.flight._steps", "rimwise.flight._jit"]
LARGEST_BYTES = 4_096
#: A reader that takes longer, or more, is reported as broken.
LONGEST_S = 20
MOST_MB = 3_000


def main() -> None:
    """Try every reader for so many seconds, and print what was found as a table."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--blind", type=int, default=3_000, help="blind changes for each reader")
    parser.add_argument("--seconds", type=int, default=30, help="of following, for each reader")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", nargs="*", help="names of readers; all when left out")
    parser.add_argument("--reader", help=argparse.SUPPRESS)
    parser.add_argument("--corpus", help=argparse.SUPPRESS)
    asked, rest = parser.parse_known_args()
    if asked.reader:
        _follow(asked.reader, [asked.corpus, *rest])
        return
    sys.path.insert(0, str(ROOT / "tests"))
    from fuzzing import PARSERS

    KEPT.mkdir(parents=True, exist_ok=True)
    names = asked.only or list(PARSERS)
    broken = [name for name in names if not _held_blindly(name, asked.blind, asked.seed)]
    tries = asked.blind * len(names)
    print(f"{tries:,} blind changes broke: {', '.join(broken) or 'none'}.", flush=True)
    try:
        import atheris  # noqa: F401
    except ModuleNotFoundError:
        sys.exit("atheris is not installed here (it exists for Linux on x86-64): none followed.")
    print("| reader | tries | branches reached | broke |\n| --- | ---: | ---: | --- |", flush=True)
    broken += [name for name in names if not _tried(name, asked.seconds, asked.seed)]
    if broken:
        sys.exit(f"Broken: {', '.join(broken)}; see {KEPT}.")


def _held_blindly(name: str, count: int, seed: int) -> bool:
    """Change the samples of one reader at random, and return whether it held."""
    from fuzzing import PARSERS, accepted, changed_at_random

    chance = random.Random(f"{name} {seed}")  # noqa: S311 - no secret
    for number in range(count):
        data = changed_at_random(chance.choice(PARSERS[name].samples), chance)
        try:
            accepted(PARSERS[name], data)
        except Exception:
            (KEPT / f"{name.replace(' ', '-')}-blind-{number}").write_bytes(data)
            traceback.print_exc()
            return False
    return True


def _tried(name: str, seconds: int, seed: int) -> bool:
    """Try one reader in a process of its own, print its row, and return whether it held."""
    from fuzzing import PARSERS, TOKENS

    with tempfile.TemporaryDirectory() as folder:
        corpus, words = Path(folder) / "corpus", Path(folder) / "words"
        corpus.mkdir()
        for number, sample in enumerate(PARSERS[name].samples):
            (corpus / str(number)).write_bytes(sample)
        tokens = (token.encode() for token in TOKENS if 0 < len(token) < 60)
        hexes = ("".join(f"\\x{byte:02x}" for byte in token) for token in tokens)
        words.write_text("".join(f'"{one}"\n' for one in hexes), encoding="ascii")
        prefix = KEPT / f"{name.replace(' ', '-')}-"
        done = subprocess.run(
            [
                *(sys.executable, __file__, f"--reader={name}", f"--corpus={corpus}"),
                *(f"-max_total_time={seconds}", f"-seed={seed}", f"-max_len={LARGEST_BYTES}"),
                *(f"-timeout={LONGEST_S}", f"-rss_limit_mb={MOST_MB}", f"-dict={words}"),
                f"-artifact_prefix={prefix}",
            ],
            capture_output=True, text=True, errors="replace", check=False,
        )  # fmt: skip
    counts = re.findall(r"^#(\d+)\s.*?cov: (\d+)", done.stderr, re.MULTILINE) or [("0", "0")]
    tries, reached = max((int(tried), int(cov)) for tried, cov in counts)
    held = done.returncode == 0
    print(f"| {name} | {tries:,} | {reached:,} | {'no' if held else 'YES'} |", flush=True)
    if not held:
        print(done.stdout[-3_000:], done.stderr[-1_000:], file=sys.stderr)
    return held


def _follow(name: str, arguments: list[str]) -> None:
    import atheris

    sys.path.insert(0, str(ROOT / "tests"))
    with atheris.instrument_imports(include=["rimwise"], exclude=LEFT_ALONE):
        from fuzzing import PARSERS, accepted
    reader = PARSERS[name]
    atheris.Setup([sys.argv[0], *arguments], lambda data: accepted(reader, data))
    atheris.Fuzz()


if __name__ == "__main__":
    main()
