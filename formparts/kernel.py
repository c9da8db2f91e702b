"""The one door to the solid kernel: its errors become those of formparts, and its global settings are put back."""

from __future__ import annotations

import gc
import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from threading import RLock
from typing import Any

from formparts.errors import FormpartsError, InputError, KernelError
from formparts.short_repr import short_repr
from formparts.tolerances import INTEGRATED_REL, INTEGRATED_RIMS_REL

KERNEL_MODULES = ("OCP", "cadquery")
OBJECTS_BETWEEN = 100_000
"""New objects between two garbage collections: the kernel's import makes twice as many, and all stay."""
SYSTEM_PACKAGES = {"libGL.so.1": "libgl1", "libX11.so.6": "libx11-6", "libexpat.so.1": "libexpat1"}
"""The Debian package of each system library that the kernel needs."""


def own_process(work: Callable[[], int]) -> int:
    """
    Do the work of a process of formparts' own, and give its exit status.

    Garbage is looked for seldom, and not once more at the end: to go through all that the libraries hold takes a
    quarter of a `make`.
    """
    gc.set_threshold(OBJECTS_BETWEEN, 50, 100)
    status = work()
    gc.freeze()
    return status


def is_kernel_error(error: BaseException) -> bool:
    """
    Tell whether an error comes from the kernel, and not from a slip of our own beside its calls.

    Its exception classes share no base but Exception, so they are known by the module they live in. The binding
    itself refuses an argument with a TypeError that speaks of incompatible arguments, and cadquery raises plain
    errors from lines of its own.
    """
    if any(kind.__module__.split(".")[0] in KERNEL_MODULES for kind in type(error).__mro__):
        return True
    if isinstance(error, (RuntimeError, SystemError)):
        return not isinstance(error, (RecursionError, NotImplementedError))
    raised_in = str(_innermost(error).get("__name__", "")).split(".")[0]
    return raised_in in KERNEL_MODULES or (isinstance(error, TypeError) and "incompatible" in str(error))


def _innermost(error: BaseException) -> Mapping[str, object]:
    """The names of the module whose line raised an error."""
    trace = error.__traceback__
    while trace is not None and trace.tb_next is not None:
        trace = trace.tb_next
    return {} if trace is None else trace.tb_frame.f_globals


@contextmanager
def guard(where: str, reproduce: object = "") -> Iterator[None]:
    """
    Let no foreign error out of a block of kernel calls: it becomes a KernelError that says where.

    What reproduces the failure is put into words only when there is one.
    """
    try:
        yield
    except FormpartsError:
        raise
    except ImportError as error:
        raise _not_installed(error) from error
    except Exception as error:
        if not is_kernel_error(error):
            raise
        cause = " ".join(f"{type(error).__name__}: {error}".split())
        raise KernelError(where, cause, str(reproduce)) from error


def _not_installed(error: ImportError) -> InputError:
    """The kernel's own libraries are there, but one of the system's that they need is not."""
    found = re.search(r"(lib[\w.+-]+\.so[\w.]*)", str(error))
    missing = found[1] if found else str(error.name or error)
    package = SYSTEM_PACKAGES.get(missing, "that holds it")
    return InputError(
        "solid kernel", "library", missing, "is not on this machine", f"install the Debian package {package}"
    )


_TURN = RLock()
"""The kernel's settings and log are shared by the whole process: one thread at a time may change them."""


@contextmanager
def silence() -> Iterator[None]:
    """Keep the kernel from writing its own reports to the terminal, and restore that afterwards."""
    from OCP.Message import Message

    with _TURN:
        messenger = Message.DefaultMessenger_s()
        printers = list(messenger.Printers())
        for printer in printers:
            messenger.RemovePrinter(printer)
        try:
            yield
        finally:
            for printer in printers:
                messenger.AddPrinter(printer)


@contextmanager
def settings(**values: str | int | float) -> Iterator[None]:
    """
    Set the kernel's global reader and writer settings for a block, and put the old ones back.

    Names have dots in the kernel and underscores here. A setting that is refused is an error: the kernel
    refuses silently those of a reader or writer that was never made.
    """
    from OCP.STEPCAFControl import STEPCAFControl_Controller

    with _TURN:
        STEPCAFControl_Controller.Init_s()
        wanted = {name.replace("_", "."): value for name, value in values.items()}
        before = {name: _read(name, value) for name, value in wanted.items()}
        try:
            for name, value in wanted.items():
                _write(name, value)
                if _read(name, value) != value:
                    raise KernelError(f"setting {name}", f"{value!r} was refused")
            yield
        finally:
            for name, value in before.items():
                _write(name, value)


def _read(name: str, like: str | int | float) -> str | int | float:
    """Read one setting of the kernel, as the type of `like`."""
    from OCP.Interface import Interface_Static

    if isinstance(like, str):
        return str(Interface_Static.CVal_s(name))
    if isinstance(like, int):
        return int(Interface_Static.IVal_s(name))
    return float(Interface_Static.RVal_s(name))


def _write(name: str, value: str | int | float) -> None:
    """Write one setting of the kernel."""
    from OCP.Interface import Interface_Static

    if isinstance(value, str):
        Interface_Static.SetCVal_s(name, value)
    elif isinstance(value, int):
        Interface_Static.SetIVal_s(name, value)
    else:
        Interface_Static.SetRVal_s(name, value)


@short_repr
@dataclass(frozen=True)
class KernelMeasures:
    """
    What the kernel measures on a solid.

    Parameters
    ----------
    volume : float [mm3]
        Negative when the solid is inside out.
    surface : float [mm2]
        Area of all faces.
    centroid : (x, y, z) [mm]
        Centre of mass.
    inertia : 3 x 3 tuple [mm5]
        Matrix of inertia about the centroid, for a density of one.
    """

    volume: float
    surface: float
    centroid: tuple[float, float, float]
    inertia: tuple[tuple[float, float, float], ...]


def measured(shape: Any, closely: bool = False) -> KernelMeasures:
    """
    Measure a shape of the kernel; closely when it may have free-form faces or edges, which takes longer.

    Plane faces with splines for rims are off by 3e-4 in the way that is close for free-form faces, and these take
    minutes in the other; so do long cylinders, which the usual way measures to the last digits.
    """
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps

    with guard("measuring a solid"):
        inside, skin = GProp_GProps(), GProp_GProps()
        closely = closely and not _is_elementary(shape)
        if closely and _is_plain(shape):
            BRepGProp.VolumePropertiesGK_s(shape, inside, INTEGRATED_RIMS_REL, False, True, True, True, False)
            BRepGProp.SurfaceProperties_s(shape, skin)
        elif closely or has_ruled_faces(shape):
            BRepGProp.VolumeProperties_s(shape, inside, INTEGRATED_REL, False, False)
            BRepGProp.SurfaceProperties_s(shape, skin, INTEGRATED_REL, False)
        else:
            BRepGProp.VolumeProperties_s(shape, inside)
            BRepGProp.SurfaceProperties_s(shape, skin)
        centre, matrix = inside.CentreOfMass(), inside.MatrixOfInertia()
        rows = tuple((matrix.Value(row, 1), matrix.Value(row, 2), matrix.Value(row, 3)) for row in (1, 2, 3))
        return KernelMeasures(inside.Mass(), skin.Mass(), (centre.X(), centre.Y(), centre.Z()), rows)


def close_volume(shape: Any) -> float:
    """Volume of a shape that may have free-form faces or edges, without its sign [mm3]; see `measured`."""
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps

    with guard("measuring a solid"):
        inside = GProp_GProps()
        if _is_plain(shape):
            BRepGProp.VolumePropertiesGK_s(shape, inside, INTEGRATED_RIMS_REL, False, True, True, True, False)
        else:
            BRepGProp.VolumeProperties_s(shape, inside, INTEGRATED_REL, False, False)
        return abs(float(inside.Mass()))


def has_ruled_faces(shape: Any) -> bool:
    """True when a shape has spline faces, as at openings across bends: they need a finer integral."""
    from OCP.BRepAdaptor import BRepAdaptor_Surface
    from OCP.GeomAbs import GeomAbs_BSplineSurface
    from OCP.TopAbs import TopAbs_FACE
    from OCP.TopExp import TopExp_Explorer
    from OCP.TopoDS import TopoDS

    walk = TopExp_Explorer(shape, TopAbs_FACE)
    while walk.More():
        if BRepAdaptor_Surface(TopoDS.Face_s(walk.Current()), False).GetType() == GeomAbs_BSplineSurface:
            return True
        walk.Next()
    return False


def _is_elementary(shape: Any) -> bool:
    """True when faces are planes, cylinders and cones, edges lines and circles: the usual way is close there."""
    from OCP.BRepAdaptor import BRepAdaptor_Curve, BRepAdaptor_Surface
    from OCP.GeomAbs import GeomAbs_Circle, GeomAbs_Cone, GeomAbs_Cylinder, GeomAbs_Line, GeomAbs_Plane
    from OCP.TopAbs import TopAbs_EDGE, TopAbs_FACE
    from OCP.TopoDS import TopoDS

    faces = (BRepAdaptor_Surface(TopoDS.Face_s(face), False) for face in found_in(shape, TopAbs_FACE))
    edges = (BRepAdaptor_Curve(TopoDS.Edge_s(edge)) for edge in found_in(shape, TopAbs_EDGE))
    plain = (GeomAbs_Plane, GeomAbs_Cylinder, GeomAbs_Cone)
    return all(face.GetType() in plain for face in faces) and all(
        edge.GetType() in (GeomAbs_Line, GeomAbs_Circle) for edge in edges
    )


def _is_plain(shape: Any) -> bool:
    """True when faces are plane or a curve drawn out straight, or else round with lines and circles for edges."""
    from OCP.BRepAdaptor import BRepAdaptor_Curve, BRepAdaptor_Surface
    from OCP.GeomAbs import (
        GeomAbs_Circle,
        GeomAbs_Cone,
        GeomAbs_Cylinder,
        GeomAbs_Line,
        GeomAbs_Plane,
        GeomAbs_SurfaceOfExtrusion,
    )
    from OCP.TopAbs import TopAbs_EDGE, TopAbs_FACE
    from OCP.TopoDS import TopoDS

    for face in found_in(shape, TopAbs_FACE):
        kind = BRepAdaptor_Surface(TopoDS.Face_s(face), False).GetType()
        if kind not in (GeomAbs_Plane, GeomAbs_SurfaceOfExtrusion):
            edges = [BRepAdaptor_Curve(TopoDS.Edge_s(edge)).GetType() for edge in found_in(face, TopAbs_EDGE)]
            round_it = kind in (GeomAbs_Cylinder, GeomAbs_Cone)
            if not round_it or not all(edge in (GeomAbs_Line, GeomAbs_Circle) for edge in edges):
                return False
    return True


def found_in(shape: Any, kind: Any) -> list[Any]:
    """Return all subshapes of one kind in a shape, each once."""
    pieces = mapped(shape, kind)
    return [pieces.FindKey(number) for number in range(1, pieces.Extent() + 1)]


def mapped(shape: Any, kind: Any) -> Any:
    """Return the kernel's own numbering of all subshapes of one kind in a shape, from 1 on."""
    from OCP.TopExp import TopExp
    from OCP.TopTools import TopTools_IndexedMapOfShape

    pieces = TopTools_IndexedMapOfShape()
    TopExp.MapShapes_s(shape, kind, pieces)
    return pieces


MANY_LOOPS = 64
"""The kernel's check of a face takes time with the square of its loops: with more than these it is checked in parts."""
Box = tuple[float, float, float, float, float, float]


def is_valid(shape: Any) -> bool:
    """
    The kernel's own check of a shape, in time that grows with its loops and not with their square.

    A face of many loops is checked as several: each has its outline and some of its openings, and openings whose boxes
    meet are in one. Loops whose boxes are apart can neither cross nor lie in one another. What is not sound in parts is
    given to the kernel whole, which has the last word: the outline of a tube is two loops.
    """
    from OCP.BRepCheck import BRepCheck_Analyzer
    from OCP.TopAbs import TopAbs_FACE, TopAbs_WIRE

    faces = found_in(shape, TopAbs_FACE)
    if all(mapped(face, TopAbs_WIRE).Extent() <= MANY_LOOPS for face in faces):
        return bool(BRepCheck_Analyzer(shape).IsValid())
    parts = (part for face in faces for part in _in_parts(face))
    sound = _is_closed(shape) and all(BRepCheck_Analyzer(part).IsValid() for part in parts)
    return bool(sound or BRepCheck_Analyzer(shape).IsValid())


def _is_closed(shape: Any) -> bool:
    """True when all shells are closed and their faces look one way, and their solids find nothing wrong with them."""
    from OCP.BRepCheck import BRepCheck_NoError, BRepCheck_Shell, BRepCheck_Solid
    from OCP.TopAbs import TopAbs_SHELL, TopAbs_SOLID
    from OCP.TopoDS import TopoDS

    shells = [BRepCheck_Shell(TopoDS.Shell_s(shell)) for shell in found_in(shape, TopAbs_SHELL)]
    solids = [BRepCheck_Solid(TopoDS.Solid_s(solid)) for solid in found_in(shape, TopAbs_SOLID)]
    said = [check for shell in shells for check in (shell.Closed(False), shell.Orientation(False))]
    return all(
        check == BRepCheck_NoError for check in (*said, *(status for s in solids for status in s.Status()))
    )


def _in_parts(face: Any) -> Iterator[Any]:
    """A face itself, or of one with many loops its outline with some of its openings after another."""
    from OCP.BRep import BRep_Builder
    from OCP.BRepTools import BRepTools
    from OCP.TopAbs import TopAbs_FORWARD, TopAbs_WIRE
    from OCP.TopoDS import TopoDS

    loops = found_in(face.Oriented(TopAbs_FORWARD), TopAbs_WIRE)
    if len(loops) <= MANY_LOOPS:
        yield face
        return
    outline = BRepTools.OuterWire_s(TopoDS.Face_s(face.Oriented(TopAbs_FORWARD)))
    build = BRep_Builder()
    for openings in _apart([loop for loop in loops if not loop.IsSame(outline)]):
        part = TopoDS.Face_s(face.Oriented(TopAbs_FORWARD).EmptyCopied())
        for loop in (outline, *openings):
            build.Add(part, loop)
        yield part


def _apart(loops: list[Any]) -> Iterator[list[Any]]:
    """Loops in lots of about MANY_LOOPS / 2; those whose boxes meet, directly or by others, are in one lot."""
    lot: list[Any] = []
    for group in _meeting([_box(loop) for loop in loops]):
        lot += [loops[number] for number in group]
        if len(lot) >= MANY_LOOPS // 2:
            yield lot
            lot = []
    if lot:
        yield lot


def _meeting(boxes: list[Box]) -> Iterable[list[int]]:
    """The numbers of boxes in groups that meet one another: a sweep along their longest way."""
    reach = [max(b[way + 3] for b in boxes) - min(b[way] for b in boxes) for way in range(3)]
    along = reach.index(max(reach))
    groups = {number: [number] for number in range(len(boxes))}
    open_ones: list[int] = []
    for number in sorted(groups, key=lambda n: boxes[n][along]):
        here = boxes[number]
        open_ones = [other for other in open_ones if boxes[other][along + 3] >= here[along]]
        for other in open_ones:
            there, mine = groups[other], groups[number]
            if there is not mine and all(
                boxes[other][way] <= here[way + 3] and here[way] <= boxes[other][way + 3] for way in range(3)
            ):
                there += mine
                groups.update(dict.fromkeys(mine, there))
        open_ones.append(number)
    return {id(group): group for group in groups.values()}.values()


def _box(shape: Any) -> Box:
    """The box round a shape, a little wider than it [mm]."""
    from OCP.Bnd import Bnd_Box
    from OCP.BRepBndLib import BRepBndLib

    box = Bnd_Box()
    BRepBndLib.Add_s(shape, box)
    low, high = box.CornerMin(), box.CornerMax()
    return low.X(), low.Y(), low.Z(), high.X(), high.Y(), high.Z()
