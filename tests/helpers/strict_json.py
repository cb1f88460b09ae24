"""JSON read strictly: no NaN, no Infinity."""

import json


def strict(text: str):
    def refuse(word):
        raise AssertionError(f"{word} in JSON")

    return json.loads(text, parse_constant=refuse)
