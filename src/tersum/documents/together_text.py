"""What must never meet, and what a material takes, in words."""

from __future__ import annotations

from collections.abc import Sequence

from tersum.chemistry import materials
from tersum.chemistry.materials import MaterialVerdict
from tersum.chemistry.together import NONE, UNKNOWN, Meets
from tersum.documents.numbers import number_text
from tersum.documents.text import _
from tersum.errors import N_

CLASSES = {
    "acid": N_("acid"), "alcohol": N_("alcohol"), "aldehyde": N_("aldehyde"), "alkali": N_("alkali"),
    "ammonia": N_("ammonia or amine"), "anionic": N_("anionic detergent or soap"), "chloride": N_("chloride"),
    "hypochlorite": N_("hypochlorite"), "metal": N_("metal or rust"), "peracid": N_("peracid"),
    "peroxide": N_("peroxide"), "quat": N_("quaternary ammonium"), "solvent": N_("organic solvent"),
    NONE: N_("none that the table names"), UNKNOWN: N_("not known"),
}
VERDICTS = {
    materials.FINE: N_("{material}: usually fine with {by}."),
    materials.CARE: N_("{material}: with care under {by}: try it on a hidden spot first, keep it short, rinse."),
    materials.AVOID: N_("{material}: to be avoided with {by}."),
    materials.MAKERS_METHOD: N_("{material}: no chemical and no steam but by its maker's written method on file. "
                                "Nothing overrides that."),
    materials.UNKNOWN: N_("{material}: nothing is known here of it under {by}, which counts as to be avoided."),
}
GRADES = {"1": N_("a study that measured this was read in its abstract"),
          "2": N_("a statement of authority"), "3": N_("recalled or inferred: common practice, no source")}
HEAT = "heat"


def meeting_lines(names: Sequence[str], held: Sequence[Sequence[str]], found: Meets) -> list[str]:
    """Return the answer, why, and the classes it stands on."""
    lines = []
    if found.may:
        lines.append(_("Nothing known here stands against {first} and {second} meeting. Their labels may."))
    elif found.pairs:
        lines.append(_("{first} and {second} must not meet. Only to rinse and drain between them, on record, parts "
                       "them; nothing overrides that."))
    else:
        lines.append(_("{first} and {second} must not meet: a class that is not known meets nothing."))
    lines = [line.format(first=names[0], second=names[1]) for line in lines]
    lines += [_("{first} with {second}: {happens} ({source}).").format(
        first=_(CLASSES[one.first]), second=_(CLASSES[one.second]), happens=one.happens.text,
        source=one.happens.source) for one in found.pairs]
    return [*lines, *(_("{name}: {classes}").format(name=name, classes=", ".join(_(CLASSES[one]) for one in classes))
                      for name, classes in zip(names, held, strict=True))]


def verdict_lines(found: MaterialVerdict) -> list[str]:
    """Return the verdict on a material and what it stands on."""
    by = _("heat") if found.by == HEAT else _(CLASSES[found.by]) if found.by else _("this")
    lines = [_(VERDICTS[found.verdict]).format(material=found.material, by=by)]
    if found.by == HEAT and found.value is not None and found.verdict != materials.MAKERS_METHOD:
        lines.append(_("Not above {most} °C at its surface: {why}.").format(
            most=number_text(found.value.number), why=found.value.where))
    elif found.evidence:
        lines.append(_("Evidence: {grade}.").format(grade=_(GRADES[found.evidence])))
    return lines


def cautions() -> list[str]:
    """Return the cautions that go with every answer."""
    return [_("The product's label and safety data sheet win, and the maker of the part before any table."),
            _("Add concentrate to water, never water to concentrate; leave vessels with oxidisers vented; rinse rags "
              "at once.")]
