"""Complaints in a customer's words: the many ways to name one symptom, and what is seen on a knife that has it."""

from __future__ import annotations

import re

SPELLINGS: dict[str, tuple[str, ...]] = {
    "will not fall shut": (
        "does not fall shut", "will not drop shut", "does not drop shut", "will not close by itself",
        "does not close by itself", "will not swing shut", "hangs", "hangs open", "hangs half way", "stays open",
        "does not fall closed", "will not fall closed", "will not drop closed",
    ),
    "opens when shaken": (
        "falls open", "drops open", "opens by itself", "comes open", "comes open when shaken", "shakes open",
        "opens in the pocket", "will not stay shut", "does not stay shut", "will not stay closed",
    ),
    "stalls half way": (
        "does not fly open", "will not fly open", "does not flip open", "will not flip open", "stalls",
        "stops half way", "does not open fully", "will not open fully", "will not lock up",
    ),
    "too stiff": ("too hard", "too hard to open", "hard to open", "too heavy", "too strong", "stiff", "too tight"),
    "too light": ("too soft", "too easy", "too easy to open", "too weak", "weak", "light", "too loose"),
    "rattles closed": ("rattles", "rattles shut", "loose when closed", "rattles when closed", "loose closed"),
    "proud of its stop": ("stands proud", "does not close fully", "will not close fully", "rests off its stop"),
    "two clicks": ("clicks twice", "double click", "two steps"),
    "drags or grooves": ("drags", "rubs", "grooves the tang", "scratches the tang", "grooves"),
    "gritty": ("grinds", "feels gritty", "feels rough", "scratchy"),
    "went soft after a week": ("went soft", "got lighter", "lost its detent", "became light"),
    "worse after coating": ("bad after coating", "changed after coating"),
}  # fmt: skip
"""Other ways of saying each symptom; short forms such as "won't" are written out before they are looked up."""

SEEN: dict[str, tuple[str, bool]] = {
    "will not fall shut": ("falls_shut", False),
    "stalls half way": ("opens_fully", False),
    "rattles closed": ("hangs_loose", True),
    "proud of its stop": ("stands_proud", True),
}
"""Yes-no result or flag that a symptom is, and what it is then."""

GOOD: dict[str, tuple[str, bool]] = {
    "falls shut": ("falls_shut", True),
    "drops shut": ("falls_shut", True),
    "flies open": ("opens_fully", True),
    "opens fully": ("opens_fully", True),
}
"""What is seen to be in order, in words."""

_LONG = {"won't": "will not", "wont": "will not", "doesn't": "does not", "doesnt": "does not", "isn't": "is not"}

# Where it was seen adds nothing to what was seen.
_CARRIED = r" (in (the|my|a|his|her) (pocket|bag)|when carried|while carried|on the belt)$"


def plain_words(words: object) -> str:
    """Words in small letters, short forms written out, without signs and doubled blanks.

    Parameters
    ----------
    words : object

    Examples
    --------
    >>> plain_words("  Won\N{RIGHT SINGLE QUOTATION MARK}t drop   SHUT! ")
    'will not drop shut'
    """
    text = str(words)[:80].lower().replace("\N{RIGHT SINGLE QUOTATION MARK}", "'")
    text = " ".join(re.sub(r"[^a-z' -]", " ", text).replace("-", " ").split())
    text = " ".join(_LONG.get(word, word) for word in text.split())
    return re.sub(r"^(it|((the|my|this) )?(blade|knife)) (is |feels )?", "", text)


def symptom_name(words: object) -> str:
    """Name of the symptom that some words say; the words themselves, plain, where they say none.

    Parameters
    ----------
    words : object

    Examples
    --------
    >>> symptom_name("won't drop shut"), symptom_name("It falls open"), symptom_name("too hard"), symptom_name("purple")
    ('will not fall shut', 'opens when shaken', 'too stiff', 'purple')
    >>> symptom_name("My blade falls open in my pocket")
    'opens when shaken'
    """
    text = plain_words(words)
    said = {text, re.sub(_CARRIED, "", text)}
    return next((name for name, others in SPELLINGS.items() if said & {name, *others}), text)
