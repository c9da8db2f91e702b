"""Read a STEP file with the kernel, in a separate process, and measure its contents."""

from __future__ import annotations

import sys
from pathlib import Path

from formparts.assembly.step_instances import StepProduct, holds_assembly, read_assembly
from formparts.child_process import answered
from formparts.export import read_facts, read_step
from formparts.export.step_products import read_product_facts
from formparts.kernel import measured, own_process
from formparts.verification.statements import FoundFile, FoundInstance, FoundProduct, plain


def main(arguments: list[str]) -> int:
    """Read a file, and write into a report what was found, or what is wrong."""
    report, path = (Path(argument) for argument in arguments)
    answered(report, path, lambda: plain(_assembly(path) if holds_assembly(path) else _part(path)))
    return 0


def _part(path: Path) -> FoundFile:
    part = read_step(path)
    return FoundFile(
        FoundProduct(part.name, measured(part.shape), tuple(part.faces)), ((part.name, read_facts(path)),)
    )


def _assembly(path: Path) -> FoundFile:
    found = read_assembly(path)
    products: dict[int, StepProduct] = {id(each.product): each.product for each in found.instances}
    places = {mark: number for number, mark in enumerate(products)}
    return FoundFile(
        FoundProduct(found.name, measured(found.shape)),
        tuple(read_product_facts(path)),
        tuple(
            FoundProduct(each.name, measured(each.shape), tuple(each.faces), each.colour)
            for each in products.values()
        ),
        tuple(FoundInstance(each.name, places[id(each.product)], each.frame) for each in found.instances),
    )


if __name__ == "__main__":
    sys.exit(own_process(lambda: main(sys.argv[1:])))
