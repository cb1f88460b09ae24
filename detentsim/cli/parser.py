"""Parser of the command line whose errors are one line each, as those of any other bad input."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Any, NoReturn

from detentsim.cli.status import BAD_INPUT
from detentsim.units.wording import shorten

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence


TWICE = "is given twice"


class _Once(argparse._StoreAction):
    """Stores a value, and refuses a second one: the last would win in silence."""

    def __call__(
        self,
        parser: argparse.ArgumentParser,
        namespace: argparse.Namespace,
        values: Any,
        option_string: str | None = None,
    ) -> None:
        given = namespace.__dict__.setdefault("given_once", {})
        if self.option_strings and self.dest in given:
            first, then = (shorten(str(value), 40) for value in (given[self.dest], values))
            raise argparse.ArgumentError(self, f'{TWICE}, as "{first}" and as "{then}"; give it once')
        given[self.dest] = values
        super().__call__(parser, namespace, values, option_string)


class Parser(argparse.ArgumentParser):
    """Parser of a command's words, or of all commands."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.register("action", None, _Once)

    def parse_known_args(  # type: ignore[override]  # one signature for the overloads of the standard library
        self, args: Sequence[str] | None = None, namespace: argparse.Namespace | None = None
    ) -> tuple[argparse.Namespace, list[str]]:
        """Read words; exits at the first that is no option and no argument of this command.

        Parameters
        ----------
        args : sequence of str, optional
            The process's own where left out.
        namespace : Namespace, optional
            Takes what is read.

        Returns
        -------
        found : Namespace
        left : list of str
            Empty.
        """
        found, left = super().parse_known_args(args, namespace)
        if left:
            known = [option for action in self._actions for option in action.option_strings]
            what = "option" if left[0].startswith("-") else "argument"
            self._refuse(left[0], f"{self.prog} takes no such {what}", left[0].partition("=")[0], known)
        return found, left

    def error(self, message: str) -> NoReturn:
        """Say in one line what is wrong and what may be given, then exit.

        Parameters
        ----------
        message : str
            As the standard library words it: ``argument NAME: what is wrong``, or what is missing.
        """
        _, _, missing = message.partition("the following arguments are required: ")
        name, _, why = message.removeprefix("argument ").partition(": ")
        action = self._named(missing.partition(", ")[0] or name)
        if action is None:
            self._refuse(name, why)
        name = action.option_strings[-1] if action.option_strings else str(action.metavar or action.dest)
        if why.startswith("invalid choice"):
            given = why.removeprefix("invalid choice: ").partition(" (")[0].strip("'\"")
            self._refuse(name, f'"{given[:40]}" is not allowed', given, action.choices or (), _allowed(action))
        if why.startswith(TWICE):
            self._refuse(name, why)
        if why.startswith("ignored"):
            self._refuse(name, "takes no value")
        self._refuse(name, ("is missing" if missing else "has no value") + _allowed(action))

    def _refuse(
        self, name: str, problem: str, word: str = "", known: Iterable[str] = (), otherwise: str = ""
    ) -> NoReturn:
        """Print one line, with the known words that are like a given one or what is said otherwise, and exit."""
        from detentsim.knife.table.schema import suggestion

        hint = (suggestion(word, known) if word else "") or otherwise
        self.exit(BAD_INPUT, f"{shorten(name, 40)}: {problem}{hint}; see {self.prog} --help\n")

    def _named(self, name: str) -> argparse.Action | None:
        """The option or argument that an error of the standard library names."""
        names = ((action, ("/".join(action.option_strings), action.metavar, action.dest)) for action in self._actions)
        return next((action for action, known in names if name in known), None)


def _allowed(action: argparse.Action) -> str:
    """What may be given: the choices, or what the help says."""
    if action.choices is None:
        return f"; give {action.metavar}: {action.help}"
    *most, last = map(str, action.choices)
    return f"; give {', '.join(most)} or {last}" if most else f"; give {last}"
