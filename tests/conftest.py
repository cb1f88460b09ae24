"""What holds for every test file."""

import pytest

pytest.register_assert_rewrite("helpers")
collect_ignore = ["benchmarks"]  # scripts that measure; importing one would run it
