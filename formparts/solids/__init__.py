"""Build a body as a solid: one closed shell, by construction, with a name for every face."""

from formparts.solids.building import Solid, solid
from formparts.solids.shell import Shell, Use, axes_of, straight_on

__all__ = ["Shell", "Solid", "Use", "axes_of", "solid", "straight_on"]
