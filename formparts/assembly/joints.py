"""Joints between the parts of an assembly, by the names of their faces and holes, for a deck of the whole."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

from formparts.errors import InputError
from formparts.materials import Material
from formparts.materials import material as find_material
from formparts.quantities import length, shown_value
from formparts.short_repr import short_repr

JointKind: TypeAlias = Literal["bonded", "bolted", "contact"]
JOINT_KINDS: Final = ("bonded", "bolted", "contact")


@short_repr
@dataclass(frozen=True)
class Joint:
    """
    Two places of an assembly that are joined.

    Parameters
    ----------
    kind : "bonded", "bolted" or "contact"
        Faces that move as one, as welded or glued; two holes with a bolt through them; faces that press on each other
        without friction and may part.
    first, second : str
        `ITEM: NAME` of two faces, or of two holes; where meshes differ, the second is the finer one.
    diameter : length [mm]
        Of the bolt; of no account otherwise.
    material : Material or str
        Of the bolt.

    Raises
    ------
    InputError
        The kind is none, a place is not written so, or a bolt has no thickness.
    """

    kind: JointKind
    first: str
    second: str
    diameter: float = 0.0
    material: Material | str = "steel"

    def __post_init__(self) -> None:
        if self.kind not in JOINT_KINDS:
            fix = f"choose {', '.join(JOINT_KINDS)}"
            raise InputError("joint", "kind", shown_value(self.kind), "is not a kind of joint", fix)
        for place in (self.first, self.second):
            if not isinstance(place, str) or not all(part.strip() for part in f"{place}: ".split(":")[:2]):
                raise InputError(
                    "joint", "place", shown_value(place), "is not a place", "write it as ITEM: NAME"
                )
        object.__setattr__(self, "diameter", length(self.diameter, "diameter", "joint"))
        object.__setattr__(self, "material", find_material(self.material))
        if self.kind == "bolted" and not self.diameter > 0.0:
            problem = "a bolt has a thickness"
            raise InputError("joint", "diameter", self.diameter, problem, "give that of its shank", "mm")

    @property
    def items(self) -> tuple[str, str]:
        """The items that it joins."""
        return (self.first.partition(":")[0].strip(), self.second.partition(":")[0].strip())
