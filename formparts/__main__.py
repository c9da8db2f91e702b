"""`python -m formparts` is the command."""

import sys

from formparts.cli import main

sys.exit(main())
