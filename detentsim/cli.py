"""The command line: parse, call, print. Nothing is computed here, and nothing heavy is loaded for --help."""

from __future__ import annotations

import argparse
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from matplotlib.figure import Figure

    from detentsim.analysis.sweep.designs import Sweep
    from detentsim.knife.measured.measured import Measured
    from detentsim.knife.model import Build

DONE, NO, BAD_INPUT, INTERRUPTED = 0, 1, 2, 130

DEMO_LINE = "No build file given: this is the packaged demo, an invented 82 mm garden folder."

EPILOG = """\
every size carries its unit in quotes: "1.2 mm", "25 thou", "1/16 in", "#53"
exit status: 0 done; 1 understood, and the answer is no; 2 bad input; 130 stopped by Ctrl-C
"""


def parser() -> argparse.ArgumentParser:
    """Make the parser of all commands."""
    from detentsim import __version__

    top = argparse.ArgumentParser(
        prog="detentsim",
        description="Detent and lock-bar spring mechanics for makers of folding knives.",
        epilog=EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    top.add_argument("--version", action="version", version=f"detentsim {__version__}")
    commands = top.add_subparsers(dest="command", metavar="COMMAND", required=True)
    _add_curve(commands)
    _add_sweep(commands)
    _add_limits(commands)
    _add_motion(commands)
    _add_compare(commands)
    _add_advise(commands)
    _add_design(commands)
    _add_explore(commands)
    _add_sizes(commands)
    _add_new(commands)
    return top


def _add_build(one: argparse.ArgumentParser) -> None:
    one.add_argument("build", nargs="?", metavar="BUILD", help="build file (TOML); the packaged demo without one")
    one.add_argument("--press", metavar="FORCE", help='push a thumb puts on the bar\'s tip, like "5 N"')


def _add_outputs(
    one: argparse.ArgumentParser,
    run: Callable[[argparse.Namespace], int],
    csv: str = "",
    figure: str = "",
    document: str = "write the report to a file as well",
) -> None:
    """What a command can hand out, each told in words; a table or a figure only where there is one."""
    one.set_defaults(run=run, csv=None, figure=None)
    one.add_argument("--json", action="store_true", help="print one JSON document with full digits instead")
    if csv:
        one.add_argument("--csv", metavar="FILE", help=csv)
    if figure:
        one.add_argument("--figure", metavar="FILE", help=f"{figure} (.png, .svg or .pdf)")
    one.add_argument("-o", metavar="FILE", dest="document", help=document)


def _add_curve(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    one = commands.add_parser(
        "curve",
        help="the feel curve of a build: force to open against blade angle, and what explains it",
        description="The feel curve of a build, the numbers that explain it, and what to do at the bench.",
    )
    _add_build(one)
    _add_outputs(one, _curve, csv="write the curve as a table", figure="draw the curve and the dimple")


def _add_sweep(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    one = commands.add_parser(
        "sweep",
        help="vary any inputs: breakout, drag, preload and the rest over every combination",
        description="Vary any inputs of a build and solve every combination of their values.",
        epilog='ranges are START:STOP:COUNT, lists ONE,OTHER,...: --vary "bar.bend=1 mm:3 mm:21" '
        '--vary "dimple.rim_drill=#53,#52"',
    )
    _add_build(one)
    one.add_argument(
        "--vary", metavar="NAME=VALUES", action="append", required=True, help="an input and its values; may be repeated"
    )
    one.add_argument(
        "--of", metavar="RESULTS", action="append", default=[], help="results to give, like breakout_force,falls_shut"
    )
    _add_outputs(
        one,
        _sweep,
        csv="write a table with a row for each design",
        figure="draw lines, a map or several",
        document="write the text to a file as well",
    )


def _add_limits(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    one = commands.add_parser(
        "limits",
        help="how near each part is to its limit: the bar's bend, its wear in service, tang, ball, clip",
        description="How near each part of a build is to its limit, how to bend the bar in, what service takes back.",
        epilog="exit status 1 when a limit is passed",
    )
    _add_build(one)
    one.add_argument("--push", metavar="TRAVEL", help='tell what bend a push of the tip leaves, like "12 mm"')
    _add_outputs(one, _limits, figure="draw the bar, its stress and a travel ruler")


def _add_motion(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    one = commands.add_parser(
        "motion",
        help="does the blade fly open, fall shut, stay shut in a pocket",
        description="The blade in motion: thrown open by a finger, falling by its weight, staying shut in a pocket.",
    )
    _add_build(one)
    _add_outputs(one, _motion, figure="draw speed, energy and positions")


def _add_compare(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    one = commands.add_parser(
        "compare",
        help="builds and measured feel curves side by side, and how far apart a hand feels them",
        description="Builds and measured feel curves side by side; differences are counted from the first.",
        epilog='a measured curve is a table like "angle_deg, force_N" or "angle (deg); force (lbf)", with a column run '
        "where it holds several; ONE.csv,OTHER.csv are runs of one knife in files of their own",
    )
    one.add_argument("items", nargs="*", metavar="BUILD|CURVE.csv", help="build files (TOML) and measured curves")
    one.add_argument("--target", metavar="CURVE.csv", help="the wanted feel: a measured curve, or a build to be like")
    _add_outputs(
        one, _compare, csv="write the forces at common angles as a table", figure="draw the curves over each other"
    )


def _add_advise(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    one = commands.add_parser(
        "advise",
        help="what to change: every move of the bench held against what you want",
        description="What to change to meet the build's target, a customer's word, or to be rid of a symptom.",
        epilog="exit status 1 when nothing gets there",
    )
    one.add_argument("build", nargs="?", metavar="BUILD", help="build file (TOML)")
    one.add_argument("--want", metavar="WORD", help='lighter or stiffer, or by hand-steps, like "lighter 2"')
    one.add_argument("--like", metavar="OTHER", help="another build file that this one shall feel like")
    one.add_argument("--symptom", metavar="WORDS", help='a symptom to be rid of, like "will not fall shut"')
    _add_outputs(one, _advise, figure="draw the decision's map")


def _add_design(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    one = commands.add_parser(
        "design",
        help="what to buy, drill, mill and bend: stock sizes that meet the target with room for shop error",
        description="Proposals of ball, drills, slab, relief and bend that meet the build's target, most room first.",
        epilog="exit status 1 when nothing meets the target",
    )
    one.add_argument("build", nargs="?", metavar="BUILD", help="build file (TOML); the packaged demo without one")
    one.add_argument(
        "--fix", metavar="NAME", action="append", default=[], help="an input left as it is, like ball.diameter"
    )
    one.add_argument("--most", metavar="N", help="how many proposals to tell; 6 by default")
    _add_outputs(one, _design, csv="write a table with a row for each proposal")


def _add_explore(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    one = commands.add_parser(
        "explore",
        help="a window with knobs: turn one and watch the feel",
        description="A window with knobs of a build: turn one and watch the feel curve and the ball in its dimple.",
        epilog="what was turned is printed when the window is closed",
    )
    _add_build(one)
    _add_outputs(
        one,
        _explore,
        figure="open no window, but draw it as it would open",
        document="what the window's button saves the build as",
    )


def _add_sizes(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    one = commands.add_parser(
        "sizes",
        help="drills, balls and materials that can be bought, in inch and mm",
        description="What a maker can buy, in inch and mm, each with its source in --json.",
    )
    one.add_argument("kind", choices=("drills", "balls", "materials"), help="which table")
    one.add_argument("--near", metavar="SIZE", help='only the sizes next to one, like "1.45 mm"')
    one.add_argument("--json", action="store_true", help="print one JSON document with full digits instead")
    one.set_defaults(run=_sizes)


def _add_new(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    one = commands.add_parser(
        "new",
        help="write a commented build file to start from",
        description="Write a commented build file to start from; an existing file is left alone.",
    )
    one.add_argument("file", metavar="FILE", help="where to, like garden.toml")
    one.add_argument("--json", action="store_true", help="print what was written as JSON")
    one.set_defaults(run=_new)


def _read(args: argparse.Namespace) -> tuple[Build, str]:
    """Read a build, or the demo, pressed if asked for, and the line that says where it came from."""
    build, where_from = _from(args.build)
    return build if args.press is None else _press(build, args.press), where_from


def _from(path: str | None) -> tuple[Build, str]:
    """Build file or demo, not pressed yet."""
    from detentsim.knife.model import Build
    from detentsim.knife.packaged import demo
    from detentsim.units.errors import InputError

    if path is None:
        return demo(), DEMO_LINE
    if not path:
        raise InputError("BUILD", path, "names no file; give a build file, such as mine.toml")
    return Build.read(path, needs=("bar", "ball", "dimple", "tang", "opener")), ""


def _curve(args: argparse.Namespace) -> int:
    from detentsim import show
    from detentsim.analysis.curve.curve import curve
    from detentsim.show.feel_curve.data_files import curve_csv, curve_document
    from detentsim.show.feel_curve.report import report

    _keep_apart(args)
    build, where_from = _read(args)
    c = curve(build)
    text = "" if args.json and args.document is None else report(c, where_from)
    _hand_out(args, text, lambda: curve_document(c), lambda: curve_csv(c), lambda: show.curve_figure(c))
    return DONE


def _hand_out(
    args: argparse.Namespace,
    text: str,
    document: Callable[[], dict[str, Any]],
    csv: Callable[[], str | Iterable[str]] | None = None,
    figure: Callable[[], Figure] | None = None,
) -> None:
    """Write what was asked for to its files, and print the text or the document."""
    from detentsim.show.theme.tables import to_json

    if args.csv is not None and csv is not None:
        _write(args.csv, csv(), "--csv")
    if args.document is not None:
        _write(args.document, text, "-o")
    if args.figure is not None and figure is not None:
        from detentsim.show.theme.saving import save_figure

        save_figure(figure(), args.figure)
    print(to_json(document()) if args.json else text, end="")


def _sweep(args: argparse.Namespace) -> int:
    import numpy as np

    from detentsim import show
    from detentsim.show.sweep.report import sweep_csv, sweep_document, sweep_report

    _keep_apart(args)
    build, where_from = _read(args)
    of = tuple(dict.fromkeys(name.strip() for words in args.of for name in words.split(",")))
    vary = _vary(args)
    if args.figure is not None:
        _check_drawable(vary, of)
    s = _swept(build, vary, of)
    text = sweep_report(s, of, where_from)
    _hand_out(
        args,
        text,
        lambda: sweep_document(s, build.demo),
        lambda: sweep_csv(s),
        lambda: show.sweep_figure(s, of or None),
    )
    return DONE if np.all(s.done) else INTERRUPTED


def _limits(args: argparse.Namespace) -> int:
    from detentsim import show
    from detentsim.analysis.limits.limits import limits
    from detentsim.show.limits.report import limits_document, limits_report

    _keep_apart(args)
    build, where_from = _read(args)
    found = limits(build)
    pushed = None if args.push is None else found.bend_from_push(args.push)
    text = limits_report(found, where_from, pushed)
    _hand_out(args, text, lambda: limits_document(found, pushed), figure=lambda: show.limits_figure(found))
    return DONE if found.within else NO


def _motion(args: argparse.Namespace) -> int:
    from detentsim import show
    from detentsim.analysis.motion.motion import motion
    from detentsim.show.motion.report import motion_document, motion_report

    _keep_apart(args)
    build, where_from = _read(args)
    m = motion(build)
    _hand_out(args, motion_report(m, where_from), lambda: motion_document(m), figure=lambda: show.motion_figure(m))
    return DONE


def _compare(args: argparse.Namespace) -> int:
    from detentsim import show
    from detentsim.analysis.compare.compare import compare
    from detentsim.show.compare.report import compare_csv, compare_document, compare_report

    given = [*args.items, *([] if args.target is None else [args.target])]
    _keep_apart(args, *(part for path in given for part in _parts(path)))
    read = _items(args.items, args.target)
    c = compare(*read[: len(args.items)], target=read[-1] if args.target is not None else None)
    _hand_out(
        args, compare_report(c), lambda: compare_document(c), lambda: compare_csv(c), lambda: show.compare_figure(c)
    )
    return DONE


def _items(items: list[str], target: str | None) -> list[Build | Measured]:
    """Read what is to be compared, the target last; what is wrong with all of them at once."""
    from detentsim.units.errors import InputError

    if len(items) < (2 if target is None else 1):
        text = (
            "compare needs two items at least, or one and a --target: builds such as mine.toml, curves such as pull.csv"
        )
        raise InputError("BUILD", None, text)
    read: list[Build | Measured] = []
    wrong: list[str] = []
    for path in [*items, *([] if target is None else [target])]:
        try:
            read.append(_item(path))
        except InputError as error:
            wrong.append(str(error))
    if wrong:
        raise InputError("", None, "\n".join(wrong))
    return read


def _item(path: str) -> Build | Measured:
    """Read a build or a measured curve, by the ending of its name."""
    from detentsim.knife.measured.measured import Measured
    from detentsim.knife.model import Build
    from detentsim.units.errors import InputError
    from detentsim.units.wording import shown

    ending = Path(path).suffix.lower()
    if ending == ".csv":
        return Measured.read(*_parts(path))
    if ending == ".toml":
        return Build.read(path, needs=("bar", "ball", "dimple", "tang", "opener"))
    raise InputError("BUILD", path, f"{shown(path, 80)} must end in .toml (a build) or .csv (a measured curve)")


def _parts(path: str) -> list[str]:
    """Files of one item: runs of a knife may stand in several, a comma between their names."""
    split = [part.strip() for part in path.split(",")]
    return [path] if os.path.exists(path) or not all(part.lower().endswith(".csv") for part in split) else split


def _advise(args: argparse.Namespace) -> int:
    from detentsim import show
    from detentsim.analysis.advise.advise import advise, rid_of
    from detentsim.analysis.advise.symptoms.symptoms import symptom, symptoms
    from detentsim.show.advise.report import advise_document, advise_report, symptom_document, symptom_report
    from detentsim.units.errors import InputError

    _keep_apart(args, args.like or "")
    if args.build is None:
        raise InputError("BUILD", None, "advise needs a build file of your own, such as mine.toml; start one with new")
    asked_by = {"--want": args.want, "--like": args.like, "--symptom": args.symptom}
    given = [option for option, value in asked_by.items() if value is not None]
    if len(given) > 1:
        raise InputError(given[1], asked_by[given[1]], f"stands beside {given[0]}; give one of the two")
    build, _ = _from(args.build)
    asked = None if args.symptom is None else symptom(build, args.symptom)
    if asked is not None and not asked.aims:
        if args.figure is not None:
            text = f"there is no map for {asked.name}: no result tells how to be rid of it; leave --figure out"
            raise InputError("--figure", args.figure, text)
        _hand_out(args, symptom_report(build.name, asked), lambda: {"symptom": symptom_document(asked)})
        return DONE
    like = None if args.like is None else _from(args.like)[0]
    advice = advise(build, args.want, like=like) if asked is None else rid_of(build, asked.aims)
    told = advice, symptoms(build), asked
    text = advise_report(*told)
    _hand_out(args, text, lambda: advise_document(*told), figure=lambda: show.decision_figure(advice))
    return DONE if advice.right or advice.best is not None else NO


def _design(args: argparse.Namespace) -> int:
    from detentsim.analysis.design.design import design
    from detentsim.show.design.report import TOLD, design_csv, design_document, design_report

    _keep_apart(args)
    most = TOLD if args.most is None else _count(args.most)
    build, where_from = _from(args.build)
    names = [name.strip() for words in args.fix for name in words.split(",")]
    found = design(build, names)
    text = "" if args.json and args.document is None else design_report(found, where_from, most)
    _hand_out(args, text, lambda: design_document(found), lambda: design_csv(found))
    return INTERRUPTED if found.stopped else DONE if found.proposals else NO


def _explore(args: argparse.Namespace) -> int:
    from detentsim.analysis.explore.session import Session
    from detentsim.show.explorer.board import explore_figure
    from detentsim.show.explorer.report import explore_document, explore_report
    from detentsim.show.explorer.window import open_window
    from detentsim.show.theme.saving import save_figure
    from detentsim.show.theme.tables import to_json
    from detentsim.units.errors import InputError

    if args.document is not None and args.figure is not None:
        raise InputError(
            "-o", args.document, "stands beside --figure, which opens no window to save from; leave one out"
        )
    build, where_from = _read(args)
    turns = Session(build)
    try:
        save_as = None if args.document is None else turns.check_name(args.document)
    except InputError as error:
        raise InputError("-o", args.document, error.problem) from None
    _keep_apart(args)
    saved = ""
    if args.figure is None:
        saved = open_window(turns, save_as).saved
    else:
        save_figure(explore_figure(turns, args.figure), args.figure)
    print(to_json(explore_document(turns, saved)) if args.json else explore_report(turns, where_from, saved), end="")
    return DONE


def _count(text: str) -> int:
    from detentsim.units.errors import InputError

    if not text.isascii() or not text.isdigit() or not 1 <= int(text[:9]) <= 100 or len(text) > 3:
        raise InputError("--most", text, f'"{text[:40]}" is no count; give a whole number from 1 to 100, such as 6')
    return int(text)


def _vary(args: argparse.Namespace) -> dict[str, object]:
    """Inputs to vary with their values, by name."""
    from detentsim.knife.table.columns import parse_column
    from detentsim.units.errors import InputError

    vary: dict[str, object] = {}
    for name, values in map(parse_column, args.vary):
        if name in vary:
            text = f"{name} is varied twice; give all its values at once, such as {name}=ONE,OTHER"
            raise InputError("--vary", name, text)
        vary[name] = values
    if args.press is not None and "grip.force" in vary:
        raise InputError("--press", args.press, "stands beside --vary grip.force; give the push once")
    return vary


def _swept(build: Build, vary: dict[str, object], of: tuple[str, ...]) -> Sweep:
    """Solve the sweep; what Ctrl-C leaves undone the report tells."""
    import warnings

    from detentsim.analysis.sweep.sweep import sweep

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return sweep(build, vary, of or None, typed=True)


def _check_figure(path: str) -> None:
    from detentsim.show.theme.saving import check_figure_path

    check_figure_path(path)


def _check_drawable(vary: dict[str, object], of: tuple[str, ...]) -> None:
    """Refuse what no figure can show, before it is solved."""
    from detentsim.knife.table.columns import read_columns
    from detentsim.show.sweep.page import check_drawable

    check_drawable([len(column) for column in read_columns(vary, typed=True)], of)


def _keep_apart(args: argparse.Namespace, *inputs: str) -> None:
    """Refuse to write over a file that is read, two outputs into one file, or what is no name for one."""
    from detentsim.units.errors import InputError

    taken = {os.path.realpath(path): "read by this command" for path in inputs if path}
    if "build" in args and args.build:
        taken[os.path.realpath(args.build)] = "the build file"
    outputs = (("--csv", args.csv, "new.csv"), ("-o", args.document, "new.txt"), ("--figure", args.figure, "new.png"))
    for option, path, other in outputs:
        if path is None:
            continue
        if not path:
            raise InputError(option, path, f"names no file; give one, such as {other}")
        real = os.path.realpath(path)
        if real in taken:
            raise InputError(option, path, f"{path} is {taken[real]}; give another name, such as {other}")
        taken[real] = f"written by {option} already"
    if args.figure is not None:
        _check_figure(args.figure)


def _press(build: Build, text: str) -> Build:
    from detentsim.units.convert import to_si

    to_si(text, "force", "--press", "5 N")
    return build.change({"grip.force": text})


def _write(path: str, text: str | Iterable[str], option: str) -> None:
    from detentsim.knife.file.text import write_text
    from detentsim.units.errors import InputError

    try:
        write_text(Path(path), text)
    except InputError as error:
        raise InputError(option, path, error.message) from None


def _sizes(args: argparse.Namespace) -> int:
    from detentsim.shop import sizes
    from detentsim.show.theme.tables import table, to_json

    found = sizes.near(args.kind, args.near) if args.near is not None else sizes.table(args.kind)
    if args.json:
        print(to_json({"kind": args.kind, "near": args.near, "rows": found.as_dicts()}), end="")
    else:
        print(table(found.header, found.rows), end="")
    return DONE


def _new(args: argparse.Namespace) -> int:
    from detentsim.knife.packaged import template_text
    from detentsim.show.theme.tables import to_json
    from detentsim.units.errors import InputError

    if not args.file:
        raise InputError("FILE", args.file, "names no file; give one, such as garden.toml")
    path = Path(args.file)
    if path.exists():
        raise InputError("FILE", args.file, f"{args.file} is there already; give another name, such as new-garden.toml")
    _write(args.file, template_text(), "FILE")
    said = f"Wrote {args.file}. Put your own numbers in, then: detentsim curve {args.file}\n"
    print(to_json({"wrote": args.file}) if args.json else said, end="")
    return DONE


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
    try:
        args = parser().parse_args(argv)
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
        print(f"output: cannot be written: {error.strerror or error}", file=sys.stderr)
        _silence()
        return BAD_INPUT
    except ValueError as error:
        return _complain(error)


def _silence() -> None:
    """Give the interpreter something harmless to flush at exit: nobody reads, or nothing can be written."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _complain(error: ValueError) -> int:
    """Say what was wrong with the input; anything else is a fault of the program and goes on up."""
    from detentsim.units.errors import InputError

    kit = os.environ.get("MPLBACKEND")
    if kit is not None and "backend" in str(error) and not isinstance(error, InputError):
        text = f'"{kit[:40]}" is no way of drawing that the plotting library knows; leave it unset, or give "agg"'
        error = InputError("MPLBACKEND", kit, text)
    if not isinstance(error, InputError):
        raise error
    print(error, file=sys.stderr)
    return BAD_INPUT
