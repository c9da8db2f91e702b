"""No error of the solid kernel gets past its one door, and the kernel's settings are put back."""

from __future__ import annotations

import importlib

import pytest

from formparts.errors import InputError, KernelError
from formparts.kernel import guard, settings


def kernel_errors() -> list[type[Exception]]:
    """Give every exception class of the kernel; all are there as soon as its one library is loaded."""
    importlib.import_module("OCP")
    return _below(Exception)


def _below(kind: type[Exception]) -> list[type[Exception]]:
    found = [child for child in kind.__subclasses__() if child.__module__.split(".")[0] == "OCP"]
    return found + [below for child in kind.__subclasses__() for below in _below(child)]


def test_every_exception_class_of_the_kernel_is_mapped() -> None:
    """In OCP 7.9.3 there are 106, all direct children of Exception; each comes out as a KernelError."""
    classes = set(kernel_errors())
    assert len(classes) >= 106
    for kind in classes:
        with pytest.raises(KernelError) as caught, guard("a strip", "strip(width=3)"):
            raise kind("BRep_API: command not done\nsecond line")
        assert caught.value.where == "a strip"
        assert kind.__name__ in caught.value.cause
        assert isinstance(caught.value.__cause__, kind)
        assert "\n" not in str(caught.value)


def test_no_common_base_would_have_caught_them() -> None:
    """Why the guard goes by module: StdFail_NotDone is not a Standard_Failure for Python."""
    from OCP.Standard import Standard_Failure
    from OCP.StdFail import StdFail_NotDone

    assert not issubclass(StdFail_NotDone, Standard_Failure)
    assert {kind.__bases__ for kind in kernel_errors()} == {(Exception,)}


def test_real_failure_of_the_kernel_is_mapped() -> None:
    """An edge between one point and itself, and a direction without a length."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge
    from OCP.gp import gp_Dir, gp_Pnt

    with pytest.raises(KernelError, match="edge of no length"), guard("edge of no length"):
        BRepBuilderAPI_MakeEdge(gp_Pnt(0, 0, 0), gp_Pnt(0, 0, 0)).Edge()
    with pytest.raises(KernelError, match="Standard_ConstructionError"), guard("direction"):
        gp_Dir(0, 0, 0)


def test_refusal_by_the_binding_is_mapped() -> None:
    """A wrong argument is refused by the binding with a TypeError, which is not an error of the user's."""
    from OCP.gp import gp_Pnt

    with pytest.raises(KernelError, match="TypeError"), guard("a point"):
        gp_Pnt("here")


def test_our_own_errors_pass_unchanged() -> None:
    """What is wrong with the input is stated in formparts' words, also from inside a block of kernel calls."""
    with pytest.raises(InputError, match="width"), guard("a strip"):
        raise InputError("strip", "width", 0, "is nothing")


@pytest.mark.parametrize("kind", [KeyError, ZeroDivisionError, OSError, TypeError, ValueError])
def test_other_errors_are_not_blamed_on_the_kernel(kind: type[Exception]) -> None:
    """A slip in our own code stays what it is."""
    with pytest.raises(kind), guard("a strip"):
        raise kind("slip")


def test_interruption_is_let_through() -> None:
    """Ctrl-C is not a failure of the kernel."""
    with pytest.raises(KeyboardInterrupt), guard("a strip"):
        raise KeyboardInterrupt


def _product_name() -> str:
    from OCP.Interface import Interface_Static

    return str(Interface_Static.CVal_s("write.step.product.name"))


def test_settings_are_put_back_also_after_a_failure() -> None:
    """A setting holds inside the block, and what was there before holds after it."""
    seen = []
    with settings(write_step_product_name="first"):
        with pytest.raises(ZeroDivisionError), settings(write_step_product_name="second"):
            seen.append(_product_name()) or 1 / 0
        seen.append(_product_name())
    seen.append(_product_name())
    assert seen[:2] == ["second", "first"]
    assert seen[2] not in seen[:2]


def test_setting_that_is_refused_is_an_error() -> None:
    """The kernel refuses in silence; we do not."""
    with pytest.raises(KernelError, match="refused"), settings(write_step_unit="furlong"):
        pass
