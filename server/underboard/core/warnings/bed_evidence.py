"""What traps and soil cores say of wireworms in a bed, and what follows for potatoes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final, Literal

from underboard.core.agronomy.wireworm.density import Density, density
from underboard.core.agronomy.wireworm.detection_plan import detection_plan
from underboard.core.agronomy.wireworm.miss_chance import miss_chance
from underboard.core.agronomy.wireworm.trap_thumb import TrapThumb, trap_thumb
from underboard.core.warnings.facts import CatchFact, SampleFact
from underboard.core.warnings.traps_seen import searched

Verdict = Literal["do_not", "earlies_only", "wait", "plant"]
_WORST_FIRST: Final[Sequence[Verdict]] = ("do_not", "earlies_only", "plant", "wait")
#: Share of the larvae that is found: 2 in 5 by hand (Ann. appl. Biol. 1945, 32:148), nearly all by washing.
RECOVERY: Final = {"hand_sort": 0.4, "wash": 0.95}
#: A nil result counts when it would be missed no oftener than this at the level that is tolerated.
MISSED: Final = 0.05


@dataclass(frozen=True)
class Traps:
    """Valid traps of a bed."""

    found: int
    n: int
    rate: TrapThumb
    p_miss: float
    needed: int | None


@dataclass(frozen=True)
class Cores:
    """Soil cores of one method and one diameter."""

    found: int
    n: int
    rate: Density
    p_miss: float


@dataclass(frozen=True)
class BedEvidence:
    """One bed. `not_counted` are searched traps that were not valid, `found_anyway` the wireworms in those."""

    traps: Traps | None
    cores: tuple[Cores, ...]
    not_counted: int
    found_anyway: int
    verdict: Verdict | None

    @property
    def more_traps(self) -> int | None:
        """Further valid traps with none that would settle it; None when traps with none cannot."""
        if self.traps is None or self.traps.needed is None:
            return None
        return max(self.traps.needed - self.traps.n, 0)


def bed_evidence(
    catches: Sequence[CatchFact], samples: Sequence[SampleFact], settings: Mapping[str, Any]
) -> BedEvidence:
    """Weigh the traps and cores of one bed.

    Notes
    -----
    Traps: at `do_not_per_trap` or more on average, do not; some, but the upper limit of the mean is above
    `plant_per_trap`: earlies only, which are lifted before the feeding of late summer; none, or an upper limit
    below that, and so many traps that a mean of `plant_per_trap` would be missed in at most one of twenty
    cases: plant; else wait. Cores: at `do_not_per_ha` or more, do not; any find: earlies only; none: plant when
    the upper limit is below it, else wait. The worst of what was found holds; "plant" from either is enough when
    neither found any.
    """
    valid = [one for one in catches if searched(one) and one.valid is True]
    others = [one for one in catches if searched(one) and one.valid is not True]
    traps = _traps(valid, settings)
    cores = tuple(_cores(samples))
    verdicts: list[Verdict] = []
    if traps is not None:
        verdicts.append(_of_traps(traps, settings))
    verdicts += [_of_cores(one, settings) for one in cores]
    found_anyway = sum(one.wireworms or 0 for one in others)
    verdict = next((one for one in _WORST_FIRST if one in verdicts), None)
    if found_anyway and verdict in (None, "plant", "wait"):
        # A find in a trap that does not count is a find all the same.
        verdict = "earlies_only"
    return BedEvidence(traps, cores, len(others), found_anyway, verdict)


def needed_traps(settings: Mapping[str, Any]) -> int | None:
    """Return how many valid traps with none settle a bed."""
    plan = detection_plan(
        confidence=1 - MISSED, mean_per_unit=settings["plant_per_trap"], k=settings["clumping_k"]
    )
    return plan.n_units


def _traps(valid: Sequence[CatchFact], settings: Mapping[str, Any]) -> Traps | None:
    if not valid:
        return None
    found, n = sum(one.wireworms or 0 for one in valid), len(valid)
    missed = miss_chance(n, mean_per_unit=settings["plant_per_trap"], k=settings["clumping_k"])
    return Traps(found, n, trap_thumb(found, n), missed.p_miss, needed_traps(settings))


def _of_traps(traps: Traps, settings: Mapping[str, Any]) -> Verdict:
    if traps.rate.per_trap >= settings["do_not_per_trap"]:
        return "do_not"
    enough = traps.p_miss <= MISSED
    if traps.found == 0:
        return "plant" if enough else "wait"
    return "plant" if enough and traps.rate.high_per_trap < settings["plant_per_trap"] else "earlies_only"


def _cores(samples: Sequence[SampleFact]) -> list[Cores]:
    groups: dict[tuple[float, str], list[SampleFact]] = {}
    for one in samples:
        if one.core_diameter_m:
            groups.setdefault((one.core_diameter_m, one.method or "hand_sort"), []).append(one)
    found = []
    for (diameter, method), own in sorted(groups.items()):
        n, larvae = sum(one.cores for one in own), sum(one.found for one in own)
        recovery = RECOVERY.get(method, RECOVERY["hand_sort"])
        rate = density(larvae, n, core_diameter_m=diameter, recovery=recovery)
        missed = miss_chance(n, per_ha=_REFERENCE_PER_HA, core_diameter_m=diameter, recovery=recovery)
        found.append(Cores(larvae, n, rate, missed.p_miss))
    return found


#: The density that one find in 20 cores of 4 inches stands for, the usual yardstick [1/ha].
_REFERENCE_PER_HA: Final = 61_673.0


def _of_cores(cores: Cores, settings: Mapping[str, Any]) -> Verdict:
    if cores.rate.per_ha >= settings["do_not_per_ha"]:
        return "do_not"
    if cores.found:
        return "earlies_only"
    return "plant" if cores.rate.upper_one_sided_per_ha < settings["do_not_per_ha"] else "wait"
