"""Distances of points from faces: whether faces to be bonded are in contact."""

from __future__ import annotations

from typing import Final

from formparts.fea.arrays import Floats, np

_AT_ONCE: Final = 1 << 18
"""Number of pairs of a point and a triangle computed in one go: some tens of megabytes."""


def distances(points: Floats, triangles: Floats) -> Floats:
    """From each point (n, 3) to the nearest of some triangles (m, 3, 3) [mm]."""
    parts = 1 + len(points) * len(triangles) // _AT_ONCE
    return np.concatenate([_nearest(part, triangles) for part in np.array_split(points, parts)])


def _nearest(points: Floats, triangles: Floats) -> Floats:
    """To the plane of a triangle where the foot of the point lies within it, else to one of its edges."""
    onward = np.roll(triangles, -1, axis=1) - triangles
    normal = np.cross(onward[:, 0], onward[:, 1])
    normal /= np.linalg.norm(normal, axis=1)[:, None]
    arms = points[:, None, None] - triangles
    along = np.clip(np.einsum("nmcx,mcx->nmc", arms, onward) / (onward**2).sum(axis=2), 0.0, 1.0)
    to_edges = np.linalg.norm(arms - along[..., None] * onward, axis=3).min(axis=2)
    inward = np.cross(normal[:, None], onward)
    within = (np.einsum("nmcx,mcx->nmc", arms, inward) >= 0.0).all(axis=2)
    height = np.abs(np.einsum("nmx,mx->nm", arms[:, :, 0], normal))
    return np.asarray(np.where(within, height, to_edges).min(axis=1))
