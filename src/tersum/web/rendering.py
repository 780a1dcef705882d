"""Templates to pages: every text through gettext and every value escaped."""

from __future__ import annotations

import gettext
from collections.abc import Mapping
from datetime import datetime
from functools import cache
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from starlette.requests import Request
from starlette.responses import HTMLResponse

from tersum.documents import moments_text, sentences, text, visit_text
from tersum.documents.numbers import apart, bounded_text, number_text
from tersum.documents.text import _, ngettext
from tersum.records.home import new_id
from tersum.visit.decision import Decision
from tersum.visit.readings import fault
from tersum.web import markup, static_files, words

TEMPLATES = Path(__file__).resolve().parent / "templates"


def page(request: Request, template: str, *, status: int = 200, **shown: Any) -> HTMLResponse:
    """Return a page; in the template ``url`` gives the address of a route by its name."""
    def url(route: str, **places: Any) -> str:
        return str(request.app.url_path_for(route, **places))

    html = _environment().get_template(template).render(url=url, lang=page_language(), **shown)
    return HTMLResponse(html, status)


def page_language() -> str:
    """Return the language that the texts of a page are really in."""
    tag = text.language()
    return "en" if type(text.translations(tag)) is gettext.NullTranslations else tag


def clock(utc: str, zone: str) -> str:
    """Return the time of day at the place, from a moment as a fact holds it."""
    return moments_text.clock(datetime.fromisoformat(utc), zone)


def day(utc: str, zone: str) -> str:
    """Return the day at the place, from a moment as a fact holds it."""
    return moments_text.day(datetime.fromisoformat(utc), zone)


def mean_of(decision: Decision) -> str:
    """Return the mean of a decision with as many digits as tell it from limit and release level."""
    levels = tuple(one for one in (decision.limit_rlu, decision.release_level_rlu) if one is not None)
    return bounded_text(decision.geometric_mean_rlu, decision.mean_operator, others=levels)


def release_of(decision: Decision) -> str:
    """Return the release level of a decision with as many digits as tell it from the limit."""
    level, limit = decision.release_level_rlu, decision.limit_rlu
    return "" if level is None else apart(level, (limit,) if limit is not None else ())


@cache
def _environment() -> Environment:
    environment = Environment(loader=FileSystemLoader(TEMPLATES), autoescape=True, undefined=StrictUndefined,
                              extensions=["jinja2.ext.i18n"], trim_blocks=True, lstrip_blocks=True)
    environment.install_gettext_callables(_, ngettext, newstyle=False)  # type: ignore[attr-defined]
    environment.filters |= {"places": markup.with_places, "bdi": markup.bdi, "mark": markup.mark, "clock": clock,
                            "day": day}
    environment.globals |= _globals()
    return environment


def _globals() -> Mapping[str, Any]:
    return {"asset": static_files.address, "new_id": new_id, "words": words, "sentences": sentences,
            "visit_text": visit_text, "fault": fault, "mean_of": mean_of, "release_of": release_of,
            "number": number_text}
