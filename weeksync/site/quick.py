"""Jinja's environment with a code generator of ours: the same pages in two thirds of the time.

Jinja promises nothing of its compiler, so this one is used with the releases it was written for
and no other (`render`): with any other Jinja's own makes the pages.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cached_property
from keyword import iskeyword
from typing import Any

import jinja2
import markupsafe
from jinja2 import nodes
from jinja2.compiler import CodeGenerator, Frame, MacroRef, optimizeconst
from jinja2.runtime import Macro
from jinja2.utils import missing
from jinja2.visitor import NodeTransformer
from markupsafe import Markup, escape

from weeksync.site.compiled import Compiled
from weeksync.site.thin import thin_parts

_escaped_text: Callable[[str], str] = getattr(markupsafe, "_escape_inner", escape)
"""`escape` without making `Markup` of the text; it is no promise of the library's."""


def escaped(value: object) -> str:
    """The text that `markupsafe.escape` gives, at a third of the cost."""
    kind = value.__class__
    if kind is str:
        return _escaped_text(value)  # type: ignore[arg-type]
    if kind is Markup:
        return value  # type: ignore[return-value]
    return escape(value)


class Fields(dict[str, Any]):
    """A mapping that a template writes down, its values to be read as the fields of a record."""

    def __getattr__(self, name: str) -> Any:
        try:
            return self[name]
        except KeyError:
            raise AttributeError(name, name=name, obj=self) from None


class _Macro(Macro):
    """A macro that is called with its arguments in their order is spared the sorting of them.

    Every template escapes, so what it gives is markup wherever it was called from.
    """

    def __call__(self, *args: Any, **kwargs: Any) -> str:
        rest = self._argument_count - len(args)
        if kwargs or rest < 0 or self.caller or self.catch_kwargs or self.catch_varargs:
            return super().__call__(*args, **kwargs)
        made = self._func(*args, *(missing,) * rest) if rest else self._func(*args)
        return str.__new__(Markup, made)  # in half the time of `Markup(made)`; it is text for sure


class _Code(CodeGenerator):
    """Writes code that does less each time than Jinja's: pages have thousands of values.

    Values are escaped by `environment.escaped`. Calls are made directly: nothing that is called
    in templates asks for the context. In templates of ours fields of records are read as Python
    reads them; a household's own may ask whether there is such a field.
    """

    @cached_property
    def _is_ours(self) -> bool:
        kept = self.environment.bytecode_cache
        return isinstance(kept, Compiled) and kept.has(self.filename)

    def _output_child_pre(self, node: nodes.Expr, frame: Frame, finalize: Any) -> None:
        if frame.eval_ctx.autoescape and not frame.eval_ctx.volatile and finalize.src is None:
            self.write("environment.escaped(")
        else:
            super()._output_child_pre(node, frame, finalize)

    @optimizeconst
    def visit_Getattr(self, node: nodes.Getattr, frame: Frame) -> None:
        if self._is_ours and node.attr.isidentifier() and not iskeyword(node.attr):
            self.visit(node.node, frame)
            self.write(f".{node.attr}")
        else:
            super().visit_Getattr(node, frame)

    @optimizeconst
    def visit_Call(self, node: nodes.Call, frame: Frame, forward_caller: bool = False) -> None:
        keywords = any(iskeyword(one.key) for one in node.kwargs)
        if forward_caller or node.dyn_args or node.dyn_kwargs or keywords:
            super().visit_Call(node, frame, forward_caller=forward_caller)
            return
        self.visit(node.node, frame)
        self.write("(")
        for argument in (*node.args, *node.kwargs):
            self.visit(argument, frame)
            self.write(", ")
        self.write(")")

    def macro_def(self, macro_ref: MacroRef, frame: Frame) -> None:
        names = tuple(one.name for one in macro_ref.node.args)
        takes = macro_ref.accesses_kwargs, macro_ref.accesses_varargs, macro_ref.accesses_caller
        name = getattr(macro_ref.node, "name", None)  # a block that is handed to a macro has none
        self.write(f"environment.macro(environment, macro, {name!r}, {names!r}, *{takes!r})")


class _Written(NodeTransformer):
    """Makes `Fields` of the mappings that a template writes down."""

    def visit_Dict(self, node: nodes.Dict) -> nodes.Call:
        made = nodes.EnvironmentAttribute("fields", lineno=node.lineno)
        self.generic_visit(node)
        return nodes.Call(made, [node], [], None, None, lineno=node.lineno)


class QuickEnvironment(jinja2.Environment):
    """Jinja's environment with `_Code`, its texts thinned once and not on every page."""

    code_generator_class = _Code
    escaped = staticmethod(escaped)
    fields = Fields
    macro = _Macro

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.globals["dict"] = Fields

    def _generate(
        self,
        source: nodes.Template,
        name: str | None,
        filename: str | None,
        defer_init: bool = False,
    ) -> str:
        if (name or "").endswith(".html"):
            texts = list(source.find_all(nodes.TemplateData))
            thinned = thin_parts([text.data for text in texts])
            for text, data in zip(texts, thinned, strict=True):
                text.data = data
        return super()._generate(_Written().visit(source), name, filename, defer_init)
