"""Measure the common volume of pairs of parts with the kernel, in a separate process: the kernel may crash or hang."""

from __future__ import annotations

import json
import pickle
import sys
from pathlib import Path
from typing import Any

from formparts.assembly.placing import Placed
from formparts.assembly.solids import location, part_solid
from formparts.errors import KernelError
from formparts.kernel import guard, own_process


def main(arguments: list[str]) -> int:
    """Read the pairs, and write a volume for each in a line of its own as soon as it is known."""
    asked, answers = (Path(argument) for argument in arguments)
    # Written a moment ago by the process that started this one, for nobody else.
    pairs: list[tuple[Placed, Placed]] = pickle.loads(asked.read_bytes())
    with answers.open("w", encoding="ascii") as file:
        for one, two in pairs:
            file.write(f"{json.dumps(_volume(one, two))}\n")
            file.flush()
    return 0


def _volume(one: Placed, two: Placed) -> float | None:
    """What two parts share [mm3], or None when the kernel fails."""
    try:
        with guard(f"interference of {one.name} and {two.name}"):
            return shared_volume(one, two)
    except KernelError:
        return None


def shared_volume(one: Placed, two: Placed) -> float:
    """Volume that two placed parts share [mm3]."""
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Common
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps

    first, second = (_placed(item) for item in (one, two))
    common, figures = BRepAlgoAPI_Common(first, second), GProp_GProps()
    BRepGProp.VolumeProperties_s(common.Shape(), figures)
    return float(figures.Mass())


def _placed(item: Placed) -> Any:
    return part_solid(item.part).shape.Moved(location(item.frame))


if __name__ == "__main__":
    sys.exit(own_process(lambda: main(sys.argv[1:])))
