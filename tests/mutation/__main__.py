"""python -m tests.mutation ROOM...: put faults into rooms, and see whether the tests notice them."""

from __future__ import annotations

import argparse
import random
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

from tests.mutation.mutants import Mutant, mutants
from tests.mutation.reach import recorded
from tests.mutation.serving import Outcome, all_tried, copied, serving, stopped
from tests.mutation.survivors import Key, Tally, accepted, key_of, tallied

ROOT = Path(__file__).parents[2]
LEFT_OUT = frozenset(
    {
        *("house", "benchmarks", "mutation"),  # they look at the source itself, or at the tests
        *("assembly", "cli", "drawings", "families", "fea", "html", "notebook", "verification", "watch"),
    }
)
"""Folders whose tests are not asked; those of the second row are slow, and far from what rooms are about."""


def files_of(root: Path, room: str) -> list[str]:
    """The modules of a room, as paths in the tree."""
    inside = root / "formparts"
    found = sorted((inside / room).rglob("*.py")) or [inside / f"{room}.py"]
    if not found[0].is_file():
        raise SystemExit(f"there is no room {room}")
    return [path.relative_to(root).as_posix() for path in found]


def files_of_tests(root: Path, folders: Sequence[str]) -> list[str]:
    """The files of tests that are asked: of some folders of `tests` only, or of all that are not left out."""
    paths = [path.relative_to(root) for path in sorted((root / "tests").rglob("test_*.py"))]
    there = {path.parts[1] for path in paths}
    asked = {Path(folder).name for folder in folders} or there - LEFT_OUT
    if asked - there:
        raise SystemExit(f"there are no tests in {', '.join(sorted(asked - there))}")
    return [path.as_posix() for path in paths if path.parts[1] in asked]


def sampled(root: Path, rooms: Sequence[str], size: int, seed: int) -> list[Mutant]:
    """So many faults of each room, by chance, the rooms by turns; the whole of a room that has no more."""
    chance = random.Random(seed)
    taken: list[tuple[float, Mutant]] = []
    for room in rooms:
        found = [mutant for file in files_of(root, room) for mutant in mutants(root / file, file)]
        some = chance.sample(found, min(size, len(found)))
        print(f"{room}: {len(some)} of {len(found)} faults")
        taken += [(number / len(some), mutant) for number, mutant in enumerate(some)]
    return [mutant for _, mutant in sorted(taken, key=lambda pair: pair[0])]


def run(root: Path, faults: Sequence[Mutant], options: argparse.Namespace, work: Path) -> list[Outcome]:
    """Note what the tests reach, start the warm processes, and try the faults."""
    files = sorted({mutant.file for mutant in faults})
    reach = recorded(
        copied(root, work / "marked"), files, files_of_tests(root, options.tests), options.jobs, options.keep
    )
    for test in reach.failed:
        print(f"fails without any fault, and is not asked: {test}")
    print(f"{len(reach.seconds)} tests reach {len(reach.by_statement)} statements", flush=True)
    asked = sorted({test.split("::")[0] for test in reach.seconds})
    servers = [serving(copied(root, work / f"tree{job}"), files, asked) for job in range(options.jobs)]
    outcomes = all_tried(servers, reach, faults, options.budget, options.minutes, _told)
    for server in servers:
        stopped(server)
    return outcomes


def _told(outcome: Outcome) -> None:
    """A line for each fault that no test noticed, as soon as that is known."""
    if outcome.state == "timed out":
        print(shown(outcome), flush=True)
    if not outcome.noticed:
        print(shown(outcome), flush=True)


def shown(outcome: Outcome) -> str:
    """One outcome in one line."""
    mutant = outcome.mutant
    return f"{outcome.state:9} {mutant.file}:{mutant.line}  {mutant.change}"


def report(tallies: Sequence[Tally], reasons: dict[Key, str]) -> str:
    """The table of rates, then the survivors of the list with their reasons, then all others."""
    lines = ["room       faults killed timed out survived of these listed   rate  without listed"]
    for tally in tallies:
        timed_out = sum(outcome.state == "timed out" for outcome in tally.outcomes)
        killed = len(tally.outcomes) - len(tally.survived) - timed_out
        counts = f"{len(tally.outcomes):6} {killed:6} {timed_out:9} {len(tally.survived):8} {len(tally.excused):15}"
        lines.append(f"{tally.room:10} {counts} {tally.rate:5.1f}% {tally.rate_without_excused:14.1f}%")
    listed = [outcome for tally in tallies for outcome in tally.excused]
    lines += [f"listed: {shown(outcome)}  ({reasons[key_of(outcome.mutant)]})" for outcome in listed]
    others = [o for tally in tallies for o in tally.survived if key_of(o.mutant) not in reasons]
    lines += [shown(outcome) for outcome in sorted(others, key=lambda o: (o.mutant.file, o.mutant.line))]
    return "\n".join(lines)


def asked_for(arguments: Sequence[str]) -> argparse.Namespace:
    """Read the command line."""
    parser = argparse.ArgumentParser(prog="python -m tests.mutation", description=__doc__)
    parser.add_argument("rooms", nargs="+", metavar="ROOM")
    parser.add_argument("--minutes", type=float, default=60.0, help="stop trying after that")
    parser.add_argument("--seed", type=int, default=None, help="of the sample; a new one is taken and shown")
    parser.add_argument("--sample", type=int, default=150, help="faults of each room")
    parser.add_argument("--budget", type=float, default=30.0, help="seconds of tests against each fault")
    parser.add_argument("--jobs", type=int, default=1, help="warm processes")
    parser.add_argument(
        "--tests", nargs="+", default=(), metavar="FOLDER", help="ask the tests of these only"
    )
    parser.add_argument("--keep", type=Path, help="a folder for notes of what tests reach, to be used again")
    parser.add_argument("--root", type=Path, default=ROOT, help="the tree to copy")
    return parser.parse_args(arguments)


def main(arguments: Sequence[str]) -> None:
    """Run it all, and print the report."""
    options = asked_for(arguments)
    seed = random.randrange(10**6) if options.seed is None else options.seed
    print(f"seed {seed}")
    faults = sampled(options.root, options.rooms, options.sample, seed)
    with tempfile.TemporaryDirectory(prefix="formparts_mutation_", ignore_cleanup_errors=True) as folder:
        outcomes = run(options.root, faults, options, Path(folder))
    if len(outcomes) < len(faults):
        print(f"time is up: {len(faults) - len(outcomes)} of {len(faults)} faults were not tried")
    reasons = accepted()
    print(report(tallied(outcomes, reasons), reasons))


if __name__ == "__main__":
    main(sys.argv[1:])
