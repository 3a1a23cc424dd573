"""Checks a file as read against its JSON Schema, in our own words: one fault, one problem, at its line.

Beside the keywords of JSON Schema 2020-12 the schema may say `format` with one of FORMATS (on text only), `exclusiveMinimum` beside such a format for
the figure in SI, `least` and `most` for figures with a unit between which it lies, `id_of: bays` on a text that names its owner within the collection "bays" (capitals make no difference there), `refers_to: bays` (or a
list of collections) on a text that must be such an id, and `unique_by: side` on a list whose entries must differ in that key. Hints are the schema's own `description` and first of `examples`.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from functools import cache, cached_property, partial
from itertools import chain, islice
from typing import Any, Protocol, cast

from docgen.fits import fitting
from docgen.frozen import frozen
from docgen.places import places_meant
from docgen.read import MAX_PROBLEMS, Mark, Problem, Source, join
from docgen.signs import alike
from docgen.slips import as_entry, quoted
from docgen.units import KINDS, UnitProblem, dates_meant, parse, parse_date, parse_interval, spelled

__all__ = [
    "FORMATS",
    "EntriesSchema",
    "Ids",
    "Schema",
    "check",
    "check_with_ids",
    "declared",
    "measured",
    "nearest",
    "referred",
    "undecided",
]

Sub = dict[str, Any]  # a JSON Schema, or a part of one that is not just true or false
Steps = tuple[str | int, ...]


class ValidatorError(Protocol):
    """What is used here of the validator's errors; all of it is set in those that come out of `iter_errors`."""

    validator: str | None
    validator_value: Any
    instance: Any
    schema: Sub
    absolute_path: Sequence[str | int]
    absolute_schema_path: Sequence[str | int]
    schema_path: Sequence[str | int]
    context: Sequence[ValidatorError]
    cause: Any


#: format -> kind of quantity; `time` means the time of a day in JSON Schema, so that a span of it has a name of its own
_KIND_OF = {"timespan" if kind == "time" else kind: kind for kind in KINDS}
FORMATS = (*_KIND_OF, "interval", "date")
_FORMAT_NAMES = {name: KINDS[kind].name for name, kind in _KIND_OF.items()} | {"interval": "an interval", "date": "a date"}
_MOST_ERRORS = 1000  # of the validator, before sorting; MAX_PROBLEMS of them are shown
_STEP = re.compile(r"([^.\[\]]+)|\[(\d+)\]")
MOST_PLACES = 3  # other places of a key that are told; one that stands in more is told by what is near it here
MAX_NESTED = 12  # levels of the schema that are looked through for them
_MOST_NEAR = 500  # candidates looked through for the nearest name


Ids = Mapping[str, Collection[str]]  # collection -> the ids that it has


def check(
    source: Source, schema_name: str = "site_profile", *, schema: Sub | Schema | None = None, elsewhere: Ids | None = None
) -> tuple[Problem, ...]:
    """Every problem of the file, sorted by place: those found on reading and those against the schema.

    `schema` overrides the named schema of the project; `elsewhere` are ids of another file to which this one may refer. Empty
    means: the data may be used.
    """
    return check_with_ids(source, schema_name, schema=schema, elsewhere=elsewhere)[0]


def check_with_ids(
    source: Source, schema_name: str = "site_profile", *, schema: Sub | Schema | None = None, elsewhere: Ids | None = None
) -> tuple[tuple[Problem, ...], Ids]:
    """What `check` gives, and the ids that the file declares, by collection."""
    if source.data is None:
        return source.problems, {}
    ready = _ready(schema_name, schema)
    one = _Check(source, ready, elsewhere or {})
    found = sorted({*source.problems, *one.problems()})
    if len(found) <= MAX_PROBLEMS:
        return tuple(found), one.ids()
    last = found[MAX_PROBLEMS - 1]
    message = f"more than {MAX_PROBLEMS} problems; the rest is not listed"
    more = Problem(source.file, last.line, last.column, "", message, "put these right first, then check again")
    return (*found[:MAX_PROBLEMS], more), one.ids()


def undecided(source: Source, not_known: Iterable[tuple[str, Mark]], schema_name: str = "site_profile") -> tuple[Problem, ...]:
    """Values said to be not known where leaving the field out means something: somebody would be taken to have said that."""
    ready, found = compiled(schema_name), []
    for path, mark in not_known:
        for node in ready.at(_steps(path)):
            if isinstance(node, Mapping) and ("default" in node or node.get("decided")):
                name = path.rpartition(".")[2]
                if "default" in node:
                    message = f"'{name}' cannot be unknown: left out, it means {_written(node['default'])}"
                else:
                    message = f"'{name}' cannot be unknown: it says what somebody decided"
                hint = f"write what holds, or take '{name}' out; {node.get('description', '')}"
                found.append(Problem(source.file_of(mark), mark.line, mark.column, path, message, hint))
                break
    return tuple(sorted(found))


def _steps(path: str) -> Iterator[str | int]:
    """The keys and list indexes of a path in the file."""
    for key, index in _STEP.findall(path):
        yield int(index) if index else key


def _written(value: object) -> str:
    return str(value).lower() if isinstance(value, bool) else str(value)


def declared(source: Source, schema_name: str = "site_profile") -> Ids:
    """The ids that a file without problems declares, by collection."""
    ready = compiled(schema_name)
    one = _Check(source, ready, {})
    one.walk(source.data, ready.spot, ())
    return one.ids()


def referred(source: Source, schema_name: str = "site_profile") -> tuple[tuple[str, str, tuple[str, ...]], ...]:
    """Each id in a file without problems that names something declared elsewhere in it: its path, the id, and the collections it may be of."""
    ready = compiled(schema_name)
    one = _Check(source, ready, {})
    one.walk(source.data, ready.spot, ())
    return tuple((one.path(steps), value, into) for steps, value, into in dict.fromkeys(one.references))


def measured(source: Source, schema_name: str = "site_profile", schema: Sub | Schema | None = None) -> dict[str, tuple[str, str]]:
    """Path -> kind and words of each text of a file at which the schema asks for a figure with a unit, whether or not it can be read."""
    ready = _ready(schema_name, schema)
    one = _Check(source, ready, {})
    one.walk(source.data, ready.spot, ())
    return {one.path(steps): (kind, value) for steps, kind, value in one.figures}


def _format_fits(name: str, text: str) -> bool:
    try:
        _read_format(name, text)
    except UnitProblem:
        return False
    return True


def _read_format(name: str, text: str) -> object:
    if name == "date":
        return parse_date(text)
    return parse_interval(text) if name == "interval" else parse(text, _KIND_OF[name])


_QUICK = {name: partial(_format_fits, name) for name in FORMATS}
_WORDS = {
    *("$ref", "default", "decided", "title", "description", "examples", "$comment", "refers_to", "id_of"),
    *("need", "station", "read_off", "papers", "administrative", "known_as"),
    *("least", "most", "exclusiveMinimum"),  # of a figure with a unit: tighter than those of its kind
}
_SUB_SCHEMA = {"items", "additionalProperties", "if", "then", "else", "not", "contains", "propertyNames"}
_SUB_SCHEMAS = {"properties", "patternProperties", "prefixItems", "allOf", "anyOf", "oneOf"}
_UNKNOWN = {"$ref": "#/$defs/unknown"}  # a value said to be not known, for editors: it is taken out before anything is checked


class Schema:
    """A schema made ready: its validator, and the way from a place in the data to the sub-schemas that speak of it."""

    def __init__(self, root: Sub) -> None:
        self.written = root
        self._flattened: dict[str, object] = {}
        self._expanded: dict[int, tuple[Sub, ...]] = {}
        self._places: dict[str, tuple[str, ...]] | None = None

    @cached_property
    def root(self) -> Sub:
        """The schema with what its references name in their places."""
        flat: Sub = self._flat(self.written, ())
        return flat

    @cached_property
    def spot(self) -> _Spot:
        """What it says of the whole of the data."""
        return _Spot(self, self.expand(self.root))

    @cached_property
    def fits(self) -> Callable[[object], bool]:
        """The quick test: False where data do not fit, or where it cannot tell."""
        return fitting(self.root, self.resolve, _QUICK)

    def errors(self, data: object) -> list[ValidatorError]:
        """What the validator finds, not more than it is worth to look at; it is asked only where the quick test does not say that all is well."""
        if self.fits(data):
            return []
        return cast("list[ValidatorError]", list(islice(self.validator.iter_errors(data), _MOST_ERRORS)))

    @cached_property
    def validator(self) -> Any:
        """The library's, for whoever must know what is wrong."""
        from jsonschema import Draft202012Validator, FormatChecker

        checker = FormatChecker(formats=())
        for name in FORMATS:
            checker.checks(name, raises=UnitProblem)(
                lambda value, name=name: not isinstance(value, str) or _read_format(name, value) is not None
            )
        return Draft202012Validator(self.root, format_checker=checker)

    def resolve(self, reference: str) -> object:
        """Sub-schema that `#/$defs/...` names, as written; an empty one when it names none."""
        node: object = self.written
        for step in reference.removeprefix("#").split("/")[1:]:
            step = step.replace("~1", "/").replace("~0", "~")
            node = node.get(step, {}) if isinstance(node, dict) else {}
        return node

    def _flat(self, node: Any, opened: tuple[str, ...]) -> Any:
        """The sub-schema with each `$ref` replaced by what it names, which spares the validator a third of its time.

        A `$ref` stays where it leads back to itself, or where keywords beside it say more than words about it.
        """
        if not isinstance(node, dict):
            return node
        if _UNKNOWN in node.get("anyOf", ()):
            (rule,) = [each for each in node["anyOf"] if each != _UNKNOWN]
            node = {**rule, **{key: node[key] for key in node if key != "anyOf"}}
        reference = node.get("$ref")
        if reference is not None and reference not in opened and node.keys() <= _WORDS:
            if reference not in self._flattened:
                self._flattened[reference] = self._flat(self.resolve(reference), (*opened, reference))
            target = self._flattened[reference]
            words = {key: node[key] for key in node if key != "$ref"}
            return {**target, **words} if isinstance(target, dict) else target
        flat = dict(node)
        for keyword in _SUB_SCHEMA & node.keys():
            flat[keyword] = self._flat(node[keyword], opened)
        for keyword in _SUB_SCHEMAS & node.keys():
            part = node[keyword]
            if isinstance(part, dict):
                flat[keyword] = {key: self._flat(each, opened) for key, each in part.items()}
            else:
                flat[keyword] = [self._flat(each, opened) for each in part]
        return flat

    def expand(self, node: object) -> tuple[Sub, ...]:
        """A sub-schema and all that apply in the same place, the outer first."""
        if not isinstance(node, dict):
            return ()
        known = self._expanded.get(id(node))
        if known is None:
            every: list[Sub] = []
            self._gather(node, every)
            known = self._expanded[id(node)] = tuple(every)
        return known

    def _gather(self, node: object, every: list[Sub]) -> None:
        if not isinstance(node, dict) or any(node is other for other in every):
            return
        every.append(node)
        if "$ref" in node:
            self._gather(self.resolve(node["$ref"]), every)
        for keyword in ("allOf", "anyOf", "oneOf"):
            for part in node.get(keyword, ()):
                self._gather(part, every)

    def below(self, nodes: tuple[Sub, ...], step: str | int) -> tuple[Sub, ...]:
        """Sub-schemas of a key or of a list's entry, given those of the whole."""
        found: list[Sub] = []
        for node in nodes:
            if isinstance(step, int):
                first = node.get("prefixItems", ())
                child = first[step] if step < len(first) else node.get("items")
            else:
                child = node.get("properties", {}).get(step)
                if child is None and isinstance(node.get("additionalProperties"), dict):
                    child = node["additionalProperties"]
            found.extend(part for part in self.expand(child) if not any(part is other for other in found))
        return tuple(found)

    def at(self, steps: Iterable[str | int]) -> tuple[Sub, ...]:
        """Sub-schemas of the place that the steps lead to from the root."""
        nodes = self.expand(self.root)
        for step in steps:
            nodes = self.below(nodes, step)
        return nodes

    def places_of(self, key: str, steps: Steps) -> tuple[str, ...]:
        """Where else in the file a key stands, as paths without numbers; none where it stands in many places or where steps lead to.

        Those in the same section come first.
        """
        if self._places is None:
            self._places = {}
            self._gather_places(self.root, "", self._places, 0)
        found = self._places.get(key, ())
        here = str(steps[0]) if steps else ""
        return () if len(found) > MOST_PLACES else tuple(sorted(found, key=lambda path: path.partition(".")[0] != here))

    def _gather_places(self, node: object, at: str, places: dict[str, tuple[str, ...]], depth: int) -> None:
        for part in self.expand(node) if depth < MAX_NESTED else ():
            if part.get("type") != "object" and "items" not in part:
                continue  # a figure with its evidence, or a text in languages
            for key, inner in part.get("properties", {}).items():
                path = f"{at}.{key}" if at else key
                if path not in places.get(key, ()):
                    places[key] = (*places.get(key, ()), path)
                    self._gather_places(inner, path, places, depth + 1)
            if "items" in part:
                self._gather_places(part["items"], at, places, depth + 1)


class EntriesSchema(Schema):
    """The schema of a file that is a head and a list of entries, each by a schema that was made ready before."""

    def __init__(self, head: Sub, key: str, entries: Sequence[Schema]) -> None:
        super().__init__(
            {
                **head,
                "properties": {
                    **head["properties"],
                    key: {**head["properties"][key], "prefixItems": [e.written for e in entries]},
                },
            }
        )
        self.head, self.key, self.entries = Schema(head), key, entries

    @cached_property
    def spot(self) -> _Spot:
        """What it says of the whole of the data."""
        found = _Spot(self, self.expand(self.head.root))
        found.below(self.key).set_each([each.spot for each in self.entries])
        return found

    @cached_property
    def fits(self) -> Callable[[object], bool]:
        """The quick test, entry by entry."""
        return lambda data: self.head.fits(data) and all(map(_tried, self.entries, cast("Sub", data)[self.key]))


def _tried(schema: Schema, data: object) -> bool:
    return schema.fits(data)


class _Spot:
    """A place in the data that sub-schemas speak of, and what they say there of ids, entries that must differ, and figures; made once a schema."""

    def __init__(self, schema: Schema, nodes: tuple[Sub, ...]) -> None:
        self.schema, self.nodes = schema, nodes
        self.kinds = tuple(_WANTED[key] for node in nodes for key in _WANTED if key in node)
        self.required = sorted({key for node in nodes for key in node.get("required", ())})
        self.differing = {node["unique_by"] for node in nodes if "unique_by" in node}
        self.ids = [node["id_of"] for node in nodes if "id_of" in node]
        refers = (node["refers_to"] for node in nodes if "refers_to" in node)
        self.into = [(into,) if isinstance(into, str) else tuple(into) for into in refers]
        self.kind = next((_KIND_OF[node["format"]] for node in nodes if node.get("format") in _KIND_OF), None)
        self.bounded = [node for node in nodes if node.keys() & _BOUNDS]
        self._each = any("prefixItems" in node for node in nodes)  # entries of a list are not all alike
        self._below: dict[str | int, _Spot] = {}

    def below(self, step: str | int) -> _Spot:
        """The place of a key or of a list's entry."""
        known = step if self._each or isinstance(step, str) else 0
        if known not in self._below:
            self._below[known] = _Spot(self.schema, self.schema.below(self.nodes, step))
        return self._below[known]

    def set_each(self, spots: Sequence[_Spot]) -> None:
        """Each entry of the list is told of by one of these."""
        self._each, self._below = True, dict(enumerate(spots))

    @cached_property
    def collections(self) -> set[str]:
        """Collections whose ids are declared anywhere below."""
        found: set[str] = set()
        seen: set[int] = set()
        waiting: list[object] = list(self.nodes)
        while waiting:
            for node in self.schema.expand(waiting.pop()):
                if id(node) not in seen:
                    seen.add(id(node))
                    found.update([node["id_of"]] if "id_of" in node else ())
                    waiting.extend(node.get("properties", {}).values())
                    waiting.extend(node[key] for key in ("items", "additionalProperties") if key in node)
        return found


def _ready(name: str, schema: Sub | Schema | None) -> Schema:
    if schema is None:
        return compiled(name)
    return schema if isinstance(schema, Schema) else Schema(schema)


@cache
def compiled(schema_name: str) -> Schema:
    """A schema of the project, made ready once."""
    import json

    from docgen.resources import schema_text

    return Schema(json.loads(schema_text(schema_name)))


@frozen
class _Fault:
    """A fault before it has a line: the steps to it, whether it stands at the key or the value, and the two texts."""

    steps: Steps
    message: str
    hint: str
    at_key: bool = False
    stands_at: Steps | None = None  # when the place is another than the steps say


class _Check:
    """One check of one file."""

    def __init__(self, source: Source, schema: Schema, elsewhere: Ids) -> None:
        self.source, self.schema, self.elsewhere = source, schema, elsewhere
        self.read_paths = {problem.path for problem in source.problems if problem.path}
        self.read_lines = {(problem.file, problem.line) for problem in source.problems if not problem.path}
        self.lines: list[str] | None = None
        self.suggested: set[tuple[Steps, str]] = set()
        self.declared: list[tuple[Steps, str, str]] = []
        self.references: list[tuple[Steps, str, tuple[str, ...]]] = []
        self.figures: list[tuple[Steps, str, str]] = []
        self.unfit: list[_Fault] = []  # what a general validator does not look for, ids aside
        self.unsure: set[str] = set()  # collections of which an id could not be read: a reference may be right

    def problems(self) -> Iterator[Problem]:
        errors = self.schema.errors(self.source.data)
        # The order of _RULES: a misspelt key must not be reported missing too, and one fault in a place is enough.
        errors.sort(key=lambda error: _RANKS.get(error.validator, len(_RANKS)))
        self.walk(self.source.data, self.schema.spot, ())
        told: set[Steps] = set()
        for fault in chain(
            chain.from_iterable(map(self.faults, errors)), self.unfit[:_MOST_ERRORS], islice(self.identity_faults(), _MOST_ERRORS)
        ):
            if fault.steps not in told:
                told.add(fault.steps)
                yield from self.problem(fault)

    def ids(self) -> Ids:
        """The ids declared, by collection, once the file was walked through."""
        found: dict[str, list[str]] = {}
        for _, value, name in self.declared:
            found.setdefault(name, []).append(value)
        return found

    # places

    def path(self, steps: Steps) -> str:
        path = ""
        for step in steps:
            path = join(path, step)
        return path

    def problem(self, fault: _Fault) -> Iterator[Problem]:
        """The fault with its line; nothing where reading has already found a fault."""
        path = self.path(fault.steps)
        steps = fault.steps if fault.stands_at is None else fault.stands_at
        while (mark := self.source.marks.get(self.path(steps))) is None and steps:
            steps = steps[:-1]
        line, column = (1, 1) if mark is None else (mark.line, mark.column)
        file = self.source.file if mark is None else self.source.file_of(mark)
        if mark is not None and fault.at_key:
            line, column = mark.key_line, mark.key_column
        # What a group lacks may stand in its double, or in a form that reading refused.
        doubtful = fault.stands_at is not None and self.path(fault.stands_at) in self.read_paths
        if path not in self.read_paths and (file, line) not in self.read_lines and not doubtful:
            yield Problem(file, line, column, path, fault.message, fault.hint)

    def written(self, steps: Steps, value: object) -> str:
        """A plain value as it is written in the file."""
        mark = self.source.marks.get(self.path(steps))
        if mark is not None and not mark.file and not isinstance(value, str):
            if self.lines is None:
                self.lines = re.split(r"\r\n|\r|\n", self.source.text)
            if match := re.match(r"[-+.\w]+", self.lines[mark.line - 1][mark.column - 1 :]):
                return _short(match[0])
        return _short(value if isinstance(value, str) else _shown(value))

    # words taken from the schema

    def about(self, nodes: tuple[Sub, ...]) -> str:
        """Description and example of a place, or ""."""
        text = next((node["description"] for node in nodes if "description" in node), "").rstrip(".")
        examples = (node["examples"][0] for node in nodes if node.get("examples"))
        example = next((_shown(each) for each in examples if not isinstance(each, dict)), "")
        if text and example:
            return f"{text} (such as {example})"
        return text or (f"write it like {example}" if example else "")

    def known_keys(self, nodes: tuple[Sub, ...]) -> list[str]:
        keys = (key for node in nodes for key, sub in node.get("properties", {}).items() if sub is not False)
        return list(dict.fromkeys(keys))

    def because(self, error: ValidatorError) -> str:
        """Words for the nearest condition (`if`) under which an error from `then` or `else` holds, or ""."""
        words = ""
        for step, node, value in self.trail(error):
            if step in ("then", "else") and "if" in node:
                words = _condition(node["if"], value)
        return words

    def trail(self, error: ValidatorError) -> Iterator[tuple[str | int, Sub, Any]]:
        """The way through the schema to an error: each keyword, the sub-schema that holds it, and the data."""
        node: Any = self.schema.root
        value: Any = self.source.data
        places = iter(error.absolute_path)
        before = None
        for step in error.absolute_schema_path:
            while isinstance(node, dict) and step not in node and "$ref" in node:
                node = self.schema.resolve(node["$ref"])
            if isinstance(node, dict) and before not in ("properties", "$defs"):
                yield step, node, value
            if step in ("items", "additionalProperties") or before in ("properties", "prefixItems"):
                place = next(places, None)
                value = value[place] if place is not None else value
            try:
                node = node[step]
            except (KeyError, IndexError, TypeError):
                return
            before = None if before in ("properties", "prefixItems") else step

    # from the validator's errors to faults

    def faults(self, error: ValidatorError) -> Iterator[_Fault]:
        steps = tuple(error.absolute_path)
        if "propertyNames" in error.absolute_schema_path and isinstance(error.instance, str):
            yield from self.wrong_key(error, steps)
        else:
            yield from _RULES.get(error.validator, _Check.other)(self, error, steps)

    def shut_out(self, error: ValidatorError, steps: Steps) -> Iterator[_Fault]:
        """A sub-schema that is just `false`; for one below `properties` the validator does not say which key."""
        because = self.because(error)
        step, node, value = list(self.trail(error))[-1]
        keys = [key for key, sub in node.get(step, {}).items() if sub is False] if step == "properties" else []
        for key in keys:
            if isinstance(value, dict) and key in value:
                message = _joined(f"'{key}' is not allowed here", because)
                yield _Fault((*steps, key), message, "take it out", at_key=True)
        if not keys:
            yield _Fault(steps, _joined("this value is not allowed here", because), "take it out", at_key=True)

    def other(self, error: ValidatorError, steps: Steps) -> Iterator[_Fault]:
        hint = self.about(self.schema.at(steps)) or "compare it with the description of this field"
        yield _Fault(steps, f"this does not meet the rule '{error.validator}' of the schema", hint)

    def unknown_key(self, error: ValidatorError, steps: Steps) -> Iterator[_Fault]:
        patterns = [re.compile(pattern) for pattern in error.schema.get("patternProperties", {})]
        known = [key for key, sub in error.schema.get("properties", {}).items() if sub is not False]
        free = [key for key in known if key not in error.instance]
        for key in error.instance:
            if key in error.schema.get("properties", {}) or any(pattern.search(key) for pattern in patterns):
                continue
            places = self.schema.places_of(key, steps)
            near = nearest(key, free)
            if near and (not places or _plain(near).rstrip("s") == _plain(key).rstrip("s")):
                self.suggested.add((steps, near))
                about = self.about(self.schema.below(self.schema.at(steps), near))
                message, hint = f"unknown key '{_short(key)}'; did you mean '{near}'?", about or f"write '{near}'"
            elif places:
                message = f"'{_short(key)}' does not stand here, but in {' or '.join(places)}"
                hint = "move it there"
            else:
                message = f"unknown key '{_short(key)}'"
                hint = _listed("known keys", _nearest_first(key, known)) if known else "take it out"
            yield _Fault((*steps, key), message, hint, at_key=True)

    def lacks(self, error: ValidatorError, steps: Steps) -> Iterator[_Fault]:
        because = self.because(error)
        for key in error.validator_value:
            if key not in error.instance and (steps, key) not in self.suggested:
                about = self.about(self.schema.below(self.schema.at(steps), key))
                if self.path((*steps, key)) in self.source.marks:  # it was there, and said to be unknown
                    yield _Fault((*steps, key), f"'{key}' is needed here and cannot be unknown", about or f"write '{key}'")
                    continue
                message = _joined(f"{_called(steps)} lacks '{key}'", because and f"needed {because}")
                hint = f"add '{key}': {about}" if about else f"add '{key}'"
                yield _Fault((*steps, key), message, hint, at_key=True, stands_at=steps)

    def lacks_beside(self, error: ValidatorError, steps: Steps) -> Iterator[_Fault]:
        for key, others in error.validator_value.items():
            for other in others if key in error.instance else ():
                if other not in error.instance and (steps, other) not in self.suggested:
                    about = self.about(self.schema.below(self.schema.at(steps), other))
                    hint = f"add '{other}': {about}" if about else f"add '{other}'"
                    message = f"{_called(steps)} lacks '{other}', needed because '{key}' is given"
                    yield _Fault((*steps, other), message, hint, at_key=True, stands_at=(*steps, key))

    def wrong_type(self, error: ValidatorError, steps: Steps) -> Iterator[_Fault]:
        nodes, value = self.schema.at(steps), error.instance
        wanted = error.validator_value if isinstance(error.validator_value, list) else [error.validator_value]
        written = self.written(steps, value)
        format_name = next((node["format"] for node in nodes if node.get("format") in FORMATS), None)
        if format_name and _type_of(value) == "number":
            try:
                _read_format(format_name, written)
            except UnitProblem as problem:
                yield _Fault(steps, problem.message, self.as_line(steps, problem.hint, format_name, written))
                return
        about = self.about(nodes)
        if format_name:
            name = _FORMAT_NAMES[format_name]
            hint = about or _example_of(format_name)
        else:
            name = " or ".join(_TYPE_NAMES[each] for each in wanted)
            hint = self.one_each(value, nodes, steps) or self.type_hint(wanted, value, written, nodes, self.path(steps))
            hint = hint or about or f"write {name}"
        kind = _type_of(value)
        actual = {"number": f"the number {written}", "boolean": written, "null": "null"}.get(kind) or _TYPE_NAMES[kind]
        yield _Fault(steps, f"{name} is wanted here, not {actual}", hint)

    def one_each(self, value: object, nodes: tuple[Sub, ...], steps: Steps) -> str:
        """What to do where a list of ids stands for the one id that an entry may name: one entry for each."""
        ids = [each for each in value if isinstance(each, str)] if isinstance(value, list) else []
        owner = next((step for step in reversed(steps[:-1]) if isinstance(step, str)), None)
        if not ids or len(ids) != len(cast("list[object]", value)) or not any("refers_to" in node for node in nodes):
            return ""
        if len(ids) == 1 or owner is None or not isinstance(steps[-1], str) or isinstance(steps[-2], str):
            return f"one id is wanted; write it as  {as_entry(self.path(steps), ids[0])}"
        lines = "  and  ".join(as_entry(self.path(steps), each) for each in ids[:3])
        return f"one id is wanted: copy this entry of '{owner}' for each, with an id of its own, and write  {lines}"

    def type_hint(self, wanted: list[str], value: object, written: str, nodes: tuple[Sub, ...], path: str) -> str:
        kind = _type_of(value)
        if kind == "null":
            return "write a value or leave the key out"
        if "string" in wanted and kind in ("number", "boolean"):
            return f"put it in quotes: write it as  {as_entry(path, quoted(written))}"
        if "boolean" in wanted and kind == "string":
            return "write true or false, without quotes"
        if "number" in wanted or "integer" in wanted:
            if kind == "string" and re.fullmatch(r"-?[0-9]+(\.[0-9]+)?", written):
                return f"write it as  {as_entry(path, written)}  without quotes"
            return "write a whole number" if kind == "number" else ""
        if "array" in wanted and kind not in ("array", "object"):
            return f"it is a list: write it as  {as_entry(path, f'[{written}]')}"
        if "array" in wanted:
            return "begin each entry with '- ' on a line of its own"
        if "object" in wanted and (keys := self.known_keys(nodes)):
            return _listed("write keys below it", keys)
        return ""

    def wrong_format(self, error: ValidatorError, steps: Steps) -> Iterator[_Fault]:
        hint = self.as_line(steps, error.cause.hint, str(error.validator_value), error.instance)
        yield _Fault(steps, error.cause.message, hint)

    def as_line(self, steps: Steps, hint: str, format_name: str, text: str) -> str:
        """A hint with the line as it should stand, where what was meant by a figure or a day can be told; else the hint alone."""
        path = self.path(steps)
        if format_name == "date":
            days = dates_meant(text)
            return hint if len(days) != 1 else f"write it as  {as_entry(path, days[0])}"
        kind = _KIND_OF.get(format_name)
        right = spelled(text, kind) if kind else None
        if right is not None:
            return f"write it as  {as_entry(path, right)}"
        offered = hint.removeprefix("write ").split(" or ")
        if not hint.startswith("write ") or kind is None or tuple(offered) == KINDS[kind].examples:
            return hint
        if not all(_readable(each, kind) for each in offered):
            return hint
        return "write it as  " + "  or  ".join(as_entry(path, each) for each in offered)

    def not_listed(self, error: ValidatorError, steps: Steps) -> Iterator[_Fault]:
        allowed = error.validator_value if error.validator == "enum" else [error.validator_value]
        written = self.written(steps, error.instance)
        texts = [each for each in allowed if isinstance(each, str)]
        near = nearest(error.instance, texts) if isinstance(error.instance, str) else None
        if len(allowed) == 1:
            message, hint = f"'{written}' is not what must stand here", f"write {_shown(allowed[0])}"
        else:
            message, hint = f"'{written}' is not one of the values allowed here", _listed("allowed", allowed, most=12)
            if near:
                hint = f"did you mean '{near}'? {hint}"
        yield _Fault(steps, _joined(message, self.because(error)), hint)

    def wrong_pattern(self, error: ValidatorError, steps: Steps) -> Iterator[_Fault]:
        if error.instance == "" and not self.allows_empty(steps):
            return  # minLength says it better
        if "title" in error.schema:
            yield _Fault(steps, f"'{self.written(steps, error.instance)}' {error.schema['title']}", error.schema["description"])
            return
        hint = self.about(self.schema.at(steps)) or f"it must fit the pattern {error.validator_value}"
        meant = places_meant(error.instance) if any(node.get("known_as") == "place" for node in self.schema.at(steps)) else ()
        if meant:
            hint = "write it as  " + "  or  ".join(f"{as_entry(self.path(steps), code)}  for {name}" for code, name in meant)
        yield _Fault(steps, f"'{self.written(steps, error.instance)}' is not written as it should be", hint)

    def allows_empty(self, steps: Steps) -> bool:
        return not any(node.get("minLength") for node in self.schema.at(steps))

    def wrong_length(self, error: ValidatorError, steps: Steps) -> Iterator[_Fault]:
        about, limit, count = self.about(self.schema.at(steps)), error.validator_value, len(error.instance)
        if not error.instance and error.validator == "minLength":
            yield _Fault(steps, "this text is empty", about or "write a value or leave the key out")
        else:
            word = "at least" if error.validator == "minLength" else "at most"
            message = f"this text has {count} {_plural(count, 'character')}; {word} {limit} are allowed"
            yield _Fault(steps, message, about or f"write {word} {limit} characters")

    def wrong_count(self, error: ValidatorError, steps: Steps) -> Iterator[_Fault]:
        rule = str(error.validator)
        thing = "entry" if rule.endswith("Items") else "key"
        limit, count = error.validator_value, len(error.instance)
        least = rule.startswith("min")
        has = f"{_called(steps)} has {count or 'no'} {_plural(count, thing)}"
        needs = f"at least {limit} needed" if least else f"at most {limit} allowed"
        about = self.about(self.schema.at(steps))
        hint = about or (f"add {_plural(2, thing)}" if least else f"take {_plural(2, thing)} out")
        yield _Fault(steps, f"{has}; {needs}", hint, at_key=True)

    def too_many(self, error: ValidatorError, steps: Steps) -> Iterator[_Fault]:
        most = len(error.schema.get("prefixItems", ()))
        message = f"{_called(steps)} has {len(error.instance)} entries; at most {most} allowed"
        yield _Fault(steps, message, self.about(self.schema.at(steps)) or "take entries out", at_key=True)

    def repeated(self, error: ValidatorError, steps: Steps) -> Iterator[_Fault]:
        seen: dict[str, int] = {}
        for index, value in enumerate(error.instance):
            same = repr((_type_of(value), value))
            if same in seen:
                first = self.source.marks.get(self.path((*steps, seen[same])))
                where = f" on line {first.line}" if first else ""
                message = f"{self.written((*steps, index), value)} is already in the list{where}"
                yield _Fault((*steps, index), message, "take one of the two out")
            else:
                seen[same] = index

    def wrong_size(self, error: ValidatorError, steps: Steps) -> Iterator[_Fault]:
        words = {
            "minimum": "at least",
            "maximum": "at most",
            "exclusiveMinimum": "more than",
            "exclusiveMaximum": "less than",
            "multipleOf": "a multiple of",
        }
        need = f"{words[str(error.validator)]} {_shown(error.validator_value)}"
        about = self.about(self.schema.at(steps))
        message = f"{self.written(steps, error.instance)} is out of range; it must be {need}"
        yield _Fault(steps, message, about or f"write {need}")

    def wrong_key(self, error: ValidatorError, steps: Steps) -> Iterator[_Fault]:
        key = error.instance
        hint = self.about(self.schema.expand(error.schema)) or self.about(self.schema.at(steps))
        hint = hint or f"it must meet the rule {error.validator}: {_shown(error.validator_value)}"
        yield _Fault((*steps, key), f"the key '{_short(key)}' is not written as it should be", hint, at_key=True)

    def forbidden(self, error: ValidatorError, steps: Steps) -> Iterator[_Fault]:
        because = self.because(error)
        ban = error.validator_value if isinstance(error.validator_value, dict) else {}
        if "title" in ban:
            yield _Fault(steps, f"'{self.written(steps, error.instance)}' {ban['title']}", ban["description"])
            return
        bans = [ban, *(part for part in ban.get("anyOf", ()) if isinstance(part, dict))]
        hit = False
        for part in bans:
            keys = part.get("required", ())
            if not keys:
                continue
            hit = True  # on what is no group of keys at all, its type is the fault
            if isinstance(error.instance, dict) and all(key in error.instance for key in keys):
                names = " and ".join(f"'{key}'" for key in keys)
                message = f"{names} is not allowed here" if len(keys) == 1 else f"{names} may not stand together"
                hint = "take it out" if len(keys) == 1 else "keep one of them"
                yield _Fault((*steps, keys[-1]), _joined(message, because), hint, at_key=True)
        if not hit:
            hint = self.about(self.schema.expand(error.schema)) or "write another value or take it out"
            yield _Fault(steps, _joined("this value is not allowed here", because), hint)

    def no_form_fits(self, error: ValidatorError, steps: Steps) -> Iterator[_Fault]:
        """Of several forms, the one that fits best speaks: the right type first, then the fewest faults."""
        forms: dict[str | int, list[ValidatorError]] = {}
        for inner in error.context or ():
            forms.setdefault(inner.schema_path[0], []).append(inner)
        if not forms:
            hint = self.about(self.schema.at(steps)) or "compare it with the description of this field"
            yield _Fault(steps, "this fits more than one of the forms allowed here", hint)
            return
        depth = len(steps)

        def misfit(index: str | int) -> tuple[bool, int, int]:
            top = any(each.validator in ("type", "const") and len(each.absolute_path) == depth for each in forms[index])
            return top, len(forms[index]), int(index)

        for inner in forms[min(forms, key=misfit)]:
            yield from self.faults(inner)

    # ids and references

    def walk(self, value: object, spot: _Spot, steps: Steps) -> None:
        """Gather ids and references; note collections of which something could not be read."""
        if not spot.nodes:
            return
        unreadable = bool(self.read_paths) and self.path(steps) in self.read_paths
        if unreadable or (
            spot.kinds and not isinstance(value, spot.kinds)
        ):  # keys, entries or an id are told of, and it can hold none
            self.unsure |= spot.collections
        if isinstance(value, dict):
            if isinstance(value.get("value"), str):  # what is asked of a figure holds for one with evidence too
                self.note_figure(value["value"], spot, (*steps, "value"))
            for key, part in value.items():
                self.walk(part, spot.below(key), (*steps, key))
            for key in spot.required:
                if key not in value:
                    self.unsure |= spot.below(key).collections
        elif isinstance(value, list):
            self.note_doubles(value, spot, steps)
            for index, part in enumerate(value):
                self.walk(part, spot.below(index), (*steps, index))
        elif isinstance(value, str) and not unreadable:
            if value:
                self.declared += [(steps, value, name) for name in spot.ids]
            self.references += [(steps, value, into) for into in spot.into]
            self.note_figure(value, spot, steps)

    def note_doubles(self, entries: list[Any], spot: _Spot, steps: Steps) -> None:
        """Entries of a list that say the same in the key in which they must differ, as a reader sees it."""
        for key in spot.differing:
            first: dict[str, Steps] = {}
            for index, entry in enumerate(entries):
                said = entry.get(key) if isinstance(entry, dict) else None
                if isinstance(said, str) and first.setdefault(alike(said), (*steps, index, key)) != (at := (*steps, index, key)):
                    line = self.source.marks[self.path(first[alike(said)])].line
                    message = f"'{key}' is '{_short(said)}' in two entries of this list, here and on line {line}"
                    hint = "put what belongs together into one entry, or say in each what tells it from the other"
                    self.unfit.append(_Fault(at, message, hint))

    def note_figure(self, value: str, spot: _Spot, steps: Steps) -> None:
        """A figure with a unit that lies outside the bounds of its kind or of its field."""
        if (kind := spot.kind) is None:
            return
        self.figures.append((steps, kind, value))
        if not spot.bounded:
            return
        try:
            figure = parse(value, kind).si
        except UnitProblem:
            return  # the validator says so
        for node in spot.bounded:
            if need := _need(node, figure, kind):
                hint = self.about(self.schema.at(steps)) or f"write {need}"
                self.unfit.append(_Fault(steps, f"{_short(value)} is out of range; it must be {need}", hint))
                return

    def identity_faults(self) -> Iterator[_Fault]:
        known: dict[str, dict[str, Steps]] = {name: dict.fromkeys(ids, ()) for name, ids in self.elsewhere.items()}
        plain: dict[tuple[str, str], tuple[str, Steps]] = {}  # as file systems see them that do not tell capitals
        for steps, value, name in self.declared:
            known.setdefault(name, {}).setdefault(value, steps)
            other, first = plain.setdefault((name, value.casefold()), (value, steps))
            if first != steps:
                line = self.source.marks[self.path(first)].line
                message = f"the id '{_short(value)}' is already given in {name}, on line {line}"
                if other != value:
                    message = f"the id '{_short(value)}' is that of '{_short(other)}' in {name}, on line {line}, but for capitals"
                yield _Fault(steps, message, "give each its own id")
        for steps, value, collections in self.references:
            if self.unsure.intersection(collections) or any(value in known.get(name, {}) for name in collections):
                continue
            ids = [each for name in collections for each in known.get(name, {})]
            where = " or ".join(collections)
            if near := nearest(value, ids):
                hint = f"did you mean '{near}'?"
            else:
                hint = _listed("known", ids) if ids else f"add an entry with this id under {where}"
            yield _Fault(steps, f"nothing under {where} has the id '{_short(value)}'", hint)


_RULES = {
    "additionalProperties": _Check.unknown_key,
    None: _Check.shut_out,
    "not": _Check.forbidden,
    "required": _Check.lacks,
    "dependentRequired": _Check.lacks_beside,
    "type": _Check.wrong_type,
    "format": _Check.wrong_format,
    "enum": _Check.not_listed,
    "const": _Check.not_listed,
    "pattern": _Check.wrong_pattern,
    "minLength": _Check.wrong_length,
    "maxLength": _Check.wrong_length,
    "minItems": _Check.wrong_count,
    "maxItems": _Check.wrong_count,
    "minProperties": _Check.wrong_count,
    "maxProperties": _Check.wrong_count,
    "items": _Check.too_many,
    "uniqueItems": _Check.repeated,
    "minimum": _Check.wrong_size,
    "maximum": _Check.wrong_size,
    "exclusiveMinimum": _Check.wrong_size,
    "exclusiveMaximum": _Check.wrong_size,
    "multipleOf": _Check.wrong_size,
    "anyOf": _Check.no_form_fits,
    "oneOf": _Check.no_form_fits,
}
_RANKS = {keyword: rank for rank, keyword in enumerate(_RULES)}

_BOUNDS = {"exclusiveMinimum", "minimum", "least", "most"}


def _need(node: Sub, figure: float, kind: str) -> str:
    """What a figure in SI must be by the bounds of a sub-schema; "" where it keeps them."""
    if "exclusiveMinimum" in node and figure <= node["exclusiveMinimum"]:
        return f"more than {_shown(node['exclusiveMinimum'])}"
    if "minimum" in node and figure < node["minimum"]:
        return f"{_shown(node['minimum'])} or more"
    if "least" in node and figure < _bound(node["least"], kind):
        return f"{node['least']} or more"
    return f"{node['most']} or less" if "most" in node and figure > _bound(node["most"], kind) else ""


@cache
def _bound(text: str, kind: str) -> float:
    return parse(text, kind).si


def _readable(text: str, kind: str) -> bool:
    try:
        parse(text, kind)
    except UnitProblem:
        return False
    return True


_WANTED = {"properties": dict, "items": list, "id_of": str}


_TYPE_NAMES = {
    "object": "a group of keys",
    "array": "a list",
    "string": "text",
    "number": "a number",
    "integer": "a whole number",
    "boolean": "true or false",
    "null": "null",
}


def _type_of(value: object) -> str:
    for kind, name in ((bool, "boolean"), (dict, "object"), (list, "array"), (str, "string")):
        if isinstance(value, kind):
            return name
    return "null" if value is None else "number"


def _example_of(format_name: str) -> str:
    if format_name in _KIND_OF:
        return "write " + " or ".join(KINDS[_KIND_OF[format_name]].examples)
    return "write 12 months or 30 days" if format_name == "interval" else "write year-month-day, such as 2026-11-01"


def _short(text: str) -> str:
    return text if len(text) <= 60 else text[:57] + "..."


def _shown(value: object) -> str:
    """A value as one would write it in the file."""
    if isinstance(value, list):
        return "[" + ", ".join(_shown(each) for each in value) + "]"
    if isinstance(value, dict):
        return "{" + ", ".join(f"{key}: {_shown(each)}" for key, each in value.items()) + "}"
    if isinstance(value, bool):
        return "true" if value else "false"
    return "null" if value is None else str(value)


def _plural(count: int, word: str) -> str:
    if count == 1:
        return word
    return word[:-1] + "ies" if word == "entry" else word + "s"


def _called(steps: Steps) -> str:
    """How a group or list is called in a message: `'rail'`, `entry 2 of 'bays'`, `the file`."""
    if not steps:
        return "the file"
    last = steps[-1]
    if isinstance(last, int):
        owner = next((f" of '{_short(step)}'" for step in reversed(steps) if isinstance(step, str)), "")
        return f"entry {last + 1}{owner}"
    return f"'{_short(last)}'"


def _joined(message: str, more: str) -> str:
    return f"{message}, {more}" if more else message


def _condition(condition: object, value: object) -> str:
    """The keys of the data that a condition looks at, as a reason; "" when it looks at none that is there."""
    if not isinstance(condition, dict) or not isinstance(value, dict):
        return ""
    said = []
    for key, sub in condition.get("properties", {}).items():
        if key in value and isinstance(sub, dict) and ("const" in sub or "enum" in sub):
            said.append(f"'{key}' is '{_short(_shown(value[key]))}'")
    if not said:
        said = [f"'{key}' is given" for key in condition.get("required", ()) if key in value]
    return "because " + " and ".join(said) if said else ""


def _listed(title: str, values: Sequence[object], most: int = 6) -> str:
    shown = ", ".join(_short(_shown(value)) for value in values[:most])
    more = f" and {len(values) - most} more" if len(values) > most else ""
    return f"{title}: {shown}{more}"


def _nearest_first(word: str, known: list[str]) -> list[str]:
    """The known names with those first that share a word with `word`, or the beginning of one, then those spelt like it."""
    from difflib import SequenceMatcher

    wanted = [part for part in _plain(word).split("_") if len(part) > 2]

    def far(name: str) -> tuple[int, float]:
        parts = _plain(name).split("_")
        shared = sum(any(_begin_alike(one, part) for part in parts) for one in wanted)
        return -shared, -SequenceMatcher(None, _plain(word), _plain(name)).ratio() if shared else 0.0

    return sorted(known, key=far)


def _begin_alike(one: str, other: str) -> bool:
    """Whether two words are one, or begin alike for most of the shorter."""
    least = min(len(one), len(other))
    same = next((i for i in range(least) if one[i] != other[i]), least)
    return same == least >= 3 or same >= max(5, least - 3)


def nearest(word: str, known: list[str]) -> str | None:
    """The known name that `word` was most likely meant to be, or None."""
    from difflib import get_close_matches

    plain = {_plain(each): each for each in reversed(known[:_MOST_NEAR])}
    if _plain(word) in plain:
        return plain[_plain(word)]
    near = get_close_matches(_plain(_short(word)), list(plain), n=1, cutoff=0.7)
    return plain[near[0]] if near else None


def _plain(word: str) -> str:
    return re.sub(r"[\s_-]+", "_", re.sub(r"(?<=[a-z])(?=[A-Z])", "_", word)).casefold()
