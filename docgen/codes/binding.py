"""Which rule governs where several speak: the law, a local rule, an owner's requirement, a rule of the site. The strictest does."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from typing import Literal

from docgen.codes.answers import question, questions
from docgen.codes.code import LawAlone, load
from docgen.codes.model import Answer, Force, Question, Value
from docgen.errors import CodeError
from docgen.frozen import frozen
from docgen.limits import over, same_figure
from docgen.site import LocalKind, LocalRule, Node, Site, SiteRule
from docgen.units import KINDS, Amount, Interval, UnitProblem, parse, parse_interval

__all__ = ["BindingRules", "Governs", "Unmatched", "Voice", "VoiceBound", "Whose", "Why"]

Whose = Literal["law", "read-by", "advice", "local", "owner", "insurer", "site-rule"]
VoiceBound = Literal["maximum", "minimum", "threshold", "exactly"]
Why = Literal["lower-maximum", "higher-minimum", "lower-threshold", "stricter-at-limit", "same-figure", "exactly", "alone"]
Reason = Literal["nameless", "unknown", "worded", "empty", "unreadable"]

SUBJECTS = {
    "refresher": "training_refresher_interval",
    "inspection": "inspection_periodic_interval",
    "tie-off": "trigger_height_vehicles",
    "rescue-time": "rescue_time_max",
}
WHY: dict[str, Why] = {"maximum": "lower-maximum", "minimum": "higher-minimum"}
MEASURED = (*KINDS, "interval", "ratio", "count")
START = date(2001, 1, 1)


@frozen
class Voice(Node):
    """One source that answers a question: whose it is, which way its figure binds, and `text`, the figure as that source writes it.

    `advice`: what an authority, a standard or an industry body says in answer, without binding. `read-by`: a stricter figure of law that counsel or a named person read, beside what the set says.
    """

    whose: Whose
    id: str
    bound: VoiceBound
    text: str
    citation: str
    answer: Answer

    @property
    def binds(self) -> bool:
        """Whether a site is held to it: everything but what the law's authority, a standard or an industry body only advises."""
        return self.whose != "advice"


@frozen
class Governs(Node):
    """A question on which more than one source speaks: all of them, the one that governs, and why.

    `against` is the voice that cannot be met together with it, or None.
    """

    key: str
    asks: str
    voices: tuple[Voice, ...]
    strictest: Voice
    why: Why
    against: Voice | None = None

    def weaker(self) -> tuple[tuple[Voice, Voice], ...]:
        """Each rule of the site that leaves more room than what binds the site from outside, with what does."""
        return self._weaker(tuple(v for v in self.voices if v.whose != "site-rule" and v.binds))

    def below_advice(self) -> tuple[tuple[Voice, Voice], ...]:
        """Each rule of the site that leaves more room than what is advised, and not more than what binds, with who advises it."""
        bound = {ours.path for ours, _ in self.weaker()}
        advice = self._weaker(tuple(v for v in self.voices if not v.binds))
        return tuple((ours, voice) for ours, voice in advice if ours.path not in bound)

    def _weaker(self, others: tuple[Voice, ...]) -> tuple[tuple[Voice, Voice], ...]:
        ask = question(self.key)
        binding = _strictest(ask, others)
        if binding is None or ask.bound == "neither":
            return ()
        way = -1.0 if ask.bound == "minimum" else 1.0
        ours = (v for v in self.voices if v.whose == "site-rule" and v.bound == binding.bound)
        return tuple((v, binding) for v in ours if over(way * _size(v), way * _size(binding, v.answer.unit)))


@frozen
class Unmatched:
    """A rule that cannot be held against the law: it gives a figure and names no question (`nameless`), names one that is not
    asked (`unknown`, `told` is the error) or one without a figure (`worded`), gives no figure (`empty`) or one that cannot be
    read (`unreadable`, `told` is the error)."""

    path: str
    id: str
    reason: Reason
    question: str = ""
    given: str = ""
    told: str = ""


def _owner_sets(site: Site, law: LawAlone) -> tuple[LawAlone, ...]:
    """The sets that the profile lays over the law. Raises CodeError for one that does not exist."""
    found = tuple(load(name, law.sector, law.on, law.extra_roots) for name in site.codes.owner)
    wrong = next((s for s in found if s.kind == "law"), None)
    if wrong is not None:
        raise CodeError(
            f"'{wrong.code}' is the law of {wrong.name}, not a requirement to lay over it; name the place as the jurisdiction"
        )
    return found


class BindingRules:
    """The law with everything else that binds the site laid over it: a `Law` whose `ask` gives the strictest answer.

    `law` is the law alone: what it says by itself, its words, its mistakes, where it is silent.
    """

    def __init__(self, law: LawAlone, site: Site) -> None:
        self.law = law
        self._owners = _owner_sets(site, law)
        self._rules: dict[str, tuple[Voice, ...]] = {}
        self._found: tuple[Governs, ...] | None = None
        self.unmatched: tuple[Unmatched, ...] = tuple(self._take(site))

    @property
    def code(self) -> str:
        """The code of the set, as ISO 3166-2 writes it, or the name of a standard."""
        return self.law.code

    @property
    def name(self) -> str:
        """The place or standard in words."""
        return self.law.name

    @property
    def sector(self) -> str:
        """general-industry or construction."""
        return self.law.sector

    @property
    def on(self) -> date:
        """The day for which it answers."""
        return self.law.on

    @property
    def units(self) -> str:
        """The units it prints first, us or si."""
        return self.law.units

    def _take(self, site: Site) -> Iterator[Unmatched]:
        """Sort the rules of the profile by their question; what cannot be held against one is given back."""
        rules: list[SiteRule | LocalRule] = [*site.codes.local, *site.site_rules]
        for rule in rules:
            found = _voice(rule, self.law)
            if isinstance(found, Unmatched):
                yield found
            elif found is not None:
                key, voice = found
                self._rules[key] = (*self._rules.get(key, ()), voice)

    def voices(self, key: str) -> tuple[Voice, ...]:
        """Everyone who answers a question, the law first."""
        ask = question(key)
        answer = self.law.ask(key)
        found = [_lawful(answer, "law" if answer.limits else "advice", self.law.code)]
        if key in self.law.stricter:
            found.append(_lawful(self.law.stricter[key], "read-by", self.law.stricter[key].given_by))
        found += [_lawful(owner.ask(key), "owner", owner.code) for owner in self._owners]
        if ask.kind not in MEASURED:
            return tuple(v for v in found if v is not None)
        return (*(v for v in found if v is not None), *self._rules.get(key, ()))

    def ask(self, key: str, on: date | None = None) -> Answer:
        """The strictest answer to a measured question; to any other the law's own."""
        if on is not None or (key not in self._rules and not self._owners and key not in self.law.stricter):  # nobody else speaks
            return self.law.ask(key, on)
        voice = self.strictest(key)
        return self.law.ask(key) if voice is None else voice.answer

    def strictest(self, key: str) -> Voice | None:
        """The voice that governs a measured question; None where nobody answers it."""
        ask = question(key)
        return _strictest(ask, self.voices(key)) if ask.kind in MEASURED else None

    def held_to(self, key: str) -> Answer | None:
        """The strictest answer among those to which the site is held; None where nobody does more than advise."""
        ask = question(key)
        if ask.kind not in MEASURED or (key not in self._rules and not self._owners and key not in self.law.stricter):
            answer = self.law.ask(key)
            return None if answer.silent or not answer.limits else answer
        voice = _strictest(ask, tuple(v for v in self.voices(key) if v.binds))
        return None if voice is None else voice.answer

    def figure(self, key: str) -> float | None:
        """The figure in SI to which the site is held, the strictest; None where nobody does more than advise."""
        held = self.held_to(key)
        return None if held is None else held.figure

    def advice(self, key: str) -> Answer | None:
        """What the law's authority, a standard or an industry body advises on a question without binding the site; None where it binds or is silent."""
        answer = self.law.ask(key)
        return None if answer.silent or answer.limits else answer

    def governs(self) -> tuple[Governs, ...]:
        """The questions on which more than one source speaks, in the order of the fixed list."""
        if self._found is None:
            keys = (
                questions()
                if self._owners
                else tuple(key for key in questions() if key in self._rules or key in self.law.stricter)
            )
            self._found = tuple(found for key in keys if (found := self._governs(key)) is not None)
        return self._found

    def _governs(self, key: str) -> Governs | None:
        ask, voices = question(key), self.voices(key)
        if len(voices) < 2 or ask.kind not in MEASURED:
            return None
        best = _strictest(ask, voices)
        if best is None:
            return None
        return Governs(
            path=f"governing[{key}]", key=key, asks=ask.asks, voices=voices, strictest=best, why=_why(ask, best, voices),
            against=_against(best, voices),
        )  # fmt: skip


def _lawful(answer: Answer, whose: Literal["law", "advice", "read-by", "owner"], name: str) -> Voice | None:
    """An answer of the law or of an owner's set as a voice; None where its text is silent."""
    if answer.silent:
        return None
    bound: VoiceBound = "exactly" if answer.bound == "neither" else answer.bound
    return Voice(
        path=f"{whose}.{answer.key}", whose=whose, id=name, bound=bound, text=answer.text, citation=answer.citation, answer=answer
    )


def _voice(rule: SiteRule | LocalRule, law: LawAlone) -> tuple[str, Voice] | Unmatched | None:
    """A rule of the profile as a voice with its question; None for a rule that speaks in words only."""
    key = rule.question or (SUBJECTS.get(rule.subject or "") if isinstance(rule, SiteRule) else None)
    given = _given(rule)
    if key is None:
        return Unmatched(f"{rule.path}.value", rule.id, "nameless", given=given or "") if rule.value is not None else None
    try:
        ask = question(key)
    except CodeError as error:
        return Unmatched(f"{rule.path}.question", rule.id, "unknown", key, told=str(error))
    if given is None:
        return Unmatched(rule.path, rule.id, "empty", key) if rule.question is not None else None
    if ask.kind not in MEASURED:
        return Unmatched(f"{rule.path}.question", rule.id, "worded", key)
    try:
        value, text, unit = _read(ask, given)
    except (UnitProblem, ValueError) as error:
        return Unmatched(f"{rule.path}.{'value' if rule.value else 'interval'}", rule.id, "unreadable", key, given, str(error))
    bound: VoiceBound = rule.bound or ("exactly" if ask.bound == "neither" else ask.bound)
    whose: LocalKind | Literal["site-rule"] = rule.kind if isinstance(rule, LocalRule) else "site-rule"
    citation = rule.citation if isinstance(rule, LocalRule) else rule.id
    return key, Voice(
        path=rule.path, whose=whose, id=rule.id, bound=bound, text=text, citation=citation,
        answer=_answer(ask, law, rule, value, text, unit, citation, whose),
    )  # fmt: skip


def _given(rule: SiteRule | LocalRule) -> str | None:
    """The figure that a rule writes; for one on tie-off its height."""
    if rule.value:
        return rule.value
    if rule.interval is not None:
        return rule.interval.text
    if isinstance(rule, LocalRule) or rule.question is not None or rule.subject != "tie-off" or rule.height is None:
        return None
    return rule.height.text


def _read(ask: Question, given: str) -> tuple[float | int | Interval, str, str]:
    """Value, text and unit of a figure that a rule writes. UnitProblem or ValueError for another kind."""
    if ask.kind in KINDS:
        amount: Amount = parse(given, ask.kind)
        return amount.si, amount.text, amount.unit
    if ask.kind == "interval":
        interval = parse_interval(given)
        return interval, interval.text, ""
    return (float(given) if ask.kind == "ratio" else int(given)), given, ""


def _answer(
    ask: Question, law: LawAlone, rule: SiteRule | LocalRule, value: Value, text: str, unit: str, citation: str, whose: Force
) -> Answer:
    """The answer that a rule of the profile gives, in the form of the law's own."""
    checked = (rule.verified_on if isinstance(rule, LocalRule) else None) or law.on
    return replace(
        law.ask(ask.key), state="answered", value=value, text=text, unit=unit, also="", says="", says_plain="", citation=citation,
        source=rule.id, title=rule.text, body=(rule.authority if isinstance(rule, LocalRule) else None) or "", edition="", url="",
        stable="", force=whose, basis="none", read=None, inclusive=ask.at_limit == "inside", effective=checked, effective_basis="none",
        note="", fallback="", looked_in=(), looked_on=None, looked=True, alternative="", starts="", written="", given_by="", covers={},
        amended_by=(), expected=(),
    )  # fmt: skip


def _size(voice: Voice, unit: str = "") -> float:
    """A number that orders the figures of one question; intervals by the day on which they end. ValueError for words.

    `unit`: that of the figure beside it, where the text prints two.
    """
    value = voice.answer.value
    if isinstance(value, Interval):
        return float(value.after(START).toordinal() - START.toordinal())
    if isinstance(value, int | float):
        return float(voice.answer.figure_in(unit) or value)
    raise ValueError(f"{voice.answer.key} is not a figure")


def _strictest(ask: Question, voices: tuple[Voice, ...]) -> Voice | None:
    """The voice that leaves the least room, among those that go the way of the question; the law where two are equal."""
    exact = [v for v in voices if v.bound == "exactly" and ask.bound != "neither"]
    if exact:
        return exact[0]
    ours = [v for v in voices if v.bound == ("exactly" if ask.bound == "neither" else ask.bound)]
    if not ours:
        return None
    way = -1.0 if ask.bound == "minimum" else 1.0
    best = ours[0]
    for voice in ours[1:] if ask.bound != "neither" else ():
        size, least = way * _size(voice), way * _size(best)
        if same_figure(size, least):
            best = voice if _narrower(ask, voice, best) else best
        elif size < least:
            best = voice
    return best


def _narrower(ask: Question, one: Voice, other: Voice) -> bool:
    """At the same figure: a limit that leaves out exactly-at, and a duty that begins at it, are the stricter."""
    if one.answer.inclusive == other.answer.inclusive:
        return False
    return one.answer.inclusive is (ask.bound == "threshold")


def _why(ask: Question, best: Voice, voices: tuple[Voice, ...]) -> Why:
    others = [v for v in voices if v is not best and v.bound == best.bound]
    if best.bound == "exactly" or not others:
        return "exactly" if best.bound == "exactly" else "alone"
    if any(not same_figure(_size(v), _size(best)) for v in others):
        return WHY.get(ask.bound, "lower-threshold")
    return "stricter-at-limit" if any(v.answer.inclusive != best.answer.inclusive for v in others) else "same-figure"


def _against(best: Voice, voices: tuple[Voice, ...]) -> Voice | None:
    """A voice on the same question that cannot be met together with the strictest one."""
    for voice in voices:
        if voice is best:
            continue
        size, limit = _size(voice), _size(best)
        if same_figure(size, limit):
            continue
        pair = {voice.bound, best.bound}
        if pair == {"exactly"}:
            return voice
        if pair == {"maximum", "minimum"} and (size > limit) is (voice.bound == "minimum"):
            return voice
        if "exactly" in pair and "threshold" not in pair:
            exact, other = (voice, best) if voice.bound == "exactly" else (best, voice)
            if (_size(exact) > _size(other)) is (other.bound == "maximum"):
                return voice
    return None
