from dataclasses import replace

import numpy as np

from tests.suggest import morning
from thawline.suggest.candidate import Scene
from thawline.suggest.propose import propose_from


def fahrenheit(scene: Scene, keys: dict[str, str]) -> Scene:
    """The morning with every temperature in degF, to a fifth of a degree."""
    turned = []
    for one in scene.candidates:
        if "Temperature" in keys[one.key]:
            values = np.round((one.values * 1.8 + 32.0) / 0.2) * 0.2
            codes = tuple(np.unique(values).tolist()) if len(one.codes) else ()
            one = replace(one, values=values, step=0.2, codes=codes)
        turned.append(one)
    return replace(scene, candidates=tuple(turned))


def units(scene: Scene, keys: dict[str, str]) -> set[str]:
    found = propose_from(scene)
    assert all(keys[one.from_] == one.path for one in found.proposals)
    return {one.unit for one in found.proposals if one.path.endswith(("Min", "Max", "Average"))}


def test_the_limits_tell_degrees_of_one_kind_from_the_other():
    """No unit is stated; limits that open near freezing say which it is."""
    scene, keys = morning.scene(blank=True)
    assert units(scene, keys) == {"degC"}
    assert units(fahrenheit(scene, keys), keys) == {"degF"}
