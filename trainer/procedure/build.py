"""Values as read → a Module. Whatever can be read is kept, so that one slip does not hide the next."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from trainer.competency.skill_classes import Group
from trainer.procedure import keys
from trainer.procedure.findings import Place
from trainer.procedure.geometry import Geometry
from trainer.procedure.model import (
    Adapter,
    BySize,
    CastleNut,
    Cause,
    Caution,
    Energy,
    Fact,
    Fastener,
    FaultCheck,
    Figure,
    Handling,
    Hazard,
    Judgement,
    Line,
    Module,
    Part,
    Pass,
    Phase,
    Reaction,
    Renewal,
    Saying,
    Sight,
    Step,
    Symptom,
    Tooling,
    Verb,
    WayRound,
)
from trainer.procedure.station_reading import station
from trainer.procedure.values import Reading

if TYPE_CHECKING:
    from collections.abc import Mapping

    from trainer.procedure.blocks import SizedValue
    from trainer.procedure.source import Source

Values = dict[str, Any]


def build(source: Source, shared_cautions: Mapping[str, Caution]) -> Module:
    """Return the module that a source describes, with everything that was wrong in it as `problems`.

    Args:
        source: the tree with places.
        shared_cautions: cautions that any module may name.
    """
    reading = Reading(findings=list(source.findings))
    values: Values = {}
    if source.root is not None:
        reading.places[()] = source.root.place
        values = keys.MODULE.read(source.root, (), reading) or {}
    else:
        reading.places[()] = Place(source.name, 1, 1)
    steps = {name: _step(name, item) for name, item in values.get("steps", {}).items()}
    cautions = {name: _caution(name, item) for name, item in values.get("cautions", {}).items()}
    used = dict.fromkeys(name for step in steps.values() for name in step.cautions)
    cautions |= {n: shared_cautions[n] for n in used if n in shared_cautions and n not in cautions}
    return Module(
        id=values.get("module", ""),
        title=values.get("title", ""),
        document=values.get("document", ""),
        covered_task=values.get("covered_task", ""),
        sizes=tuple(dict.fromkeys(values.get("sizes", ()))),
        summary=values.get("summary", ""),
        phases={n: Phase(n, v.get("title", _spoken(n))) for n, v in values.get("phases", {}).items()},
        facts={n: _fact(n, v) for n, v in values.get("facts", {}).items()},
        energies={n: _energy(n, v) for n, v in values.get("energies", {}).items()},
        parts={n: _part(n, v) for n, v in values.get("parts", {}).items()},
        fasteners={n: _fastener(n, v) for n, v in values.get("fasteners", {}).items()},
        lines={n: _line(n, v) for n, v in values.get("lines", {}).items()},
        cautions=cautions,
        steps=steps,
        places=reading.places,
        file=source.name,
        references=tuple(reading.references),
        problems=tuple(reading.findings),
        faults={n: _fault(n, v) for n, v in values.get("faults", {}).items()},
        sayings={n: _saying(n, v) for n, v in values.get("sayings", {}).items()},
        tooling={n: _tooling(n, v) for n, v in values.get("tooling", {}).items()},
        figures={n: _figure(n, v) for n, v in values.get("figures", {}).items()},
        sights={n: _sight(n, v) for n, v in values.get("sights", {}).items()},
        competency={n: _group(n, v) for n, v in values.get("competency", {}).items()},
        geometry=Geometry(values.get("shapes", {}), values.get("drawing", {})),
        station=station(values.get("station")),
    )


def _spoken(name: str) -> str:
    return name.replace("_", " ").replace("-", " ").capitalize()


def _sized(value: SizedValue | None) -> BySize[Any] | None:
    return None if value is None else BySize(value.common, value.each)


def _count(values: Values) -> BySize[int]:
    return _sized(values.get("count")) or BySize(common=1)


def _group(name: str, values: Values) -> Group:
    return Group(name, values.get("title", _spoken(name)), values.get("skills", ()))


def _fact(name: str, values: Values) -> Fact:
    return Fact(
        id=name,
        text=values.get("text", _spoken(name)),
        at_start=values.get("at_start", False),
        hand_back=values.get("hand_back", False),
        otherwise=values.get("otherwise", ""),
        signal=values.get("signal", Hazard.CAUTION),
    )


def _energy(name: str, values: Values) -> Energy:
    return Energy(
        id=name,
        signal=values.get("signal", Hazard.WARNING),
        safe_when=values.get("safe_when", ()),
        otherwise=values.get("otherwise", ""),
        name=values.get("name", _spoken(name)),
        pressure=_sized(values.get("pressure")),
        acts_on=_sized(values.get("acts_on")),
        rate=_sized(values.get("rate")),
        compression=_sized(values.get("compression")),
    )


def _part(name: str, values: Values) -> Part:
    faces = values.get("faces")
    return Part(
        id=name,
        name=values.get("name", _spoken(name)),
        fixed=values.get("fixed", False),
        rests_on=values.get("rests_on", ()),
        encloses=values.get("encloses", ()),
        contains=values.get("contains", ()),
        locks=values.get("locks", ()),
        count=_count(values),
        renew=values.get("renew", Renewal.KEEP),
        kit=values.get("kit", ""),
        way_round=WayRound(faces[0], faces[1], values.get("turned", "")) if faces else None,
        mass=_sized(values.get("mass")),
        lift=values.get("lift", ""),
        material=values.get("material", ""),
        judged=_judgement(values.get("judged")),
        seen_as=values.get("seen_as"),
        damages=values.get("damages", ()),
        handled=_handling(values.get("handled")),
    )


def _fastener(name: str, values: Values) -> Fastener:
    castle = values.get("castle")
    adapter = values.get("adapter")
    return Fastener(
        id=name,
        name=values.get("name", _spoken(name)),
        clamps=values.get("clamp", ()),
        contains=values.get("contains", ()),
        count=_count(values),
        thread=_sized(values.get("thread")),
        torque=_sized(values.get("torque")),
        hand_tight=values.get("hand_tight", False),
        passes=tuple(Pass(None if share == "round" else share) for share in values.get("passes", ())),
        pattern=values.get("pattern"),
        pattern_order=_sized(values.get("order")),
        castle=_castle(castle) if castle and {"slots", "rule"} <= castle.keys() else None,
        adapter=Adapter(**adapter) if adapter and {"wrench", "offset"} <= adapter.keys() else None,
        locking=values.get("locking", ""),
        renew=values.get("renew", Renewal.KEEP),
        kit=values.get("kit", ""),
        judged=_judgement(values.get("judged")),
        seen_as=values.get("seen_as"),
        damages=values.get("damages", ()),
    )


def _judgement(values: Values | None) -> Judgement | None:
    if values is None:
        return None
    return Judgement(
        measure=values.get("measure", ""),
        at_least=_sized(values.get("at_least")),
        at_most=_sized(values.get("at_most")),
        sound=values.get("sound", ()),
        unsound=values.get("unsound", ()),
    )


def _handling(values: Values | None) -> Handling | None:
    if values is None:
        return None
    return Handling(
        reach=_sized(values.get("reach")),
        height=_sized(values.get("height")),
        twist=values.get("twist"),
        legs=values.get("legs", 0),
    )


def _castle(values: Values) -> CastleNut:
    return CastleNut(
        values["slots"], values["rule"], _sized(values.get("torque_max")), _sized(values.get("drag"))
    )


def _line(name: str, values: Values) -> Line:
    return Line(name, values.get("name", _spoken(name)), values.get("joins", ()), values.get("contains", ()))


def _caution(name: str, values: Values) -> Caution:
    return Caution(name, values.get("signal", Hazard.CAUTION), values.get("text", ""))


def _fault(name: str, values: Values) -> Symptom:
    causes = values.get("causes", {}).items()
    return Symptom(
        id=name,
        symptom=values.get("symptom", ""),
        causes={n: Cause(v.get("text", _spoken(n)), v.get("often", 1)) for n, v in causes},
        checks={n: _fault_check(n, v) for n, v in values.get("checks", {}).items()},
    )


def _fault_check(name: str, values: Values) -> FaultCheck:
    return FaultCheck(
        do=values.get("do", _spoken(name)),
        minutes=values.get("minutes", 1),
        finds=values.get("finds", ()),
        found=values.get("found", ""),
        not_found=values.get("not_found", ""),
    )


def _saying(name: str, values: Values) -> Saying:
    return Saying(name, values.get("ask", ""), values.get("say", ""), values.get("terms", ()))


def _tooling(name: str, values: Values) -> Tooling:
    return Tooling(
        id=name,
        step=values.get("step", ""),
        right=_sized(values.get("right")) or BySize(),
        because=values.get("because", ""),
        wrong=values.get("wrong", {}),
    )


def _figure(name: str, values: Values) -> Figure:
    given = {key: BySize(value.common, value.each) for key, value in values.get("given", {}).items()}
    return Figure(
        id=name,
        ask=values.get("ask", ""),
        by=values.get("by", ""),
        given=given,
        units=values.get("units", ()),
        within=values.get("within", 2),
    )


def _sight(name: str, values: Values) -> Sight:
    return Sight(
        id=name,
        during=values.get("during", ()),
        sight=values.get("sight", ""),
        do=values.get("do", Reaction.STOP),
        how=values.get("how", ""),
        otherwise=values.get("otherwise", ""),
        signal=values.get("signal", Hazard.WARNING),
        condition=values.get("condition", ""),
    )


def _step(name: str, values: Values) -> Step:
    return Step(
        id=name,
        do=values.get("do", _spoken(name)),
        phase=values.get("phase", ""),
        acts={verb: values[verb.value] for verb in Verb if values.get(verb.value)},
        along=values.get("with", ()),
        needs=values.get("needs", ()),
        makes=tuple(dict.fromkeys((*values.get("makes", ()), *values.get("prove", ())))),
        ends=values.get("ends", ()),
        proves=values.get("prove", ()),
        after=values.get("after", ()),
        before=values.get("before", ()),
        because=values.get("because", ""),
        because_signal=values.get("signal", Hazard.NOTICE),
        cautions=values.get("caution", ()),
        tools=values.get("tools", ()),
        record=values.get("record", ""),
        note=values.get("note", ""),
    )
