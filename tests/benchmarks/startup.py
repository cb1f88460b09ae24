"""How long `detentsim curve --json` takes beside the imports that it needs, in one run: goal 1.3 times.

Run: .venv/bin/python tests/benchmarks/startup.py
"""

import os
import subprocess
import sys
import time

# What a curve cannot do without: numbers, and the normal distribution that its likely ranges are drawn from.
IMPORTS = "import numpy, scipy.special, tomllib, argparse, json, csv"
CALLS = {
    "nothing": ["-c", "pass"],
    "imports it needs": ["-c", IMPORTS],
    "detentsim --help": ["-m", "detentsim", "--help"],
    "detentsim sizes drills": ["-m", "detentsim", "sizes", "drills"],
    "detentsim curve --json": ["-m", "detentsim", "curve", "--json"],
}
ROUNDS = 9
# Packages that pip installs come compiled; this one is given the same chance, on its first run.
ENVIRONMENT = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}


def seconds(words: list[str]) -> float:
    start = time.perf_counter()
    subprocess.run([sys.executable, *words], check=True, stdout=subprocess.DEVNULL, env=ENVIRONMENT)
    return time.perf_counter() - start


if __name__ == "__main__":
    best = dict.fromkeys(CALLS, float("inf"))
    for _ in range(ROUNDS):  # turn about, so that a busy moment hits all alike
        for name, words in CALLS.items():
            best[name] = min(best[name], seconds(words))
    needed = best["imports it needs"]
    for name, found in best.items():
        print(f"{name:<26}{1e3 * found:7.0f} ms  {found / needed:5.2f} times the imports")
