"""Templates to bytes: ours, each replaceable by one of the same name in the user's folder."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache, cached_property
from pathlib import Path

import jinja2
from jinja2 import (
    ChoiceLoader,
    FileSystemLoader,
    PrefixLoader,
    StrictUndefined,
    pass_context,
)
from jinja2.runtime import Context

import weeksync
from weeksync.errors import BuildError, TemplateError
from weeksync.language import Language
from weeksync.message import Value, counted, message
from weeksync.site.compiled import Compiled, jinja_release
from weeksync.site.thin import thin


def own_templates() -> Path:
    """The folder of our templates: in the package of a wheel, beside the package in a checkout."""
    package = Path(weeksync.__file__).parent
    for folder in (package / "site_templates", package.parent / "site_templates"):
        if (folder / "base.html").is_file():
            return folder
    raise BuildError(
        message(
            "the templates are not where weeksync is installed ({place}); install it again",
            place=str(package),
        )
    )


KNOWN = "3.1."
"""How the releases of Jinja begin whose compiler `weeksync.site.quick` is written for."""


def _environment_class() -> type[jinja2.Environment]:
    """Ours where it fits the installed Jinja, else Jinja's own; both make the same pages."""
    if not jinja_release().startswith(KNOWN):
        return jinja2.Environment
    from weeksync.site.quick import QuickEnvironment

    return QuickEnvironment


@cache
def _compiled(ours: Path) -> Compiled:
    """One for the process: a server makes a Renderer for each page."""
    return Compiled(ours)


class Renderer:
    """Renders templates over page records; `own` is the user's folder of templates or None.

    A template of the user's folder replaces ours of the same name; it can still build on ours
    under the name `weeksync/…`, as `{% extends "weeksync/week.html" %}`. TemplateError, with
    file and line, where one is missing or broken.
    """

    def __init__(self, language: Language, own: Path | None = None) -> None:
        folder = own_templates()
        ours = FileSystemLoader(folder)
        loaders: list[jinja2.BaseLoader] = [ours, PrefixLoader({"weeksync": ours})]
        if own is not None:
            if not own.is_dir():
                raise TemplateError(
                    str(own),
                    message(
                        "there is no folder of templates {place}; make it, or take templates out "
                        "of [site] in config.toml",
                        place=str(own),
                    ),
                )
            loaders.insert(0, FileSystemLoader(own))
        self._loader = ChoiceLoader(loaders)
        self._environment = _environment_class()(
            loader=self._loader,
            autoescape=True,
            undefined=StrictUndefined,
            trim_blocks=True,
            lstrip_blocks=True,
            keep_trailing_newline=True,
            bytecode_cache=_compiled(folder),
        )
        self._environment.globals.update(_speech(language), there=self.has)
        self._environment.filters["digits"] = _digits(language)

    def has(self, template: str) -> bool:
        """Whether there is a template of that name, ours or the user's."""
        return template in self._names

    @cached_property
    def _names(self) -> frozenset[str]:
        return frozenset(self._environment.list_templates())

    def render(self, template: str, page: object) -> bytes:
        """The template over the record, as UTF-8 and without what only its authors need."""
        try:
            text = self._environment.get_template(template).render(page=page)
        except jinja2.TemplateNotFound as error:
            raise TemplateError(
                str(error.name),
                message(
                    "there is no template {template} (needed by {page}); write it or take the "
                    "reference to it away",
                    template=str(error.name),
                    page=template,
                ),
            ) from error
        except Exception as error:
            raise _broken(template, error) from error
        return thin(template, text).encode("utf-8")

    def script(self, name: str) -> bytes:
        """A script as it is delivered: no template, so that a checker of types can read it."""
        try:
            text = self._loader.get_source(self._environment, name)[0]
        except (jinja2.TemplateNotFound, UnicodeDecodeError) as error:
            raise _broken(name, error) from error
        return thin(name, text).encode("utf-8")


def _speech(language: Language) -> dict[str, object]:
    """`_` and `ngettext` for templates: sentences with `{named}` places, as in the code."""

    def gettext(text: str, /, **values: Value) -> str:
        return language.text(message(text, **values)) if values else language.plain(text)

    def ngettext(singular: str, plural: str, count: int, /, **values: Value) -> str:
        return language.text(counted(singular, plural, count, **values))

    return {"_": gettext, "gettext": gettext, "ngettext": ngettext}


def _digits(language: Language) -> Callable[[Context, object], str]:
    """A filter: a whole number in the digits of the page, as `{{ number | digits }}`.

    It asks for the context so that Jinja leaves `{{ 0 | digits }}` alone when it compiles:
    compiled templates serve every language.
    """

    @pass_context
    def digits(_: Context, value: object) -> str:
        return language.digits(str(value))

    return digits


def _broken(template: str, error: Exception) -> TemplateError:
    """What went wrong in which line of which template file."""
    if isinstance(error, jinja2.TemplateSyntaxError):
        name, line = error.name or template, error.lineno
        place = error.filename or name
    else:
        import traceback

        frames = traceback.extract_tb(error.__traceback__)
        inside = [one for one in frames if one.filename.endswith((".html", ".css", ".js", ".svg"))]
        place = inside[-1].filename if inside else template
        name, line = Path(place).name, (inside[-1].lineno or 0) if inside else 0
    return TemplateError(
        name,
        message(
            "{place}:{line}: {reason}; the records a template gets are described in "
            "site_templates/README.md",
            place=place,
            line=line,
            reason=str(error) or type(error).__name__,
        ),
    )
