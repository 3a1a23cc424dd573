"""What is done to a template once it is parsed: our words in the spelling of the country, and what a clause may take from outside.

Both work on the parsed tree, so that a name, a key or a comparison is never taken for a text. Text of the profile and of
the law is no part of a template and is not touched.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import cast

from jinja2 import TemplateSyntaxError, nodes

FORM = 2  # raised when what is done here changes, so that code compiled before is not taken from the disk
__all__ = ["CLAUSE", "FORM", "hold", "is_clause", "respell"]

CLAUSE = "write_clause"  # the method of the sandbox that writes a clause
CHOOSING = ("groupby", "map", "rejectattr", "selectattr", "sort", "unique")  # filters whose arguments are names and keys

Outside = nodes.Assign | nodes.AssignBlock | nodes.With | nodes.For


def is_clause(node: nodes.Node) -> bool:
    """Whether a node is a clause."""
    return (
        isinstance(node, nodes.CallBlock)
        and isinstance(node.call.node, nodes.EnvironmentAttribute)
        and node.call.node.name == CLAUSE
    )


# --- spelling -------------------------------------------------------------------------------------------------------------


def respell(node: nodes.Node, spell: Callable[[str], str]) -> None:
    """Put the literal text of a template, and its texts of several words, in a spelling; the tree is changed in place.

    A text of one word in an expression is left alone, since it may be a name. So is whatever is compared, looked up or
    chosen by, the key of a clause, and the file of an import.
    """
    if isinstance(node, nodes.TemplateData):
        node.data = spell(node.data)
    elif isinstance(node, nodes.Const):
        if isinstance(node.value, str) and " " in node.value:
            node.value = spell(node.value)
    else:
        for child in _printed(node):
            respell(child, spell)


def _printed(node: nodes.Node) -> Iterator[nodes.Node]:
    """The parts of a node from which text may come that is printed."""
    match node:
        case nodes.Import() | nodes.FromImport() | nodes.Include() | nodes.Extends():
            return
        case nodes.Compare():
            yield from (n for n in (node.expr, *(o.expr for o in node.ops)) if not isinstance(n, nodes.Const))
        case nodes.Test():
            yield node.node
        case nodes.Getitem() | nodes.Getattr():
            yield node.node
        case nodes.Pair():
            yield node.value
        case nodes.Filter() if node.name in CHOOSING:
            if node.node is not None:
                yield node.node
        case nodes.CallBlock() if is_clause(node):
            yield from node.body
        case _:
            yield from node.iter_child_nodes()


# --- what a clause takes from outside ---------------------------------------------------------------------------------------


def hold(tree: nodes.Template, name: str) -> None:
    """See to it that what a clause says is read inside it; the tree is changed in place.

    A name that is set outside a clause and used inside one must walk to a record (`site.contractors`,
    `site.bay(system.bay)`), so that its fields are read where they are printed, and what an outer loop runs over must be
    records: the sandbox looks at both as they come (`kept`, `kept_each`). A file that is included may use every name; what
    is imported may only be called; and a clause stands in no macro, whose arguments are read by whoever calls it.
    TemplateSyntaxError for anything else.
    """
    used: dict[str, int] = {}
    imported = _imported(tree)
    for holder in tree.find_all((nodes.CallBlock, nodes.Macro)):
        if not is_clause(holder) and any(map(is_clause, holder.find_all(nodes.CallBlock))):
            raise TemplateSyntaxError("a clause may not stand in a macro or a call; write it in the section", holder.lineno, name)
        if isinstance(holder, nodes.Macro) or is_clause(holder):
            taken = dict(_taken(holder, set()))
            for key in _uncalled(holder) & imported & taken.keys():
                told = f"'{key}' is imported and used in a clause as a value; import macros only, and call them"
                raise TemplateSyntaxError(told, taken[key], name)
            for key, line in taken.items():
                used.setdefault(key, line)
    if "loop" in used:
        raise TemplateSyntaxError("a clause may not use the loop that stands around it", used["loop"], name)
    shared = any(tree.find_all((nodes.Include, nodes.Extends)))
    for setter, keys in _outside(tree):
        for key in keys if shared else keys & used.keys():
            _hold(setter, key, name)


def _hold(setter: Outside, key: str, name: str) -> None:
    match setter:
        case nodes.For():
            if not _is_kept(setter.iter):
                setter.iter = _asked("kept_each", cast(nodes.Expr, setter.iter), key)
        case nodes.Assign() if _walks(setter.node):
            setter.node = _asked("kept", cast(nodes.Expr, setter.node), key)
        case _:
            told = f"'{key}' is worked out outside a clause and used inside one; set it inside the clause, where what it reads is traced"
            raise TemplateSyntaxError(told, setter.lineno, name)


def _is_kept(value: nodes.Node) -> bool:
    return isinstance(value, nodes.Call) and isinstance(value.node, nodes.EnvironmentAttribute)


def _asked(method: str, value: nodes.Expr, key: str) -> nodes.Expr:
    call = nodes.Call(nodes.EnvironmentAttribute(method), [value, nodes.Const(key)], [], None, None)
    call.set_lineno(value.lineno)
    return call


def _walks(value: nodes.Node) -> bool:
    """Whether an expression only walks from record to record: names, fields, and look-ups by them."""
    match value:
        case nodes.Name() | nodes.Const():
            return True
        case nodes.Getattr():
            return _walks(value.node)
        case nodes.Getitem():
            return _walks(value.node) and _walks(value.arg)
        case nodes.Call():
            plain = not (value.kwargs or value.dyn_args or value.dyn_kwargs)
            return plain and isinstance(value.node, nodes.Getattr) and _walks(value.node) and all(map(_walks, value.args))
        case _:
            return False


def _imported(tree: nodes.Template) -> set[str]:
    """Names that a template imports."""
    found = {node.target for node in tree.find_all(nodes.Import)}
    for node in tree.find_all(nodes.FromImport):
        found |= {each if isinstance(each, str) else each[1] for each in node.names}
    return found


def _uncalled(node: nodes.Node) -> set[str]:
    """Names that are used within a node other than by calling them, or a field of them."""
    if isinstance(node, nodes.Name):
        return {node.name}
    parts = [*node.iter_child_nodes()]
    if isinstance(node, nodes.Call):
        called = node.node.node if isinstance(node.node, nodes.Getattr) else node.node
        parts = [*called.iter_child_nodes(), *(part for part in parts if part is not node.node)]
    return set().union(*map(_uncalled, parts))


def _targets(node: nodes.Node) -> set[str]:
    """Names that a target, or what is within a node, stores."""
    found = [node] if isinstance(node, nodes.Name) else list(node.find_all(nodes.Name))
    return {n.name for n in found if n.ctx in ("store", "param")}


def _outside(node: nodes.Node) -> Iterator[tuple[Outside, set[str]]]:
    """What sets names outside every clause and macro, with those names."""
    for child in node.iter_child_nodes():
        if isinstance(child, nodes.Macro) or is_clause(child):
            continue
        match child:
            case nodes.Assign() | nodes.AssignBlock() | nodes.For():
                yield child, _targets(child.target)
            case nodes.With():
                yield child, {key for target in child.targets for key in _targets(target)}
        yield from _outside(child)


def _taken(node: nodes.Node, bound: set[str]) -> Iterator[tuple[str, int]]:
    """Names that a node uses and does not set before, with their lines; what it sets itself is added to `bound`."""
    match node:
        case nodes.Name():
            if node.ctx == "load" and node.name not in bound:
                yield node.name, node.lineno
            bound |= {node.name} if node.ctx != "load" else set()
        case nodes.For():
            yield from _taken(node.iter, bound)
            inner = bound | _targets(node.target) | {"loop"}
            for part in [node.test, *node.body] if node.test is not None else node.body:
                yield from _taken(part, inner)
            for part in node.else_:
                yield from _taken(part, set(bound))
        case nodes.If():
            yield from _taken(node.test, bound)
            for branch in (node.body, node.elif_, node.else_):
                inner = set(bound)  # set in one branch is not set in the other
                for part in branch:
                    yield from _taken(part, inner)
        case nodes.Assign():
            yield from _taken(node.node, bound)
            bound |= _targets(node.target)
        case nodes.Macro() | nodes.CallBlock():
            for part in [node.call] if isinstance(node, nodes.CallBlock) else []:
                yield from _taken(part, bound)
            inner = bound | {key for arg in node.args for key in _targets(arg)} | {"caller", "varargs", "kwargs"}
            for part in (*node.defaults, *node.body):
                yield from _taken(part, inner)
        case _:
            for part in node.iter_child_nodes():
                yield from _taken(part, bound)
