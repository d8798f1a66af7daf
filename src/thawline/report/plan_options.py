"""The plan and the other ways of leaving, side by side."""

from __future__ import annotations

from thawline.plan.plan import Option, Plan
from thawline.report.learned_tables import Table
from thawline.report.numbers import number
from thawline.report.plan_words import money, percent

WEAR_SOURCE = (
    "Minutes of charging with the coldest cell below 5 and 10 °C are a hint, no verdict: the "
    "guideline JEITA/BAJ 2007 (quoted) allows at most 0.5 C between 0 and 10 °C and nothing below "
    "0 °C; that less of it is better is common practice, no source."
)


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
    unit = f", {plan.asked.currency}" if plan.asked.currency else ""
    heads = ["way of leaving", f"cost{unit}", "supply, kWh"]
    heads += ["CO₂, kg"] * has_carbon
    heads += ["all wishes"]
    heads += ["charge"] * (wishes.charge_pct is not None)
    heads += ["regeneration"] * (wishes.regeneration_kW is not None)
    heads += ["cabin"] * (wishes.cabin_degC is not None)
    heads += ["glass"] * wishes.clear_glass
    heads += ["min below 5 / 10 °C"]
    heads += ["first trip, kWh", f"trip{unit or ', cost'}", "range, km"] * has_road

    def row(option: Option) -> tuple[str, ...]:
        last = option.ready[-1]
        cells = [option.name, number(option.cost, 2), number(option.energy_kWh, 1)]
        if has_carbon:
            grams = option.carbon_g
            cells.append("" if grams is None else number(grams / 1e3, 2))
        cells.append(percent(option.chance))
        cells += [
            percent(share)
            for share in (last.charge, last.regeneration, last.cabin, last.glass)
            if share is not None
        ]
        cells.append(f"{option.wear.below_low_min:.0f} / {option.wear.below_high_min:.0f}")
        if has_road:
            road = option.road
            cells += (
                ["", "", ""]
                if road is None
                else [number(road.kWh, 2), number(road.cost, 2), number(road.range_km, 0)]
            )
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
