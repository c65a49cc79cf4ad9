"""Time whole processes, from the prompt to the prompt: what a maker waits for.

Every command is run in turn, round after round, so that a slow moment of the machine falls on all of them.
The ratio is to the same interpreter importing numpy in the same run, so that two machines can be compared.
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
from pathlib import Path
from statistics import median
from time import perf_counter

ROUNDS = 9
CULMWRIGHT = str(Path(sys.executable).with_name("culmwright"))
YARDSTICK = "python -c 'import numpy'"


def run(command: list[str]) -> bytes:
    """What a command prints; an error with its own words if it fails."""
    done = subprocess.run(command, capture_output=True, check=False)
    if done.returncode:
        sys.exit(f"{' '.join(command)} ended with {done.returncode}:\n{done.stderr.decode()}")
    return done.stdout


def seconds(command: list[str]) -> float:
    """How long a command takes [s]."""
    start = perf_counter()
    run(command)
    return perf_counter() - start


def commands(folder: Path) -> dict[str, list[str]]:
    """Each command under the name it has in the table, on a freshly made demo rod."""
    rod = json.loads(run([CULMWRIGHT, "demo", str(folder / "demo"), "--json"]))["rod_file"]
    ours = {
        "--help": ["--help"],
        "passes": ["passes", "--now", "0.2 in", "--target", "0.1 in"],
        "check ROD": ["check", rod],
        "strips ROD": ["strips", rod],
        "bend ROD": ["bend", rod, "--load", "1 oz"],
        "book ROD": ["book", rod, "-o", str(folder / "book.pdf")],
    }
    return {
        YARDSTICK: [sys.executable, "-c", "import numpy"],
        **{f"culmwright {name}": [CULMWRIGHT, *words] for name, words in ours.items()},
    }


def main() -> None:
    """Print the table."""
    with tempfile.TemporaryDirectory() as folder:
        timed = commands(Path(folder))
        for command in timed.values():
            run(command)  # once unmeasured, for the disk's sake
        rounds = [{name: seconds(command) for name, command in timed.items()} for _ in range(ROUNDS)]
    yardstick = median(each[YARDSTICK] for each in rounds)
    print(f"Median of {ROUNDS} runs, with the fastest and the slowest.\n")
    print("| process | seconds | fastest to slowest | times the import of numpy |")
    print("| --- | --- | --- | --- |")
    for name in timed:
        times = [each[name] for each in rounds]
        middle = median(times)
        print(f"| `{name}` | {middle:.2f} | {min(times):.2f} to {max(times):.2f} | {middle / yardstick:.1f} |")


if __name__ == "__main__":
    main()
