"""Measures of stress at a point: von Mises and principal."""

from __future__ import annotations

from formparts.fea.arrays import Floats, np


def von_mises(stress: Floats) -> Floats:
    """
    Equivalent stress of components in the order xx, yy, zz, xy, yz, zx [MPa].

    Source: R. von Mises, Mechanik der festen Koerper im plastisch-deformablen Zustand, 1913 (from memory).
    """
    xx, yy, zz, xy, yz, zx = np.moveaxis(stress, -1, 0)
    direct = (xx - yy) ** 2 + (yy - zz) ** 2 + (zz - xx) ** 2
    return np.asarray(np.sqrt(direct / 2.0 + 3.0 * (xy**2 + yz**2 + zx**2)))


def principal(stress: Floats) -> Floats:
    """The three principal stresses, the least first [MPa]."""
    return np.asarray(np.linalg.eigvalsh(tensor(stress)))


def tensor(stress: Floats) -> Floats:
    """Components xx, yy, zz, xy, yz, zx as symmetric matrices."""
    xx, yy, zz, xy, yz, zx = np.moveaxis(stress, -1, 0)
    rows = [np.stack(row, axis=-1) for row in ((xx, xy, zx), (xy, yy, yz), (zx, yz, zz))]
    return np.stack(rows, axis=-2)
