"""
`formparts test-strips`: the shop's own K-factor from measured test strips, with how well it is known.

    $ formparts test-strips --example
"""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from formparts.bending import MeasuredKFactor

WELL = 0
_EXAMPLE = Path(__file__).parents[1] / "data" / "test_strips_example.csv"


def add_parser(commands: Any) -> None:
    """Put this command among the others."""
    parser = commands.add_parser("test-strips", help="K-factor from measured test strips, by least squares")
    parser.description = (
        "Read strips of one bend each, measured flat and formed, and print the K-factor for each thickness and radius "
        "with its range at 95 %. --table writes a CSV file that --set bend_rule=FILE.csv takes."
    )
    parser.add_argument("strips", metavar="FILE", nargs="?", help="CSV file of strips; see --example")
    parser.add_argument("--example", action="store_true", help="print a file to begin with")
    parser.add_argument(
        "--table", metavar="FILE", help="write the allowances as a table (CSV); never over a file"
    )
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Print the K-factors, or the example."""
    from formparts.bending import bent_strips, measured_k_factors
    from formparts.errors import InputError

    if options.example:
        print(_EXAMPLE.read_text(encoding="utf-8"), end="")
        return WELL
    if options.strips is None:
        raise InputError(
            "formparts test-strips", "FILE", "none", "is missing", "give a CSV file, or --example"
        )
    found = measured_k_factors(bent_strips(options.strips))
    for one in found:
        print(_line(one))
    if options.table is not None:
        _write(found, Path(options.table))
        print(f"  table {options.table}")
    return WELL


def _line(one: MeasuredKFactor) -> str:
    sheet = f"{one.thickness:g} mm, R {one.inside_radius:g} mm"
    if one.low is None or one.high is None or one.spread is None:
        return f"{sheet}: K {one.k:.3f} from one strip; bend at least three to know how well"
    return (
        f"{sheet}: K {one.k:.3f}, in {one.low:.3f} to {one.high:.3f} at 95 %, from {one.strips} strips that are off by "
        f"{one.spread:.3f} mm (standard deviation)"
    )


def _write(found: tuple[MeasuredKFactor, ...], path: Path) -> None:
    """A new file, of the columns that `allowance_table` reads."""
    from formparts.bending import measured_table
    from formparts.errors import InputError

    if path.suffix.lower() != ".csv":
        raise InputError(
            "formparts test-strips", "table", str(path), "is not a CSV file", "end its name in .csv"
        )
    rows = [",".join(f"{figure:.10g}" for figure in row) for row in measured_table(found).rows]
    try:
        with path.open("x", encoding="utf-8") as file:
            file.write("\n".join(("thickness [mm],inside_radius [mm],angle [deg],allowance [mm]", *rows, "")))
    except FileExistsError:
        raise InputError(
            "formparts test-strips", "table", str(path), "is there already", "give another name"
        ) from None
