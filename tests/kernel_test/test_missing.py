"""A library of the system that the kernel cannot find is named, with the Debian package that holds it."""

from __future__ import annotations

import pytest

from formparts.errors import InputError
from formparts.kernel import guard

# Each file was removed in turn (in an overlay over the library folder, Debian 12, Python 3.13, OCP 7.9): the
# loader's sentence below is copied from there. The package is the one that `dpkg -S` names for the file.
HIDDEN = {"libGL.so.1": "libgl1", "libX11.so.6": "libx11-6", "libexpat.so.1": "libexpat1"}


@pytest.mark.parametrize("library", HIDDEN)
def test_missing_library_is_named_with_its_package(library: str) -> None:
    """The loader's own sentence becomes one line that says what to install."""
    said = f"{library}: cannot open shared object file: No such file or directory"
    with pytest.raises(InputError, match=f"{library}.*Debian package {HIDDEN[library]}$"), guard("making"):
        raise ImportError(said)
