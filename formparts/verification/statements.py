"""The statements of a STEP file and the measures of its shapes, as plain data from another process."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any, Final

from formparts.body import Frame
from formparts.child_process import asked
from formparts.export import FoundFacts
from formparts.kernel import KernelMeasures

CHILD: Final = "formparts.verification.child"
"""The module that reads with the kernel."""
TIME_LIMIT: Final = 600.0
"""Time after which reading a file is given up [s]."""

Colour = tuple[float, float, float]


@dataclass(frozen=True)
class FoundProduct:
    """
    A product of a file, or the whole.

    Parameters
    ----------
    name : str
        Its name.
    figures : KernelMeasures
        What the kernel measures on its shape.
    faces : tuple of str
        Names of its faces.
    colour : (red, green, blue) [-]
        From 0 to 1; not numbers where it has none.
    """

    name: str
    figures: KernelMeasures
    faces: tuple[str, ...] = ()
    colour: Colour = (float("nan"),) * 3


@dataclass(frozen=True)
class FoundInstance:
    """
    A product in its position.

    Parameters
    ----------
    name : str
        Of the instance.
    product : int [-]
        Which of the products.
    frame : Frame
        Its position.
    """

    name: str
    product: int
    frame: Frame


@dataclass(frozen=True)
class FoundFile:
    """
    A file of one part or of an assembly.

    Parameters
    ----------
    whole : FoundProduct
        All of it.
    said : tuple of (str, FoundFacts)
        The facts on the part, or on each product that has any, by name.
    products : tuple of FoundProduct
        Of an assembly, in the order in which they are met.
    instances : tuple of FoundInstance
        Of an assembly, in the order of the file.
    """

    whole: FoundProduct
    said: tuple[tuple[str, FoundFacts], ...]
    products: tuple[FoundProduct, ...] = ()
    instances: tuple[FoundInstance, ...] = ()


def found_in(path: Path) -> FoundFile:
    """Read a file in a process of its own."""
    answer = asked(CHILD, path, (), TIME_LIMIT)
    return FoundFile(
        _product(answer["whole"]),
        tuple((name, _facts(facts)) for name, facts in answer["said"]),
        tuple(map(_product, answer["products"])),
        tuple(
            FoundInstance(each["name"], each["product"], Frame(**_tuples(each["frame"])))
            for each in answer["instances"]
        ),
    )


def plain(found: FoundFile) -> dict[str, Any]:
    """The same as `found_in` reads it."""
    return asdict(found)


def _product(data: dict[str, Any]) -> FoundProduct:
    figures = _tuples(data["figures"])
    return FoundProduct(
        data["name"], KernelMeasures(**figures), tuple(data["faces"]), _tuples(data)["colour"]
    )


def _facts(data: dict[str, Any]) -> FoundFacts:
    return FoundFacts(**_tuples(data))


def _tuples(data: dict[str, Any]) -> dict[str, Any]:
    """JSON knows lists only."""
    return {key: _tuple(value) for key, value in data.items()}


def _tuple(value: Any) -> Any:
    return tuple(map(_tuple, value)) if isinstance(value, list) else value
