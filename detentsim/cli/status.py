"""Exit statuses of the command line."""

from __future__ import annotations

DONE, NO, BAD_INPUT, INTERRUPTED = 0, 1, 2, 130
