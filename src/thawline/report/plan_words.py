"""A plan in plain words: the answer first, then each step, and what it rests on."""

from __future__ import annotations

from datetime import datetime

from thawline.plan.plan import Plan, Ready, Step
from thawline.report.numbers import number

#: What each step is called, and what is said of it in the answer.
DOES = {
    "plug-in": "plug in",
    "heat-pack": "heat the pack",
    "charge": "charge",
    "warm-cabin": "warm the cabin",
}
SHORT = {"heat-pack": "heating", "charge": "charging", "warm-cabin": "cabin"}
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
