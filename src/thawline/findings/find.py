"""Look for everything that is worth looking into."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from thawline.findings.case import Case
from thawline.findings.charger import check_charger
from thawline.findings.coldest import check_coldest
from thawline.findings.coolant_sensor import check_coolant_sensor
from thawline.findings.current import check_current
from thawline.findings.finding import Checked, Figure, Figures, Finding, Findings, Unchecked
from thawline.findings.flow import KIND as WEAK
from thawline.findings.flow import check_flow
from thawline.findings.heat_path import FLOW, OUTSIDE, heat_path
from thawline.findings.heaters import check_heaters
from thawline.findings.kinds import kinds
from thawline.findings.lagging import check_lagging
from thawline.findings.low_voltage import check_low_voltage
from thawline.findings.outside import NOTHING, Told, check_outside
from thawline.findings.refused import check_refused
from thawline.findings.resistance import check_resistance
from thawline.findings.settings import setting
from thawline.findings.supply import check_supply
from thawline.findings.unmetered import check_unmetered
from thawline.findings.warming import check_warming
from thawline.ledger.closing import Unclosed, unclosed
from thawline.ledger.ledger import Ledger
from thawline.recording.flows import Flows
from thawline.recording.recording import Recording
from thawline.story.story import Story

#: Gain in log-likelihood of what was found otherwise [1].
CERTAIN = 1e3
HEAT_OPEN = "heat-account-open"
#: A finding explains others: where the first is found, the others are not told besides.
EXPLAINS = {
    "coldest-cell-sensor": ("charging-refused-warm", "lagging-cell-group"),
    "coolant-sensor": ("heat-lost-outside", "weak-coolant-flow", "slower-warming"),
    "weak-coolant-flow": (
        "heat-lost-outside",
        "slower-warming",
        "lagging-cell-group",
        "coldest-cell-sensor",
    ),
    "heat-lost-outside": ("slower-warming", "heat-account-open"),
    "heater-dead": ("slower-warming",),
    "lagging-cell-group": ("resistance-growth", "slower-warming"),
    "slower-warming": ("lagging-cell-group",),
    "current-sensor": ("electrical-account-open", "resistance-growth"),
    "lossy-charger": ("electrical-account-open",),
}


def find(
    recording: Recording,
    flows: Flows,
    story: Story,
    ledger: Ledger,
    earlier: Sequence[Figures] = (),
) -> Findings:
    """Look for everything that is worth looking into.

    Parameters
    ----------
    recording : Recording
        The recording.
    flows : Flows
        Its powers.
    story : Story
        Its story.
    ledger : Ledger
        Its accounts.
    earlier : sequence of Figures
        Figures of earlier mornings of the same vehicle.

    Returns
    -------
    Findings
        What was found, what could not be checked, and this morning's figures.
    """
    case = Case(recording, flows, story, ledger, tuple(earlier))
    path = heat_path(case)
    resists, own_log_ohm = check_resistance(case)
    outside, told = check_outside(case, path)
    flow = check_flow(case, path)
    if any(one.kind == WEAK for one in flow.found):
        told = NOTHING  # a pump that weakens bends the heat balance in its own way
    unmetered = check_unmetered(case, path) if not case.has(FLOW) else None
    alone = () if unmetered is None else (unmetered,)
    if alone:  # the coolant fell with what no longer arrives, and not by itself
        told = Told(valve_gain=CERTAIN, is_valve=True)
    checks = [
        check_supply(case),
        check_refused(case),
        flow,
        outside,
        check_heaters(case),
        check_warming(case, path),
        check_coldest(case),
        check_coolant_sensor(case, path, told),
        check_current(case),
        check_lagging(case, path, own_log_ohm),
        check_charger(case),
        resists,
        check_low_voltage(case),
    ]
    found = _weighed([*(f for c in checks for f in c.found), *alone, *_accounts(ledger)])
    figures = {name: value for check in checks for name, value in check.figures.items()}
    return Findings(found, _unchecked(checks), _figures(case, figures, found))


def _weighed(found: Sequence[Finding]) -> tuple[Finding, ...]:
    kinds_found = {one.kind for one in found}
    gone = {other for kind in kinds_found for other in EXPLAINS.get(kind, ())}
    # what cell voltages tell stands by itself: no thermometer and no pump explains it
    left = [one for one in found if one.kind not in gone or _by_voltage(one)]
    return tuple(sorted(left, key=lambda f: -1.0 if f.from_s is None else f.from_s))


def _by_voltage(one: Finding) -> bool:
    return any("CellVoltage" in evidence.signal for evidence in one.evidence)


def _accounts(ledger: Ledger) -> list[Finding]:
    known = kinds()
    return [
        Finding(one.kind, one.from_s, one.confidence, one.because, one.evidence,
                known[one.kind].next_check, known[one.kind].caution)
        for one in unclosed(ledger)
        if one.kind != HEAT_OPEN or not _may_be_heavier(ledger, one)
    ]  # fmt: skip


def _may_be_heavier(ledger: Ledger, one: Unclosed) -> bool:
    """Tell whether a pack of another heat capacity than the usual one closes the heat account."""
    stored = next((line for line in ledger.heat if line.line == "stored-in-pack"), None)
    if stored is None or stored.origin != "assumed" or stored.kWh is None:
        return False
    left = one.evidence[0]
    more = setting("heavier_times" if left.value * stored.kWh > 0.0 else "lighter_times")
    room = abs(stored.kWh) * abs(more - 1.0)
    return abs(left.value) < float(left.threshold or 0.0) + room


def _unchecked(checks: Sequence[Checked]) -> tuple[Unchecked, ...]:
    return tuple(one for check in checks for one in check.unchecked)


def _figures(case: Case, values: dict[str, Figure], found: Sequence[Finding]) -> Figures:
    outside = case.lay(OUTSIDE)
    degC = float(np.nanmean(outside)) if np.any(~np.isnan(outside)) else None
    recording = case.recording
    kinds_found = tuple(dict.fromkeys(one.kind for one in found))
    return Figures(recording.id, recording.starts_at, degC, values, kinds_found)
