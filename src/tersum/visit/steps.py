"""The steps of a plan: what is put where, on which materials, with which vessels, and how long it must stay wet."""

from __future__ import annotations

from dataclasses import dataclass

from tersum.errors import N_
from tersum.fields import Fields

STEP_KINDS = ("dry-clean", "clean", "rinse", "disinfect", "steam", "dry")
PERMITTERS = ("machine", "product")


@dataclass(frozen=True)
class Permission:
    """A maker's written permission on file to put a chemical into a boiler: ``of`` the machine or of the product."""

    of: str
    maker: str
    document: str
    date: str


@dataclass(frozen=True)
class SpotTest:
    """A test on a hidden spot, as it was recorded: own evidence for one material."""

    material: str
    result: str  # "no-change" or "changed"
    date: str
    where: str


@dataclass(frozen=True)
class Override:
    """A lead's decision to go against the verdict on one material, with the reason that shows on the record."""

    material: str
    lead: str
    reason: str


@dataclass(frozen=True)
class Step:
    """One step of the procedure. ``contact_min`` is the label's contact time, 0 where the label asks for none.

    ``surfaces`` are the kinds of surface it is put on, ``targets`` what it is to disinfect, ``materials`` what it
    touches, ``vessels`` the tanks, cans and buckets and ``cloths`` the rags it is in: without names they count as
    shared; those of a rinsing step are the ones that it rinses and drains. ``dries_min``
    is how long the surface stays wet, observed before at this product, surface and climate; ``a0`` the dose of heat
    that is wanted; ``method`` the maker's written method on file.
    """

    id: str
    kind: str
    what: str
    product: str = ""
    ratio: str = ""
    volume_ml: float | None = None
    contact_min: float = 0.0
    work_min: float = 0.0
    surfaces: tuple[str, ...] = ()
    targets: tuple[str, ...] = ()
    materials: tuple[str, ...] = ()
    vessels: tuple[str, ...] = ()
    cloths: tuple[str, ...] = ()
    dries_min: float | None = None
    a0: float | None = None
    method: str = ""
    permissions: tuple[Permission, ...] = ()
    spot_tests: tuple[SpotTest, ...] = ()
    overrides: tuple[Override, ...] = ()


def step_from(fields: Fields) -> Step:
    """Return one ``step`` table of a visit file; what is wrong with it is noted in its fields."""
    step = Step(
        fields.text("id", most=60), fields.text("kind", choices=STEP_KINDS), fields.text("what"),
        fields.optional_text("product") or "", fields.optional_text("ratio") or "",
        fields.optional_number("volume_ml", above=0.0, most=1e6),
        fields.number("contact_min", 0.0, least=0.0, most=1440.0),
        fields.number("work_min", 0.0, least=0.0, most=1440.0),
        fields.texts("surfaces", most=60), fields.texts("targets", most=60), fields.texts("materials", most=60),
        fields.texts("vessels", most=60), fields.texts("cloths", most=60),
        fields.optional_number("dries_min", above=0.0, most=1440.0), fields.optional_number("a0", above=0.0, most=1e6),
        fields.optional_text("method", most=400) or "",
        tuple(_permission(one) for one in fields.tables("permission", most=2)),
        tuple(_spot_test(one) for one in fields.tables("spot_test", most=40)),
        tuple(_override(one) for one in fields.tables("override", most=40)))
    if step.ratio and not (step.product and step.volume_ml):
        fields.refuse("ratio", step.ratio, N_("a ratio together with a product and volume_ml"))
    if step.kind == "disinfect":
        if not step.product:
            fields.refuse("product", "nothing", N_("the product that disinfects"))
        elif step.volume_ml is None:
            fields.refuse("volume_ml", "nothing", N_("the volume that is mixed: without it there is no strength to "
                                                     "check"))
    if step.targets and step.kind != "disinfect":
        fields.refuse("targets", ", ".join(step.targets), N_("targets of a step that disinfects"))
    if step.a0 is not None and step.kind != "steam":
        fields.refuse("a0", step.a0, N_("a dose of heat of a steam step"))
    fields.close()
    return step


def _permission(fields: Fields) -> Permission:
    made = Permission(fields.text("of", choices=PERMITTERS), fields.text("maker"), fields.text("document"),
                      fields.text("date", most=40))
    fields.close()
    return made


def _spot_test(fields: Fields) -> SpotTest:
    made = SpotTest(fields.text("material", most=60), fields.text("result", choices=("no-change", "changed")),
                    fields.text("date", most=40), fields.text("where"))
    fields.close()
    return made


def _override(fields: Fields) -> Override:
    made = Override(fields.text("material", most=60), fields.text("lead", most=60), fields.text("reason", most=500))
    fields.close()
    return made
