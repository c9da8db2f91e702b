"""A library of the system that the kernel cannot find is named, with the Debian package that holds it."""

from __future__ import annotations

import pytest

from formparts.errors import InputError
from formparts.kernel import guard

# What the loader said when each file was hidden in a mount namespace, and the package that
# `dpkg -S` names for it on Debian 12.
HIDDEN = {"libGL.so.1": "libgl1", "libX11.so.6": "libx11-6", "libexpat.so.1": "libexpat1"}


@pytest.mark.parametrize("library", HIDDEN)
def test_missing_library_is_named_with_its_package(library: str) -> None:
    """The loader's own sentence becomes one line that says what to install."""
    said = f"{library}: cannot open shared object file: No such file or directory"
    with pytest.raises(InputError, match=f"{library}.*Debian package {HIDDEN[library]}$"), guard("making"):
        raise ImportError(said)
