"""Run the command line: ``python -m detentsim``."""

from __future__ import annotations

import sys

from detentsim.cli.entry import main

sys.exit(main())
