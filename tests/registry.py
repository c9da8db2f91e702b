"""A registry of units that is not the house's own, for what users hand over; making one takes half a second."""

from __future__ import annotations

import pint

UNITS = pint.UnitRegistry()
