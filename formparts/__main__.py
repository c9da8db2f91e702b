"""`python -m formparts` is the command."""

import sys

from formparts.cli import command

sys.exit(command())
