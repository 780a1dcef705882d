"""The command ``tersum doctor``: looks at this installation and says what to mend."""

from __future__ import annotations

import click

from tersum.cli.output import emit_json, remark
from tersum.documents.text import _, ngettext


@click.command(help=_("Check this installation and say what to mend."),
               epilog=_("Example: tersum doctor --json. Looks at Python, data folder, rights, free space, databases, "
                        "clock and time zones, and changes nothing; facts are checked by: tersum ledger check. "
                        "Exit codes: 0 all is well; otherwise that of the first trouble: 20 Python too old; 21 data "
                        "folder is a file; 22 folder not writable; 23 others may read; 24 wrong owner; 25 little "
                        "space; 26 device number; 27 organisation's number; 28 database missing; 29 damaged; "
                        "30 newer; 31 upgrade broke off; 32 database of nobody; 33 clock wrong; 34 clock behind; "
                        "35 no time zones."))
@click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))
@click.pass_context
def doctor(ctx: click.Context, as_json: bool) -> None:
    from tersum.documents.health_text import exit_code, next_step, sentence
    from tersum.records.health import examine, versions
    from tersum.records.home import data_home
    from tersum.records.revisions import REVISIONS

    found = examine(data_home(), REVISIONS)
    code = exit_code(found)
    if as_json:
        emit_json("tersum/doctor/1", {
            "ok": code == 0, "exit_code": code, "versions": versions(),
            "checks": [{"check": one.check, "ok": one.trouble is None, "trouble": one.trouble,
                        "sentence": sentence(one), "next": next_step(one) or None,
                        "parameters": dict(one.parameters)} for one in found]})
        ctx.exit(code)
    for one in found:
        click.echo(f"{_('well') if one.trouble is None else _('mend')}  {sentence(one)}")
        if one.trouble is not None:
            click.echo(f"      {_('Next: {step}').format(step=next_step(one))}")
    troubles = sum(one.trouble is not None for one in found)
    remark(_("All is well.") if not troubles else
           ngettext("{count} thing to mend.", "{count} things to mend.", troubles).format(count=troubles))
    ctx.exit(code)
