"""The kernel's reader of STEP files: shapes as they are written, or healed."""

from __future__ import annotations

from typing import Any, Final

_HEALING: Final = {
    **dict.fromkeys(("FixSelfIntersectionMode", "FixIntersectingWiresMode", "FixOrientationMode"), "0"),
    **dict.fromkeys(
        ("FixTailMode", "FixVertexPositionMode", "ModifyTopologyMode", "CreateOpenSolidMode"), "0"
    ),
    **{"Tolerance3d": "1e-6", "MinTolerance3d": "1e-7", "MaxTolerance3d": "1"},
}
"""The healing steps of the kernel's reader: the first three are switched off, the rest are its defaults."""


def as_written(reader: Any) -> Any:
    """
    Return a reader that has read a file, set to leave loops unchanged.

    Healing loops would hide a fault of a file written by formparts, and takes time with the square of a
    face's openings.
    """
    from OCP.Resource import Resource_DataMapOfAsciiStringAsciiString
    from OCP.TCollection import TCollection_AsciiString

    said = Resource_DataMapOfAsciiStringAsciiString()
    for name, value in _HEALING.items():
        said.Bind(TCollection_AsciiString(f"FixShape.{name}"), TCollection_AsciiString(value))
    reader.SetShapeFixParameters(said)
    return reader


def plain_reader(colours: bool = False) -> Any:
    """Return the kernel's reader, for shapes and names only: bad content of other kinds would crash it."""
    from OCP.STEPCAFControl import STEPCAFControl_Reader

    reader = STEPCAFControl_Reader()
    reader.SetNameMode(True)
    reader.SetColorMode(colours)
    for mode in ("Props", "Mat", "GDT", "Layer", "View"):
        getattr(reader, f"Set{mode}Mode")(False)
    return reader


def name_of(label: Any) -> str:
    """Return the name of a label, or nothing; the kernel crashes when a label without a name is asked for one."""
    from OCP.TDataStd import TDataStd_Name

    if not label.IsAttribute(TDataStd_Name.GetID_s()):
        return ""
    name = TDataStd_Name()
    return str(name.Get().ToExtString()) if label.FindAttribute(TDataStd_Name.GetID_s(), name) else ""
