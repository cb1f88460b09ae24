"""Random texts, build files and builds in numbers that no test can afford; prints what each broke.

python tests/benchmarks/random_inputs.py --texts 100000 --files 10000 --curves 500 --builds 3000 --hard 3000
"""

import argparse
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))
from helpers.findings import build_findings, file_findings, text_findings
from helpers.mutations import hard_changes


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    for name, count in {
        "texts": 100_000,
        "files": 10_000,
        "curves": 500,
        "builds": 3000,
        "hard": 3000,
        "seed": 1,
    }.items():
        options.add_argument(f"--{name}", type=int, default=count)
    asked = options.parse_args()
    for name, look in {
        "texts": lambda: text_findings(asked.texts, asked.seed),
        "files": lambda: file_findings(asked.files, asked.seed, asked.curves),
        "builds": lambda: build_findings(asked.builds, asked.seed),
        "hard": lambda: build_findings(asked.hard, asked.seed, hard_changes),
    }.items():
        found = look()
        print(f"{name}: {len(found)} findings of {getattr(asked, name)}", flush=True)
        for line in found[:40]:
            print("  ", line[:600])


if __name__ == "__main__":
    main()
