"""Readings of one knife on the command line: a file, ``--reading`` and ``--saw``, for `fit` and `advise`."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import argparse

    from detentsim.knife.measured.readings import Readings

TRUTHS = {"": True, "yes": True, "true": True, "no": False, "false": False, "sometimes": "sometimes"}


def add_readings(one: argparse.ArgumentParser) -> None:
    """Add the readings file and the options for single readings and observations.

    Parameters
    ----------
    one : ArgumentParser
        Of one command.
    """
    one.add_argument("readings", nargs="?", metavar="READINGS", help="readings file (TOML)")
    read = 'a reading, like "lift_force_open=6.4 N", or several with commas between; may be repeated'
    one.add_argument("--reading", metavar="NAME=VALUE", action="append", default=[], help=read)
    saw = 'something seen, like falls_shut=no, falls_shut=sometimes or "will not fall shut"; may be repeated'
    one.add_argument("--saw", metavar="WHAT", action="append", default=[], help=saw)


def given_readings(args: argparse.Namespace) -> Readings | None:
    """Readings of the file and of the options together; None where there are none.

    Parameters
    ----------
    args : Namespace
        Parsed arguments of a command that has `add_readings`.

    Returns
    -------
    Readings or None
        What ``--saw`` says in words is among them where it is a yes-no result or a flag.

    Raises
    ------
    InputError
        Where they cannot be read.
    """
    from detentsim.knife.measured.reading_file import read_readings
    from detentsim.knife.measured.readings import Readings, from_mapping, is_sight, twice
    from detentsim.units.errors import InputError

    own = from_mapping(_mapping(args))
    if args.readings is None:
        return own if own.taken or own.saw else None
    file = read_readings(args.readings)
    taken, saw = (*file.taken, *own.taken), tuple(dict.fromkeys((*file.saw, *own.saw)))
    for name, text in twice(taken, saw):
        raise InputError("--saw" if is_sight(name) else "--reading", name, f"{name} {text}")
    return Readings(taken, saw, file.curve, file.source)


def _mapping(args: argparse.Namespace) -> dict[object, object]:
    """What the options say, as `detentsim.fit` takes it."""
    from detentsim.knife.measured.tools import SIGHTS
    from detentsim.units.errors import InputError
    from detentsim.units.wording import shown

    mapping: dict[object, object] = {}
    for option, words in [("--reading", one) for one in args.reading] + [("--saw", one) for one in args.saw]:
        if option == "--saw" and (said := _in_words(words)) is not None:
            mapping |= said
            continue
        name, equals, value = (part.strip() for part in words.partition("="))
        if option == "--saw" and not equals:
            _need_sight(words, name)
        if option == "--reading" and not equals:
            raise InputError(option, words, f'{shown(words)} has no =; write it like "lift_force_open=6.4 N"')
        if option == "--reading" and name in SIGHTS:
            raise InputError(option, words, f"{name} is seen, not read; give --saw {name}=yes, =no or =sometimes")
        if name in mapping:
            raise InputError(option, words, f"{name} is given twice; {_once(option, name)}")
        mapping[name] = _seen(words, value) if option == "--saw" else _repeats(words, value)
    return mapping


def _repeats(words: str, value: str) -> list[str]:
    """Repeats of a reading; refuses a decimal comma, which parts a number from its unit."""
    from detentsim.units.errors import InputError
    from detentsim.units.wording import shown

    parts = [part.strip() for part in value.split(",")]
    if len(parts) > 1 and any(re.fullmatch(r"[+-]?\d+", part) for part in parts[:-1]):
        text = f"{shown(words)} has a comma after a bare number; write a decimal point, and each repeat with its unit"
        raise InputError("--reading", words, f'{text}, such as "6.4 N, 6.6 N"')
    return parts


def _once(option: str, name: str) -> str:
    """How to say more than one of the same thing at once."""
    if option == "--saw":
        return f"where it was seen now and then, give --saw {name}=sometimes"
    return f'give repeats with commas between, such as "{name}=6.4 N, 6.6 N"'


def _need_sight(words: str, name: str) -> None:
    """Refuse an observation that is neither a yes-no result or flag nor a symptom in words."""
    from detentsim.analysis.in_hand.advise.symptoms.symptoms import SYMPTOMS
    from detentsim.knife.measured.tools import SIGHTS
    from detentsim.knife.table.schema import suggestion
    from detentsim.units.errors import InputError
    from detentsim.units.wording import shown

    if name not in SIGHTS:
        hint = suggestion(name, [*SYMPTOMS, *SIGHTS]) or '; say it like falls_shut=no or "will not fall shut"'
        raise InputError("--saw", words, f"{shown(words)} is nothing that can be seen{hint}")


def _in_words(words: str) -> dict[object, object] | None:
    """What an observation in words says of yes-no results and flags; None where it is no words, or NAME=HOW."""
    from detentsim.analysis.in_hand.advise.symptoms.said import GOOD, SEEN, plain_words, symptom_name
    from detentsim.analysis.in_hand.advise.symptoms.symptoms import SYMPTOMS

    name = symptom_name(words)
    if "=" in words or not (name in SYMPTOMS or plain_words(words) in GOOD):
        return None
    seen = (GOOD | SEEN).get(name)
    return {} if seen is None else {seen[0]: seen[1]}


def complaints(args: argparse.Namespace) -> list[str]:
    """Symptoms among what ``--saw`` says in words.

    Parameters
    ----------
    args : Namespace
        As for `given_readings`.
    """
    from detentsim.analysis.in_hand.advise.symptoms.said import symptom_name
    from detentsim.analysis.in_hand.advise.symptoms.symptoms import SYMPTOMS

    return [name for name in map(symptom_name, args.saw) if name in SYMPTOMS]


def left_out(args: argparse.Namespace) -> list[str]:
    """Symptoms among what ``--saw`` says in words that are no yes-no result or flag, so that a fit cannot weigh them.

    Parameters
    ----------
    args : Namespace
        As for `given_readings`.
    """
    from detentsim.analysis.in_hand.advise.symptoms.said import SEEN

    return [name for name in complaints(args) if name not in SEEN]


def _seen(words: str, value: str) -> object:
    from detentsim.units.errors import InputError
    from detentsim.units.wording import shown

    if value.lower() not in TRUTHS:
        text = f"{shown(words)} is not allowed; give yes, no or sometimes, like falls_shut=no"
        raise InputError("--saw", words, text)
    return TRUTHS[value.lower()]
