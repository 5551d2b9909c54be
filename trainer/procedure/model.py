"""A procedure as plain values: how the machine is built, what is in it that can hurt, and what the steps do.

Nothing here reads a file, judges or draws. Names that a file uses but never defines stay as they are written;
the checker tells about them, and everything derived from a module passes over them.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from typing import TYPE_CHECKING, Generic, TypeVar

from trainer.trade import castle_nut  # noqa: TC001  # read by the table of keys too

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from trainer.competency.skill_classes import Group
    from trainer.procedure.damage import SeenAs
    from trainer.procedure.findings import Finding, Place
    from trainer.procedure.geometry import Geometry
    from trainer.procedure.station import Station
    from trainer.trade.units import Quantity

T = TypeVar("T")


class Hazard(StrEnum):
    """The signal word of a hazard, worst first (ANSI Z535.4-2007, 4.14, as quoted on a sign maker's public page).

    danger: will kill or maim; warning: could kill or maim; caution: could hurt; notice: damage, no injury.
    """

    DANGER = "danger"
    WARNING = "warning"
    CAUTION = "caution"
    NOTICE = "notice"

    @property
    def is_critical(self) -> bool:
        """Danger and warning: no credit elsewhere makes up for it."""
        return self in (Hazard.DANGER, Hazard.WARNING)

    @property
    def rank(self) -> int:
        """0 for the worst."""
        return list(Hazard).index(self)


class Renewal(StrEnum):
    """What the overhaul does with a part that it disturbs."""

    ALWAYS = "always_when_disturbed"
    ON_CONDITION = "on_condition"
    KEEP = "keep"


class Pattern(StrEnum):
    """The order in which a set of fasteners is tightened."""

    CROSS = "cross"
    ROUND = "round"


class Reaction(StrEnum):
    """What a person does about a sight or a reading, from the least to the most."""

    GO_ON = "go_on"
    REPORT = "report"
    MAKE_SAFE = "make_safe"
    STOP = "stop"


@dataclass(frozen=True)
class BySize(Generic[T]):
    """A value that is the same for every size, or one a size."""

    common: T | None = None
    each: Mapping[str, T] = field(default_factory=dict)

    def at(self, size: str | None) -> T | None:
        """Return the value for a size, or None when the module gives none; without a size the first one."""
        if self.common is not None:
            return self.common
        if size is None:
            return next(iter(self.each.values()), None)
        return self.each.get(size)

    def values(self) -> Iterator[T]:
        """Every value written."""
        if self.common is not None:
            yield self.common
        yield from self.each.values()


@dataclass(frozen=True)
class Phase:
    """A named stretch of the job: a window for drills and a heading on the job card. It orders nothing by itself."""

    id: str
    title: str


@dataclass(frozen=True)
class Fact:
    """Something true or not, that steps make or end."""

    id: str
    text: str
    at_start: bool = False
    hand_back: bool = False
    otherwise: str = ""
    signal: Hazard = Hazard.CAUTION


@dataclass(frozen=True)
class Energy:
    """Gas, spring force or weight held inside something, harmless only while its facts are true.

    `pressure` (gauge) and `acts_on` (diameter) give the force of a gas; `rate` and `compression` that of a spring.
    """

    id: str
    signal: Hazard
    safe_when: tuple[str, ...]
    otherwise: str
    name: str = ""
    pressure: BySize[Quantity] | None = None
    acts_on: BySize[Quantity] | None = None
    rate: BySize[Quantity] | None = None
    compression: BySize[Quantity] | None = None


@dataclass(frozen=True)
class WayRound:
    """How a part goes in: the feature that tells its sides apart and where it points; `either` when it has none."""

    feature: str
    direction: str
    turned: str = ""

    @property
    def either(self) -> bool:
        """The part has no wrong way round."""
        return self.direction == "either"


@dataclass(frozen=True)
class Judgement:
    """By what a thing that is renewed on condition is judged: a measured length and its limits, or what is seen."""

    measure: str = ""
    at_least: BySize[Quantity] | None = None
    at_most: BySize[Quantity] | None = None
    sound: tuple[str, ...] = ()
    unsound: tuple[str, ...] = ()


@dataclass(frozen=True)
class Handling:
    """How a part is reached when it is lifted: hands out and over the floor, body twisted; legs of its slings."""

    reach: BySize[Quantity] | None = None
    height: BySize[Quantity] | None = None
    twist: Quantity | None = None
    legs: int = 0


@dataclass(frozen=True)
class Part:
    """A part, or a set of equal parts, and what it sits on."""

    id: str
    name: str
    fixed: bool = False
    rests_on: tuple[str, ...] = ()
    encloses: tuple[str, ...] = ()
    contains: tuple[str, ...] = ()
    locks: tuple[str, ...] = ()
    count: BySize[int] = field(default_factory=lambda: BySize(common=1))
    renew: Renewal = Renewal.KEEP
    kit: str = ""
    way_round: WayRound | None = None
    mass: BySize[Quantity] | None = None
    lift: str = ""
    material: str = ""
    judged: Judgement | None = None
    seen_as: SeenAs | None = None
    damages: tuple[str, ...] = ()
    handled: Handling | None = None


@dataclass(frozen=True)
class Pass:
    """One pass of a tightening: a share of the target in a cross pattern, or a round at full torque."""

    percent: int | None

    @property
    def is_round(self) -> bool:
        """Round and round at full torque until no nut turns."""
        return self.percent is None


@dataclass(frozen=True)
class CastleNut:
    """A slotted nut with a pin: torque range and what to do when no slot lines up."""

    slots: int
    rule: castle_nut.Rule
    torque_max: BySize[Quantity] | None = None
    drag: BySize[Quantity] | None = None


@dataclass(frozen=True)
class Adapter:
    """A crowfoot or offset adapter on the torque wrench: wrench length, adapter length, angle between them."""

    wrench: Quantity
    offset: Quantity
    angle: Quantity | None = None


@dataclass(frozen=True)
class Fastener:
    """Screws, studs with nuts, or one big nut, and what they clamp."""

    id: str
    name: str
    clamps: tuple[str, ...] = ()
    contains: tuple[str, ...] = ()
    count: BySize[int] = field(default_factory=lambda: BySize(common=1))
    thread: BySize[str] | None = None
    torque: BySize[Quantity] | None = None
    hand_tight: bool = False
    passes: tuple[Pass, ...] = ()
    pattern: Pattern | None = None
    pattern_order: BySize[tuple[int, ...]] | None = None
    castle: CastleNut | None = None
    adapter: Adapter | None = None
    locking: str = ""
    renew: Renewal = Renewal.KEEP
    kit: str = ""
    judged: Judgement | None = None
    seen_as: SeenAs | None = None
    damages: tuple[str, ...] = ()


@dataclass(frozen=True)
class Line:
    """A tube or cable that joins the machine to something: it comes off before what it is fastened to."""

    id: str
    name: str
    joins: tuple[str, ...] = ()
    contains: tuple[str, ...] = ()


@dataclass(frozen=True)
class Caution:
    """A caution as it is read, practised and printed."""

    id: str
    signal: Hazard
    text: str


class Verb(StrEnum):
    """What a step can do to things, in the order in which one step does several of them."""

    UNLOCK = "unlock"
    DISCONNECT = "disconnect"
    UNDO = "undo"
    REMOVE = "remove"
    CLEAN = "clean"
    INSPECT = "inspect"
    MEASURE = "measure"
    RENEW = "renew"
    LUBRICATE = "lubricate"
    INSTALL = "install"
    CONNECT = "connect"
    TIGHTEN = "tighten"
    LOCK = "lock"


@dataclass(frozen=True)
class Step:
    """One action of the procedure."""

    id: str
    do: str
    phase: str = ""
    acts: Mapping[Verb, tuple[str, ...]] = field(default_factory=dict)
    along: tuple[str, ...] = ()
    needs: tuple[str, ...] = ()
    makes: tuple[str, ...] = ()
    ends: tuple[str, ...] = ()
    proves: tuple[str, ...] = ()
    after: tuple[str, ...] = ()
    before: tuple[str, ...] = ()
    because: str = ""
    because_signal: Hazard = Hazard.NOTICE
    cautions: tuple[str, ...] = ()
    tools: tuple[str, ...] = ()
    record: str = ""
    note: str = ""

    def on(self, verb: Verb) -> tuple[str, ...]:
        """Return what the verb acts on in this step."""
        return self.acts.get(verb, ())

    @property
    def targets(self) -> tuple[str, ...]:
        """Everything the step acts on, in the order written, each once."""
        return tuple(dict.fromkeys(name for names in self.acts.values() for name in names))


@dataclass(frozen=True)
class Sight:
    """Something seen, heard or read during steps, what it asks for, and what happens to whoever goes on.

    `how` says what exactly is done, or why all is well; `condition` is the abnormal condition of the covered task.
    """

    id: str
    during: tuple[str, ...]
    sight: str
    do: Reaction
    how: str
    otherwise: str = ""
    signal: Hazard = Hazard.WARNING
    condition: str = ""


@dataclass(frozen=True)
class Figure:
    """A number to be reckoned: the question with `{name}` for what is given, and the computation that answers it.

    `given` maps each input to its possible values, as texts, by size if it differs; `within` is the tolerance in
    percent of the right value.
    """

    id: str
    ask: str
    by: str
    given: Mapping[str, BySize[tuple[str, ...]]]
    units: tuple[str, ...]
    within: int = 2


@dataclass(frozen=True)
class Tooling:
    """The right tool for a step, by size if it differs, and wrong ones, each with what it does."""

    id: str
    step: str
    right: BySize[str]
    because: str
    wrong: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Cause:
    """A cause of a fault; `often` is how often it is the one, against the others of the fault."""

    text: str
    often: int = 1


@dataclass(frozen=True)
class FaultCheck:
    """A check on a fault: what is done, how long it takes, which causes show in it, and what is seen then or else."""

    do: str
    minutes: int
    finds: tuple[str, ...]
    found: str
    not_found: str


@dataclass(frozen=True)
class Symptom:
    """A fault as it shows, with its causes and the checks that tell them apart."""

    id: str
    symptom: str
    causes: Mapping[str, Cause]
    checks: Mapping[str, FaultCheck]


@dataclass(frozen=True)
class Saying:
    """Something to be said in a few words: the question, a model answer, and the terms that an answer must hold.

    Alternatives within a term are separated by `/`; without terms an answer is compared by the person alone.
    """

    id: str
    ask: str
    say: str
    terms: tuple[str, ...] = ()


@dataclass(frozen=True)
class Reference:
    """A name used somewhere: the tables that may define it, and where it stands."""

    tables: tuple[str, ...]
    name: str
    path: tuple[str | int, ...]
    place: Place


@dataclass(frozen=True)
class Module:
    """A whole procedure, and where each of its pieces stands in its file.

    `places` maps a path such as `("steps", "vent", "needs", 0)` to the place of that node.
    """

    id: str
    title: str
    document: str
    covered_task: str
    sizes: tuple[str, ...]
    summary: str
    phases: Mapping[str, Phase]
    facts: Mapping[str, Fact]
    energies: Mapping[str, Energy]
    parts: Mapping[str, Part]
    fasteners: Mapping[str, Fastener]
    lines: Mapping[str, Line]
    cautions: Mapping[str, Caution]
    steps: Mapping[str, Step]
    places: Mapping[tuple[str | int, ...], Place]
    file: str
    references: tuple[Reference, ...] = ()
    problems: tuple[Finding, ...] = ()
    sights: Mapping[str, Sight] = field(default_factory=dict)
    sayings: Mapping[str, Saying] = field(default_factory=dict)
    faults: Mapping[str, Symptom] = field(default_factory=dict)
    tooling: Mapping[str, Tooling] = field(default_factory=dict)
    figures: Mapping[str, Figure] = field(default_factory=dict)
    competency: Mapping[str, Group] = field(default_factory=dict)
    geometry: Geometry | None = None
    station: Station | None = None
    canonical: bytes = b""
    revision: str = ""

    def place(self, *path: str | int) -> Place:
        """Return the place of the node at a path, or of the nearest enclosing node that has one."""
        for end in range(len(path), 0, -1):
            if path[:end] in self.places:
                return self.places[path[:end]]
        return self.places[()]

    def name(self, thing: str) -> str:
        """Return the printed name of a part, fastener or line; the id itself for anything else."""
        for table in (self.parts, self.fasteners, self.lines):
            if thing in table:
                return table[thing].name
        return thing

    def item_numbers(self) -> dict[str, int]:
        """Return item numbers 1… of parts and fasteners, in the order of the file."""
        return {thing: number for number, thing in enumerate([*self.parts, *self.fasteners], start=1)}


@dataclass(frozen=True, eq=False)
class SameRevision:
    """A module that compares by its revision: what is worked out from one need not be worked out from its equal."""

    module: Module

    def __eq__(self, other: object) -> bool:
        """Tell whether both are of one revision."""
        return isinstance(other, SameRevision) and self.module.revision == other.module.revision

    def __hash__(self) -> int:
        """Return the hash of the revision's name."""
        return hash(self.module.revision)
