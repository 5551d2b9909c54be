"""The pages of procedures."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from trainer.records.qualification import DUTY_OF_CARE
from trainer.web.modules.contents import Contents, PhaseShown, contents
from trainer.web.modules.pictures import Pictures, section_of
from trainer.web.pages import Page, TitleBlock

if TYPE_CHECKING:
    from trainer.actions.views import PublishedModule
    from trainer.procedure.model import Module


@dataclass(frozen=True)
class ModulesPage(Page):
    """The procedures in force."""

    TEMPLATE: ClassVar[str] = "modules/list.html"
    modules: tuple[PublishedModule, ...]
    may_publish: bool


@dataclass(frozen=True)
class ProcedurePage(Page):
    """One procedure: steps by phase with their cautions before them, parts list, torques, tools.

    `kinds` are those whose questions can be had as data, with `sizes_of_questions` to choose from; `printed` names what
    can be printed of it: (subject, size) for each size; `section` is the labelled section at the first size, when the
    procedure gives its parts shapes.
    """

    TEMPLATE: ClassVar[str] = "modules/procedure.html"
    module_id: str
    title: str
    summary: str
    task: str
    sizes: tuple[str, ...]
    phases: tuple[PhaseShown, ...]
    contents: Contents
    printed: tuple[tuple[str, str], ...]
    section: Pictures | None
    duty: str
    may_analyse: bool
    kinds: tuple[tuple[str, str], ...]
    sizes_of_questions: tuple[tuple[str, str], ...]


def modules_page(modules: tuple[PublishedModule, ...], *, may_publish: bool) -> ModulesPage:
    """Return the list of procedures in force."""
    return ModulesPage(TitleBlock(title="Procedures", kind="Register of procedures"), modules, may_publish)


def procedure_page(
    published: PublishedModule,
    module: Module,
    tools: dict[str, str],
    *,
    leading_torque: str,
    may_analyse: bool = False,
    kinds: tuple[tuple[str, str], ...] = (),
) -> ProcedurePage:
    """Return the sheet of a procedure.

    Args:
        published: what was published, by whom and when.
        module: its content.
        tools: printed names of the shared tools.
        leading_torque: the torque unit that stands first.
        may_analyse: whether who reads it may see how it is answered.
        kinds: kinds of drill whose questions who reads it may have as data, with their titles.
    """
    shown = contents(module, tools, leading_torque)
    block = TitleBlock(
        title=module.title,
        subtitle=", ".join(module.sizes),
        kind="Procedure",
        document=module.document,
        revision=published.revision,
        day=published.published_at.date(),
        issued_by=published.published_by,
    )
    return ProcedurePage(
        block=block,
        module_id=module.id,
        title=module.title,
        summary=module.summary,
        task=f"{published.task_id} {published.task_title}",
        sizes=module.sizes,
        phases=shown.phases,
        contents=shown,
        section=section_of(module),
        printed=tuple((f"{module.id} {size}".strip(), size) for size in module.sizes or ("",)),
        duty=DUTY_OF_CARE,
        may_analyse=may_analyse,
        kinds=(("", "all kinds"), *kinds) if kinds else (),
        sizes_of_questions=(("", "each seed its own"), *((size, size) for size in module.sizes)),
    )
