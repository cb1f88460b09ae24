"""Run the command line: ``python -m detentsim``."""

import sys

from detentsim.cli import main

sys.exit(main())
