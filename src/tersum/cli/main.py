"""The command ``tersum``: a list of verbs, each loaded only when it is called."""

from __future__ import annotations

import importlib
import io
import json
import os
import sys
from collections.abc import Sequence
from typing import Any

import click

from tersum import __version__
from tersum.cli.click_texts import speak
from tersum.documents.text import _
from tersum.errors import N_, Faults, TersumError

speak()  # before any command is made, since some of click's texts are looked up then

# verb: where it lives, and its line in the help; a test compares the lines with the commands' own help.
COMMANDS: dict[str, tuple[str, str]] = {
    "agreement": ("tersum.cli.agreement:agreement", N_("Compare two instruments, or a rapid reading with a plate "
                                                       "count, on the same surfaces.")),
    "air": ("tersum.cli.air:air", N_("Work out what a task puts into the air of a cabin or room, and what is known of "
                                     "entering again.")),
    "backup": ("tersum.cli.backup:backup", N_("Write everything kept into one encrypted file.")),
    "chart": ("tersum.cli.chart:chart", N_("Draw the residue ladder, readings over time, or the operating curve of a "
                                           "plan.")),
    "contact": ("tersum.cli.contact:contact", N_("Hold an observed wet time against the label, and say when a mix "
                                                 "needs longer.")),
    "condensate": ("tersum.cli.condensate:condensate", N_("Weigh the pH of a solution against its condensate's.")),
    "counts": ("tersum.cli.counts:counts", N_("Turn colonies on plates into a count per mL or per cm2, with its "
                                              "operator and interval.")),
    "decay": ("tersum.cli.decay:decay", N_("Fit how a stored solution loses strength, and say how long to use it.")),
    "compare": ("tersum.cli.compare:compare",
                N_("Compare treatments on divided panels: which leaves less, and how sure that is.")),
    "decide": ("tersum.cli.decide:decide", N_("Decide which points are done and which must be done again.")),
    "doctor": ("tersum.cli.doctor:doctor", N_("Check this installation and say what to mend.")),
    "efficacy": ("tersum.cli.efficacy:efficacy", N_("Evaluate efficacy tests as standards ask, and say what a claim "
                                                    "covers.")),
    "heat": ("tersum.cli.heat:heat", N_("Sum the dose of heat of a logged trace, or say how long to hold it.")),
    "hazard": ("tersum.cli.hazard:hazard",
               N_("Classify a product and its working dilution by its listed ingredients.")),
    "ledger": ("tersum.cli.ledger:ledger", N_("Check the sealed facts, or rebuild the tables made from them.")),
    "material": ("tersum.cli.material:material", N_("Say what a material takes: a product at its dilution, or heat.")),
    "meter": ("tersum.cli.meter:meter", N_("Calibrate a pH meter, read with it, and follow its drift.")),
    "limits": ("tersum.cli.limits:limits", N_("Learn a limit from one's own readings.")),
    "mix": ("tersum.cli.mix:mix", N_("Compute concentrate and water for a working solution.")),
    "monitor": ("tersum.cli.monitor:monitor", N_("Watch readings over many visits: charts, places, what comes back "
                                                 "dirty, when to come again.")),
    "person": ("tersum.cli.person:person", N_("List people and notes, give out all that is kept of one, erase one.")),
    "ph": ("tersum.cli.ph:ph", N_("Predict the pH of a solution in this water, or find the acidity behind a pH.")),
    "record": ("tersum.cli.record:record", N_("List issued visit records, write the evidence beside one, withdraw "
                                              "one.")),
    "mpn": ("tersum.cli.mpn:mpn", N_("Most probable number of a pattern of tubes that grew, for any design.")),
    "repeatability": ("tersum.cli.repeatability:repeatability",
                      N_("Work out how far two swabs of one surface differ, from planned duplicates.")),
    "residue": ("tersum.cli.residue:residue", N_("Say how much chemical left on the surface upsets readings, from "
                                                 "spikes.")),
    "restore": ("tersum.cli.restore:restore", N_("Check a backup, or put it in the place of the data.")),
    "sampling": ("tersum.cli.sampling:sampling", N_("Plan how many points to swab, and say what so many swabs show.")),
    "serve": ("tersum.cli.serve:serve", N_("Show the visits in a browser, on this machine only.")),
    "steam": ("tersum.cli.steam:steam", N_("Say what a steam boiler of this power can give, and what may go into it.")),
    "strength": ("tersum.cli.strength:strength", N_("Convert strengths, and treat a tank that is partly used.")),
    "survivors": ("tersum.cli.survivors:survivors", N_("Fit survivor curves to counts over contact time, and say how "
                                                       "long a reduction takes.")),
    "titre": ("tersum.cli.titre:titre", N_("Titre of a virus from wells or plaques, and its reduction with the "
                                           "operator.")),
    "titrate": ("tersum.cli.titrate:titrate", N_("Work out the strength of a solution from its titration.")),
    "verify": ("tersum.cli.verify:verify", N_("Check whether a visit record is as it was issued.")),
    "together": ("tersum.cli.together:together", N_("Say whether two products may meet: mixed, on a surface, in a "
                                                    "vessel, in a cloth.")),
    "trial": ("tersum.cli.trial:trial", N_("Plan a trial of treatments before it is run.")),
    "visit": ("tersum.cli.visit:visit", N_("Plan a visit, seal the plan, and carry it to its decision.")),
}

# The help in the order of the work: a verb that is missing here is shown last, under a heading of its own.
SECTIONS: tuple[tuple[str, tuple[str, ...]], ...] = (
    (N_("At the visit"), ("visit", "decide", "contact", "chart", "serve")),
    (N_("Solutions"), ("mix", "strength", "titrate", "decay", "ph", "meter", "condensate", "steam")),
    (N_("People and materials"), ("hazard", "air", "together", "material")),
    (N_("Organisms and heat"), ("heat", "counts", "mpn", "titre", "survivors", "efficacy")),
    (N_("What readings prove"), ("trial", "compare", "limits", "repeatability", "sampling", "monitor", "agreement",
                                 "residue")),
    (N_("Records"), ("verify", "record", "ledger", "person", "backup", "restore", "doctor")),
)


class LazyGroup(click.Group):
    """A group that prints its help from a table and imports a command only to run it."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return sorted(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            return None
        module, name = COMMANDS[cmd_name][0].split(":")
        command: click.Command = getattr(importlib.import_module(module), name)
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        placed = [name for _title, names in SECTIONS for name in names]
        left = tuple(sorted(set(COMMANDS) - set(placed)))
        for title, names in (*SECTIONS, (N_("More"), left)):
            known = [(name, _(COMMANDS[name][1])) for name in names if name in COMMANDS]
            if known:
                with formatter.section(_(title)):
                    formatter.write_dl(known)


@click.command(cls=LazyGroup, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
               help=_("Plan, mix, measure, decide and hand over the cleaning of vehicle cabins and rooms."),
               epilog=_("Exit codes: 0 done; 1 ran and the answer is no; 2 misused; 3 bad input data; 4 not found; "
                        "5 refused; 6 conflict or locked; 7 storage; 70 internal error; 130 interrupted."))
@click.version_option(__version__, prog_name="tersum", message="%(prog)s %(version)s")
@click.option("--debug", is_flag=True, help=_("Show the traceback of an internal error."))
@click.pass_context
def tersum(ctx: click.Context, debug: bool) -> None:
    ctx.ensure_object(dict)["debug"] = debug


def run(args: Sequence[str] | None = None) -> None:
    """Run the command line and leave with its exit code; no traceback without ``--debug``."""
    _stand_in_for_closed_streams()
    words = list(sys.argv[1:] if args is None else args)
    as_json = "--json" in words
    for stream in (sys.stdout, sys.stderr):
        # A terminal that lacks a letter shows its number; it is no reason to stop.
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")
    try:
        code = tersum.main(args=words, prog_name="tersum", standalone_mode=False)
        sys.stdout.flush()
        sys.exit(code if isinstance(code, int) else 0)
    except click.exceptions.Exit as stop:
        sys.exit(stop.exit_code)
    except click.ClickException as misuse:
        _tell(as_json, "misused", misuse.format_message(), misuse.show)
        sys.exit(misuse.exit_code)
    except (click.Abort, KeyboardInterrupt):
        _tell(as_json, "interrupted", _("Interrupted; nothing half-written is left."))
        sys.exit(130)
    except BrokenPipeError:
        # The reader has gone (as `| head` does): end quietly, and keep the interpreter from flushing again.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(0)
    except TersumError as refusal:
        _tell(as_json, refusal.code, refusal.sentence(_), faults=refusal)
        sys.exit(refusal.exit_code)
    except OSError as trouble:
        _tell(as_json, "storage", _("Could not read or write {name}: {reason}.").format(
            name=trouble.filename or _("a file"), reason=trouble.strerror or trouble))
        sys.exit(7)
    except Exception as defect:  # the last stop: nobody in the field should meet a traceback
        if "--debug" in words:
            raise
        _tell(as_json, "internal", _("Internal error ({name}). Run again as: tersum --debug ...").format(
            name=type(defect).__name__))
        sys.exit(70)


def _stand_in_for_closed_streams() -> None:
    """Open the null device in place of a stream closed before the start: its number is then no other file's."""
    for name in ("stdout", "stderr"):
        if getattr(sys, name) is None:
            setattr(sys, name, open(os.devnull, "w", encoding="utf-8"))


def _tell(as_json: bool, code: str, sentence: str, show: Any = None, *, faults: TersumError | None = None) -> None:
    if as_json:
        each = list(faults.faults) if isinstance(faults, Faults) else [faults] if faults else []
        body = [{"code": one.code, "field": one.field, "sentence": one.sentence(_)} for one in each]
        print(json.dumps({"schema": "tersum/error/1", "code": code, "sentence": sentence, "faults": body},
                         ensure_ascii=False))
    elif show is not None:
        show()
    else:
        print(sentence, file=sys.stderr)
