"""`trainer simulate-crew`: the rules of sign-off and refreshers, proved on invented people of known skill."""

from __future__ import annotations

import json
import sys
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import click

from trainer import settings
from trainer.actions import policy as policies
from trainer.actions.actor import SYSTEM
from trainer.actions.opening import open_database
from trainer.cli.output import format_option, say_json
from trainer.competency.policy import Policy, read
from trainer.competency.skill_classes import SkillClass
from trainer.errors import TrainerError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from trainer.competency.proving_ground import ClassReport, Report, Share
    from trainer.competency.proving_refreshers import Refreshed

_NUMBERS = 10_000
_WORDS = {SkillClass.CRITICAL: "Critical", SkillClass.ORDINARY: "Ordinary", SkillClass.ABNORMAL: "Abnormal"}


class PolicyFileUnreadable(TrainerError):
    """The file with the numbers of a programme cannot be read, or is not a JSON object."""

    def __init__(self, name: str) -> None:
        super().__init__(f"The policy in {name} cannot be read; it must be a JSON object of numbers by name.")


@dataclass(frozen=True)
class Numbers:
    """The numbers that a crew is run by, and where they are from in words."""

    policy: Policy
    where: str


@click.command("simulate-crew", epilog="Example: trainer simulate-crew --people 20000 --seed 7")
@click.option("--people", default=_NUMBERS, show_default=True, help="How many invented people.")
@click.option(
    "--seed", default=1, show_default=True, type=click.IntRange(min=0), help="The same gives the same crew."
)
@click.option(
    "--policy",
    "policy_file",
    type=click.Path(),
    help="JSON file with numbers other than the defaults, by name; without it those in force at the instance.",
)
@format_option
@click.pass_context
def simulate_crew_command(
    ctx: click.Context, people: int, seed: int, policy_file: str | None, output: str
) -> None:
    """Run an invented crew of known skill through practice, assessment and refreshers.

    Prints how often people below standard were found ready and good ones not ready, how many attempts that took, and
    what a test of fixed length and "so many in a row" would have done to the same crew. The decisions are those made on
    real people, by the numbers in force at the instance where there is one. Limits are one-sided, 95 %,
    Clopper-Pearson; those of refreshers two-sided, 99 %.

    Exits with 1 when a false-pass rate is surely (95 %) above the risk that the policy states.
    """
    from trainer.competency import proving_ground, proving_refreshers

    numbers = _numbers(policy_file)
    policy = numbers.policy
    # Progress is for a person who waits; a pipe gets the answer alone.
    watched = sys.stderr.isatty()
    report = proving_ground.simulate(
        policy, people, seed, progress=(lambda done: _progress(done, people)) if watched else None
    )
    refreshed = []
    for number, skill_class in enumerate(SkillClass):
        if watched:
            click.echo(f"\rRefreshers, {_WORDS[skill_class].lower()} skills …      ", err=True, nl=False)
        refreshed.append(proving_refreshers.refresh(policy, skill_class, people, (seed, number)))
    if watched:
        click.echo("\r" + " " * 48 + "\r", err=True, nl=False)
    if output == "json":
        say_json(as_data(report, refreshed, numbers))
    else:
        click.echo("\n".join(as_lines(report, refreshed, numbers)))
    ctx.exit(1 if any(found.false_pass.lower_95 > found.beta for found in report.classes) else 0)


def _numbers(name: str | None) -> Numbers:
    if name is not None:
        return Numbers(_of_file(name), f"those in {name}, else the program's own")
    chosen = settings.load()
    # Looking at a folder without a database must not put one there.
    if not chosen.database_url and not (chosen.instance / "trainer.sqlite3").is_file():
        return Numbers(Policy(), "the program's own")
    with open_database(chosen) as db:
        found = policies.sheet(db, SYSTEM)
    if found.line.at is None:
        return Numbers(found.policy, "the program's own; nobody has changed them at the instance")
    return Numbers(
        found.policy, f"in force at the instance since {found.line.at:%Y-%m-%d}, {found.line.sha256[:12]}"
    )


def _of_file(name: str) -> Policy:
    try:
        with click.open_file(name, encoding="utf-8") as file:
            data = json.load(file)
    except (OSError, ValueError) as problem:
        raise PolicyFileUnreadable(name) from problem
    if not isinstance(data, dict):
        raise PolicyFileUnreadable(name)
    return read(data)


def _progress(done: int, people: int) -> None:
    click.echo(f"\r{done:,} of {people:,} people assessed", err=True, nl=False)


def as_data(report: Report, refreshed: Sequence[Refreshed], numbers: Numbers) -> dict[str, Any]:
    """Return the run as plain JSON values; what stands at the top is about critical skills."""
    critical = report.of(SkillClass.CRITICAL)
    top = _class_data(critical)
    return {
        "people": report.people,
        "seed": report.seed,
        "numbers": {"from": numbers.where, "policy": numbers.policy.as_data()},
        **{
            key: top[key]
            for key in ("beta", "alpha", "false_pass", "false_fail", "mean_attempts", "in_a_row")
        },
        "person": {"false_pass": _share(report.person)},
        "practice": {
            "mean_drills": report.practice.mean_drills,
            "released_below_standard": _share(report.practice.released_below_standard),
        },
        "classes": {found.skill_class.value: _class_data(found) for found in report.classes},
        "refreshers": {found.skill_class.value: _refreshed_data(found) for found in refreshed},
    }


def _share(share: Share) -> dict[str, Any]:
    return {"rate": share.rate, "upper_95": share.upper_95, "times": share.times, "of": share.of}


def _class_data(found: ClassReport) -> dict[str, Any]:
    return {
        "beta": found.beta,
        "alpha": found.alpha,
        "false_pass": _share(found.false_pass),
        "false_fail": _share(found.false_fail),
        "mean_attempts": {
            "ours": found.mean_attempts,
            "fixed_length": found.fixed,
            "fixed_length_stopped_early": found.fixed_stopped,
            "ours_first_series": found.first_series,
            "fixed_length_first_series": found.first_fixed.attempts,
        },
        "in_a_row": [
            {"needed": row.needed, "false_pass": _share(row.false_pass), "mean_attempts": row.mean_attempts}
            for row in found.in_a_row
        ],
    }


def _refreshed_data(found: Refreshed) -> dict[str, Any]:
    return {
        "people": found.people,
        "refreshers": found.refreshers,
        "right": {
            "predicted": found.predicted,
            "rate": found.right,
            "low_95": found.low,
            "high_95": found.high,
        },
        "agrees": found.agrees,
        "longest_days": found.longest_days,
        "cap_days": found.cap_days,
        "half_life_days": {"true": found.true_half_life, "learnt": found.learnt_half_life},
    }


def as_lines(report: Report, refreshed: Sequence[Refreshed], numbers: Numbers) -> list[str]:
    """Return the run as lines of text."""
    lines = [
        f"{report.people:,} invented people, seed {report.seed}",
        f"Numbers: {numbers.where}",
        f"Practice: {report.practice.mean_drills:.1f} drills a skill until released; of those released"
        f" {_per_cent(report.practice.released_below_standard.rate)} were below standard.",
        "",
    ]
    for found in report.classes:
        lines += _class_lines(found)
    lines += [
        "Whole person, ready in every class while below standard in one:"
        f" {_limited(report.person)} of {report.person.of:,}.",
        "",
        "Refreshers at the days the program sets, on people of known forgetting",
    ]
    lines += [_refreshed_line(found) for found in refreshed]
    return lines


def _class_lines(found: ClassReport) -> list[str]:
    verdict = "within" if found.false_pass.upper_95 <= found.beta else "NOT SHOWN WITHIN"
    return [
        f"{_WORDS[found.skill_class]} skills",
        f"  found ready below standard  {_limited(found.false_pass)} of {found.false_pass.of:,};"
        f" {verdict} the stated {_per_cent(found.beta)}",
        f"  good, found not ready       {_limited(found.false_fail)} of {found.false_fail.of:,};"
        f" stated {_per_cent(found.alpha)}",
        f"  attempts a series           {found.mean_attempts:.1f}; fixed length of the same risk {found.fixed:.1f},"
        f" {found.fixed_stopped:.1f} when stopped as soon as its end is certain",
        *(
            f"  {row.needed} in a row, any number of tries: {_per_cent(row.false_pass.rate)} of those below standard"
            f" get through, after {row.mean_attempts:.0f} attempts"
            for row in found.in_a_row
        ),
        "",
    ]


def _refreshed_line(found: Refreshed) -> str:
    agree = "agree" if found.agrees else "DO NOT AGREE"
    return (
        f"  {_WORDS[found.skill_class]:<9} right {_per_cent(found.right)} ({_per_cent(found.low)} to"
        f" {_per_cent(found.high)}), predicted {_per_cent(found.predicted)}: they {agree};"
        f" longest {found.longest_days} days of {found.cap_days} allowed;"
        f" half-life {found.true_half_life:.0f} days, learnt {found.learnt_half_life:.0f}"
    )


def _limited(share: Share) -> str:
    return f"{_per_cent(share.rate)} (at most {_per_cent(share.upper_95)})"


def _per_cent(share: float) -> str:
    return f"{100 * share:.1f} %"
