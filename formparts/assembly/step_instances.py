"""Reading a STEP file of an assembly: its products, and every instance with its name and its place."""

from __future__ import annotations

import math
import os
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from formparts.body import Frame
from formparts.errors import InputError
from formparts.export.step import new_document
from formparts.export.step_reading import check_readable, named_faces
from formparts.kernel import guard, settings, silence
from formparts.kernel_reader import as_written, name_of, plain_reader

Colour = tuple[float, float, float]


@dataclass(frozen=True)
class StepProduct:
    """
    A product of a STEP file, in its own coordinates.

    Parameters
    ----------
    name : str
        Of the product.
    shape : TopoDS_Shape
        The kernel's shape [mm].
    faces : dict of str to TopoDS_Face
        Those of its faces that have a name.
    colour : (red, green, blue) [-]
        From 0 to 1; not numbers where it has none.
    """

    name: str
    shape: Any
    faces: dict[str, Any]
    colour: Colour


@dataclass(frozen=True)
class StepInstance:
    """
    A product in its position.

    Parameters
    ----------
    name : str
        Of the instance; of one inside a sub-assembly, with the names that lead to it.
    product : StepProduct
        The product at that position.
    frame : Frame
        Where the product's own coordinates lie.
    shape : TopoDS_Shape
        The product's shape in its place [mm].
    """

    name: str
    product: StepProduct
    frame: Frame
    shape: Any


@dataclass(frozen=True)
class StepAssembly:
    """
    What a STEP file of an assembly holds.

    Parameters
    ----------
    name : str
        Name of the whole.
    shape : TopoDS_Shape
        All of it [mm].
    instances : tuple of StepInstance
        In the order of the file; those of sub-assemblies too.
    """

    name: str
    shape: Any
    instances: tuple[StepInstance, ...]


def holds_assembly(path: str | os.PathLike[str]) -> bool:
    """Whether a STEP file, whoever made it, places products in one another."""
    check_readable(path, foreign=True)
    return b"NEXT_ASSEMBLY_USAGE_OCCURRENCE" in Path(path).read_bytes()


def read_assembly(path: str | os.PathLike[str]) -> StepAssembly:
    """
    Read a STEP file of an assembly.

    In this process: it is for files of your own, for a damaged one may bring the solid kernel down, or hang it.

    Parameters
    ----------
    path : path
        A STEP file in any unit.

    Returns
    -------
    StepAssembly

    Raises
    ------
    InputError
        There is no such file, it is not STEP, or it does not hold exactly one assembly.
    """
    check_readable(path)
    with guard(f"reading {path}"), silence():
        document, parts, _ = new_document()
        _transfer(path, document)
        tops = list(_labels(parts.GetFreeShapes))
        if len(tops) != 1:
            problem = f"holds {len(tops)} wholes that stand apart"
            raise InputError("STEP", "path", str(Path(path)), problem, "give a file of exactly one assembly")
        tree = _Tree(parts)
        instances = tuple(tree.under(tops[0], None, ""))
        return StepAssembly(name_of(tops[0]), parts.GetShape_s(tops[0]), instances)


def _transfer(path: str | os.PathLike[str], document: Any) -> None:
    from OCP.IFSelect import IFSelect_RetDone

    with settings(read_stepcaf_subshapes_name=1, xstep_cascade_unit="MM"):
        reader = plain_reader(colours=True)
        if reader.ReadFile(str(path)) != IFSelect_RetDone or not as_written(reader).Transfer(document):
            problem = "is not a STEP file that can be read"
            raise InputError("STEP", "path", str(Path(path)), problem, "write it anew")


def _labels(fill: Any) -> Iterator[Any]:
    """The labels that a method of the kernel fills in."""
    from OCP.TDF import TDF_LabelSequence

    found = TDF_LabelSequence()
    fill(found)
    for number in range(1, found.Length() + 1):
        yield found.Value(number)


@dataclass
class _Tree:
    """The products found so far, so that each is read once."""

    parts: Any
    products: dict[int, StepProduct] = field(default_factory=dict)

    def under(self, label: Any, place: Any, way: str) -> Iterator[StepInstance]:
        """Every instance below a label, with its place in the whole."""
        from OCP.TDF import TDF_Label

        for component in _labels(lambda found: self.parts.GetComponents_s(label, found)):
            product = TDF_Label()
            self.parts.GetReferredShape_s(component, product)
            own = self.parts.GetLocation_s(component)
            there = own if place is None else place.Multiplied(own)
            name = way + name_of(component)
            if self.parts.IsAssembly_s(product):
                yield from self.under(product, there, f"{name}/")
            else:
                found = self.product(product)
                yield StepInstance(name, found, _frame(there), found.shape.Moved(there))

    def product(self, label: Any) -> StepProduct:
        """Return what is below the label of a product."""
        if label.Tag() not in self.products:
            shape = self.parts.GetShape_s(label)
            self.products[label.Tag()] = StepProduct(
                name_of(label), shape, named_faces(label), _colour(label)
            )
        return self.products[label.Tag()]


def _frame(location: Any) -> Frame:
    motion = location.Transformation()
    x, y, z, origin = (tuple(motion.Value(row, column) for row in (1, 2, 3)) for column in (1, 2, 3, 4))
    return Frame(origin, x, y, z)


def _colour(product: Any) -> Colour:
    """Colour of a product, not numbers where it has none."""
    from OCP.Quantity import Quantity_Color, Quantity_TOC_sRGB
    from OCP.XCAFDoc import XCAFDoc_ColorSurf, XCAFDoc_ColorTool

    colour = Quantity_Color()
    if not XCAFDoc_ColorTool.GetColor_s(product, XCAFDoc_ColorSurf, colour):
        return (math.nan, math.nan, math.nan)
    red, green, blue = colour.Values(Quantity_TOC_sRGB)
    return (float(red), float(green), float(blue))
