"""Templates as Jinja compiles them, kept: in the process, and ours as Python keeps its modules."""

from __future__ import annotations

import importlib.util
import marshal
import os
import sys
from collections.abc import Callable
from contextlib import suppress
from functools import cached_property
from keyword import iskeyword
from pathlib import Path
from types import CodeType
from typing import Any

import jinja2
import markupsafe
from jinja2 import nodes
from jinja2.bccache import Bucket
from jinja2.compiler import CodeGenerator, Frame, MacroRef, optimizeconst
from jinja2.runtime import Macro
from jinja2.utils import missing
from jinja2.visitor import NodeTransformer
from markupsafe import Markup, escape

from weeksync.site.thin import thin_parts

FORMAT = 3
"""Raise it when the same template compiles to something else: options, filters, the generator."""

MOST = 500
"""Compiled templates that a process keeps."""

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


class _Place(Bucket):
    """A template's place in the cache; `file` is where it is kept on the disk, None for nowhere."""

    file: Path | None = None
    filename: str = ""

    def head(self) -> bytes:
        """What the file has to begin with, to be of use."""
        about = (FORMAT, jinja2.__version__, self.filename, self.checksum)
        return importlib.util.MAGIC_NUMBER + repr(about).encode() + b"\n"


class Compiled(jinja2.BytecodeCache):
    """Compiled templates by name and by what stands in them; `ours` is the folder of our own.

    A night needs two dozen templates, and compiling takes longer than rendering. Those of ours are
    kept as Python keeps modules: in `__pycache__`, where who can write can change our code anyway,
    or nowhere. A household's own templates are kept in the process alone: nothing that is run
    lies in a folder that the household shares.
    """

    def __init__(self, ours: Path) -> None:
        self._ours = os.fspath(ours)
        self._made: dict[tuple[str, str], CodeType] = {}

    def get_bucket(
        self, environment: jinja2.Environment, name: str, filename: str | None, source: str
    ) -> Bucket:
        """With what was made of the same text before."""
        place = _Place(
            environment, self.get_cache_key(name, filename), self.get_source_checksum(source)
        )
        place.filename = filename or ""
        if filename == os.path.join(self._ours, name):
            place.file = Path(importlib.util.cache_from_source(f"{filename}.py"))
        self.load_bytecode(place)
        return place

    def has(self, filename: str | None) -> bool:
        """Whether that file is one of our templates."""
        return filename is not None and os.path.dirname(filename) == self._ours

    def load_bytecode(self, bucket: Bucket) -> None:
        """From the process, or from the disk."""
        bucket.code = self._made.get((bucket.key, bucket.checksum))
        if bucket.code is None and isinstance(bucket, _Place) and bucket.file is not None:
            bucket.code = _read(bucket.file, bucket.head())
            self._keep(bucket)

    def dump_bytecode(self, bucket: Bucket) -> None:
        """Keep it; of templates that are edited while they are served, not for ever."""
        self._keep(bucket)
        if isinstance(bucket, _Place) and bucket.file is not None and bucket.code is not None:
            _write(bucket.file, bucket.head(), bucket.code)

    def _keep(self, bucket: Bucket) -> None:
        if bucket.code is not None:
            if len(self._made) >= MOST:
                self._made.clear()
            self._made[bucket.key, bucket.checksum] = bucket.code


def _read(file: Path, head: bytes) -> CodeType | None:
    try:
        content = file.read_bytes()
        if not content.startswith(head):
            return None
        code = marshal.loads(content[len(head) :])  # noqa: S302 - as Python does with .pyc
    except (OSError, ValueError, EOFError, TypeError):
        return None
    return code if isinstance(code, CodeType) else None


def _write(file: Path, head: bytes, code: CodeType) -> None:
    """Whole, through a file of its own; where nobody may write it is compiled again next time."""
    if sys.dont_write_bytecode:
        return
    temporary = file.with_name(f"{file.name}.{os.getpid()}")
    with suppress(OSError):
        file.parent.mkdir(exist_ok=True)
        try:
            temporary.write_bytes(head + marshal.dumps(code))
            temporary.replace(file)
        finally:
            temporary.unlink(missing_ok=True)
