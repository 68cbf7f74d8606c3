"""`python -m tests.bench [NAME ...]`: one line a measure: name, value, goal, ok or short."""

import sys
from importlib import import_module

BENCHES = ("scan", "shell", "labels", "sync", "phones", "healing", "report", "photos", "family")


def main(names: list[str]) -> int:
    """Run the named benches, or all; 1 if any measure falls short of its goal."""
    unknown = [name for name in names if name not in BENCHES]
    if unknown:
        print(f"There is no bench '{unknown[0]}'. There are: {', '.join(BENCHES)}", file=sys.stderr)
        return 2
    short = False
    for name in names or BENCHES:
        for measure in import_module(f"tests.bench.{name}_bench").measures():
            print(measure.line(), flush=True)
            short = short or not measure.ok
    return 1 if short else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
