"""`python -m formparts.manual`: the same as `formparts manual`."""

import sys
from importlib import import_module

from formparts.manual.rooms import PACKAGE

if __name__ == "__main__":
    sys.exit(import_module(f"{PACKAGE}.cli").main(["manual", *sys.argv[1:]]))
