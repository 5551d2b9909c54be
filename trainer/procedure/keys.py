"""The one table of keys: reading, JSON Schema and the reference page all come from it."""

from __future__ import annotations

from typing import Any

from trainer.procedure import geometry_keys, station_keys
from trainer.procedure.blocks import Block, BySizeOf, EachNamed, Key, ListOf, StepList, TableOf
from trainer.procedure.damage import SeenAs
from trainer.procedure.model import Hazard, Pattern, Reaction, Renewal
from trainer.procedure.values import Count, Faces, Flag, Name, OneOf, QuantityOf, Share, TaskName, Text, Word
from trainer.trade.castle_nut import Rule as CastleRule

_THINGS = ("parts", "fasteners", "lines")
_MASS = QuantityOf("mass", "0.6 kg")
_TORQUE = QuantityOf("torque", "95 N·m")
_PRESSURE = QuantityOf("gauge pressure", "8 bar")
_LENGTH = QuantityOf("length", "50 mm")
_ANGLE = QuantityOf("angle", "90 °")
_STIFFNESS = QuantityOf("stiffness", "4 N/mm")

PHASE = Block(
    "a phase",
    (Key("title", Text(), "The heading on the job card.", "Teardown", required=True),),
    short="title",
)

FACT = Block(
    "a fact",
    (
        Key(
            "text",
            Text(),
            "The fact as a sentence that is true or not.",
            "The body reads zero and stays at zero",
            required=True,
        ),
        Key("at_start", Flag(), "True before the first step; false unless said.", "true"),
        Key("hand_back", Flag(), "What one step makes true another must end: locks, tags, blinds.", "true"),
        Key(
            "otherwise",
            Text(),
            "What happens when a step that needs the fact is done without it.",
            "The valve is opened against the lock",
        ),
        Key("signal", OneOf(Hazard), "How bad that is; `caution` unless said.", "warning"),
    ),
    short="text",
)

ENERGY = Block(
    "an energy",
    (
        Key("name", Text(), "What it is called in a sentence.", "Gas over the piston"),
        Key("signal", OneOf(Hazard), "How bad it is when it gets free.", "danger", required=True),
        Key(
            "safe_when",
            ListOf(Name("facts")),
            "The facts that must all hold before anything that contains it is touched.",
            "body_vented",
            required=True,
        ),
        Key(
            "otherwise",
            Text(),
            "What happens when it gets free.",
            "The cover lifts and the joint blows out",
            required=True,
        ),
        Key(
            "pressure",
            BySizeOf(_PRESSURE),
            "Gauge pressure of a gas; with `acts_on` the force is worked out.",
            "8 bar",
        ),
        Key("acts_on", BySizeOf(_LENGTH), "Diameter on which the pressure acts.", "108 mm"),
        Key(
            "rate",
            BySizeOf(_STIFFNESS),
            "Rate of a spring; with `compression` its force is worked out.",
            "4 N/mm",
        ),
        Key(
            "compression",
            BySizeOf(_LENGTH),
            "How far the spring is pressed together when assembled.",
            "40 mm",
        ),
    ),
)

_SEEN = (
    Key("seen_as", OneOf(SeenAs), "The form in which it is shown as found, sound or damaged.", "o_ring"),
    Key(
        "damages",
        ListOf(Text()),
        "The damages it is shown with; all of its form unless said.",
        "[nick, blister]",
    ),
)
JUDGED = Block(
    "a judgement",
    (
        Key("measure", Text(), "The length that is measured.", "free length"),
        Key(
            "at_least", BySizeOf(_LENGTH), "Shorter than that it is renewed.", "{DN 50: 96 mm, DN 80: 158 mm}"
        ),
        Key("at_most", BySizeOf(_LENGTH), "Longer than that it is renewed.", "0.3 mm"),
        Key(
            "sound", ListOf(Text()), "What may be seen on one that goes back.", "[a bright ring on the crown]"
        ),
        Key("unsound", ListOf(Text()), "What is seen on one that is renewed.", "[a nick across the crown]"),
    ),
)

HANDLED = Block(
    "the handling of a part",
    (
        Key(
            "reach",
            BySizeOf(_LENGTH),
            "Hands out from the middle between the ankles.",
            "50 cm",
            required=True,
        ),
        Key("height", BySizeOf(_LENGTH), "Hands over the floor where it is lifted.", "110 cm", required=True),
        Key("twist", _ANGLE, "How far the body is twisted; not at all unless said.", "45 °"),
        Key("legs", Count(), "Legs that share the load when it hangs in slings.", "2"),
    ),
)

PART = Block(
    "a part",
    (
        Key("name", Text(), "The printed name; the id with blanks unless said.", "Seat ring"),
        Key("fixed", Flag(), "The part stays where it is throughout.", "true"),
        Key(
            "rests_on",
            ListOf(Name("parts")),
            "What it sits on: that goes in first and comes out last.",
            "seat_gasket",
        ),
        Key(
            "encloses",
            ListOf(Name("parts")),
            "What it hides: nothing in there can be reached while it is on.",
            "[piston]",
        ),
        Key(
            "contains",
            ListOf(Name("energies")),
            "Energies that get free when it is taken off.",
            "[gas_pressure]",
        ),
        Key(
            "locks",
            ListOf(Name("fasteners")),
            "Fasteners that it locks: out before they turn, in once they are tight.",
            "[castle_nut]",
        ),
        Key("count", BySizeOf(Count()), "How many there are; 1 unless said.", "8"),
        Key(
            "renew",
            OneOf(Renewal),
            "What the overhaul does with it; `keep` unless said.",
            "always_when_disturbed",
        ),
        Key("kit", Text(), "Its line in the parts kit.", "Seat gasket, 1.5 mm"),
        Key(
            "faces",
            Faces(),
            "Which way round it goes: a feature and where it points, or `either`.",
            "{conical face: up}",
        ),
        Key(
            "turned",
            Text(),
            "What happens when it goes in the wrong way round.",
            "The disc lands on a flat face and the valve passes",
        ),
        Key("mass", BySizeOf(_MASS), "Its mass, by size if it differs.", "{DN 50: 4 kg, DN 80: 9 kg}"),
        Key(
            "lift",
            Text(),
            "How it is lifted when one person must not.",
            "Two slings in a choke, hoist straight up",
        ),
        Key(
            "handled",
            HANDLED,
            "How it is reached when it is lifted; with its mass it decides who or what lifts it.",
            "{reach: 50 cm, height: 110 cm}",
        ),
        Key("material", Text(), "What it is made of.", "bronze"),
        Key(
            "judged",
            JUDGED,
            "By what it is judged when it is renewed on condition.",
            "{measure: free length, at_least: 96 mm}",
        ),
        *_SEEN,
    ),
)

CASTLE = Block(
    "a castle nut",
    (
        Key("slots", Count(), "How many slots the nut has.", "6", required=True),
        Key(
            "rule",
            OneOf(CastleRule),
            "What to do when no slot lines up at the torque.",
            "tighten_to_next_slot",
            required=True,
        ),
        Key(
            "torque_max", BySizeOf(_TORQUE), "The ceiling that the search for a slot must not pass.", "55 N·m"
        ),
        Key(
            "drag", BySizeOf(_TORQUE), "Torque to run the nut down; added to both ends of the range.", "2 N·m"
        ),
    ),
)

ADAPTER = Block(
    "an adapter",
    (
        Key(
            "wrench",
            _LENGTH,
            "Length of the wrench, drive centre to the middle of the grip.",
            "400 mm",
            required=True,
        ),
        Key(
            "offset",
            _LENGTH,
            "Length of the adapter, drive centre to the centre of the fastener.",
            "50 mm",
            required=True,
        ),
        Key(
            "angle",
            _ANGLE,
            "Angle between adapter and wrench; 0 ° in line, 180 ° folded back. In line unless said.",
            "90 °",
        ),
    ),
)

FASTENER = Block(
    "a fastener",
    (
        Key("name", Text(), "The printed name, in the plural for a set.", "Cover nuts"),
        Key("clamp", ListOf(Name("parts")), "The parts that it holds; none for a plug.", "[cover]"),
        Key(
            "contains",
            ListOf(Name("energies")),
            "Energies that get free when it is undone.",
            "[gas_pressure]",
        ),
        Key("count", BySizeOf(Count()), "How many there are; 1 unless said.", "{DN 50: 8, DN 100: 12}"),
        Key("thread", BySizeOf(Text()), "The thread.", "M16"),
        Key(
            "torque",
            BySizeOf(_TORQUE),
            "Target torque, by size if it differs.",
            "{DN 50: 60 N·m, DN 80: 95 N·m}",
        ),
        Key("hand_tight", Flag(), "Done up by hand, without a torque.", "true"),
        Key(
            "passes",
            ListOf(Share()),
            "The passes up to the target; `round` goes round at full torque until nothing turns.",
            "[30 %, 60 %, 100 %, round]",
        ),
        Key(
            "pattern",
            OneOf(Pattern),
            "`cross`: opposite, then at a right angle; `round`: one after the other.",
            "cross",
        ),
        Key(
            "order",
            BySizeOf(ListOf(Count())),
            "The exact tightening order where the site prescribes one.",
            "[1, 5, 3, 7, 2, 6, 4, 8]",
        ),
        Key("castle", CASTLE, "It is a slotted nut with a pin.", "{slots: 6, rule: tighten_to_next_slot}"),
        Key(
            "adapter",
            ADAPTER,
            "It is tightened with an adapter on the wrench.",
            "{wrench: 400 mm, offset: 50 mm}",
        ),
        Key(
            "locking",
            Text(),
            "A locking device that stays in place (tab washer, wire): released by `unlock`, set by `lock`.",
            "tab washer",
        ),
        Key("renew", OneOf(Renewal), "What the overhaul does with it; `keep` unless said.", "on_condition"),
        Key("kit", Text(), "Its line in the parts kit.", "Stud nut M16"),
        Key(
            "judged",
            JUDGED,
            "By what it is judged when it is renewed on condition.",
            "{unsound: [a nut that binds by hand]}",
        ),
        *_SEEN,
    ),
)

LINE = Block(
    "a line",
    (
        Key("name", Text(), "The printed name.", "Loading line"),
        Key("joins", ListOf(Name("parts")), "The parts that it is fastened to.", "[cover]", required=True),
        Key(
            "contains",
            ListOf(Name("energies")),
            "Energies that get free when it is disconnected.",
            "[loading_gas]",
        ),
    ),
)

CAUTION = Block(
    "a caution",
    (
        Key("signal", OneOf(Hazard), "The signal word.", "warning", required=True),
        Key(
            "text",
            Text(),
            "The caution as it is read before the step.",
            "The spring lifts the cover as the nuts slacken",
            required=True,
        ),
    ),
)

STEP = Block(
    "a step",
    (
        Key("id", Word(), "A short name for the step.", "vent", required=True),
        Key(
            "do",
            Text(),
            "What is done: one action, verb first.",
            "Vent the body and watch the gauge",
            required=True,
        ),
        Key("phase", Name("phases"), "The phase that it belongs to.", "make_safe"),
        Key(
            "unlock",
            ListOf(Name("fasteners")),
            "Releases the locking device of these fasteners.",
            "bearing_nut",
        ),
        Key("disconnect", ListOf(Name("lines")), "Takes these lines off.", "loading_line"),
        Key("undo", ListOf(Name("fasteners")), "Undoes these fasteners.", "cover_nuts"),
        Key("remove", ListOf(Name("parts")), "Takes these parts out.", "cover"),
        Key(
            "with",
            ListOf(Name("parts")),
            "Parts that come along, or go in again, as one unit; they are worked at the bench.",
            "[soft_disc, disc_retainer]",
        ),
        Key(
            "clean", ListOf(Name(*_THINGS)), "Cleans these, once they can be reached.", "[seat_ring, piston]"
        ),
        Key(
            "inspect",
            ListOf(Name(*_THINGS)),
            "Inspects these, once they can be reached and are clean.",
            "seat_ring",
        ),
        Key(
            "measure",
            ListOf(Name(*_THINGS)),
            "Measures these, once they can be reached and are clean.",
            "return_spring",
        ),
        Key(
            "renew", ListOf(Name(*_THINGS)), "Throws the old ones away and lays new ones out.", "seat_gasket"
        ),
        Key(
            "lubricate",
            ListOf(Name(*_THINGS)),
            "Lubricates these, once they can be reached and are clean.",
            "piston_oring",
        ),
        Key("install", ListOf(Name("parts")), "Puts these parts in.", "cover"),
        Key("connect", ListOf(Name("lines")), "Puts these lines on again.", "loading_line"),
        Key("tighten", ListOf(Name("fasteners")), "Tightens these fasteners to their torque.", "cover_nuts"),
        Key("lock", ListOf(Name("fasteners")), "Sets the locking device of these fasteners.", "bearing_nut"),
        Key("needs", ListOf(Name("facts")), "Facts that must hold for it.", "[run_shut]"),
        Key("makes", ListOf(Name("facts")), "Facts that it makes true.", "[body_vented]"),
        Key(
            "prove",
            ListOf(Name("facts")),
            "Facts that it proves by a gauge, a test or a look; like `makes`, and counted as a proof.",
            "[zero_proven]",
        ),
        Key("ends", ListOf(Name("facts")), "Facts that it makes untrue.", "[run_shut]"),
        Key(
            "after",
            ListOf(Name("steps")),
            "Steps that come first for a reason that nothing else explains; wants `because`.",
            "[record_set_point]",
        ),
        Key(
            "before",
            ListOf(Name("steps")),
            "Steps that come later for a reason that nothing else explains; wants `because`.",
            "[shut]",
        ),
        Key(
            "because",
            Text(),
            "Why `after` or `before` holds, as a sentence.",
            "The as-found value is lost once the run is shut",
        ),
        Key("signal", OneOf(Hazard), "How bad it is to break that order; `notice` unless said.", "caution"),
        Key(
            "caution",
            ListOf(Name("cautions")),
            "Cautions read before the step: of this file, or of the shared table.",
            "gas_under_pressure",
        ),
        Key("tools", ListOf(Name("tools")), "Tools for the step, from the shared table.", "torque_wrench"),
        Key("record", Text(), "What is written down on the job card.", "PG-31 ____ bar"),
        Key("note", Text(), "A hint of a good hand.", "Turn the key slowly"),
    ),
)

SIGHT = Block(
    "a sight",
    (
        Key(
            "during", ListOf(Name("steps")), "The steps during which it is met.", "prove_zero", required=True
        ),
        Key("sight", Text(), "What is seen, heard or read.", "PG-31 climbs to 0.3 bar", required=True),
        Key(
            "do",
            OneOf(Reaction),
            "What it asks for: go on, report and wait, make safe and report, or stop and get clear.",
            "make_safe",
            required=True,
        ),
        Key(
            "how",
            Text(),
            "What exactly is done; for `go_on` why all is well.",
            "Leave everything bolted and the vents open",
            required=True,
        ),
        Key("otherwise", Text(), "What happens to whoever goes on.", "The run fills while you undo the nuts"),
        Key("signal", OneOf(Hazard), "How bad that is; `warning` unless said.", "danger"),
        Key(
            "condition",
            Text(),
            "The abnormal condition of the covered task that it practises, word for word.",
            "The gauge leaves zero while the valve is open",
        ),
    ),
)

SAYING = Block(
    "a saying",
    (
        Key("ask", Text(), "What is asked.", "Why is the soft disc fitted dry?", required=True),
        Key("say", Text(), "A model answer in a few words.", "Grease picks up dirt", required=True),
        Key(
            "terms",
            ListOf(Text()),
            "Words that an answer must hold, alternatives with `/`; without them nobody but the person compares.",
            "[grease, dirt/grit]",
        ),
    ),
)

GROUP = Block(
    "a group of skills",
    (
        Key("title", Text(), "What it is called on the record.", "The order of the work", required=True),
        Key(
            "skills",
            ListOf(Text()),
            "The skills by their names, as `trainer ask --list` prints them.",
            "[order:teardown, what-now]",
            required=True,
        ),
    ),
)

CAUSE = Block(
    "a cause",
    (
        Key("text", Text(), "The cause in a few words.", "Dirt between disc and seat", required=True),
        Key("often", Count(), "How often it is the cause, against the others; 1 unless said.", "40"),
    ),
    short="text",
)

CHECK = Block(
    "a check on a fault",
    (
        Key("do", Text(), "What is done.", "Let a good flow through VV-34 and shut it again", required=True),
        Key("minutes", Count(), "What it costs, in minutes of work.", "5", required=True),
        Key("finds", ListOf(Word()), "The causes of this fault that show in it.", "[dirt]", required=True),
        Key("found", Text(), "What is seen when it is one of them.", "The climb stops", required=True),
        Key(
            "not_found", Text(), "What is seen when it is none of them.", "It climbs as before", required=True
        ),
    ),
)

FAULT = Block(
    "a fault",
    (
        Key("symptom", Text(), "How it shows.", "The outlet climbs at no flow", required=True),
        Key(
            "causes",
            TableOf(CAUSE),
            "What may be behind it.",
            "{dirt: {text: Dirt, often: 3}}",
            required=True,
        ),
        Key(
            "checks",
            TableOf(CHECK),
            "The checks that tell its causes apart.",
            "{look: {do: Look, minutes: 5, finds: dirt, found: Dirt, not_found: Clean}}",
            required=True,
        ),
    ),
)

TOOLING = Block(
    "a choice of tool",
    (
        Key("step", Name("steps"), "The step it is for.", "gland_in", required=True),
        Key("right", BySizeOf(Text()), "The right tool, by size if it differs.", "Crowfoot", required=True),
        Key(
            "because",
            Text(),
            "Why it is the right one.",
            "The rod stands through the nut and no socket goes over it",
            required=True,
        ),
        Key(
            "wrong",
            EachNamed(Text()),
            "Tools that look right, each with what it does.",
            "{Adjustable spanner: It rounds the flats}",
        ),
    ),
)

FIGURE = Block(
    "a figure",
    (
        Key(
            "ask",
            Text(),
            "The question, with `{name}` where a given value stands.",
            "'Gas at {pressure} stands under a cover of {diameter}. How hard does it push?'",
            required=True,
        ),
        Key(
            "by", Text(), "The computation, as `trainer reckon --list` names it.", "gas-force", required=True
        ),
        Key(
            "given",
            EachNamed(BySizeOf(ListOf(Text()))),
            "Each input of the computation: a value, or several of which one is drawn; by size if it differs.",
            "{pressure: [4 bar, 8 bar], diameter: {DN 50: 92 mm, DN 80: 122 mm}}",
            required=True,
        ),
        Key("units", ListOf(Text()), "The units that may be answered in.", "[kN, N, lbf]", required=True),
        Key("within", Count(), "How far off an answer may be, in percent; 2 unless said.", "3"),
    ),
)

MODULE = Block(
    "a procedure",
    (
        Key("module", Word(), "The short name of the procedure.", "piston-valve-overhaul", required=True),
        Key("title", Text(), "Its title.", "Overhaul the main valve", required=True),
        Key("document", Text(), "Its document number, as in the title block.", "QX-OP-0001"),
        Key(
            "covered_task",
            TaskName(),
            "The covered task that it serves, from the shared table.",
            "T-31",
            required=True,
        ),
        Key(
            "sizes",
            ListOf(Text()),
            "The sizes it covers; values may be given for each.",
            "[DN 50, DN 80]",
            required=True,
        ),
        Key(
            "summary",
            Text(),
            "What the procedure is for and what it assumes; says that values are invented when they are.",
            "Invented valve, invented values",
        ),
        Key(
            "phases",
            TableOf(PHASE),
            "The phases in their order: headings and windows for drills.",
            "{teardown: Teardown}",
        ),
        Key("facts", TableOf(FACT), "Things that are true or not.", "{body_vented: The body reads zero}"),
        Key("energies", TableOf(ENERGY), "What can hurt, and when it is safe.", ""),
        Key("parts", TableOf(PART), "The parts, in the order of the parts list.", "", required=True),
        Key("fasteners", TableOf(FASTENER), "The fasteners and what they clamp.", ""),
        Key("lines", TableOf(LINE), "Tubes and cables that come off.", ""),
        Key("cautions", TableOf(CAUTION), "Cautions of this procedure alone.", ""),
        Key("sayings", TableOf(SAYING), "Reasons and values to be said in a few words.", ""),
        Key("faults", TableOf(FAULT), "Faults with their causes and the checks that tell them apart.", ""),
        Key("tooling", TableOf(TOOLING), "Choices of tool, with those that only look right.", ""),
        Key("figures", TableOf(FIGURE), "Numbers to be reckoned, with what is given for them.", ""),
        Key(
            "sights",
            TableOf(SIGHT),
            "Sights and readings during the job, abnormal ones and some that only look so.",
            "",
        ),
        Key(
            "competency",
            TableOf(GROUP),
            "Groups of skills that are assessed and decided together; what is not named is grouped by kind of drill.",
            "{orders: {title: The order of the work, skills: [what-now]}}",
        ),
        Key("steps", StepList(STEP), "What is done, in one order that works.", "", required=True),
        Key(
            "shapes",
            geometry_keys.TableOfThings(geometry_keys.SHAPE),
            "What parts, fasteners and lines look like, in mm.",
            "",
        ),
        Key(
            "drawing",
            geometry_keys.DRAWING,
            "What the pictures need besides shapes.",
            "{scale: {DN 50: 0.7}}",
        ),
        Key("station", station_keys.STATION, "The pipes and valves round the machine.", ""),
    ),
)

BLOCKS: tuple[tuple[str, Block], ...] = (
    ("The file", MODULE),
    ("phases", PHASE),
    ("facts", FACT),
    ("energies", ENERGY),
    ("parts", PART),
    ("parts: judged", JUDGED),
    ("parts: handled", HANDLED),
    ("fasteners", FASTENER),
    ("fasteners: castle", CASTLE),
    ("fasteners: adapter", ADAPTER),
    ("lines", LINE),
    ("cautions", CAUTION),
    ("sayings", SAYING),
    ("faults", FAULT),
    ("faults: causes", CAUSE),
    ("faults: checks", CHECK),
    ("tooling", TOOLING),
    ("figures", FIGURE),
    ("sights", SIGHT),
    ("competency", GROUP),
    ("steps", STEP),
    *geometry_keys.BLOCKS,
    *station_keys.BLOCKS,
)


def json_schema() -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of a procedure file, for completion and checks while typing."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "A procedure for the trainer",
        **MODULE.schema(),
    }


def reference_page() -> str:
    """Return the reference of all keys as Markdown."""
    lines = [
        "# The procedure language",
        "",
        "One YAML file a procedure. Say how the machine is built and what each step does; the legal orders, the drills",
        "and the papers follow. Plain words stay words: `on`, `no`, `1:30` and `012` are texts. This page is made from the",
        "table of keys in `trainer/procedure/keys.py`.",
        "",
    ]
    for title, block in BLOCKS:
        lines += [
            f"## {title}",
            "",
            f"Keys of {block.title}.",
            "",
            "| key | holds | meaning | example |",
            "|---|---|---|---|",
        ]
        for key in block.keys:
            star = " *" if key.required else ""
            example = f"`{key.example}`" if key.example else ""
            cells = (f"`{key.name}`{star}", key.value.words, key.meaning, example)
            lines.append("| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |")
        lines += ["", "\\* must be there.", ""] if any(key.required for key in block.keys) else [""]
    return "\n".join(lines).rstrip() + "\n"
