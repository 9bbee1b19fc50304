"""The working order of a batch: what to do, weigh, measure and tick, with temperatures and stop rules."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from blendlab.batch.acidity import PhWindow
from blendlab.batch.line_wishes import Draft, Want, gate_of
from blendlab.batch.sheet import Line, Portion, Step
from blendlab.batch.whip import foam_density, grains
from blendlab.facts.read import figure
from blendlab.fragrance.heat import gate_c
from blendlab.units import degrees, plain

PRACTICE = "common practice"
POT = "Weigh the empty pot and write down what it weighs: at the end the lost water follows from it."
POWDER = "Dust mask and goggles on, draught off: powder ahead."


def cleaning() -> Step:
    """The tick before anything else."""
    hours, alcohol = figure("batch", "cleaning_hours").high, figure("batch", "alcohol").value
    text = (
        f"Tools, bowl, jars and reusable bags washed, wiped with {alcohol:g} % alcohol and air-dried, "
        f"within {hours:g} h."
    )
    return Step("clean", "tick", text, source=PRACTICE)


def weigh(line: Line) -> Step:
    """Weighing one line."""
    return Step(f"weigh:{line.id}", "weigh", f"{line.name} into {line.cup}", line=line.id)


def gate(id: str, text: str, below_c: float, source: str = PRACTICE) -> Step:
    """Measure the product; what follows waits while it is warmer than the text says."""
    return Step(id, "gate", text, below_c=below_c, source=source, heats=(below_c,))


def fragrance_gate(wants: Iterable[Want]) -> float:
    """Highest temperature of the product when the scent goes in: the cap, or lowest flash point - margin."""
    flashes = [want.item.flash_c for want in wants if want.what == "oil" and want.item.flash_c is not None]
    return gate_c(
        flashes, figure("fragrance", "gate.cap_c").value, figure("fragrance", "gate.margin_k").value
    )


def finishing(drafted: Draft, lines: Sequence[Line], portions: Sequence[Portion]) -> tuple[Step, ...]:
    """Working order for finishing part of a base lot into jars."""
    by_what: dict[str, list[Line]] = {}
    for line in lines:
        by_what.setdefault(line.what, []).append(line)
    folded = {part.ingredient.ref.key for part in grains(drafted.resolved)}
    keys = {want.id: want.item.ref.key for want in drafted.wants}
    late = [line for line in by_what.get("addition", ()) if keys[line.id] in folded]
    by_what["addition"] = [line for line in by_what.get("addition", ()) if line not in late]
    steps = [cleaning(), *_mixed_scent(by_what), *_bowl(drafted, by_what), *_whipping(drafted)]
    steps += _folded_in(late)
    steps += _scent_gate(drafted, by_what)
    for portion in sorted(portions, key=lambda portion: portion.rest):
        pigments = [line for line in by_what.get("pigment", ()) if line.tone == portion.tone]
        steps += of_portion(portion, pigments)
    return (*steps, *_jars(by_what))


def _bowl(drafted: Draft, lines: dict[str, list[Line]]) -> list[Step]:
    hot = figure("batch", "hot_mass").value
    steps = [
        gate("hot", f"Base below {degrees(hot)} before it goes into the mixer.", hot),
        *(weigh(line) for line in lines.get("base", ())),
        *(weigh(line) for line in lines.get("addition", ())),
    ]
    if lines.get("preservative"):
        limit = gate_of(drafted)
        text = f"Measure the product: preservative goes in at {degrees(limit.below_c)} or below."
        steps.append(gate("preservative-gate", text, limit.below_c, limit.source))
        steps += [weigh(line) for line in lines["preservative"]]
        steps.append(Step("stir-preservative", "do", "Stir the preservative in evenly."))
    return steps


def _folded_in(late: Sequence[Line]) -> list[Step]:
    """Grains, folded into the foam after its cup was weighed."""
    if not late:
        return []
    names = " and ".join(line.name for line in late)
    told = f"Fold {names} into the whipped base by hand, evenly; the mixer would let it collapse."
    return [*(weigh(line) for line in late), Step("fold-grains", "do", told, source=PRACTICE)]


def _whipping(drafted: Draft) -> list[Step]:
    most = figure("batch", "whip_temperature").high
    what = "the fats have" if drafted.base.anhydrous else "stearic acid has"
    text = f"Product at {degrees(most)} or below before whipping: above, {what} not set."
    foam = foam_density(drafted.resolved)
    target = (
        f"Whip to {foam.g_ml:.2f} g/ml. Weigh a level cup each minute; stop there, or when a cup "
        "is heavier than the one before: the foam collapses."
    )
    return [
        gate("whip-gate", text, most),
        Step("whip", "do", target, source=PRACTICE),
        Step("density", "tick", "Density of the whipped base weighed and written down."),
    ]


def _mixed_scent(lines: dict[str, list[Line]]) -> list[Step]:
    """The oils, weighed before the foam so that it does not wait for them."""
    oils = lines.get("oil", ())
    stirred = [Step("stir-scent", "do", "Stir the oils into one scent and cover it.")]
    return [*(weigh(oil) for oil in oils), *stirred] if oils else []


def _scent_gate(drafted: Draft, lines: dict[str, list[Line]]) -> list[Step]:
    if not lines.get("oil"):
        return []
    below = fragrance_gate(drafted.wants)
    text = f"No flame near. Product at {degrees(below)} or below before the scent goes in."
    return [gate("scent-gate", text, below)]


def taken(portion: Portion) -> str:
    """What is taken of the bowl for a tone: as its scale shows it, or what is left in whole grams."""
    if portion.rest:
        return f"the rest, about {portion.take_g:.0f} g"
    return f"{plain(portion.take_g, 2)} g"


def of_portion(portion: Portion, pigments: Sequence[Line]) -> list[Step]:
    """What is done with one tone: take it, colour it, scent it."""
    name = portion.name
    comma = "," if portion.rest else ""
    steps = [Step(f"take:{portion.tone}", "do", f"{name}: take {taken(portion)}{comma} of the whipped base.")]
    if pigments:
        steps.append(Step(f"mask:{portion.tone}", "tick", POWDER, source=PRACTICE))
        steps += [weigh(pigment) for pigment in pigments]
    parts = ["pigment"] if pigments else []
    if portion.scent_g:
        parts.append(f"{portion.scent_g:g} g of the scent")
    if parts:
        text = f"{name}: fold in {' and '.join(parts)} until no streak is left; do not over-whip."
        steps.append(Step(f"fold:{portion.tone}", "do", text, source=PRACTICE))
    return steps


def _jars(lines: dict[str, list[Line]]) -> list[Step]:
    steps = [Step("fill", "do", "Fill the jars and weigh each one; write the net grams down.")]
    if lines.get("dust"):
        text = "Dust mask and goggles on, then dust the tops. Weigh the shaker before and after."
        steps += [Step("dust-mask", "tick", text, source=PRACTICE), *(weigh(dust) for dust in lines["dust"])]
    return [
        *steps,
        Step("retain", "tick", "Retained sample set aside with its code."),
        Step("yield", "do", "Weigh what is left over and write the yield down."),
    ]


def cooking(
    lines: Sequence[Line],
    phases: Mapping[str, str],
    cares: Mapping[str, str],
    held: Step,
    acid: PhWindow | None,
    alike: Mapping[str, str],
) -> tuple[Step, ...]:
    """Working order for cooking a base.

    phases  line id -> phase; cares  line id -> protection in words
    held    gate of what goes in cool
    acid    where its pH must lie; None = it holds no water, so that pH and lost water mean nothing
    alike   line id -> INCI that the sack of a powder with look-alikes must name
    """

    def of(*names: str) -> Iterator[Step]:
        for line in lines:
            if phases[line.id] in names:
                if line.id in alike:
                    text = f"The sack of {line.name} names {alike[line.id]}; powders that look alike differ."
                    yield Step(f"inci:{line.id}", "tick", text, source=PRACTICE)
                yield from _with_care(line, cares.get(line.id, ""))

    cool = figure("batch", "whip_temperature").high
    rest = f"Let it rest below {degrees(cool)} overnight, covered."
    return (
        cleaning(),
        *((Step("pot", "tick", POT, source=PRACTICE),) if acid is not None else ()),
        *of("water", "fat", "dry"),
        *_melting(acid is not None),
        held,
        *of("cool", "fold"),
        *((_acidity(acid),) if acid is not None else ()),
        Step("rest", "do", rest, source=PRACTICE, heats=(cool,)),
    )


def dispersion(unit: str = "C") -> str:
    """How a pH is measured, in words; unit  C or F.

    >>> dispersion(), dispersion("F")
    ('pH of a 10 % dispersion at 20 °C to 25 °C', 'pH of a 10 % dispersion at 68 °F to 77 °F')
    """
    room, strength = figure("batch", "room"), figure("batch", "dispersion").value
    return f"pH of a {strength:g} % dispersion at {degrees(room.low, unit)} to {degrees(room.high, unit)}"


def _acidity(kept: PhWindow) -> Step:
    room, again = figure("batch", "room"), figure("batch", "ph_again").value
    text = f"{dispersion()}, {kept.words}; again after {again:g} h."
    return Step("ph", "tick", text, source=PRACTICE, heats=(room.low, room.high))


def _with_care(line: Line, care: str) -> Iterator[Step]:
    if care:
        yield Step(f"care:{line.id}", "tick", f"{line.name}: {care}.", source=PRACTICE)
    yield weigh(line)


def _melting(water: bool) -> tuple[Step, ...]:
    melt, minutes = figure("batch", "melt"), figure("batch", "melt_minutes").high
    heats = (melt.low, melt.value, melt.high)
    low, likely, high = (degrees(heat) for heat in heats)
    hot = f"Melt at {low} to {likely}, covered, never above {high} and no longer than {minutes:g} min."
    smear = "Free of granules: a smear between two glass slides shows none."
    refill = "Weigh the pot; fill the lost water up with purified, boiled water."
    return (
        Step("melt", "do", hot, source=PRACTICE, heats=heats),
        Step("granules", "tick", smear, source=PRACTICE),
        Step("cover", "tick", "Covered while cooling, stirred slowly.", source=PRACTICE),
        *((Step("refill", "tick", refill, source=PRACTICE),) if water else ()),
    )
