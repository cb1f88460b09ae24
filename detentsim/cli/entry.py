"""Entry point of the command line: parses, runs one command, and turns errors into one line and an exit status.

Computes nothing, and loads nothing heavy for ``--help``.
"""

from __future__ import annotations

import argparse
import contextlib
import io
import os
import sys
from typing import TYPE_CHECKING

from detentsim.cli.commands import explore, new, sizes
from detentsim.cli.commands.in_hand import advise, compare, fit, readings, report, sheet
from detentsim.cli.commands.many_builds import batch, design, sweep
from detentsim.cli.commands.one_build import curve, layout, limits, motion
from detentsim.cli.parser import Parser
from detentsim.cli.status import BAD_INPUT, DONE, INTERRUPTED

if TYPE_CHECKING:
    from collections.abc import Sequence

EPILOG = """\
Every size carries its unit in quotes: "1.2 mm", "30 thou", "5/64 in", "#49".
Exit status: 0 done; 1 valid input, but the answer is no; 2 bad input; 130 stopped by Ctrl-C.
"""

COMMANDS = (
    *(curve, sweep, limits, motion, layout, compare, fit, readings, advise, batch, design, sheet, report),
    *(explore, sizes, new),
)
"""Modules of the commands, in the order of the help."""


def all_commands() -> Parser:
    """Make the parser of all commands."""
    from detentsim import __version__

    top = Parser(
        prog="detentsim",
        description="Detent and lock-bar spring mechanics for makers of folding knives.",
        epilog=EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    top.add_argument("--version", action="version", version=f"detentsim {__version__}")
    commands = top.add_subparsers(dest="command", metavar="COMMAND", required=True)
    for command in COMMANDS:
        command.add(commands)
    return top


def main(argv: Sequence[str] | None = None) -> int:
    """Run a command.

    Parameters
    ----------
    argv : sequence of str, optional
        Words after the program's name; the process's own by default.

    Returns
    -------
    int
        Exit status: 0 done, 1 the answer is no, 2 bad input, 130 interrupted.
    """
    _ready_output()
    args = argparse.Namespace()
    try:
        args = all_commands().parse_args(argv)
        status = int(args.run(args))
        sys.stdout.flush()
        return status
    except SystemExit as stop:
        return stop.code if isinstance(stop.code, int) else BAD_INPUT
    except KeyboardInterrupt:
        return INTERRUPTED
    except BrokenPipeError:
        _silence()
        return DONE
    except OSError as error:
        print(_system_fault(error), file=sys.stderr)
        _silence()
        return BAD_INPUT
    except ArithmeticError as error:
        return _unsolved(error)
    except ValueError as error:
        return _complain(error, args)


def _ready_output() -> None:
    """Prepare stdout and stderr: a character that the terminal lacks prints as ?, a closed stream takes everything.

    Also drops SOURCE_DATE_EPOCH: no file written here holds a date, and libraries refuse a malformed one.
    """
    os.environ.pop("SOURCE_DATE_EPOCH", None)
    for name in ("stdout", "stderr"):
        stream = getattr(sys, name)
        if stream is None:
            setattr(sys, name, open(os.devnull, "w", encoding="utf-8"))  # noqa: SIM115  (open for the whole run)
        elif isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")


def _silence() -> None:
    """Point stdout at the null device, since flushing it at exit would fail again."""
    with contextlib.suppress(OSError, ValueError):  # no handle left, or none that is a file's
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _system_fault(error: OSError) -> str:
    """Sentence on an error of the operating system; names the file where the error does."""
    below = error.__cause__ if isinstance(error.__cause__, OSError) else error  # a library's own words hide the cause
    why = below.strerror or str(error)
    named = isinstance(error.filename, str) and error.filename
    return f"{error.filename}: cannot be used: {why}" if named else f"output: cannot be written: {why}"


def _unsolved(error: ArithmeticError) -> int:
    """Print that a motion could not be solved and return the exit status; any other error is raised again."""
    from detentsim.mechanics.motion.swing import MotionError

    if not isinstance(error, MotionError):
        raise error
    print(error, file=sys.stderr)
    return BAD_INPUT


def _complain(error: ValueError, args: argparse.Namespace) -> int:
    """Print what is wrong with the input and return the exit status; any other error is raised again."""
    from detentsim.units.errors import InputError

    kit = os.environ.get("MPLBACKEND")
    if kit is not None and "backend" in str(error) and not isinstance(error, InputError):
        text = f'"{kit[:40]}" is no way of drawing that the plotting library knows; leave it unset, or give "agg"'
        error = InputError("MPLBACKEND", kit, text)
    if not isinstance(error, InputError):
        raise error
    print("\n".join(_as_typed(line, args) for line in str(error).splitlines()), file=sys.stderr)
    return BAD_INPUT


def _as_typed(line: str, args: argparse.Namespace) -> str:
    """A sentence on a bad argument with its option named as it is typed; any other sentence as it is."""
    field, _, problem = line.partition(": ")
    given = {"of": "next", "readings": "reading"}.get(field, field) if not getattr(args, field, None) else field
    return f"--{given.replace('_', '-')}: {problem}" if getattr(args, given, None) is not None else line
