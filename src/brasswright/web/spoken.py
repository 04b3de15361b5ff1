"""Keys, moments, people and counts as a person says them."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from datetime import date, datetime

__all__ = ["capital", "clock", "count", "day", "listed", "minutes", "span"]

NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
AN_HOUR = 60
HALF_A_MINUTE = 0.5


def capital(text: str) -> str:
    """Return the text with its first letter large and the rest left alone; "pH" stays."""
    return text if text.startswith("pH") else text[:1].upper() + text[1:]


def count(number: int, one: str, many: str = "") -> str:
    """Return a count in words: "three machines", "one machine", "40 machines"."""
    figure = NUMBERS[number] if 0 <= number < len(NUMBERS) else str(number)
    return f"{figure} {one if number == 1 else many or one + 's'}"


def day(moment: date | datetime) -> str:
    """Return the day as "Wednesday 4 March 2026"."""
    return f"{moment:%A} {moment.day} {moment:%B %Y}"


def clock(moment: datetime) -> str:
    """Return the time of day as "14:02"."""
    return f"{moment:%H:%M}"


def minutes(number: float) -> str:
    """Return a time at the bench as "4 min" or "2 h 10 min"."""
    whole = max(1, int(number + HALF_A_MINUTE)) if number > 0 else 0
    if whole <= 2 * AN_HOUR:
        return f"{whole} min"
    hours, rest = divmod(whole, AN_HOUR)
    return f"{hours} h {rest} min" if rest else f"{hours} h"


def span(low: float, high: float) -> str:
    """Return a range of minutes as "6 to 25 min", or one figure where both are the same."""
    first, last = minutes(low), minutes(high)
    if first == last:
        return last
    return f"{first.removesuffix(' min')} to {last}" if low <= 2 * AN_HOUR >= high else f"{first} to {last}"


def listed(words: tuple[str, ...], joint: str = "and") -> str:
    """Return words as a list: "a, b and c"."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} {joint} {words[-1]}"
