"""The tables that several procedures use: covered tasks, cautions, tools and the glossary. Data only."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from trainer.procedure import source
from trainer.procedure.blocks import Block, Key, TableOf
from trainer.procedure.findings import Finding, Place, Signal
from trainer.procedure.keys import CAUTION
from trainer.procedure.model import Caution, Hazard
from trainer.procedure.task_keys import TASK, task_of
from trainer.procedure.values import Reading, Text

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from trainer.records.qualification import CoveredTask

TOOL = Block(
    "a tool",
    (
        Key("name", Text(), "Its printed name.", "Torque wrench, 20 to 200 N·m", required=True),
        Key("use", Text(), "What it is for."),
    ),
    short="name",
)
TERM = Block("a term", (Key("meaning", Text(), "What it means.", required=True),), short="meaning")


class TaskTable(TableOf):
    """Covered tasks, whose ids look like `T-31`."""

    def read(
        self, node: source.Node, path: tuple[str | int, ...], reading: Reading
    ) -> dict[str, dict[str, Any]]:
        """Return id → block; any text is an id here."""
        if not isinstance(node, source.Mapping):
            self.wrong(node, path, reading)
            return {}
        table = {}
        for name, item, place in node.items():
            reading.places[(*path, name)] = place
            table[name] = self.block.read(item, (*path, name), reading) or {}
        return table


FILES = {
    "tasks": Block(
        "the covered tasks", (Key("tasks", TaskTable(TASK), "The covered tasks.", required=True),)
    ),
    "cautions": Block("the cautions", (Key("cautions", TableOf(CAUTION), "The cautions.", required=True),)),
    "tools": Block("the tools", (Key("tools", TableOf(TOOL), "The tools.", required=True),)),
    "glossary": Block("the glossary", (Key("terms", TaskTable(TERM), "The terms.", required=True),)),
}


@dataclass(frozen=True)
class SharedTables:
    """What the shared files hold, and what is wrong in them."""

    tasks: Mapping[str, CoveredTask] = field(default_factory=dict)
    cautions: Mapping[str, Caution] = field(default_factory=dict)
    tools: Mapping[str, str] = field(default_factory=dict)
    glossary: Mapping[str, str] = field(default_factory=dict)
    findings: tuple[Finding, ...] = ()


def read_tables(folder: Path) -> SharedTables:
    """Return the shared tables of a folder; a missing or broken file gives findings and empty tables."""
    values: dict[str, dict[str, Any]] = {}
    findings: list[Finding] = []
    for name, block in FILES.items():
        path = folder / f"{name}.yaml"
        try:
            tree = source.read(path.read_bytes(), str(path))
        except OSError:
            place = Place(str(path), 1, 1)
            findings.append(
                Finding(
                    "yaml",
                    Signal.ERROR,
                    place,
                    "The file cannot be read.",
                    "Put it back; procedures name what is in it.",
                )
            )
            continue
        reading = Reading(findings=list(tree.findings))
        values[name] = (block.read(tree.root, (), reading) or {}) if tree.root else {}
        findings += reading.findings
    return SharedTables(
        tasks={n: task_of(n, v) for n, v in values.get("tasks", {}).get("tasks", {}).items()},
        cautions={
            n: Caution(n, v.get("signal", Hazard.CAUTION), v.get("text", ""))
            for n, v in values.get("cautions", {}).get("cautions", {}).items()
        },
        tools={n: v.get("name", n) for n, v in values.get("tools", {}).get("tools", {}).items()},
        glossary={n: v.get("meaning", "") for n, v in values.get("glossary", {}).get("terms", {}).items()},
        findings=tuple(findings),
    )
