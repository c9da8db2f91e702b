"""The position of the viewer: from millimetres in space to samples on the picture, and how near they are."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from formparts.report.arrays import Vector
from formparts.tolerances import NO_LENGTH, ROUNDING

if TYPE_CHECKING:
    from formparts.report.arrays import Floats

_SNAP = 256.0
"""Positions on the picture are rounded to this part of a sample.

An edge shared by two faces then coincides, and rounding does not change a byte.
"""


@dataclass(frozen=True, eq=False)
class Camera:
    """
    A parallel projection.

    Parameters
    ----------
    axes : (3, 3) array of float
        Unit vectors to the right, up and towards the viewer, one a row.
    scale : float [-]
        Samples for one millimetre.
    middle : pair of float
        The sample, from the left and from the top, on which `centre` falls.
    centre : (3,) array of float
        Right, up and towards the viewer of the middle of the part [mm].
    """

    axes: Floats
    scale: float
    middle: tuple[float, float]
    centre: Floats

    def project(self, points: Floats) -> Floats:
        """Return samples from the left, samples from the top, and samples towards the viewer, of points in space."""
        import numpy as np

        seen = (_along(self.axes, points) - self.centre) * self.scale
        across = np.round((self.middle[0] + seen[..., 0]) * _SNAP) / _SNAP
        down = np.round((self.middle[1] - seen[..., 1]) * _SNAP) / _SNAP
        return np.stack([across, down, np.round(seen[..., 2] * _SNAP**2) / _SNAP**2], axis=-1)


def fitted_camera(
    points: Floats, view: Vector, samples: tuple[int, int], margin: float, aside: float = 0.0
) -> Camera:
    """Return the camera that shows all points as large as possible; margins and a strip on one side stay free."""
    import numpy as np

    axes = view_axes(view)
    seen = _along(axes, points)
    low, high = seen.min(axis=0), seen.max(axis=0)
    width, height = samples
    room = np.array([width - aside - 2.0 * margin, height - 2.0 * margin])
    spread = np.maximum((high - low)[:2], NO_LENGTH)
    # A sample is in the middle of its square: sample 0 is half a sample inside the picture.
    middle = ((width + aside) / 2.0 - 0.5, height / 2.0 - 0.5)
    return Camera(axes, float((room / spread).min()), middle, (low + high) / 2.0)


def view_axes(view: Vector) -> Floats:
    """Right, up and towards the viewer, z upright; seen along z, y is up."""
    import numpy as np

    towards = _unit(np.array(view, dtype=float))
    upright = np.array([0.0, 0.0, 1.0])
    if abs(towards[2]) > 1.0 - ROUNDING:
        upright = np.array([0.0, 1.0, 0.0])
    right = _unit(np.cross(upright, towards))
    return np.stack([right, np.cross(towards, right), towards])


def _along(axes: Floats, points: Floats) -> Floats:
    """Return components of points along three axes, summed one by one so that no library reorders the sum."""
    import numpy as np

    x, y, z = points[..., 0], points[..., 1], points[..., 2]
    return np.stack([x * a[0] + y * a[1] + z * a[2] for a in axes], axis=-1)


def _unit(vector: Floats) -> Floats:
    length: float = float((vector * vector).sum()) ** 0.5
    return vector / length


def facing(corners: Floats) -> Floats:
    """Twice the area of projected triangles [samples2], positive when their outside faces the viewer."""
    (ax, ay), (bx, by), (cx, cy) = ((corners[:, i, 0], corners[:, i, 1]) for i in range(3))
    return -((bx - ax) * (cy - ay) - (by - ay) * (cx - ax))
