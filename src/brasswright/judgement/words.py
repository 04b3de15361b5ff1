"""Chances in words: the one place where a probability becomes a phrase."""

from __future__ import annotations

__all__ = ["chance_words", "change_words"]

_TENTHS = ("", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
_LOW = ((0.005, "almost ruled out"), (0.015, "about one in a hundred"), (0.035, "about one in fifty"))
_LOWEST_TENTH = 0.075
_HIGHEST_TENTH = 0.925
_HIGH = (
    (0.965, "about nineteen in twenty"),
    (0.985, "about forty-nine in fifty"),
    (0.995, "about ninety-nine in a hundred"),
)


def chance_words(p: float) -> str:
    """Return a probability as a person says it: "about seven in ten"; never "certain", which no odds are.

    Raises:
        ValueError: p is not between 0 and 1.

    >>> chance_words(0.68), chance_words(0.04)
    ('about seven in ten', 'about one in twenty')
    """
    if not -1e-9 <= p <= 1 + 1e-9:
        message = f"{p} is no probability"
        raise ValueError(message)
    for limit, phrase in _LOW:
        if p < limit:
            return phrase
    if p < _LOWEST_TENTH:
        return "about one in twenty"
    if p < _HIGHEST_TENTH:
        tenths = min(max(int(p * 10 + 0.5), 1), 9)
        return "about even" if tenths == 5 else f"about {_TENTHS[tenths]} in ten"
    for limit, phrase in _HIGH:
        if p < limit:
            return phrase
    return "almost certain"


def change_words(change: float) -> str:
    """Return how much a piece of evidence moved the odds, from the share of probability it moved (0 to 1)."""
    for limit, phrase in ((0.3, "very much"), (0.1, "clearly"), (0.03, "somewhat"), (0.005, "a little")):
        if change >= limit:
            return phrase
    return "hardly"
