"""What holds for every test file."""

from pathlib import Path

import pytest

pytest.register_assert_rewrite("helpers")
collect_ignore = ["benchmarks"]  # scripts that measure; importing one would run it


@pytest.fixture
def run(capsys):
    """The command run in this process: its words in; status, output and errors out."""

    def call(*words: str) -> tuple[int, str, str]:
        from detentsim.cli.entry import main

        status = main([str(word) for word in words])
        out, err = capsys.readouterr()
        return status, out, err

    return call


@pytest.fixture
def build_file(tmp_path):
    """Writes a build file into the test's own folder."""

    def write(text: str | bytes, name: str = "knife.toml") -> Path:
        path = tmp_path / name
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        return path

    return write
