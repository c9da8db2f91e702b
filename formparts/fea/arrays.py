"""numpy, loaded when a mesh is first made, not when a public name is imported; and the types of its arrays."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, TypeAlias

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats: TypeAlias = NDArray[np.float64]
    Integers: TypeAlias = NDArray[np.int64]
    Booleans: TypeAlias = NDArray[np.bool_]
else:
    Floats = Integers = Booleans = Any

    class _Numpy:
        """Placeholder for numpy, which is loaded at the first use."""

        def __getattr__(self, name: str) -> Any:
            import numpy

            return getattr(numpy, name)

    np = _Numpy()

__all__ = ["Booleans", "Floats", "Integers", "np"]
