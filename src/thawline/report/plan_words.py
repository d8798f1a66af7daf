"""A plan in plain words: the answer first, then each step, and what it rests on."""

from __future__ import annotations

from datetime import datetime

from thawline.plan.plan import Option, Plan, Ready, Step
from thawline.report.learned_tables import Table
from thawline.report.numbers import number

#: What each step is called, and what is said of it in the answer.
DOES = {
    "plug-in": "plug in",
    "heat-pack": "heat the pack",
    "charge": "charge",
    "warm-cabin": "warm the cabin",
}
SHORT = {"heat-pack": "heating", "charge": "charging", "warm-cabin": "cabin"}
WEAR_SOURCE = (
    "Minutes of charging with the coldest cell below 5 and 10 °C are a hint, no verdict: the "
    "guideline JEITA/BAJ 2007 (quoted) allows at most 0.5 C between 0 and 10 °C and nothing below "
    "0 °C; that less of it is better is common practice, no source."
)
PLAN_CAUTIONS = (
    "Use a dedicated circuit, sized and installed as the local code says by a licensed "
    "electrician; no extension cord, no adapter.",
    "The low-temperature limit of the car decides when charging begins. Never try to get round it.",
    "Ice on the outside of the glass, and what the weather does, are yours to look at before "
    "driving off.",
)


def clock(plan: Plan, since_epoch_s: float) -> str:
    """Write a time of day as the person reads it.

    Parameters
    ----------
    plan : Plan
        Whose time zone.
    since_epoch_s : float
        Since 1970-01-01 UTC [s].

    Returns
    -------
    str
        ``07:45``, with the day where the plan runs over midnight and it is not the first.
    """
    zone = plan.asked.zone
    moment = datetime.fromtimestamp(round(since_epoch_s / 60.0) * 60.0, zone)
    first = datetime.fromtimestamp(plan.asked.now_s, zone)
    days = (moment.date() - first.date()).days
    return moment.strftime("%H:%M") + ("" if days == 0 or _is_night(plan) else f" (+{days})")


def _is_night(plan: Plan) -> bool:
    """Tell whether a time of day alone leaves no doubt."""
    return float(plan.course.t_s[-1]) - plan.asked.now_s < 23.5 * 3600.0


def money(plan: Plan, value: float) -> str:
    """Write an amount of money.

    Parameters
    ----------
    plan : Plan
        Whose currency.
    value : float
        The amount [currency].

    Returns
    -------
    str
        With two decimals.
    """
    text = number(value, 2)
    return f"{text} {plan.asked.currency}" if plan.asked.currency else text


def percent(share: float | None) -> str:
    """Write a probability.

    Parameters
    ----------
    share : float or None
        The probability [1].

    Returns
    -------
    str
        In whole per cent; nothing for None; never 100 for less than certain of a sample.
    """
    if share is None:
        return ""
    if share > 0.995:  # a sample knows no certainty
        return "> 99 %"
    return "< 1 %" if share < 0.005 else f"{share * 100.0:.0f} %"


def answer_of(plan: Plan) -> str:
    """Give the answer in one sentence.

    Parameters
    ----------
    plan : Plan
        The plan.

    Returns
    -------
    str
        The sentence.
    """
    if not plan.steps:
        return "Nothing to do: the car is ready as it stands."
    parts = ["Plug in now"]
    for kind, name in SHORT.items():
        spans = [
            f"{clock(plan, step.from_s)}–{clock(plan, step.until_s)}"
            for step in plan.steps
            if step.do == kind
        ]
        if spans:
            parts.append(f"{name} {' and '.join(spans)}")
    leaves = " and ".join(clock(plan, ready.leave_s) for ready in plan.chosen.ready)
    parts.append(f"ready at {leaves} with {percent(plan.chosen.chance)}")
    parts.append(f"{number(plan.chosen.energy_kWh, 1)} kWh")
    parts.append(money(plan, plan.chosen.cost))
    if plan.chosen.carbon_g is not None:
        parts.append(f"{number(plan.chosen.carbon_g / 1e3, 2)} kg of carbon dioxide")
    return "; ".join(parts) + "."


def step_words(plan: Plan, step: Step) -> str:
    """Say a step.

    Parameters
    ----------
    plan : Plan
        Its plan.
    step : Step
        The step.

    Returns
    -------
    str
        When, what and why.
    """
    if step.do == "plug-in":
        return f"{clock(plan, step.from_s)}  plug in, {step.because}."
    span = f"{clock(plan, step.from_s)} to {clock(plan, step.until_s)}"
    return f"{span}  {DOES[step.do]}, about {number(step.kW, 1)} kW, {step.because}."


def ready_words(plan: Plan, ready: Ready) -> list[str]:
    """Say how surely each wish is met.

    Parameters
    ----------
    plan : Plan
        Its plan.
    ready : Ready
        At one leaving time.

    Returns
    -------
    list of str
        A phrase for each wish.
    """
    wishes, found = plan.asked.wishes, []

    def band(three: tuple[float, float, float], unit: str, decimals: int = 0) -> str:
        low, middle, high = (number(value, decimals) for value in three)
        return f"{middle} {unit} ({low} to {high})"

    if ready.charge is not None:
        found.append(f"charge of {wishes.charge_pct:g} %: {percent(ready.charge)}; expected "
                     f"{band(ready.charge_pct, '%')}")  # fmt: skip
    if ready.regeneration is not None:
        found.append(f"{wishes.regeneration_kW:g} kW of regeneration: "
                     f"{percent(ready.regeneration)}; expected "
                     f"{band(ready.regeneration_kW, 'kW', 1)}, coldest cell "
                     f"{band(ready.coldest_degC, '°C', 1)}")  # fmt: skip
    if ready.cabin is not None:
        found.append(f"cabin at {wishes.cabin_degC:g} °C: {percent(ready.cabin)}; expected "
                     f"{band(ready.cabin_degC, '°C')}")  # fmt: skip
    if ready.glass is not None:
        found.append(f"clear glass: {percent(ready.glass)}; glass at "
                     f"{band(ready.glass_degC, '°C')}")  # fmt: skip
    return found


def wish_cost_words(plan: Plan) -> list[str]:
    """Say what each wish costs.

    Parameters
    ----------
    plan : Plan
        The plan.

    Returns
    -------
    list of str
        A sentence for each.
    """
    found = []
    for cost in plan.wish_costs:
        name = cost.change[0].upper() + cost.change[1:]
        if cost.saves < 0.005:
            found.append(f"{name} would save next to nothing.")
        else:
            found.append(f"{name} would save about {money(plan, cost.saves)}.")
    return found


def options_table(plan: Plan) -> Table:
    """Put the plan and the other ways of leaving side by side.

    Parameters
    ----------
    plan : Plan
        The plan.

    Returns
    -------
    Table
        A row for each.
    """
    options = (plan.chosen, *plan.alternatives)
    wishes = plan.asked.wishes
    has_road = any(option.road is not None for option in options)
    has_carbon = any(option.carbon_g is not None for option in options)
    heads = ["way of leaving", "cost", "supply"]
    heads += ["CO₂"] * has_carbon
    heads += ["all wishes"]
    heads += ["charge"] * (wishes.charge_pct is not None)
    heads += ["regeneration"] * (wishes.regeneration_kW is not None)
    heads += ["cabin"] * (wishes.cabin_degC is not None)
    heads += ["glass"] * wishes.clear_glass
    heads += ["min below 5 / 10 °C"]
    heads += ["first trip"] * has_road

    def row(option: Option) -> tuple[str, ...]:
        last = option.ready[-1]
        cells = [option.name, money(plan, option.cost), f"{number(option.energy_kWh, 1)} kWh"]
        if has_carbon:
            grams = option.carbon_g
            cells.append("" if grams is None else f"{number(grams / 1e3, 2)} kg")
        cells.append(percent(option.chance))
        cells += [
            percent(share)
            for share in (last.charge, last.regeneration, last.cabin, last.glass)
            if share is not None
        ]
        cells.append(f"{option.wear.below_low_min:.0f} / {option.wear.below_high_min:.0f}")
        if has_road:
            road = option.road
            cells.append("" if road is None else f"{number(road.kWh, 2)} kWh, "
                         f"{money(plan, road.cost)}, range {road.range_km:.0f} km")  # fmt: skip
        return tuple(cells)

    return Table("Ways of leaving", tuple(heads), tuple(row(option) for option in options))


def cheaper_words(plan: Plan) -> str:
    """Say how the plan stands beside the cheapest other way that is ready as surely.

    Parameters
    ----------
    plan : Plan
        The plan.

    Returns
    -------
    str
        A sentence.
    """
    ready = [each for each in plan.alternatives
             if each.chance >= plan.asked.chance and each.key != "garage"]  # fmt: skip
    if not ready:
        return f"None of the simple ways is ready with {percent(plan.asked.chance)}."
    best = min(ready, key=lambda option: option.cost)
    less = best.cost - plan.chosen.cost
    return f"The plan costs {money(plan, max(less, 0.0))} less than the cheapest simple way that is ready as surely: {best.name}."  # noqa: E501  # one sentence


def found_words(plan: Plan) -> str:
    """Say how the plan was found.

    Parameters
    ----------
    plan : Plan
        The plan.

    Returns
    -------
    str
        Solver, sample, gap.
    """
    solved = plan.solved
    model = (
        "priors alone"
        if plan.mornings == 0
        else f"a model fitted to {plan.mornings} recording{'s' if plan.mornings > 1 else ''}"
    )
    text = (
        f"Found by mixed-integer optimisation (HiGHS) in steps of {solved.step_s / 60.0:.0f} min "
        f"over {model}, then tried on {solved.members} cars and mornings that all fit what is "
        "known, and tightened until enough of them are ready"
    )
    if solved.gap is not None:
        text += (
            f"; the solver's programme misses the least cost by at most {100.0 * solved.gap:.1f} %"
        )
    return text + "."
