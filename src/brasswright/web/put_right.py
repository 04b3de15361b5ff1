"""What was put right since a machine came, in the words and with the people's names of the pages."""

from __future__ import annotations

from typing import TYPE_CHECKING

from brasswright.web.spoken import capital

if TYPE_CHECKING:
    from brasswright.judgement.opinion import Judgement
    from brasswright.workshop.settings import Settings

__all__ = ["treated_words"]


def treated_words(judgement: Judgement, component: str, settings: Settings) -> tuple[str, ...]:
    """Return a line for each finished treatment of a component, without its full stop."""
    came = judgement.odds[component].likeliest
    done = judgement.treated.get(component, ())
    return tuple(capital(one.words(came, by=settings.people.get(one.by, one.by))) for one in done)
