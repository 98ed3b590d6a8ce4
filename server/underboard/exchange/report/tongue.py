"""The language of a report: its own sentences, numbers and dates, and what the rules say in English.

A sentence of the report is its own key (`say`), and what people wrote only ever goes into its places, so that no word
of theirs is translated. What the rules and calculations say ready made is looked up in the same book of phrases that
phones have (`said`): as a whole, else it stays English.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Final

from underboard.core.warnings import wording

ENGLISH_MONTHS: Final = tuple(wording.month_words(month)[:3] for month in range(1, 13))


class Tongue:
    """English, as the templates are written."""

    code = "en"
    months_short: Sequence[str] = ENGLISH_MONTHS

    def say(self, english: str, /, **values: object) -> str:
        """Return a sentence of the report with its places filled in."""
        return english.format(**values) if values else english

    def said(self, text: str) -> str:
        """Return what a rule or a calculation says."""
        return text

    def title(self, rule: str, title: str) -> str:
        """Return the title of a rule."""
        return title

    def day(self, day: date) -> str:
        return wording.day_words(day)

    def short_day(self, day: date) -> str:
        return f"{day.day} {self.months_short[day.month - 1]}"

    def month(self, month: int) -> str:
        return wording.month_words(month)

    def number(self, plain: str) -> str:
        """Return a number that was written with a point as this language writes it."""
        return plain

    def amount(self, value: float) -> str:
        return self.number(wording.amount(value))

    def span(self, low: float | None, high: float | None) -> str:
        if high is None:
            return self.say("{low} or more", low=self.amount(low or 0.0))
        return self.say("{low} to {high}", low=self.amount(low or 0.0), high=self.amount(high))

    def interval(self, value: float | None, low: float | None, high: float | None) -> str:
        """Return "3.4 (2.1 to 5.6)"; an upper end that nothing bounds is "or more"; nothing known is empty."""
        if value is None:
            return ""
        return self.amount(value) if low is None else f"{self.amount(value)} ({self.span(low, high)})"

    def percent(self, share: float) -> str:
        return wording.percent(share)

    def share(self, share: float, low: float, high: float) -> str:
        """Return "20 % (8 % to 41 %)"."""
        between = self.say("{low} to {high}", low=self.percent(low), high=self.percent(high))
        return f"{self.percent(share)} ({between})"

    def count(self, n: int, one: str) -> str:
        """Return "1 round", "3 rounds"."""
        return wording.times(n, one)

    def listed(self, names: Sequence[str], most: int = 4) -> str:
        return wording.listed(names, most)


ENGLISH: Final = Tongue()
